"""Plumb lines: a field grid whose columns are read off lines of their own, with level rows that tie them.

::

    off_plumb_lines_mm, 0.3, 1.2, 2.1
    2.4,                 31,  40,  28
    1.3,                 29,  42,  30
    0.2,                 33,  41,  31
    level 1.3,           52,  50,  49

The first row says where each line hangs, the first column at which height it was read. A ``level`` row holds
the readings off one level line, stretched across all plumb lines at the height beside the word. Each plumb
line is read at that height too, or above and below it. More level rows, at other heights, check the first.
"""

from __future__ import annotations

import re

import numpy as np

from mytakeoff.io.files.sheet import Cell
from mytakeoff.io.survey.cells import BodyReadings, Reader, Row, first_heading
from mytakeoff.io.survey.grid import Grid, read_crossings
from mytakeoff.survey.plumb_lines import Tied, tie_lines
from mytakeoff.survey.survey import Floats

LEVEL = re.compile(r"level\b[ :]*(.*)", re.IGNORECASE | re.DOTALL)
NAME = "off_plumb_lines"
MOST_MISS_MM = 5.0  # level lines that disagree by more hold a slip (common practice, no source)
NEAR_M = 0.01  # a level line this little beyond a plumb line's readings is read with the last of them

Columns = dict[int, list[tuple[float, float, Cell]]]


def is_lines(head: Row) -> bool:
    """Whether the first cell says that plumb lines were read."""
    match = first_heading(head)
    return match is not None and match[1] == NAME


def read_lines(reader: Reader, head: Row, body: list[Row]) -> BodyReadings:
    """Readings of all plumb lines in one plane, with a note on how well they are tied."""
    levels = [row for row in body if LEVEL.fullmatch(row[0].text)]
    plain = [row for row in body if not LEVEL.fullmatch(row[0].text)]
    grid = read_crossings(reader, head, plain)
    heights = [_after_level(row) for row in levels]
    tying = read_crossings(
        reader, head, [(cell, *row[1:]) for cell, row in zip(heights, levels, strict=True)]
    )
    if not levels:
        reader.wrong(
            head[0],
            f"{len(grid.across)} plumb lines and no level row",
            "each plumb line hangs at its own distance; only a level line read across all of them ties them",
            "add a row that starts with level and its height, level 1.3 say, and read it at each line",
        )
    reader.check.done()
    if not grid.read and not tying.read:
        return BodyReadings(off_plumb_lines=True)
    return _tied_readings(reader, head[0], grid, tying)


def _after_level(row: tuple[Cell, ...]) -> Cell:
    match = LEVEL.fullmatch(row[0].text)
    assert match is not None  # it is a level row
    return row[0]._replace(text=match[1])


def _tied_readings(reader: Reader, corner: Cell, grid: Grid, tying: Grid) -> BodyReadings:
    """Every reading moved by its line's offset."""
    columns = sorted(grid.across)
    line_x_m = np.array([grid.across[column] for column in columns])
    level_mm = np.full((len(tying.up_m), len(columns)), np.nan)
    wall_mm = np.zeros(level_mm.shape)
    by_column = _by_column(grid)
    for level, column, proud_mm, cell in tying.read:
        read, nth = by_column.get(column, []), columns.index(column)
        found = _at_height(read, tying.up_m[level])
        if found is None:
            _wrong_height(reader, cell, grid.across[column], tying.up_m[level], read)
        else:
            level_mm[level, nth], wall_mm[level, nth] = proud_mm, found
    reader.check.done()
    tied = tie_lines(line_x_m, wall_mm, level_mm)
    _check_ties(reader, corner, columns, by_column, grid, tied)
    readings = BodyReadings(notes=[_said(tied, line_x_m)], off_plumb_lines=True)
    for row, column, proud_mm, cell in grid.read:
        offset = float(tied.offset_mm[columns.index(column)])
        readings.add(grid.across[column], grid.up_m[row], proud_mm + offset, cell)
    return readings


def _by_column(grid: Grid) -> Columns:
    """Height and reading of each plumb line, from the floor up."""
    found: Columns = {column: [] for column in grid.across}
    for row, column, proud_mm, cell in grid.read:
        found[column].append((grid.up_m[row], proud_mm, cell))
    return {column: sorted(read, key=lambda one: one[0]) for column, read in found.items()}


def _at_height(read: list[tuple[float, float, Cell]], z_m: float) -> float | None:
    """A plumb line's reading at a height, between its neighbours; None beyond its readings [mm]."""
    if not read or not read[0][0] - NEAR_M <= z_m <= read[-1][0] + NEAR_M:
        return None
    return float(np.interp(z_m, [z for z, _, _ in read], [mm for _, mm, _ in read]))


def _wrong_height(
    reader: Reader, cell: Cell, x_m: float, z_m: float, read: list[tuple[float, float, Cell]]
) -> None:
    reach = f"from {read[0][0]:g} to {read[-1][0]:g} m" if read else "nowhere"
    reader.wrong(
        cell,
        f"level line at {z_m:g} m across the plumb line at x {x_m:g} m, which was read {reach}",
        "a plumb line is read at the level line's height, or above and below it",
        "read it there too",
    )


def _check_ties(
    reader: Reader, corner: Cell, columns: list[int], by_column: Columns, grid: Grid, tied: Tied
) -> None:
    """Note lines that nothing ties, and level lines that disagree."""
    for column, free in zip(columns, tied.free, strict=True):
        if free and by_column[column]:
            reader.wrong(
                by_column[column][0][2],
                f"the plumb line at x {grid.across[column]:g} m, which no level line ties to the others",
                "a line's own distance from the plane is known only from a level line read across it",
                "read a level line at it too; a second level line has to cross two lines of the first",
            )
    if not tied.free.any() and tied.worst_mm > MOST_MISS_MM:
        reader.wrong(
            corner,
            f"level lines that disagree by {tied.worst_mm:.1f} mm",
            f"straight lines over one wall agree within {MOST_MISS_MM:g} mm",
            "read them again: one was slack, or a plumb line swung",
        )


def _said(tied: Tied, line_x_m: Floats) -> str:
    """How well the lines are tied, in words."""
    if tied.spare < 1:
        return (
            f"{line_x_m.size} plumb lines hang from one level line's readings and nothing checks them: "
            "a second level line would."
        )
    nth = int(np.nanargmax(np.nanmax(np.abs(tied.miss_mm), axis=0)))
    return (
        f"{line_x_m.size} plumb lines are tied by level lines that agree within {tied.worst_mm:.1f} mm "
        f"(worst at x {line_x_m[nth]:g} m)."
    )
