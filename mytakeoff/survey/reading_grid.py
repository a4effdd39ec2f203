"""Where to read a wall by hand: rows and columns that miss its openings, and what is read there so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil
from typing import Literal

from mytakeoff.errors import Check, TakeoffError
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
    grid = FormGrid(x_m, z_m, tuple(tuple(is_clear(x, z, bare) for x in x_m) for z in z_m))
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


def is_clear(x_m: float, z_m: float, bare: Sequence[Rectangle]) -> bool:
    """Whether a place is on the wall, clear of what is not plastered."""
    room = CLEAR_M - 0.006  # places are rounded to a centimetre
    return not any(
        r.x_m - room < x_m < r.x_m + r.width_m + room and r.z_m - room < z_m < r.z_m + r.height_m + room
        for r in bare
    )


Read = float | Literal["-"] | None  # a number, what could not be read, what is not read yet
Spot = tuple[int, int]  # row and column, from 0
NOT_READABLE: Literal["-"] = "-"
SAME_M = 0.0006  # places are written down to the millimetre


@dataclass(frozen=True)
class TypedGrid:
    """Readings in rows and columns that are the user's own, as far as they are read.

    Parameters
    ----------
    x_m : tuple of float
        Columns, from the left [m].
    z_m : tuple of float
        Rows, from the top [m].
    read : tuple of tuple of Read
        By row and column, in the unit and the sense of their sheet; "-" where nothing can be read, None where
        nothing is read yet [sheet's own].

    Examples
    --------
    >>> grid = TypedGrid.empty((0.1, 0.6), (2.4, 0.1)).with_read((0, 1), 12.5)
    >>> grid.read, grid.with_column(0.3).read[0], grid.count
    (((None, 12.5), (None, None)), (None, None, 12.5), 1)
    """

    x_m: tuple[float, ...]
    z_m: tuple[float, ...]
    read: tuple[tuple[Read, ...], ...]

    @classmethod
    def empty(cls, x_m: Sequence[float], z_m: Sequence[float]) -> TypedGrid:
        """Columns and rows [m] with nothing read yet."""
        return cls(tuple(x_m), tuple(z_m), ((None,) * len(x_m),) * len(z_m))

    @property
    def count(self) -> int:
        """How many numbers are read [-]."""
        return sum(isinstance(each, float) for row in self.read for each in row)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Every crossing in the order in which a wall is walked: down the first column from the left, up the
        next."""
        rows = range(len(self.z_m))
        return tuple((row, n) for n in range(len(self.x_m)) for row in (rows if n % 2 == 0 else rows[::-1]))

    @property
    def laid_out(self) -> TypedGrid:
        """The grid as it is."""
        return self

    def place(self, spot: Spot) -> tuple[float, float]:
        """Where a crossing is, x and z [m]."""
        return self.x_m[spot[1]], self.z_m[spot[0]]

    def at(self, x_m: float, z_m: float) -> Spot | None:
        """The crossing at a place [m], None where there is none."""
        row = next((n for n, z in enumerate(self.z_m) if abs(z - z_m) < SAME_M), None)
        column = next((n for n, x in enumerate(self.x_m) if abs(x - x_m) < SAME_M), None)
        return None if row is None or column is None else (row, column)

    def value(self, spot: Spot) -> Read:
        """What was read at a crossing."""
        return self.read[spot[0]][spot[1]]

    def walk(self, wall: Wall) -> tuple[Spot, ...]:
        """The crossings that are read, in that order: clear of openings, or with something in them."""
        bare = wall.not_plastered
        return tuple(
            spot for spot in self.spots if self.value(spot) is not None or is_clear(*self.place(spot), bare)
        )

    def with_read(self, spot: Spot, read: Read) -> TypedGrid:
        """The grid with another reading at a crossing."""
        row, column = spot
        cells = self.read[row]
        changed = (*cells[:column], read, *cells[column + 1 :])
        return replace(self, read=(*self.read[:row], changed, *self.read[row + 1 :]))

    def with_column(self, x_m: float) -> TypedGrid:
        """The grid with one more column [m]; as it is where that stands there."""
        if any(abs(x - x_m) < SAME_M for x in self.x_m):
            return self
        at = sum(x < x_m for x in self.x_m)
        rows = tuple((*row[:at], None, *row[at:]) for row in self.read)
        return TypedGrid((*self.x_m[:at], x_m, *self.x_m[at:]), self.z_m, rows)

    def with_row(self, z_m: float) -> TypedGrid:
        """The grid with one more height [m]; as it is where that stands there."""
        return self._turned().with_column(0.0 - z_m)._turned()

    def without_column(self, column: int) -> TypedGrid:
        """The grid without a column.

        Raises
        ------
        TakeoffError
            Something was read there, or no other column is left.
        """
        _check_empty([row[column] for row in self.read], f"column at x {self.x_m[column]:g} m", len(self.x_m))
        return self._bare_of(column)

    def without_row(self, row: int) -> TypedGrid:
        """The grid without a row; else as `without_column`."""
        _check_empty(self.read[row], f"height at z {self.z_m[row]:g} m", len(self.z_m))
        return self._turned()._bare_of(row)._turned()

    def moved_column(self, column: int, x_m: float) -> TypedGrid:
        """The grid with a column at another distance [m], its readings with it: the tape was read wrongly.

        Raises
        ------
        TakeoffError
            Another column stands there.
        """
        _check_free(x_m, self.x_m, column, "column at x")
        return self._moved(column, x_m)

    def moved_row(self, row: int, z_m: float) -> TypedGrid:
        """The grid with a row at another height [m]; else as `moved_column`."""
        _check_free(z_m, self.z_m, row, "height at z")
        return self._turned()._moved(row, 0.0 - z_m)._turned()

    def _turned(self) -> TypedGrid:
        """Rows as columns, so that what is done to these is done to those; turned twice it is as it was."""
        x_m, z_m = (tuple(0.0 - at for at in places) for places in (self.z_m, self.x_m))
        return TypedGrid(x_m, z_m, tuple(zip(*self.read, strict=True)))

    def _bare_of(self, column: int) -> TypedGrid:
        x_m = self.x_m[:column] + self.x_m[column + 1 :]
        return TypedGrid(x_m, self.z_m, tuple(row[:column] + row[column + 1 :] for row in self.read))

    def _moved(self, column: int, x_m: float) -> TypedGrid:
        more = self._bare_of(column).with_column(x_m)
        at = more.x_m.index(x_m)
        cells = (row[column] for row in self.read)
        rows = zip(more.read, cells, strict=True)
        return replace(more, read=tuple((*row[:at], cell, *row[at + 1 :]) for row, cell in rows))


def _check_empty(cells: Sequence[Read], what: str, count: int) -> None:
    """Refuse to lose readings, or all that is to be read."""
    read = sum(each is not None for each in cells)
    check = Check(what)
    check.that(not read, f"{read} of its places are read", "no reading is lost with its place",
               "clear them first, or move it to where it was read")  # fmt: skip
    check.that(count > 1, "it is the last one", "a wall is read somewhere", "move it, or add another first")
    check.done()


def _check_free(at_m: float, places_m: Sequence[float], own: int, what: str) -> None:
    """Refuse a place where another column or row stands."""
    check = Check(f"{what} {at_m:g} m")
    others = [place for n, place in enumerate(places_m) if n != own]
    check.that(all(abs(each - at_m) >= SAME_M for each in others), "there is one already",
               "each stands once", "take that one out first, or choose another place")  # fmt: skip
    check.done()


@dataclass(frozen=True)
class TypedList:
    """Readings at single places, as far as they are read.

    Parameters
    ----------
    places : tuple of (x, z, Read)
        In the order in which they stand [m, m, sheet's own].

    Examples
    --------
    >>> some = TypedList(((0.5, 2.0, 12.0),)).with_place(1.5, 0.4)
    >>> some.spots, some.value((1, 0)), some.at(1.5, 0.4)
    (((0, 0), (1, 0)), None, (1, 0))
    """

    places: tuple[tuple[float, float, Read], ...]

    @property
    def count(self) -> int:
        """How many numbers are read [-]."""
        return sum(isinstance(read, float) for *_, read in self.places)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Every place, as it stands in the list: a row each, in the one column."""
        return tuple((row, 0) for row in range(len(self.places)))

    def place(self, spot: Spot) -> tuple[float, float]:
        """Where a place is, x and z [m]."""
        return self.places[spot[0]][:2]

    def at(self, x_m: float, z_m: float) -> Spot | None:
        """The row of a place [m], None where there is none."""
        near = (abs(x - x_m) < SAME_M and abs(z - z_m) < SAME_M for x, z, _ in self.places)
        return next(((row, 0) for row, here in enumerate(near) if here), None)

    def value(self, spot: Spot) -> Read:
        """What was read at a place."""
        return self.places[spot[0]][2]

    def walk(self, wall: Wall) -> tuple[Spot, ...]:
        """Every place of the list."""
        return self.spots

    def with_read(self, spot: Spot, read: Read) -> TypedList:
        """The list with another reading at a place."""
        row = spot[0]
        x_m, z_m, _ = self.places[row]
        return TypedList((*self.places[:row], (x_m, z_m, read), *self.places[row + 1 :]))

    @property
    def laid_out(self) -> Typed:
        """The same in columns and rows where it holds half of their crossings, else the list itself."""
        x_m, z_m = sorted({x for x, _, _ in self.places}), sorted({z for _, z, _ in self.places})
        if min(len(x_m), len(z_m)) < 2 or len(x_m) * len(z_m) > 2 * len(self.places):
            return self
        grid = TypedGrid.empty(x_m, z_m[::-1])
        for x, z, read in self.places:
            spot = grid.at(x, z)
            assert spot is not None  # its column and row are made of the places
            grid = grid.with_read(spot, read)
        return grid

    def with_place(self, x_m: float, z_m: float) -> TypedList:
        """The list with one more place [m]; as it is where that stands there."""
        return self if self.at(x_m, z_m) is not None else TypedList((*self.places, (x_m, z_m, None)))


Typed = TypedGrid | TypedList


def first_grid(wall: Wall) -> TypedGrid:
    """Where to read a wall that nobody has begun to read: half a metre apart, clear of its openings.

    Examples
    --------
    >>> first_grid(Wall("A", 1.2, 1.2)).x_m
    (0.1, 0.6, 1.1)
    """
    try:
        grid = form_grid(wall)
    except TakeoffError:  # openings leave too little: finer
        grid = form_grid(wall, 0.2)
    return TypedGrid.empty(grid.x_m, grid.z_m)


def with_place(typed: Typed, wall: Wall, x_m: float, z_m: float) -> Typed:
    """The same with one more place to read, a column and a row of a grid [m].

    Raises
    ------
    TakeoffError
        It is not on the wall.
    """
    check_on(wall, x_m, z_m)
    return (
        typed.with_place(x_m, z_m) if isinstance(typed, TypedList) else typed.with_column(x_m).with_row(z_m)
    )


def check_on(wall: Wall, x_m: float | None = None, z_m: float | None = None) -> None:
    """Refuse a distance or a height [m] that is not on the wall."""
    check = Check(f"wall {wall.name!r}")
    for what, at_m, size_m in (("distance", x_m, wall.width_m), ("height", z_m, wall.height_m)):
        there = at_m is None or 0 <= at_m <= size_m
        remedy = "measure x from its left end, z up from the floor"
        check.that(there, f"a {what} of {at_m or 0:g} m", f"it reaches from 0 to {size_m:g} m", remedy)
    check.done()
