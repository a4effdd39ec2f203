"""The lines that a straightedge is laid along: rows, columns and both diagonals of the cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Check
from mytakeoff.surface.surface import Surface

Cells = NDArray[np.intp]
DIRECTIONS = ("across", "up", "rising", "falling")
SHORTEST = 3  # an edge rests on two cells and bridges at least one
EVEN_SHARE = 1e-6
# lines of like length share a table, so that filling up the shorter ones costs little
LIKE_LENGTH = 0.8
CACHE_SIZE = 16  # walls whose lines are remembered, with and without their loose plaster


@dataclass(frozen=True)
class EdgeRule:
    """Under an edge of `length_m` [m] the gap is nowhere more than `tolerance_mm` [mm]."""

    length_m: float
    tolerance_mm: float


@dataclass(frozen=True, eq=False)
class EdgeLines:
    """All unbroken lines of cells in one direction.

    Parameters
    ----------
    direction : str
        across, up, rising (to the upper right) or falling.
    step_m : float
        From one cell of a line to the next [m].
    tables : tuple of (positions, lines) int
        Flat numbers of the cells, one line a column; shorter lines end in the number of cells, which is
        no cell.
    """

    direction: str
    step_m: float
    tables: tuple[Cells, ...]

    def span(self, length_m: float) -> int:
        """Steps that an edge of `length_m` [m] reaches over."""
        return int(np.floor(length_m / self.step_m + 1e-9))

    def limits(self, rules: Sequence[EdgeRule]) -> tuple[tuple[int, float], ...]:
        """Spans and tolerances [steps, mm], both falling; of edges that reach equally far the strictest.

        Examples
        --------
        >>> across = EdgeLines("across", 0.5, ())
        >>> across.limits([EdgeRule(1.0, 3.0), EdgeRule(2.0, 3.0), EdgeRule(3.0, 4.0), EdgeRule(3.4, 5.0)])
        ((6, 4.0), (4, 3.0))
        """
        kept: list[tuple[int, float]] = []
        for tolerance, reach in sorted((rule.tolerance_mm, -self.span(rule.length_m)) for rule in rules):
            if not kept or -reach > kept[-1][0]:
                kept.append((-reach, tolerance))
        return tuple(reversed(kept))


def edge_lines(surface: Surface) -> tuple[EdgeLines, ...]:
    """The unbroken lines of a wall in all four directions.

    Parameters
    ----------
    surface : Surface
        Of even cells: a line is broken where a cell is unknown or off the wall.

    Raises
    ------
    TakeoffError
        Cells of uneven width or height, on which steps along a diagonal mean nothing.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> flat = Surface.from_grid(Wall("A", 4.0, 3.0), [0.5, 1.5, 2.5, 3.5], [0.5, 1.5, 2.5], [[0.0] * 4] * 3)
    >>> [(lines.direction, round(lines.step_m, 3)) for lines in edge_lines(flat)]
    [('across', 1.0), ('up', 1.0), ('rising', 1.414), ('falling', 1.414)]
    """
    known = np.isfinite(surface.proud_mm)
    return _lines_of(known.shape, known.tobytes(), *_steps_m(surface))


@lru_cache(maxsize=CACHE_SIZE)
def _lines_of(shape: tuple[int, int], known: bytes, across_m: float, up_m: float) -> tuple[EdgeLines, ...]:
    """The lines of a wall whose cells are known or not; its heights do not matter."""
    row, column = np.nonzero(np.frombuffer(known, dtype=bool).reshape(shape))
    slant_m = float(np.hypot(across_m, up_m))
    ways = (
        (row, column, across_m),
        (column, row, up_m),
        (column - row, row, slant_m),
        (column + row, row, slant_m),
    )
    flat = row * shape[1] + column
    return tuple(
        EdgeLines(direction, step, _tables(line, position, flat, shape[0] * shape[1]))
        for direction, (line, position, step) in zip(DIRECTIONS, ways, strict=True)
    )


def _steps_m(surface: Surface) -> tuple[float, float]:
    """Width and height of the cells [m], which are even."""
    check = Check(f"wall {surface.wall.name!r}")
    steps = []
    for places, size_m in ((surface.x_m, surface.wall.width_m), (surface.z_m, surface.wall.height_m)):
        apart = np.diff(places)
        step = float(apart.mean()) if apart.size else size_m
        check.that(
            bool((np.abs(apart - step) <= EVEN_SHARE * step).all()),
            f"cells between {apart.min(initial=step):g} and {apart.max(initial=step):g} m apart",
            "a straightedge is laid over even cells",
            "make the height field on even cells first",
        )
        steps.append(step)
    check.done()
    return steps[0], steps[1]


def _tables(line: Cells, position: Cells, flat: Cells, cells: int) -> tuple[Cells, ...]:
    """Unbroken runs of at least three cells, runs of like length in one table."""
    order = np.lexsort((position, line))
    line, position, flat = line[order], position[order], flat[order]
    breaks = np.flatnonzero((np.diff(line) != 0) | (np.diff(position) != 1)) + 1
    starts = np.concatenate([[0], breaks])
    lengths = np.diff(np.concatenate([starts, [flat.size]]))
    longest_first = np.argsort(-lengths, kind="stable")
    longest_first = longest_first[lengths[longest_first] >= SHORTEST]
    tables = []
    while longest_first.size:
        length = int(lengths[longest_first[0]])
        alike = int((lengths[longest_first] >= LIKE_LENGTH * length).sum())
        tables.append(_table(starts[longest_first[:alike]], lengths[longest_first[:alike]], flat, cells))
        longest_first = longest_first[alike:]
    return tuple(tables)


def _table(starts: Cells, lengths: Cells, flat: Cells, cells: int) -> Cells:
    """One column for each run, filled up with the number that is no cell."""
    position = np.arange(int(lengths.max()))[:, None]
    there = position < lengths[None, :]
    table = np.full(there.shape, cells, dtype=np.intp)
    table[there] = flat[(starts[None, :] + position)[there]]
    table.flags.writeable = False
    return table
