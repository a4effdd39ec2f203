"""Survey files: a field grid, or a list of readings, as a spreadsheet writes them.

A *field grid* has ``off_line_mm`` or ``proud_mm`` in the first cell, distances along the first row, heights
down the first column (each running one way, either way), readings in the body, and nothing where nothing
was read. Distances and heights are metres unless the first cell says otherwise: ``off_line_mm x_cm z_cm``.

A *list* has a heading row with ``x_m``, ``z_m`` and ``off_line_mm`` or ``proud_mm``, in any order, and a row
for each reading. Any heading may end in ``_mm``, ``_cm``, ``_m``, ``_in`` or ``_ft`` instead.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.sheet import Cell, Sheet, decimal_mark, number_in, read_sheet
from mytakeoff.survey import AGREE_MM, Layout, Survey
from mytakeoff.units import METRES, to_metres, to_millimetres
from mytakeoff.wall import Wall

HEADING = re.compile(rf"(x|z|off_line|proud)_({'|'.join(METRES)})")
WORDS = {"x": "distance", "z": "height", "off_line": "reading", "proud": "reading"}
MOST_MM = 500.0  # a wall further than this from the plane it was measured off is a slip of the pen
LEAST_MM = 0.1  # nobody reads a whole wall to less than this: such readings were typed in another unit
SLACK_M = 1e-9
MOST_TOLD = 200  # mistakes told one by one; a file with more is another kind of file


@dataclass
class _Readings:
    """What the body of a file says, in the wall frame, with the cell that each reading stands in."""

    x_m: list[float] = field(default_factory=list)
    z_m: list[float] = field(default_factory=list)
    proud_mm: list[float] = field(default_factory=list)
    cells: list[Cell] = field(default_factory=list)

    def add(self, x_m: float, z_m: float, proud_mm: float, cell: Cell) -> None:
        self.x_m.append(x_m)
        self.z_m.append(z_m)
        self.proud_mm.append(proud_mm)
        self.cells.append(cell)


@dataclass(frozen=True)
class _Heading:
    """What a column holds, its unit, and where that is written."""

    what: str
    unit: str
    cell: Cell


@dataclass(frozen=True)
class _Reader:
    """One sheet being read for one wall, with the mistakes found so far."""

    sheet: Sheet
    wall: Wall
    mark: str
    check: Check

    def wrong(self, cell: Cell, found: str, rule: str, remedy: str) -> None:
        """Note a mistake at a cell."""
        self.check.that(False, found, rule, remedy, self.sheet.place(cell))

    def place_m(self, cell: Cell, what: str, unit: str) -> float | None:
        """A distance ("x") or height ("z") on the wall [m], or None with the mistake noted."""
        text = number_in(self.sheet, cell, self.mark, self.check)
        if text is None:
            return None
        value = to_metres(Fraction(text), unit)
        size = self.wall.width_m if what == "x" else self.wall.height_m
        if -SLACK_M <= value <= size + SLACK_M:
            return value
        from_where = "from its left end" if what == "x" else "up from the floor"
        self.wrong(
            cell,
            f"{WORDS[what]} {cell.text} {unit}",
            f"wall {self.wall.name!r} reaches from 0 to {size:g} m {from_where}",
            f"measure it {from_where}, and see that the heading's unit is the one it was typed in",
        )
        return None

    def proud_mm(self, cell: Cell, what: str, unit: str) -> float | None:
        """A reading towards the room [mm], or None with the mistake noted."""
        text = number_in(self.sheet, cell, self.mark, self.check)
        if text is None:
            return None
        value = float(text) if unit == "mm" else to_millimetres(Fraction(text), unit)
        if abs(value) <= MOST_MM:
            return 0.0 - value if what == "off_line" else value
        self.wrong(
            cell,
            f"reading {cell.text} {unit}",
            f"a wall lies within {MOST_MM:g} mm of the plane it was measured off",
            "was it typed in tenths of a millimetre, or in another unit than its heading says? Put it right",
        )
        return None


def read_survey(
    path: str | Path,
    wall: Wall,
    plumb: bool = True,
    *,
    swept: bool = False,
    high_spots: Sequence[tuple[float, float, float]] = (),
    name: str = "",
) -> Survey:
    """The readings of one wall from a file.

    Parameters
    ----------
    path : str or Path
        A field grid or a list, separated by commas, semicolons or tabs, with decimal point or comma.
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

    Returns
    -------
    Survey
        Towards the room positive: a reading off the line is turned round.

    Raises
    ------
    TakeoffError
        Not a text file, columns missing or too many, text in a number, readings off the wall or beyond
        500 mm, fewer than three, all on a line, or two at one place that disagree: all of them together,
        each with its row and column.

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
    sheet = read_sheet(Path(path), name)
    mark = decimal_mark(cell for row in sheet.rows for cell in row)
    reader = _Reader(sheet, wall, mark, Check(sheet.name))
    layout, readings = _readings_in(reader)
    _check_magnitude(reader, readings)
    _check_repeats(reader, readings)
    _shorten(reader.check)
    reader.check.done()
    columns = (np.array(values) for values in (readings.x_m, readings.z_m, readings.proud_mm))
    details = {"layout": layout} if layout == "grid" else {}
    survey = Survey.from_readings(wall, *columns, plumb=plumb, source=sheet.name, **details)
    return survey.with_high_spots(high_spots, swept)


def _readings_in(reader: _Reader) -> tuple[Layout, _Readings]:
    """Tell the two kinds of file apart and read the one it is."""
    rows = reader.sheet.filled
    if not rows:
        reader.check.that(
            False, "nothing in it", "a survey file holds readings", "save the sheet with its readings"
        )
        reader.check.done()
    head, body = rows[0], rows[1:]
    if any(_heading(cell.text, "xz") for cell in head):
        return "list", _read_list(reader, head, body)
    words = head[0].text.lower().split()
    if words and _heading(words[0], "op"):
        return "grid", _read_grid(reader, words, head, body)
    reader.wrong(
        head[0],
        f"{head[0].text!r} in the first cell",
        "a field grid starts with off_line_mm or proud_mm, a list with x_m, z_m and one of these",
        "write one of them, with the unit that the readings were typed in",
    )
    raise TakeoffError(*reader.check.mistakes)


def _heading(text: str, initials: str) -> re.Match[str] | None:
    match = HEADING.fullmatch(text.strip().lower())
    return match if match and match[1][0] in initials else None


def _read_grid(
    reader: _Reader, words: list[str], head: tuple[Cell, ...], body: list[tuple[Cell, ...]]
) -> _Readings:
    """Readings at the crossings of the distances and heights."""
    unit = _grid_units(reader, words, head[0])
    match = HEADING.fullmatch(words[0])
    assert match is not None  # it told the two kinds apart
    distances = [cell for cell in head[1:] if cell.text]
    across = {cell.column: reader.place_m(cell, "x", unit["x"]) for cell in distances}
    up = [reader.place_m(row[0], "z", unit["z"]) for row in body]
    _check_order(reader, "distances", distances, list(across.values()))
    _check_order(reader, "heights", [row[0] for row in body], up)
    readings = _Readings()
    for row, z_m in zip(body, up, strict=True):
        for cell in (cell for cell in row[1:] if cell.text):
            x_m, proud_mm = across.get(cell.column), reader.proud_mm(cell, match[1], match[2])
            if cell.column not in across:
                reader.wrong(cell, f"{cell.text!r} below no distance",
                             "each column of readings has its distance in the first row",
                             _extra_remedy(reader))  # fmt: skip
            elif x_m is not None and z_m is not None and proud_mm is not None:
                readings.add(x_m, z_m, proud_mm, cell)
    return readings


def _grid_units(reader: _Reader, words: list[str], corner: Cell) -> dict[str, str]:
    """Units of distances and heights, from the words after the first in the first cell."""
    unit = {"x": "m", "z": "m"}
    for word in words[1:]:
        match = _heading(word, "xz")
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


def _check_order(reader: _Reader, word: str, cells: Sequence[Cell], values: Sequence[float | None]) -> None:
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


def _read_list(reader: _Reader, head: tuple[Cell, ...], body: list[tuple[Cell, ...]]) -> _Readings:
    """Readings row by row."""
    columns = _list_columns(reader, head)
    reader.check.done()
    readings = _Readings()
    for row in body:
        for cell in (cell for cell in row[len(head) :] if cell.text):
            reader.wrong(cell, f"{cell.text!r}", "each column has its heading", _extra_remedy(reader))
        found = {what: _cell_under(row, heading) for what, heading in columns.items()}
        if not found["reading"].text:
            continue
        x_m = reader.place_m(found["x"], "x", columns["x"].unit)
        z_m = reader.place_m(found["z"], "z", columns["z"].unit)
        proud_mm = reader.proud_mm(found["reading"], columns["reading"].what, columns["reading"].unit)
        if x_m is not None and z_m is not None and proud_mm is not None:
            readings.add(x_m, z_m, proud_mm, found["reading"])
    return readings


def _cell_under(row: tuple[Cell, ...], heading: _Heading) -> Cell:
    """A row's cell in a column, empty where the row is shorter."""
    column = heading.cell.column
    return row[column - 1] if len(row) >= column else Cell("", row[0].row, column, 0, 0)


def _list_columns(reader: _Reader, head: tuple[Cell, ...]) -> dict[str, _Heading]:
    """Which column holds x, z and the reading; mistakes for those missing, unknown or there twice."""
    columns: dict[str, _Heading] = {}
    for cell in head:
        match = _heading(cell.text, "xzop")
        if not match:
            if cell.text:
                reader.wrong(cell, f"column {cell.text!r}", "a list has x_m, z_m and off_line_mm or proud_mm",
                             "rename the column or take it out")  # fmt: skip
            continue
        key = match[1] if match[1] in "xz" else "reading"
        if key in columns:
            reader.wrong(cell, f"column {cell.text!r} beside {columns[key].cell.text!r}",
                         f"a list has one column for the {WORDS[match[1]]}, in one unit",
                         "keep one of the two")  # fmt: skip
        columns[key] = _Heading(match[1], match[2], cell)
    for key, name in (("x", "x_m"), ("z", "z_m"), ("reading", "off_line_mm or proud_mm")):
        if key not in columns:
            reader.wrong(head[-1], f"no column {name}", "a list has x_m, z_m and off_line_mm or proud_mm",
                         "add it, with its unit at the end of the heading")  # fmt: skip
    return columns


def _extra_remedy(reader: _Reader) -> str:
    remedy = "take the cell out or give its column a heading"
    if reader.sheet.separator == ",":
        remedy += "; if commas are decimal marks, separate the cells with semicolons"
    return remedy


def _check_magnitude(reader: _Reader, readings: _Readings) -> None:
    """Note a survey whose every reading is a tiny fraction of a millimetre: it was typed in metres."""
    largest = max((abs(value) for value in readings.proud_mm), default=0.0)
    reader.check.that(
        not 0 < largest < LEAST_MM,
        f"the largest of {len(readings.cells)} readings is {largest:g} mm",
        f"readings by hand are in whole millimetres or so, not all below {LEAST_MM:g} mm",
        "if they were typed in metres, write off_line_m or proud_m in the heading",
    )


def _check_repeats(reader: _Reader, readings: _Readings) -> None:
    """Note readings at one place that disagree, with both of their rows."""
    at_place: dict[tuple[float, float], list[int]] = defaultdict(list)
    for index, (x_m, z_m) in enumerate(zip(readings.x_m, readings.z_m, strict=True)):
        at_place[round(x_m, 6), round(z_m, 6)].append(index)
    for (x_m, z_m), indices in at_place.items():
        values = [readings.proud_mm[index] for index in indices]
        if max(values) - min(values) > AGREE_MM:
            cells = [readings.cells[index] for index in indices]
            reader.check.mistakes.append(
                Mistake(
                    " and ".join(cell.text for cell in cells) + f" at x {x_m:g} m, z {z_m:g} m",
                    f"readings at one place agree within {AGREE_MM} mm",
                    "measure there again and keep one",
                    f"{reader.sheet.name}, rows {', '.join(str(cell.row) for cell in cells)}",
                )
            )


def _shorten(check: Check) -> None:
    """Keep the first mistakes and count the rest."""
    more = len(check.mistakes) - MOST_TOLD
    if more > 0:
        del check.mistakes[MOST_TOLD:]
        check.that(False, f"{more} more mistakes", "each reading keeps to its heading",
                   "put the first ones right, or see that this is a survey file")  # fmt: skip


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
