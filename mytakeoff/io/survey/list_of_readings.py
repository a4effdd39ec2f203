"""A list of readings: a heading row, then a row for each reading."""

from __future__ import annotations

from mytakeoff.io.files.sheet import Cell
from mytakeoff.io.survey.cells import (
    WORDS,
    BodyReadings,
    Heading,
    Reader,
    Row,
    extra_remedy,
    heading,
    was_read,
)


def is_list(head: Row) -> bool:
    """Whether distances or heights have a heading of their own."""
    return any(heading(cell.text, "xz") for cell in head)


def read_list(reader: Reader, head: Row, body: list[Row]) -> BodyReadings:
    """Readings row by row."""
    columns = list_columns(reader, head)
    reader.check.done()
    readings = BodyReadings()
    for row in body:
        for cell in (cell for cell in row[len(head) :] if cell.text):
            reader.wrong(cell, f"{cell.text!r}", "each column has its heading", extra_remedy(reader))
        found = {what: cell_under(row, heading) for what, heading in columns.items()}
        if not was_read(found["reading"]):
            continue
        x_m = reader.place_m(found["x"], "x", columns["x"].unit)
        z_m = reader.place_m(found["z"], "z", columns["z"].unit)
        proud_mm = reader.proud_mm(found["reading"], columns["reading"].what, columns["reading"].unit)
        if x_m is not None and z_m is not None and proud_mm is not None:
            readings.add(x_m, z_m, proud_mm, found["reading"])
    return readings


def cell_under(row: tuple[Cell, ...], heading: Heading) -> Cell:
    """A row's cell in a column, empty where the row is shorter."""
    column = heading.cell.column
    return row[column - 1] if len(row) >= column else Cell("", row[0].row, column, 0, 0)


def list_columns(reader: Reader, head: tuple[Cell, ...]) -> dict[str, Heading]:
    """Which column holds x, z and the reading; mistakes for those missing, unknown or there twice."""
    columns: dict[str, Heading] = {}
    for cell in head:
        match = heading(cell.text, "xzop")
        if not match or match[1] == "off_plumb_lines":
            if cell.text:
                reader.wrong(cell, f"column {cell.text!r}", "a list has x_m, z_m and off_line_mm or proud_mm",
                             "rename the column or take it out")  # fmt: skip
            continue
        key = match[1] if match[1] in "xz" else "reading"
        if key in columns:
            reader.wrong(cell, f"column {cell.text!r} beside {columns[key].cell.text!r}",
                         f"a list has one column for the {WORDS[match[1]]}, in one unit",
                         "keep one of the two")  # fmt: skip
        columns[key] = Heading(match[1], match[2], cell)
    for key, name in (("x", "x_m"), ("z", "z_m"), ("reading", "off_line_mm or proud_mm")):
        if key not in columns:
            reader.wrong(head[-1], f"no column {name}", "a list has x_m, z_m and off_line_mm or proud_mm",
                         "add it, with its unit at the end of the heading")  # fmt: skip
    return columns
