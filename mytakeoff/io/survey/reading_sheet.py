"""A survey sheet that is typed into: what is read so far, and the same sheet with more of it.

What was written by hand stays as it was written: unit and sense of the readings, their order, separators,
remarks in cells beyond, and each cell whose number has not changed, to the letter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.sheet import Cell, Sheet, decimal_mark, split
from mytakeoff.io.files.text import FileText
from mytakeoff.io.survey.cells import MOST_MM, NOT_READ, Reader, Row, first_heading
from mytakeoff.io.survey.found_rows import readings_part
from mytakeoff.io.survey.grid import is_grid, read_crossings
from mytakeoff.io.survey.list_of_readings import cell_under, is_list, list_columns
from mytakeoff.io.survey.plumb_lines import LEVEL, is_lines
from mytakeoff.io.survey.survey_file import with_headings
from mytakeoff.survey.reading_grid import NOT_READABLE, SAME_M, Read, Typed, TypedGrid, TypedList
from mytakeoff.survey.wall import Wall
from mytakeoff.units import to_metres, to_millimetres

Sense = Literal["off_line", "off_plumb_lines", "proud"]
MM_PLACES, M_PLACES = 3, 4


@dataclass(frozen=True)
class ReadingSheet:
    """A sheet of one wall that readings are typed into.

    Parameters
    ----------
    sheet : Sheet
        As it is written.
    typed : TypedGrid or TypedList
        What is read, in the sheet's unit and sense.
    sense : "off_line", "off_plumb_lines" or "proud"
    unit : str
        Of the readings.
    place_units : (str, str)
        Of distances and heights.
    mark : str
        Decimal mark of its numbers.
    """

    sheet: Sheet
    typed: Typed
    sense: Sense
    unit: str
    place_units: tuple[str, str] = ("m", "m")
    mark: str = "."
    columns: tuple[int, ...] = ()  # of a list: those of x, z and reading
    x_at: tuple[tuple[int, float], ...] = ()  # of a grid: its columns' and rows' places in the file
    z_at: tuple[tuple[int, float], ...] = ()

    @property
    def towards(self) -> bool:
        """Whether a larger number stands further towards the room."""
        return self.sense == "proud"

    @property
    def most(self) -> float:
        """How far a wall may be from its line, in the sheet's unit [-]."""
        return MOST_MM / to_millimetres(1.0, self.unit)

    def holds(self, reading: float) -> bool:
        """Whether a wall can be so far from its line, in the sheet's unit [-]."""
        return abs(reading) <= self.most

    def as_read(self, proud_mm: float) -> float:
        """A reading towards the room [mm] in the sheet's unit and sense."""
        return _own(proud_mm, self.unit, self.towards)

    def text_with(self, typed: Typed) -> str:
        """The whole sheet with other readings or places in it; what has not changed stays to the letter."""
        if isinstance(typed, TypedGrid) and isinstance(self.typed, TypedGrid):
            return _grid_text(self, self.typed, typed)
        assert isinstance(typed, TypedList)
        assert isinstance(self.typed, TypedList)
        return _list_text(self, self.typed, typed)


def new_sheet(grid: TypedGrid, unit: str = "mm") -> ReadingSheet:
    """A sheet for a wall that has none: a field grid off one line, its heights from the top.

    Examples
    --------
    >>> grid = TypedGrid.empty((0.1, 1.2), (2.4, 0.1)).with_read((0, 1), 12.5).with_read((1, 0), "-")
    >>> print(new_sheet(grid).sheet.file.text)
    off_line_mm,0.1,1.2
    2.4,,12.5
    0.1,-,
    <BLANKLINE>
    """
    bare = ReadingSheet(split(FileText("", "utf-8")), grid, "off_line", unit)
    rows = [[f"off_line_{unit}", *(_place(bare, 0, x) for x in grid.x_m)]]
    rows += [
        [_place(bare, 1, z), *(_number(bare, each) for each in row)]
        for z, row in zip(grid.z_m, grid.read, strict=True)
    ]
    text = "".join(f"{','.join(row)}\n" for row in rows)
    return replace(
        bare,
        sheet=split(FileText(text, "utf-8")),
        x_at=tuple(enumerate(grid.x_m, start=1)),
        z_at=tuple(enumerate(grid.z_m, start=1)),
    )


def reading_sheet(sheet: Sheet, wall: Wall, headings: str | None = None) -> ReadingSheet:
    """What a sheet holds to be typed into.

    Parameters
    ----------
    sheet : Sheet
        A field grid, plumb lines or a list.
    wall : Wall
    headings : str or None
        What its first cell might have said, where it says something else.

    Raises
    ------
    TakeoffError
        What is wrong with it.
    """
    sheet = readings_part(sheet)
    reader = Reader(sheet, wall, decimal_mark(cell for row in sheet.rows for cell in row), Check(sheet.name))
    rows = sheet.filled
    head = with_headings(rows[0], headings) if rows else ()
    if rows and is_list(head):
        return _list_of(reader, head, rows[1:])
    if not rows or not (is_grid(head) or is_lines(head)):
        raise TakeoffError(Mistake("neither a grid nor a list of readings", "readings are typed into one",
                                   "choose in the survey workbook what it is", sheet.name))  # fmt: skip
    return _grid_of(reader, head, rows[1:])


# -- a grid and plumb lines -----------------------------------------------------------------------


def _grid_of(reader: Reader, head: Row, body: list[Row]) -> ReadingSheet:
    match = first_heading(head)
    assert match is not None  # it told that this is a grid
    plain = [row for row in body if not LEVEL.fullmatch(row[0].text)]
    found = read_crossings(reader, head, plain)
    reader.check.done()
    towards, unit = match[1] == "proud", match[2]
    columns = sorted(found.across, key=lambda column: found.across[column])
    order = sorted(range(len(plain)), key=lambda row: -found.up_m[row])
    numbers = {(row, column): _own(mm, unit, towards) for row, column, mm, _ in found.read}
    read = tuple(
        tuple(numbers.get((row, column), _blank(_cell(plain[row], column))) for column in columns)
        for row in order
    )
    grid = TypedGrid(
        tuple(round(found.across[column], M_PLACES) for column in columns),
        tuple(round(found.up_m[row], M_PLACES) for row in order),
        read,
    )
    words = [word.rpartition("_") for word in head[0].text.lower().split()[1:]]
    said = {what: unit for what, _, unit in words}
    return ReadingSheet(
        reader.sheet, grid, match[1], unit,  # type: ignore[arg-type]
        (said.get("x", "m"), said.get("z", "m")), reader.mark,
        x_at=tuple((column - 1, round(x_m, M_PLACES)) for column, x_m in found.across.items()),
        z_at=tuple(
            (row[0].row - 1, round(z_m, M_PLACES)) for row, z_m in zip(plain, found.up_m, strict=True)
        ),
    )  # fmt: skip


def _grid_text(own: ReadingSheet, before: TypedGrid, after: TypedGrid) -> str:
    """A grid as it shall be written."""
    lines = _Lines(own.sheet)
    head = next(n for n, row in enumerate(own.sheet.rows) if any(cell.text for cell in row))
    x_at, z_at = dict(own.x_at), dict(own.z_at)
    _drop_lost(lines, x_at, z_at, after)
    _insert_columns(own, lines, head, x_at, after)
    _insert_rows(own, lines, z_at, after)
    was = {before.place(spot): before.value(spot) for spot in before.spots}
    for spot in after.spots:
        (x_m, z_m), now = after.place(spot), after.value(spot)
        if now != was.get((x_m, z_m)):
            row = next(n for n, z in z_at.items() if _same(z, z_m))
            column = next(n for n, x in x_at.items() if _same(x, x_m))
            lines.put(row, column, _number(own, now))
    return lines.text()


def _drop_lost(lines: _Lines, x_at: dict[int, float], z_at: dict[int, float], after: TypedGrid) -> None:
    """Take out the columns and rows that are no more, and count the others anew."""
    for places, kept_m, drop in ((x_at, after.x_m, lines.drop_column), (z_at, after.z_m, lines.drop_row)):
        for n in sorted(places, reverse=True):
            if not any(_same(places[n], at) for at in kept_m):
                drop(n)
                left = {k - (k > n): at for k, at in places.items() if k != n}
                places.clear()
                places.update(left)


def _insert_columns(
    own: ReadingSheet, lines: _Lines, head: int, x_at: dict[int, float], after: TypedGrid
) -> None:
    for x_m in after.x_m:
        if not any(_same(x, x_m) for x in x_at.values()):
            at = _where(x_at, x_m, rising=_rises(x_at, default=True), first=1)
            lines.insert_column(at)
            lines.put(head, at, _place(own, 0, x_m))
            _make_room(x_at, at, x_m)


def _insert_rows(own: ReadingSheet, lines: _Lines, z_at: dict[int, float], after: TypedGrid) -> None:
    for z_m in after.z_m:
        if not any(_same(z, z_m) for z in z_at.values()):
            at = _where(z_at, z_m, rising=_rises(z_at, default=False), first=len(lines.cells))
            lines.insert_row(at)
            lines.put(at, 0, _place(own, 1, z_m))
            _make_room(z_at, at, z_m)


def _where(places: dict[int, float], at_m: float, *, rising: bool, first: int) -> int:
    """Before which of them a new one stands."""
    if not places:
        return first
    beyond = [n for n, at in places.items() if (at > at_m) == rising]
    return min(beyond) if beyond else max(places) + 1


def _rises(places: dict[int, float], *, default: bool) -> bool:
    return places[max(places)] > places[min(places)] if len(places) > 1 else default


def _make_room(places: dict[int, float], at: int, value: float) -> None:
    later = {n + (n >= at): each for n, each in places.items()}
    places.clear()
    places.update({**later, at: value})


# -- a list ---------------------------------------------------------------------------------------


def _list_of(reader: Reader, head: Row, body: list[Row]) -> ReadingSheet:
    columns = list_columns(reader, head)
    reader.check.done()
    reading, places = columns["reading"], []
    for row in body:
        at = {axis: cell_under(row, columns[axis]) for axis in "xz"}
        if not (at["x"].text and at["z"].text):
            continue
        x_m, z_m = (reader.place_m(at[axis], axis, columns[axis].unit) for axis in "xz")
        cell = cell_under(row, reading)
        read = _blank(cell)
        if cell.text not in NOT_READ:
            mm = reader.proud_mm(cell, reading.what, reading.unit)
            read = None if mm is None else _own(mm, reading.unit, reading.what == "proud")
        places.append((round(x_m or 0.0, M_PLACES), round(z_m or 0.0, M_PLACES), read))
    reader.check.done()
    return ReadingSheet(
        reader.sheet, TypedList(tuple(places)), reading.what, reading.unit,  # type: ignore[arg-type]
        (columns["x"].unit, columns["z"].unit), reader.mark,
        tuple(columns[what].cell.column - 1 for what in ("x", "z", "reading")),
    )  # fmt: skip


def _list_text(own: ReadingSheet, before: TypedList, after: TypedList) -> str:
    """A list as it shall be written: new places at the end."""
    lines, (x, z, reading) = _Lines(own.sheet), own.columns
    filled = [n for n, row in enumerate(own.sheet.rows) if any(cell.text for cell in row)][1:]
    rows = [
        n for n in filled if _cell(own.sheet.rows[n], x + 1).text and _cell(own.sheet.rows[n], z + 1).text
    ]
    for n, (x_m, z_m, read) in enumerate(after.places):
        if n >= len(before.places):
            at = len(lines.cells)
            lines.insert_row(at)
            lines.put(at, x, _place(own, 0, x_m))
            lines.put(at, z, _place(own, 1, z_m))
            rows.append(at)
        if n >= len(before.places) or read != before.places[n][2]:
            lines.put(rows[n], reading, _number(own, read))
    return lines.text()


# -- cells ----------------------------------------------------------------------------------------


class _Lines:
    """The cells of a file as they are written, quotes and blanks among them."""

    def __init__(self, sheet: Sheet) -> None:
        text = sheet.file.text
        self.separator = sheet.separator
        rows = [row for row in sheet.rows if not (row is sheet.rows[-1] and _is_end(row))]
        self.cells = [[text[cell.start : cell.end] for cell in row] for row in rows]
        self.begin = text[: rows[0][0].start] if rows else ""
        self.end = text[rows[0][-1].end : rows[1][0].start] if len(rows) > 1 else "\n"
        self.last = text[rows[-1][-1].end :] if rows else ""

    def put(self, row: int, column: int, text: str) -> None:
        """Write a cell; a line that is too short becomes longer."""
        line = self.cells[row]
        line += [""] * (column + 1 - len(line))
        line[column] = text

    def insert_column(self, at: int) -> None:
        """Make room for a column in every line that reaches so far."""
        for line in self.cells:
            if len(line) >= at:
                line.insert(at, "")

    def insert_row(self, at: int) -> None:
        """Make room for a row."""
        self.cells.insert(at, [""] * max(map(len, self.cells), default=0))

    def drop_column(self, at: int) -> None:
        """Take a column out of every line that reaches so far."""
        for line in self.cells:
            del line[at : at + 1]

    def drop_row(self, at: int) -> None:
        """Take a row out."""
        del self.cells[at]

    def text(self) -> str:
        """The whole file."""
        return self.begin + self.end.join(map(self.separator.join, self.cells)) + self.last


def _is_end(row: Row) -> bool:
    """Whether a last row is only what follows the last line end."""
    return len(row) == 1 and row[0].start == row[0].end


def _cell(row: Row, column: int) -> Cell:
    return row[column - 1] if len(row) >= column else Cell("", row[0].row, column, 0, 0)


def _blank(cell: Cell) -> Read:
    """What a cell without a number says: nothing yet, or that nothing can be read."""
    return NOT_READABLE if cell.text else None


def _own(proud_mm: float, unit: str, towards: bool) -> float:
    """A reading as its sheet has it."""
    size = proud_mm if towards else 0.0 - proud_mm
    return round(size / to_millimetres(1.0, unit), 6) + 0.0


def _same(one_m: float, other_m: float) -> bool:
    return abs(one_m - other_m) < SAME_M


def _place(own: ReadingSheet, axis: int, at_m: float) -> str:
    return _written(at_m / to_metres(1.0, own.place_units[axis]), M_PLACES, own)


def _number(own: ReadingSheet, read: Read) -> str:
    if isinstance(read, str):
        return read
    return "" if read is None else _written(read, MM_PLACES + 1, own)


def _written(value: float, places: int, own: ReadingSheet) -> str:
    """A number as a hand writes it, with the sheet's decimal mark."""
    text = format(Decimal(repr(round(value, places) + 0.0)), "f").removesuffix(".0")
    if own.mark == "," == own.sheet.separator and "." in text:
        return f'"{text.replace(".", ",")}"'
    return text.replace(".", own.mark)
