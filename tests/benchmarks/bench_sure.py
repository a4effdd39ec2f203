"""How sure: calibration on dense truth, plain interpolation beside it, and what a range costs, in one run.

    python tests/benchmarks/bench_sure.py                # everything
    python tests/benchmarks/bench_sure.py --trials 20    # fewer walls for each row
    python tests/benchmarks/bench_sure.py --trials 0     # times only

Times are the processor's, so that a busy machine counts less.
"""

from __future__ import annotations

import argparse
import sys
from itertools import pairwise
from pathlib import Path
from time import process_time

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1] / "core"))

import dense_truth

SURFACES = (dense_truth.SETTS, dense_truth.MOUNTAIN, dense_truth.FRACTURE)
STEPS_M = (0.25, 0.35, 0.5)
LIFTS_MM = (0.0, 4.0, 8.0, 12.0, 18.0, 25.0)
THIN_MM = 5.0


def calibration(trials: int, seed: int) -> None:
    """How often the range holds the truth, for each surface and step."""
    print("| surface | readings every | holds | below | above | median off | plain off | range |")
    print("|---|---|---|---|---|---|---|---|")
    said: list[tuple[float, bool]] = []
    for name in filter(dense_truth.is_here, SURFACES):
        for step_m in STEPS_M:
            rng = np.random.default_rng([seed, SURFACES.index(name), round(step_m * 100)])
            done = [dense_truth.trial(name, step_m, rng) for _ in range(trials)]
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
            said += [each.chance(lift, THIN_MM) for each in done for lift in LIFTS_MM]
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


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    if chosen.trials:
        before = process_time()
        calibration(chosen.trials, chosen.seed)
        print(f"\n{process_time() - before:.0f} s of the processor")


if __name__ == "__main__":
    main()
