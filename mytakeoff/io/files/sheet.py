"""A CSV file as a spreadsheet shows it: cells by row and column, each with its place in the text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

from mytakeoff.errors import Check, column_letters
from mytakeoff.io.files.text import FileText, read_text

SEPARATORS = ("\t", ";", ",")
NUMBER = re.compile(r"([+\-−]?)([0-9]{1,9})?(?:([.,])([0-9]{0,400}))?")
THOUSANDS = re.compile(r"[+\-−]?[0-9]{1,3}(?:([.,'’ \u00a0\u202f])[0-9]{3})(?:\1[0-9]{3})*(?:[.,][0-9]+)?")
NUMBER_REMEDY = "write digits and a decimal mark only; leave the cell empty where nothing was read"
ROW_END = re.compile(r"\r\n|\r|\n|\Z")
SAYS_SEPARATOR = re.compile(r'"?sep=([^"\w\s.]|\t)"?[ \t;,]*(?:\r\n|\r|\n|\Z)', re.IGNORECASE)


class Cell(NamedTuple):
    """One cell: its text without quotes, row and column from 1, and where it stands in the file."""

    text: str
    row: int
    column: int
    start: int
    end: int

    @property
    def place(self) -> str:
        """As a spreadsheet names it.

        Examples
        --------
        >>> Cell("12", 7, 3, 0, 2).place
        'row 7, column C'
        """
        return f"row {self.row}, column {column_letters(self.column)}"


@dataclass(frozen=True)
class Sheet:
    """The rows of a file; rows and cells that hold nothing are still counted."""

    name: str
    file: FileText
    separator: str
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def filled(self) -> list[tuple[Cell, ...]]:
        """The rows in which something is written."""
        return [row for row in self.rows if any(cell.text for cell in row)]

    def place(self, cell: Cell) -> str:
        """File, row and column of a cell."""
        return f"{self.name}, {cell.place}"


def read_sheet(path: Path, name: str = "") -> Sheet:
    """The cells of a CSV file.

    Raises
    ------
    TakeoffError
        No such file, or it is not text.
    """
    name = name or path.name
    return split(read_text(path, name), name)


def split(file: FileText, name: str = "") -> Sheet:
    """Cells separated by tabs, semicolons or commas, whichever of these the first filled row has first.

    A first line such as ``sep=;``, which some spreadsheets write, says the separator and is no row.

    Examples
    --------
    >>> sheet = split(FileText('a;"b;c"\\n1,5;2', "utf-8"))
    >>> [[cell.text for cell in row] for row in sheet.rows]
    [['a', 'b;c'], ['1,5', '2']]
    """
    text, said = file.text, SAYS_SEPARATOR.match(file.text)
    position = said.end() if said else 0
    separator = _separator(text[position:], said[1] if said else "")
    mark = re.escape(separator)
    pattern = re.compile(rf' *"([^"]*(?:""[^"]*)*)" *(?=[{mark}\r\n]|\Z)|([^{mark}\r\n]*)')
    rows: list[tuple[Cell, ...]] = []
    cells: list[Cell] = []
    while True:
        match = pattern.match(text, position)
        assert match is not None  # the second choice matches anything, even nothing
        quoted, plain = match.groups()
        shown = plain.strip() if quoted is None else quoted.replace('""', '"').strip()
        cells.append(Cell(shown, len(rows) + 1, len(cells) + 1, *match.span()))
        position = match.end()
        if text[position : position + 1] == separator:
            position += 1
            continue
        rows.append(tuple(cells))
        cells = []
        end = ROW_END.match(text, position)
        position = end.end() if end else len(text)
        if position >= len(text):
            return Sheet(name, file, separator, tuple(rows))


def _separator(text: str, said: str = "") -> str:
    """What separates the cells of the first filled row: what a line before it said, if that is there."""
    first = next((line for line in text.splitlines() if line.strip(' ;,\t"')), text)
    bare = re.sub(r'"[^"]*"', "", first)
    return next((mark for mark in (said, *SEPARATORS) if mark and mark in bare), ",")


def decimal_mark(cells: Iterable[Cell]) -> str:
    """The decimal mark that most of the numbers among some cells are written with.

    Examples
    --------
    >>> decimal_mark([Cell("1,5", 1, 1, 0, 3), Cell("2", 1, 2, 4, 5)])
    ','
    """
    marks = [match[3] for match in (NUMBER.fullmatch(cell.text) for cell in cells) if match and match[3]]
    return "," if marks.count(",") > marks.count(".") else "."


def number_in(sheet: Sheet, cell: Cell, mark: str, check: Check, remedy: str = NUMBER_REMEDY) -> str | None:
    """The number in a cell with a decimal point, or None with the mistake noted.

    Plain numbers only: no exponent, no thousands, no unit, no formula, no "nan".
    """
    match = NUMBER.fullmatch(cell.text)
    place = sheet.place(cell)
    if match is None or not (match[2] or match[4]):
        grouped = THOUSANDS.fullmatch(cell.text) is not None
        check.that(
            False,
            repr(cell.text) if cell.text else "an empty cell",
            "numbers have no marks between thousands" if grouped else "a number stands here",
            remedy,
            place,
        )
        return None
    check.that(
        match[3] in (None, mark),
        f"{cell.text!r} in a file that otherwise writes the decimal mark as {mark!r}",
        "one file has one decimal mark and no marks between thousands",
        "write all its numbers alike",
        place,
    )
    thousands = sheet.separator == mark == match[3] and len(match[4]) == 3 and match[2] not in (None, "0")
    check.that(
        not thousands,
        f"{cell.text!r}: thousands or a decimal comma",
        "in a file separated by commas that cannot be told",
        "write the number without a mark between thousands, or with a decimal point",
        place,
    )
    sign = "-" if match[1] in ("-", "−") else ""
    return f"{sign}{match[2] or '0'}.{match[4] or '0'}" if match[3] else f"{sign}{match[2]}"


def columns_in(sheet: Sheet, known: Sequence[str], needed: Sequence[str], check: Check) -> dict[str, int]:
    """The column of each heading, with mistakes for those missing, unknown or there twice."""
    found: dict[str, int] = {}
    for cell in sheet.filled[0] if sheet.filled else ():
        name = cell.text.lower()
        near = get_close_matches(name, known, 1)
        check.that(
            not name or (name in known and name not in found),
            f"column {cell.text!r}{' again' if name in found else ''}",
            f"the columns are {', '.join(known)}, each once",
            f"write {near[0]!r}" if near and name not in found else "take the column out",
            sheet.place(cell),
        )
        found.setdefault(name, cell.column)
    for name in (name for name in needed if name not in found):
        rule = f"{', '.join(needed)} have to be there"
        check.that(False, f"no column {name!r}", rule, "add it", f"{sheet.name}, row 1")
    return found


def cell_in(row: tuple[Cell, ...], column: int) -> Cell:
    """A row's cell in a column, empty and at the row's end where the row is shorter."""
    return row[column - 1] if len(row) >= column else Cell("", row[0].row, column, row[-1].end, row[-1].end)
