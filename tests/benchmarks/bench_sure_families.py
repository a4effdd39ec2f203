"""How sure, on invented walls: calibration by family, beside an oracle that knows the family.

python tests/benchmarks/bench_sure_families.py                             # what is chosen by
python tests/benchmarks/bench_sure_families.py --kept-aside                # what nothing is chosen by
python tests/benchmarks/bench_sure_families.py --trials 20 --oracle 100    # fewer walls
python tests/benchmarks/bench_sure_families.py --pictures tests/benchmarks/pictures
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from time import process_time
from types import ModuleType

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

import everyday_walls
import kept_aside_walls
from bench_sure import FILLED_HEAD, filled_line
from calibration_picture import Came, write_picture
from dense_truth import filled
from everyday_walls import Family
from family_trials import SHARES, Row, oracle_mm, read_wall, row_of

STEPS_M = (0.25, 0.35, 0.5)
ORACLE = 1000  # added to the seed: walls of its own


def families(module: ModuleType, trials: int, oracle: int, seed: int) -> list[Came]:
    """A line of the table for each family and step, and how often what was said came true, all steps."""
    print("| walls | readings every | holds | below | above | median off | plain off | range | ÷ oracle |")
    print("|---|---|---|---|---|---|---|---|---|")
    came = []
    for place, (name, family) in enumerate(module.FAMILIES.items()):
        rows, least_mm = [], oracles(family, oracle, np.random.default_rng([seed + ORACLE, place]))
        for step_m, least in zip(STEPS_M, least_mm, strict=True):
            rng = np.random.default_rng([seed, place, round(step_m * 100)])
            rows.append(row_of(family, step_m, rng, trials, module.BACKGROUNDS[name]))
            print(line(name, step_m, rows[-1], least), flush=True)
        each = np.mean([row.came_true for row in rows], axis=0)
        came.append(Came(name, SHARES, each, trials * len(rows)))
    return came


def straightened(module: ModuleType, trials: int, seed: int) -> None:
    """The same for walls that are straightened as they are, by the least and the widest step."""
    print(FILLED_HEAD)
    for place, (name, family) in enumerate(module.FAMILIES.items()):
        on = module.BACKGROUNDS[name]
        for step_m in (STEPS_M[0], STEPS_M[-1]):
            rng = np.random.default_rng([seed, place, round(step_m * 100)])
            done = [filled(*family(rng), step_m, rng, background=on) for _ in range(trials)]
            print(filled_line(name, step_m, done), flush=True)


def oracles(family: Family, walls: int, rng: np.random.Generator) -> list[float]:
    """The oracle's width for each step, of so many walls [mm]."""
    known = []
    for _ in range(walls):
        field, cell_m = family(rng)
        known.append([read_wall(field, cell_m, step_m, rng)[0] for step_m in STEPS_M])
    return [oracle_mm(list(each)) for each in zip(*known, strict=True)]


def line(name: str, step_m: float, row: Row, least_mm: float) -> str:
    """A line of the table."""
    plain = row.plain_mm - row.true_mm
    return (
        f"| {name} | {step_m * 100:.0f} cm | {1 - row.below - row.above:.0%} | {row.below:.0%} "
        f"| {row.above:.0%} | {row.off_mm.mean():+.1f} ({np.abs(row.off_mm).mean():.1f}) mm "
        f"| {plain.mean():+.1f} ({np.abs(plain).mean():.1f}) mm "
        f"| {row.width_mm:.1f} of {row.true_mm.mean():.1f} mm | {row.width_mm / least_mm:.1f} |"
    )


def main() -> None:
    """Print the table, and draw it where asked."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=40)
    parser.add_argument("--oracle", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kept-aside", action="store_true")
    parser.add_argument("--filled", action="store_true")
    parser.add_argument("--pictures", type=Path)
    asked = parser.parse_args()
    before = process_time()
    module, name = (kept_aside_walls, "kept-aside") if asked.kept_aside else (everyday_walls, "invented")
    if asked.filled:
        straightened(module, asked.trials, asked.seed)
        return
    came = families(module, asked.trials, asked.oracle, asked.seed)
    if asked.pictures:
        title = f"Said against came true: {name.replace('-', ' ')} walls"
        write_picture(asked.pictures, f"{name}-walls", came, title)
    print(f"\n{process_time() - before:.0f} s of the processor")


if __name__ == "__main__":
    main()
