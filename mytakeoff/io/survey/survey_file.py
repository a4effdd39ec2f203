"""Survey files: a field grid, plumb lines, or a list of readings, as a spreadsheet writes them.

A *field grid* has ``off_line_mm`` or ``proud_mm`` in the first cell, distances along the first row, heights
down the first column (each running one way, either way), readings in the body, and nothing where nothing
was read; a dash says so too. Distances and heights are metres unless the first cell says otherwise:
``off_line_mm x_cm z_cm``. *Plumb lines* look the same, see `mytakeoff.io.survey.plumb_lines`.

A *list* has a heading row with ``x_m``, ``z_m`` and ``off_line_mm`` or ``proud_mm``, in any order, and a row
for each reading. What a form has under its readings is none of them, see `mytakeoff.io.survey.found_rows`.
Any heading may end in ``_mm``, ``_cm``, ``_m``, ``_in`` or ``_ft`` instead; under ``_in``
and ``_ft`` stand fractions too (1 3/8, 5' 3 1/2").
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.io.files.sheet import Sheet, decimal_mark
from mytakeoff.io.files.spreadsheet import read_cells
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.io.survey.cells import (
    BodyReadings,
    Format,
    Reader,
    Row,
    check_magnitude,
    check_repeats,
    shorten,
)
from mytakeoff.io.survey.found_rows import readings_part
from mytakeoff.io.survey.grid import is_grid, read_grid
from mytakeoff.io.survey.list_of_readings import is_list, read_list
from mytakeoff.io.survey.plumb_lines import is_lines, read_lines
from mytakeoff.survey.said import SaidOf, ScanChoice
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

FORMATS: tuple[Format, ...] = (  # the first that knows a file's first row reads it; a new one is a line here
    Format("a list of readings", "a list with x_m, z_m and one of the first two", is_list, read_list),
    Format("plumb lines", "plumb lines with off_plumb_lines_mm", is_lines, read_lines, True),
    Format("a field grid", "a field grid starts with off_line_mm or proud_mm", is_grid, read_grid, True),
)


def read_survey(
    path: str | Path,
    wall: Wall,
    plumb: bool = True,
    *,
    swept: bool = False,
    high_spots: Sequence[tuple[float, float, float]] = (),
    name: str = "",
    unit: str | None = None,
    up: str | None = None,
    found: int | None = None,
    other_side: bool = False,
    bow_out: bool = False,
    headings: str | None = None,
    said: Sequence[SaidOf] = (),
    so_far: bool = False,
) -> Survey:
    """The readings of one wall from a file.

    Parameters
    ----------
    path : str or Path
        A scan, or a field grid or a list, separated by commas, semicolons or tabs, with decimal point or
        comma.
    wall : Wall
        What was measured: readings lie on it.
    plumb : bool
        Whether the plane measured off was plumb.
    swept : bool
        The whole wall was swept with a straightedge and its high spots are given.
    high_spots : sequence of (x [m], z [m], proud [mm])
        Found by sweeping, read off the same plane.
    name : str
        What the file is called in messages; its own name if empty.
    unit, up, found, other_side, bow_out
        For a scan (XYZ, PLY, LAS, LAZ, E57, PCD): its unit, told by the wall's height unless given; the axis
        that is up; which of several walls in it, 1 for the largest; whether it is seen from the other side
        than was told; whether the bow that the instrument makes on all its walls is taken out. See
        `mytakeoff.find_walls`.
    headings : str or None
        For a field grid whose first cell says something else: what it might have said, as in
        "off_line_in x_ft z_ft".
    said : sequence of SaidOf
        Readings that are left out, and what else was said of them; of a scan what stands off the wall.
    so_far : bool
        A sheet that is still being filled in: there may be too few readings in it for a plane, or none.

    Returns
    -------
    Survey
        Towards the room positive: a reading off the line is turned round.

    Raises
    ------
    TakeoffError
        Not a text file, columns missing or too many, text in a number, readings off the wall or beyond
        500 mm, fewer than three, all on a line, or two at one place that disagree: all of them together,
        each with its row and column. Too few are no mistake of a sheet that is still being filled in.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "north.csv")
    ...     _ = path.write_text("off_line_mm;0,5;1,5\\n2,0;12;8\\n0,5;20;\\n")
    ...     survey = read_survey(path, Wall("north", 2.0, 2.5))
    >>> survey.proud_mm.tolist(), survey.x_m.tolist(), survey.z_m.tolist()
    ([-12.0, -8.0, -20.0], [0.5, 1.5, 0.5], [2.0, 2.0, 0.5])
    """
    choice = ScanChoice(unit, up, found, other_side, bow_out, headings)
    if is_scan(path):
        from mytakeoff.io.scan.one_wall import scan_survey

        return scan_survey(path, wall, plumb, choice, name, said).with_high_spots(high_spots, swept)
    survey = survey_in(read_cells(Path(path), name), wall, plumb, choice, so_far)
    survey = survey.with_said(said, so_far) if said else survey
    return survey.with_high_spots(high_spots, swept)


def survey_in(sheet: Sheet, wall: Wall, plumb: bool, choice: ScanChoice, so_far: bool) -> Survey:
    """The readings in the cells of a file."""
    sheet = readings_part(sheet)
    if so_far and not sheet.filled:
        return Survey.none(wall, plumb, source=sheet.name, scan=choice)
    mark = decimal_mark(cell for row in sheet.rows for cell in row)
    reader = Reader(sheet, wall, mark, Check(sheet.name))
    kind, readings = _readings_in(reader, choice.headings)
    check_magnitude(reader, readings)
    check_repeats(reader, readings)
    reader.check.that(
        plumb or not readings.off_plumb_lines,
        "plumb lines off a plane that was not plumb",
        "lines that hang free are plumb",
        "say that it was plumb, or write off_line_mm in the first cell if it was one plane",
    )
    shorten(reader.check)
    reader.check.done()
    columns = (np.array(values) for values in (readings.x_m, readings.z_m, readings.proud_mm))
    details: dict[str, Any] = {"notes": tuple(readings.notes), "scan": choice}  # as the job's file has it
    if kind.crossings:
        details["layout"] = "grid"
    details |= {"plumb": plumb, "source": sheet.name}
    return Survey.from_readings(wall, *columns, so_far=so_far, **details)


def format_of(head: Row) -> Format | None:
    """The kind of file that begins with a row like this; None: no known one."""
    return next((each for each in FORMATS if each.recognises(head)), None)


def with_headings(head: Row, said: str | None) -> Row:
    """A file's first row, with what was said in place of a first cell that does not say it."""
    return (head[0]._replace(text=said), *head[1:]) if said and format_of(head) is None else head


def _readings_in(reader: Reader, headings: str | None) -> tuple[Format, BodyReadings]:
    """Tell what kind of file it is and read it."""
    rows = reader.sheet.filled
    if not rows:
        reader.check.that(
            False, "nothing in it", "a survey file holds readings", "save the sheet with its readings"
        )
        reader.check.done()
    head, body = with_headings(rows[0], headings), rows[1:]
    found = format_of(head)
    if found is not None:
        return found, found.read(reader, head, body)
    reader.wrong(
        head[0],
        f"{head[0].text!r} in the first cell",
        ", ".join(each.starts for each in reversed(FORMATS)),
        "write one of them, with the unit that the readings were typed in, or choose in the survey workbook "
        "what the readings are (headings in job.toml)",
    )
    raise TakeoffError(*reader.check.mistakes)


def survey_text(survey: Survey) -> str:
    """A survey as the text of a survey file: a field grid where it is one, else a list.

    Examples
    --------
    >>> survey = Survey.from_readings(Wall("A", 1.0, 1.0), [0, 1, 0], [0, 0, 1], [0, 2.5, 4])
    >>> print(survey_text(survey))
    x_m,z_m,proud_mm
    0,0,0
    1,0,2.5
    0,1,4
    <BLANKLINE>
    """
    read = zip(survey.x_m.tolist(), survey.z_m.tolist(), survey.proud_mm.tolist(), strict=True)
    written = [tuple(_plain(value) for value in reading) for reading in read]
    if survey.layout != "grid":
        return "".join(f"{','.join(row)}\n" for row in (("x_m", "z_m", "proud_mm"), *written))
    at = {(x, z): proud for x, z, proud in written}
    across = sorted({x for x, _ in at}, key=float)
    up = sorted({z for _, z in at}, key=float, reverse=True)
    rows = [["proud_mm", *across], *([z, *(at.get((x, z), "") for x in across)] for z in up)]
    return "".join(f"{','.join(row)}\n" for row in rows)


def _plain(value: float) -> str:
    """A number as a person writes it, without an exponent."""
    text = format(Decimal(repr(value)), "f")
    return text.removesuffix(".0")
