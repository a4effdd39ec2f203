"""A field grid: distances along the first row, heights down the first column, readings at the crossings."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from mytakeoff.io.sheet import Cell
from mytakeoff.io.surveyreader import HEADING, Reader, Readings, extra_remedy, heading


def read_grid(
    reader: Reader, words: list[str], head: tuple[Cell, ...], body: list[tuple[Cell, ...]]
) -> Readings:
    """Readings at the crossings of the distances and heights."""
    unit = _grid_units(reader, words, head[0])
    match = HEADING.fullmatch(words[0])
    assert match is not None  # it told the two kinds apart
    distances = [cell for cell in head[1:] if cell.text]
    across = {cell.column: reader.place_m(cell, "x", unit["x"]) for cell in distances}
    up = [reader.place_m(row[0], "z", unit["z"]) for row in body]
    _check_order(reader, "distances", distances, list(across.values()))
    _check_order(reader, "heights", [row[0] for row in body], up)
    readings = Readings()
    for row, z_m in zip(body, up, strict=True):
        for cell in (cell for cell in row[1:] if cell.text):
            x_m, proud_mm = across.get(cell.column), reader.proud_mm(cell, match[1], match[2])
            if cell.column not in across:
                reader.wrong(cell, f"{cell.text!r} below no distance",
                             "each column of readings has its distance in the first row",
                             extra_remedy(reader))  # fmt: skip
            elif x_m is not None and z_m is not None and proud_mm is not None:
                readings.add(x_m, z_m, proud_mm, cell)
    return readings


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
