"""Readings as they were taken: whether each is one of this wall, and whether they are enough for a plane."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.bounds import ROUNDING_M
from mytakeoff.errors import Check
from mytakeoff.survey.wall import Wall

Floats = NDArray[np.float64]

SAME_PLACE_M = 1e-6  # two readings closer than this were taken at one place
BY_HAND_PER_M2 = 200.0  # more readings than this on a square metre come from an instrument
MOST_OFF_MM = 10_000.0  # nobody measures off a plane that is further from the wall
MOST_APART_MM = 3000.0  # a wall that recedes by more is two walls
MOST_TOLD = 20  # faulty readings; who has more has them all for one reason
AGREE_MM = 0.5  # readings at one place that differ by more than a rounding of whole millimetres
FEWEST = 3  # readings that make a plane
LOOKED_AT = 10_000  # places of a cloud, evenly through it: if these make a plane, all of them do


def check_on_wall(wall: Wall, x: Floats, z: Floats, proud: Floats, check: Check) -> None:
    """Note each reading that does not lie on the wall, and those that no wall has [m, m, mm]."""
    slack, far = ROUNDING_M, MOST_OFF_MM
    on_wall = (x >= -slack) & (x <= wall.width_m + slack) & (z >= -slack) & (z <= wall.height_m + slack)
    wrong = np.flatnonzero(~(on_wall & (np.abs(proud) <= far)))
    for row in wrong[:MOST_TOLD]:
        check.that(
            False,
            f"reading {row + 1}: {proud[row]:g} mm at x {x[row]:g} m, z {z[row]:g} m",
            f"readings lie on the wall, {wall.width_m:g} × {wall.height_m:g} m, and {far:g} mm off a plane "
            "at most",
            "measure x from the left end, z from the floor, in metres, the wall in millimetres",
        )
    more, rule = wrong.size - MOST_TOLD, "the same holds for all"
    check.that(more <= 0, f"{more} more readings like these", rule, "look at the unit of the whole column")
    apart = float(np.ptp(proud)) if proud.size and not check.mistakes else 0.0
    check.that(
        apart <= MOST_APART_MM,
        f"readings from {proud.min(initial=0.0):g} to {proud.max(initial=0.0):g} mm",
        f"those of one wall lie within {MOST_APART_MM:g} mm",
        "look at their unit, or survey the parts of the wall one by one",
    )


def merge_repeats(x: Floats, z: Floats, proud: Floats, check: Check) -> tuple[Floats, Floats, Floats]:
    """One reading for each place [m, m, mm]: the mean of those that agree, a mistake where they do not."""
    keys = np.round(np.column_stack([x, z]) / SAME_PLACE_M)
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    group = group.ravel()
    if first.size == x.size:
        return x, z, proud
    low, high = np.full(first.size, np.inf), np.full(first.size, -np.inf)
    np.minimum.at(low, group, proud)
    np.maximum.at(high, group, proud)
    for place in np.flatnonzero(high - low > AGREE_MM):
        check.that(
            False,
            f"{low[place]:g} and {high[place]:g} mm at x {x[first[place]]:g} m, z {z[first[place]]:g} m",
            f"readings at one place agree within {AGREE_MM} mm",
            "measure there again and keep one",
        )
    mean = np.bincount(group, weights=proud) / np.bincount(group)
    order = np.argsort(first)
    return x[first][order], z[first][order], mean[order]


def check_spread(x: Floats, z: Floats, check: Check) -> None:
    """Note a survey of fewer than three readings, or one whose readings all lie on a line [m, m]."""
    check.that(
        x.size >= FEWEST, f"{x.size} readings", "a plane takes at least three", "measure more of the wall"
    )
    if x.size < FEWEST:
        return
    check.that(
        not in_a_line(x, z),
        f"{x.size} readings on one straight line",
        "a wall's lean and bow need readings beside the line",
        "add a second row or column of readings",
    )


def in_a_line(x_m: Floats, z_m: Floats) -> bool:
    """Whether places make no plane: fewer than three, or all on one straight line.

    Examples
    --------
    >>> in_a_line(np.array([0.0, 1.0, 2.0]), np.array([0.5, 1.0, 1.5]))
    True
    """
    few = slice(None, None, max(1, x_m.size // LOOKED_AT))
    return _on_one_line(x_m[few], z_m[few]) and (few.step == 1 or _on_one_line(x_m, z_m))


def _on_one_line(x: Floats, z: Floats) -> bool:
    if x.size < FEWEST:
        return True
    spread = np.linalg.svd(np.column_stack([x - x.mean(), z - z.mean()]), compute_uv=False)
    return not spread[1] > 1e-6 * max(spread[0], 1e-12)


def fills_a_grid(x: Floats, z: Floats) -> bool:
    """Whether readings [m, m] fill each crossing of at least two columns and two rows."""
    few = slice(None, None, max(1, x.size // 5000))
    if _lines(x[few]) * _lines(z[few]) > x.size:  # a cloud: it need not be sorted to see that
        return False
    columns, rows = _lines(x), _lines(z)
    if min(columns, rows) < 2 or columns * rows > x.size:
        return False
    places = np.round(x / SAME_PLACE_M) * (2.0**26) + np.round(z / SAME_PLACE_M)
    return bool(columns * rows == np.unique(places).size)  # repeated ones are merged later


def _lines(places: Floats) -> int:
    """How many different columns or rows readings stand in."""
    return int(np.unique(np.round(places / SAME_PLACE_M)).size)
