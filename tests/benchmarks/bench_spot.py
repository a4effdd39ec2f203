"""Spot repair against the definition in plain Python, its growth with the wall, and its budgets, in one run.

    python tests/benchmarks/bench_spot.py

Ratios, not times, are what is kept; times are the processor's, so that a busy machine counts less.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

import numpy as np
from scipy.ndimage import gaussian_filter

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1] / "helpers"))

import edge_oracle

import mytakeoff as mt
from mytakeoff.repair.spot_repair import finished_face


def surface_of(proud: np.ndarray, cell_m: float = 0.025) -> mt.Surface:
    """A wall of square cells."""
    nz, nx = proud.shape
    wall = mt.Wall("bench", nx * cell_m, nz * cell_m)
    return mt.Surface.from_grid(wall, (np.arange(nx) + 0.5) * cell_m, (np.arange(nz) + 0.5) * cell_m, proud)


def bumpy(nz: int, nx: int, cell_m: float = 0.025) -> np.ndarray:
    """An invented bumpy wall: waves of about half a metre, 4 mm, and a roughness of 0.5 mm."""
    random = np.random.default_rng(0)
    waves = gaussian_filter(random.normal(0, 1, (nz, nx)), 0.2 / cell_m)
    return waves * 4 / waves.std() + random.normal(0, 0.5, (nz, nx))


def hollow(nz: int, nx: int, cell_m: float = 0.025) -> np.ndarray:
    """A long hollow of radius 100 m along the wall."""
    x = (np.arange(nx) - nx / 2 + 0.5) * cell_m
    return np.tile(x**2 / 200 * 1000, (nz, 1))


def shortest(work: Callable[[], object], rounds: int = 5) -> float:
    """Shortest processor time of several runs [s]."""
    times = []
    for _ in range(rounds):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def against_plain_python() -> None:
    """The same fill by the definition, on a small wall."""
    surface = surface_of(bumpy(20, 36, 0.1), 0.1)
    ours = shortest(lambda: mt.spot_repair(surface_of(surface.proud_mm, 0.1), 3.0, 1.0))
    start = process_time()
    expected = edge_oracle.least_fill(surface.proud_mm, 0.1, 0.1, 1.0, 3.0)
    plain = process_time() - start
    off = np.abs(finished_face(mt.spot_repair(surface, 3.0, 1.0)).proud_mm - expected).max()
    assert off <= 0.01, off
    ratio = f"plain Python ÷ ours {plain / ours:.0f}"
    print(f"| least fill, 36 × 20 cells, 1 m edge | {1000 * ours:.1f} ms | {ratio} |")


def budgets() -> None:
    """The walls of the budgets: 200 × 108 cells of 25 mm, four directions."""
    for name, proud in (("bumpy", bumpy(108, 200)), ("hollow of 100 m", hollow(108, 200))):
        surface = surface_of(proud)
        gap = shortest(lambda surface=surface: mt.straightedge_gap(surface, 2.0))
        fill = shortest(lambda proud=proud: mt.spot_repair(surface_of(proud)))
        print(f"| {name}, 200 × 108, gap | {1000 * gap:.0f} ms | |")
        print(f"| {name}, 200 × 108, least fill | {1000 * fill:.0f} ms | {fill / gap:.0f} × its gap |")
        anew = shortest(lambda proud=proud: mt.spot_repair(surface_of(proud), left_mm=0.5), 3)
        print(f"| {name}, 200 × 108, as it is done | {1000 * anew:.0f} ms | {anew / gap:.0f} × its gap |")
        done = shortest(lambda surface=surface: mt.spot_repair(surface, 2.5, left_mm=0.5), 3)
        label = f"{name}, 200 × 108, as it is done, another tolerance"
        print(f"| {label} | {1000 * done:.0f} ms | {done / gap:.0f} × its gap |")
        for price in (1.0, 4.0):
            cut = shortest(
                lambda proud=proud, price=price: mt.spot_repair(
                    surface_of(proud), cut_limit_mm=8.0, cut_to_fill_price=price
                ),
                2,
            )
            label = f"{name}, 200 × 108, 8 mm taken down at {price:g} ×"
            print(f"| {label} | {1000 * cut:.0f} ms | {cut / fill:.1f} × filling alone |")


def growth() -> None:
    """The gap and the least fill from 5 000 to 500 000 cells, a metre as 40 cells and then as ever more."""
    first: list[float] = []
    for nz, nx, cell_m in ((50, 100, 0.025), (158, 316, 0.025), (500, 1000, 0.025), (500, 1000, 0.005)):
        surface = surface_of(bumpy(nz, nx, cell_m), cell_m)
        steps = 2.0 / cell_m
        works = (lambda: mt.straightedge_gap(surface, 2.0), lambda: mt.spot_repair(surface))  # noqa: B023
        per_window = [shortest(work, 1) / (nz * nx * steps) for work in works]
        first = first or per_window
        gap, fill = (now / then for now, then in zip(per_window, first, strict=True))
        print(
            f"| growth, {nx} × {nz} cells, edge of {steps:.0f} | {1e9 * per_window[0]:.1f} ns and "
            f"{1e9 * per_window[1]:.0f} ns a cell and step | gap {gap:.2f}, fill {fill:.2f} of the smallest |"
        )


if __name__ == "__main__":
    print("| what | time | ratio |\n|---|---|---|")
    against_plain_python()
    budgets()
    growth()
