"""A field grid: distances along the first row, heights down the first column, readings at the crossings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from mytakeoff.io.files.sheet import Cell
from mytakeoff.io.survey.cells import (
    HEADING,
    BodyReadings,
    Reader,
    Row,
    extra_remedy,
    first_heading,
    heading,
    was_read,
)


@dataclass(frozen=True)
class Grid:
    """What stands in a grid: distances by column, heights by row, and readings with row and column."""

    across: dict[int, float]
    up_m: list[float]
    read: list[tuple[int, int, float, Cell]]


def is_grid(head: Row) -> bool:
    """Whether the first cell says what was read."""
    return first_heading(head) is not None


def read_grid(reader: Reader, head: Row, body: list[Row]) -> BodyReadings:
    """Readings at the crossings of the distances and heights."""
    grid = read_crossings(reader, head, body)
    readings = BodyReadings()
    for row, column, proud_mm, cell in grid.read:
        if column in grid.across and not math.isnan(grid.up_m[row]):
            readings.add(grid.across[column], grid.up_m[row], proud_mm, cell)
    return readings


def read_crossings(reader: Reader, head: Row, body: list[Row]) -> Grid:
    """The cells of a grid as numbers; where a height is wrong it is NaN, a wrong distance is left out."""
    words = head[0].text.lower().split()
    unit = _grid_units(reader, words, head[0])
    match = HEADING.fullmatch(words[0])
    assert match is not None  # it told the kinds of file apart
    distances = [cell for cell in head[1:] if cell.text]
    across = {cell.column: reader.place_m(cell, "x", unit["x"]) for cell in distances}
    up = [reader.place_m(row[0], "z", unit["z"]) for row in body]
    _check_order(reader, "distances", distances, list(across.values()))
    _check_order(reader, "heights", [row[0] for row in body], up)
    read = []
    for nth, row in enumerate(body):
        for cell in (cell for cell in row[1:] if was_read(cell)):
            proud_mm = reader.proud_mm(cell, match[1], match[2])
            if cell.column not in across:
                reader.wrong(cell, f"{cell.text!r} below no distance",
                             "each column of readings has its distance in the first row",
                             extra_remedy(reader))  # fmt: skip
            elif proud_mm is not None:
                read.append((nth, cell.column, proud_mm, cell))
    known = {column: x_m for column, x_m in across.items() if x_m is not None}
    return Grid(known, [math.nan if z_m is None else z_m for z_m in up], read)


def _grid_units(reader: Reader, words: list[str], corner: Cell) -> dict[str, str]:
    """Units of distances and heights, from the words after the first in the first cell."""
    unit = {"x": "m", "z": "m"}
    for word in words[1:]:
        match = heading(word, "xz")
        if match:
            unit[match[1]] = match[2]
        else:
            reader.wrong(
                corner,
                f"{word!r} in the first cell",
                "after the reading only the units of distances and heights stand there",
                "write it like this: off_line_mm x_cm z_cm",
            )
    return unit


def _check_order(reader: Reader, word: str, cells: Sequence[Cell], values: Sequence[float | None]) -> None:
    """Note where distances or heights turn back or stand twice."""
    known = [(cell, value) for cell, value in zip(cells, values, strict=True) if value is not None]
    if len(known) < 2:
        return
    rising = known[-1][1] > known[0][1]
    for (_, before), (cell, value) in pairwise(known):
        if value == before or (value > before) != rising:
            reader.wrong(
                cell,
                f"{value:g} m after {before:g} m",
                f"the {word} of a grid run one way and each stands once",
                "put it right, or write the readings as a list",
            )
