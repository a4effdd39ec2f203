"""The count of uneven places: every square of four square metres looked at by itself."""

from __future__ import annotations

import math

import numpy as np
import oracles
import pytest

import mytakeoff as mt
from mytakeoff.flatness.judging import most_uneven_places


def face(proud: np.ndarray, wide_m: float, high_m: float) -> mt.Surface:
    """A face on cells of a width and a height of their own."""
    nz, nx = proud.shape
    wall = mt.Wall("made", nx * wide_m, nz * high_m)
    return mt.Surface.from_grid(wall, (np.arange(nx) + 0.5) * wide_m, (np.arange(nz) + 0.5) * high_m, proud)


def every_square(depths, wide_m: float, high_m: float) -> dict[tuple[float, float], int]:
    """Places on each 2 × 2 m (or the whole of a lower or narrower wall), by the middle of the square."""
    nz, nx = depths.shape
    across, up = min(max(1, round(2 / wide_m)), nx), min(max(1, round(2 / high_m)), nz)
    counts = {}
    for low in range(nz - up + 1):
        for left in range(nx - across + 1):
            middle = (left + across / 2) * wide_m, (low + up / 2) * high_m
            counts[middle] = int((depths[low : low + up, left : left + across] > 0).sum())
    return counts


# cells that 2 m are a whole number of; the last two walls are lower or narrower than the square
@pytest.mark.parametrize(
    ("nx", "nz", "wide_m", "high_m"),
    [
        (30, 24, 0.2, 0.2),
        (18, 33, 0.4, 0.1),
        (33, 18, 0.1, 0.4),
        (9, 7, 1.0, 0.5),
        (5, 26, 0.2, 0.25),
        (40, 5, 0.1, 0.2),
    ],
)
@pytest.mark.parametrize("seed", range(6))
def test_the_worst_of_all_squares(nx, nz, wide_m, high_m, seed):
    """By the definition of SNiP 3.04.01-87 table 10, so many "on 4 m²" (secondary): counted one by one."""
    random = np.random.default_rng(seed)
    depths = np.zeros((nz, nx))
    # places apart by two cells, so that each is one of its own, and each of another depth
    among = depths[::2, ::2]
    few = random.choice(among.size, size=max(1, among.size // 8), replace=False)
    among.flat[few] = random.uniform(1.5, 4.0, few.size)
    counts = every_square(depths, wide_m, high_m)
    count, x_m, z_m = most_uneven_places(face(-depths, wide_m, high_m), depths, 1.0)
    assert count == max(counts.values())
    [at_middle] = [n for (x, z), n in counts.items() if math.dist((x, z), (x_m, z_m)) < 1e-6]
    assert at_middle == count


def test_a_cell_that_does_not_divide_two_metres_makes_the_square_smaller_never_larger():
    """On cells of 0.3 m the square is 1.8 m: six cells, so that places 6 cells apart are not on one."""
    depths = np.zeros((8, 20))
    depths[3, [4, 9]] = 2.0
    assert most_uneven_places(oracles.grid_of(-depths, 0.3), depths, 1.0)[0] == 2
    depths[3, [9, 10]] = 0.0, 2.0
    assert most_uneven_places(oracles.grid_of(-depths, 0.3), depths, 1.0)[0] == 1


def test_cells_larger_than_the_square_are_counted_one_by_one():
    depths = np.zeros((2, 4))
    depths[0, [0, 3]] = 2.0
    count, x_m, z_m = most_uneven_places(oracles.grid_of(-depths, 2.5), depths, 1.0)
    assert (count, x_m, z_m) == (1, pytest.approx(1.25), pytest.approx(1.25))


def test_a_place_lies_where_it_departs_most_and_one_that_touches_by_a_corner_is_the_same():
    """A furrow of 3 m is one place, deepest at its right end: with two dips beside that, three."""
    depths = np.zeros((20, 60))
    depths[10, 5:35] = np.linspace(1.2, 3.0, 30)
    depths[[11, 12], [35, 36]] = 2.0  # go on aslant: still the furrow
    depths[10, [42, 48]] = 2.0
    surface = oracles.grid_of(-depths)
    assert most_uneven_places(surface, depths, 1.0)[0] == 3
    # read from 2.5 mm the furrow is its right end alone, and the dips are none
    assert most_uneven_places(surface, depths, 2.5)[0] == 1


def test_just_as_deep_as_counted_is_no_place_and_unknown_cells_are_none():
    depths = np.full((20, 20), np.nan)
    depths[5, 5] = 1.0
    surface = oracles.grid_of(np.zeros((20, 20)))
    nothing = most_uneven_places(surface, depths, 1.0)
    assert nothing[0] == 0
    assert math.isnan(nothing[1])
    assert math.isnan(nothing[2])
    depths[5, 5] = 1.001
    assert most_uneven_places(surface, depths, 1.0)[0] == 1
