"""The target plane against one numpy sum over the cells and against scipy's general solver, in one run.

    python tests/benchmarks/bench_plane.py

Ratios, not times, are what is kept: both sides of each are measured side by side on the same arrays.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np
from scipy.optimize import linprog

sys.path.insert(0, str(Path(__file__).parents[2]))

import mytakeoff as mt

SIZES = {"130 000 cells": (300, 434), "1.7 million cells": (1000, 1700)}
RULES = {
    "plumb": mt.PlaneRule(least_mm=5.0),
    "free": mt.PlaneRule(least_mm=5.0, plumb=False),
    "plumb, 3 mm taken down": mt.PlaneRule(least_mm=5.0, cut_mm=3.0),
    "free, 3 mm taken down": mt.PlaneRule(least_mm=5.0, cut_mm=3.0, plumb=False),
}


def wall_of(nz: int, nx: int, seed: int = 1) -> mt.Surface:
    """An invented old wall of 25 mm cells: it leans 12 mm, bows 9 mm, is rough, has a door."""
    random = np.random.default_rng(seed)
    x, z = np.meshgrid((np.arange(nx) + 0.5) * 0.025, (np.arange(nz) + 0.5) * 0.025)
    u, v = x / x.max(), z / z.max()
    proud = 12 * v + 5 * u - 9 * (2 * u - 1) ** 2 + 2 * np.sin(5 * x) * np.cos(3 * z)
    proud += random.normal(0, 0.8, x.shape)
    door = mt.Opening("door", 1.013, 0.0, 0.91, 2.03)
    wall = mt.Wall("bench", nx * 0.025, nz * 0.025, (door,))
    return mt.Surface.from_grid(wall, x[0], z[:, 0], proud)


def copy_of(surface: mt.Surface) -> mt.Surface:
    """The same wall with nothing remembered."""
    return mt.Surface.from_grid(surface.wall, surface.x_m, surface.z_m, surface.proud_mm)


def side_by_side(*works: Callable[[], object], least_s: float = 0.5, most: int = 15) -> list[float]:
    """Shortest time of each of several works, run in turns so that a busy machine hits all alike [s]."""
    best, spent, rounds = [float("inf")] * len(works), 0.0, 0
    while (spent < least_s or rounds < 5) and rounds < most:
        for k, work in enumerate(works):
            start = perf_counter()
            work()
            best[k] = min(best[k], perf_counter() - start)
        spent, rounds = spent + sum(best), rounds + 1
    return best


def by_highs(surface: mt.Surface, rule: mt.PlaneRule) -> float:
    """The same plane by a general solver, its matrix ready made; best of three (no cutting) [s]."""
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    known = np.isfinite(surface.proud_mm) & (surface.cell_area_m2 > 0)
    area = surface.cell_area_m2[known]
    rows = -np.column_stack([np.ones(area.size), x[known], z[known]])
    right = -(surface.proud_mm[known] + rule.least_mm)
    cost = area @ -rows
    bounds = [(None, None), (None, None), (0, 0) if rule.plumb else (None, None)]
    times = []
    for _ in range(3):
        start = perf_counter()
        answer = linprog(cost, rows, right, bounds=bounds, method="highs")
        times.append(perf_counter() - start)
    assert answer.status == 0
    plane = mt.target_plane(surface, rule)
    ours = area @ plane.at(x[known], z[known])
    assert abs(ours - answer.fun) < 1e-6 * abs(answer.fun), "the two planes differ"
    return min(times)


def main() -> None:
    print("| cells | plane | time | × one numpy sum | scipy HiGHS ÷ ours |")
    print("|---|---|---|---|---|")
    for size, (nz, nx) in SIZES.items():
        surface = wall_of(nz, nx)
        for name, rule in RULES.items():
            # a new surface each time, so that nothing remembered from the run before helps
            fresh = [copy_of(surface) for _ in range(15)]
            ours, one_sum = side_by_side(
                lambda rule=rule, fresh=fresh: mt.target_plane(fresh.pop(), rule), surface.proud_mm.sum
            )
            against = f"{by_highs(surface, rule) / ours:.0f}" if nz == 300 and rule.cut_mm == 0 else ""
            print(f"| {size} | {name} | {ours * 1e3:.2f} ms | {ours / one_sum:.0f} | {against} |")


if __name__ == "__main__":
    main()
