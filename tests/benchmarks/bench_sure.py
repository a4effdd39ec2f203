"""How sure: calibration on dense truth, plain interpolation beside it, and what a range costs, in one run.

    python tests/benchmarks/bench_sure.py                # everything
    python tests/benchmarks/bench_sure.py --trials 20    # fewer walls for each row
    python tests/benchmarks/bench_sure.py --only-filled  # straightened walls and times
    python tests/benchmarks/bench_sure.py --trials 0     # times only
    python tests/benchmarks/bench_sure.py --pictures tests/benchmarks/pictures

Invented walls and an oracle beside them: `bench_sure_families.py`.

Times are the processor's, so that a busy machine counts less.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from time import process_time

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

import dense_truth
from calibration_picture import Came, write_picture
from drawn_faces import draw_between, drawn_litres
from family_trials import SHARES

import mytakeoff as mt
from mytakeoff.simulation.faces import coarse_cell_m
from mytakeoff.simulation.next_reading import next_readings
from mytakeoff.simulation.planes_over_faces import chance_over
from mytakeoff.survey.interpolate import Readings

SURFACES = (dense_truth.SETTS, dense_truth.MOUNTAIN, dense_truth.FRACTURE, dense_truth.VALLEY)
BLIND = (dense_truth.COAST, dense_truth.VOLCANO)  # reported, never chosen by
STEPS_M = (0.25, 0.35, 0.5)
LIFTS_MM = (0.0, 4.0, 8.0, 12.0, 18.0, 25.0)
THIN_MM = 5.0
FILLED_HEAD = """| surface | readings every | holds | below | above | median off | plain off | range | finer |
|---|---|---|---|---|---|---|---|---|"""
FREE, CUT = mt.PlaneRule(least_mm=8.0, plumb=False), mt.PlaneRule(least_mm=8.0, cut_mm=3.0)


def calibration(trials: int, seed: int) -> list[Came]:
    """How often the range holds the truth, for each surface and step, and each share, all steps."""
    print("| surface | readings every | holds | below | above | median off | plain off | range |")
    print("|---|---|---|---|---|---|---|---|")
    said: list[tuple[float, bool]] = []
    came = []
    surfaces = (*SURFACES, *BLIND)
    for name in filter(dense_truth.is_here, surfaces):
        within = []
        for step_m in STEPS_M:
            rng = np.random.default_rng([seed, surfaces.index(name), round(step_m * 100)])
            done = [dense_truth.trial(name, step_m, rng) for _ in range(trials)]
            within += [[each.true_mm <= each.said_mm(share) for share in SHARES] for each in done]
            true = np.array([each.true_mm for each in done])
            low, middle, high = np.array([each.band_mm for each in done]).T
            plain = np.array([each.plain.mean_mm for each in done])
            below, above = (true < low).mean(), (true > high).mean()
            print(
                f"| {name} | {step_m * 100:.0f} cm | {1 - below - above:.0%} | {below:.0%} | {above:.0%} "
                f"| {np.mean(middle - true):+.1f} ({np.abs(middle - true).mean():.1f}) mm "
                f"| {np.mean(plain - true):+.1f} ({np.abs(plain - true).mean():.1f}) mm "
                f"| {np.mean(high - low):.1f} of {true.mean():.1f} mm |",
                flush=True,
            )
            if name in SURFACES:
                said += [each.chance(lift, THIN_MM) for each in done for lift in LIFTS_MM]
        came.append(Came(name, SHARES, np.mean(within, axis=0), len(within)))
    chances_table(said)
    return came


def chances_table(said: list[tuple[float, bool]]) -> None:
    """How often a chance of too thin a place came true."""
    chances, came = (np.array(column, dtype=float) for column in zip(*said, strict=True))
    print("\n| chance said | times | said on average | came true |\n|---|---|---|---|")
    edges = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
    for low, high in pairwise(edges):
        within = (chances >= low) & ((chances < high) | (high == 1.0))
        if within.any():
            print(
                f"| {low:.0%} to {high:.0%} | {within.sum()} | {chances[within].mean():.0%} "
                f"| {came[within].mean():.0%} |"
            )


def filled(trials: int, seed: int) -> None:
    """The same for walls that are straightened, brought to the relief of an old plastered wall."""
    print(f"\n{FILLED_HEAD}")
    for name in filter(dense_truth.is_here, SURFACES):
        for step_m in STEPS_M:
            rng = np.random.default_rng([seed, SURFACES.index(name), round(step_m * 100)])
            done = [dense_truth.filled_trial(name, step_m, rng) for _ in range(trials)]
            print(filled_line(name, step_m, done), flush=True)


def filled_line(name: str, step_m: float, done: list[dense_truth.FilledTrial]) -> str:
    """A line of the table of straightened walls."""
    true, finer, plain = np.array([(each.true_mm, each.finer_mm, each.plain_mm) for each in done]).T
    low, middle, high = np.array([each.band_mm for each in done]).T
    below, above = (true < low).mean(), (true > high).mean()
    return (
        f"| {name} | {step_m * 100:.0f} cm | {1 - below - above:.0%} | {below:.0%} | {above:.0%} "
        f"| {np.mean(middle - true):+.2f} ({np.abs(middle - true).mean():.2f}) mm "
        f"| {np.mean(plain - true):+.2f} ({np.abs(plain - true).mean():.2f}) mm "
        f"| {np.mean(high - low):.1f} of {true.mean():.1f} mm "
        f"| {((low <= finer) & (finer <= high)).mean():.0%} |"
    )


def times() -> None:
    """What a range on an invented wall of 200 readings costs, and one more reading, by one evaluation."""
    wall = mt.Wall("bench", 5.0, 2.6)
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 5, 0.25), np.arange(0.1, 2.6, 0.25)))
    rng = np.random.default_rng(3)
    heights = np.round(4 * x - 3 * z + 6 * np.sin(1.2 * x) + rng.normal(0, 1, x.size))
    survey = mt.Survey.from_readings(wall, x, z, heights)
    surface = mt.grid_surface(survey, coarse_cell_m(wall.width_m, wall.height_m))
    readings = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    none, rule = np.zeros_like(surface.proud_mm), mt.PlaneRule(least_mm=8.0)
    plane = mt.target_plane(mt.grid_surface(survey), rule)

    def fresh() -> object:
        fine = mt.grid_surface(survey)
        return mt.full_coat(fine, mt.target_plane(fine, rule), rule)

    drawn_faces = draw_between(surface, none, readings)
    drawn = drawn_litres(drawn_faces, rule)
    one = shortest(fresh)
    print(f"\n{x.size} readings, {surface.proud_mm.size} coarse cells\n\n| what | time | ÷ one evaluation |")
    print("|---|---|---|")
    for name, work in (
        ("surface, plane and build-up of the wall", fresh),
        ("300 faces", lambda: draw_between(surface, none, readings)),
        ("litres of all faces, plumb", lambda: drawn_litres(drawn_faces, rule)),
        ("litres of 100 faces, free to lean", lambda: drawn_litres(drawn_faces, FREE)),
        ("litres of 100 faces, 3 mm taken down", lambda: drawn_litres(drawn_faces, CUT)),
        ("chance of too thin a place", lambda: chance_over(drawn_faces, plane, 6.0)),
        ("three places to measure next", lambda: next_readings(drawn_faces, drawn)),
        ("one more reading, with litres", lambda: drawn_litres(drawn_faces.with_reading(2, 1.3, 9), rule)),
    ):
        took = shortest(work)
        print(f"| {name} | {1000 * took:.0f} ms | {took / one:.1f} |")


def shortest(work: Callable[[], object], runs: int = 3) -> float:
    """Shortest processor time of some runs [s]."""
    took = []
    for _ in range(runs):
        before = process_time()
        work()
        took.append(process_time() - before)
    return min(took)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only-filled", action="store_true")
    parser.add_argument("--pictures", type=Path)
    chosen = parser.parse_args()
    if chosen.trials:
        before = process_time()
        if not chosen.only_filled:
            came = calibration(chosen.trials, chosen.seed)
            if chosen.pictures:
                write_picture(
                    chosen.pictures, "measured-surfaces", came, "Said against came true: measured surfaces"
                )
        filled(chosen.trials, chosen.seed)
        print(f"\n{process_time() - before:.0f} s of the processor")
    times()


if __name__ == "__main__":
    main()
