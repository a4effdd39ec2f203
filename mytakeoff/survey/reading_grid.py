"""Where to read a wall by hand: rows and columns that miss its openings, close enough for its size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from mytakeoff.errors import Check
from mytakeoff.survey.wall import Rectangle, Wall

CLEAR_M = 0.05  # a rule or a laser target needs so much wall beside an opening (common practice, no source)
END_M = 0.1  # first and last readings stand so far from the wall's ends
LEAST_STEP_M, MOST_STEP_M = 0.05, 2.0


@dataclass(frozen=True)
class FormGrid:
    """Places to read.

    Parameters
    ----------
    x_m : tuple of float
        Columns, from the left [m].
    z_m : tuple of float
        Rows, from the top [m].
    clear : tuple of tuple of bool
        For each row and column whether there is wall to read.
    """

    x_m: tuple[float, ...]
    z_m: tuple[float, ...]
    clear: tuple[tuple[bool, ...], ...]

    @property
    def count(self) -> int:
        """How many readings it asks for [-]."""
        return sum(sum(row) for row in self.clear)


def form_grid(wall: Wall, step_m: float = 0.5) -> FormGrid:
    """Rows and columns for a hand survey of a wall.

    Parameters
    ----------
    wall : Wall
    step_m : float
        Greatest distance between neighbours, 0.05 to 2 [m].

    Returns
    -------
    FormGrid
        Whole centimetres. Rows and columns that run along an opening's side are moved off it, and each pier,
        breast and lintel that is wide enough to read has one of its own.

    Raises
    ------
    TakeoffError
        A step that nobody measures at, or openings that leave nothing to read.

    Examples
    --------
    >>> grid = form_grid(Wall("A", 1.2, 1.2), 0.5)
    >>> grid.x_m, grid.z_m, grid.count
    ((0.1, 0.6, 1.1), (1.1, 0.6, 0.1), 9)
    """
    check = Check(f"wall {wall.name!r}")
    check.that(
        LEAST_STEP_M <= step_m <= MOST_STEP_M,
        f"a step of {step_m:g} m",
        f"readings by hand stand {LEAST_STEP_M:g} to {MOST_STEP_M:g} m apart",
        "0.5 m is usual, 0.25 m on rough walls",
    )
    check.done()
    bare = wall.not_plastered
    x_m = _places(wall.width_m, step_m, [(r.x_m, r.x_m + r.width_m) for r in bare])
    z_m = _places(wall.height_m, step_m, [(r.z_m, r.z_m + r.height_m) for r in bare])[::-1]
    grid = FormGrid(x_m, z_m, tuple(tuple(_is_clear(x, z, bare) for x in x_m) for z in z_m))
    check.that(
        grid.count >= 3,
        f"{grid.count} places to read between the openings",
        "a plane takes at least three",
        "take a smaller step, or see that the openings are right",
    )
    check.done()
    return grid


def _places(length_m: float, step_m: float, spans: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Even places along a length, moved off the sides of openings, with one in each stretch between sides."""
    end = min(END_M, length_m / 4)
    count = max(ceil((length_m - 2 * end) / step_m - 1e-9), 1)
    even = [end + (length_m - 2 * end) * nth / count for nth in range(count + 1)]
    sides = sorted({0.0, length_m, *(side for span in spans for side in span)})
    moved = {round(_off_sides(place, sides[1:-1], length_m), 2) for place in even}
    for low, high in pairwise(sides):
        has_one = any(low + CLEAR_M - 0.006 <= place <= high - CLEAR_M + 0.006 for place in moved)
        if high - low >= 2 * CLEAR_M and not has_one:
            moved.add(round((low + high) / 2, 2))
    return tuple(sorted(moved))


def _off_sides(place_m: float, sides_m: Sequence[float], length_m: float) -> float:
    """A place moved off the nearest side that it is too near to, away from it."""
    near = [side for side in sides_m if abs(place_m - side) < CLEAR_M]
    if not near:
        return place_m
    side = min(near, key=lambda one: abs(place_m - one))
    moved = side + CLEAR_M if place_m >= side else side - CLEAR_M
    return min(max(moved, 0.0), length_m)


def _is_clear(x_m: float, z_m: float, bare: Sequence[Rectangle]) -> bool:
    """Whether a place is on the wall, clear of what is not plastered."""
    room = CLEAR_M - 0.006  # places are rounded to a centimetre
    return not any(
        r.x_m - room < x_m < r.x_m + r.width_m + room and r.z_m - room < z_m < r.z_m + r.height_m + room
        for r in bare
    )
