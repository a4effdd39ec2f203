"""A look at a spreadsheet file before it is read: that it is no bomb, and what in it no reading can be.

The file's XML is run through once, in pieces, and nothing of it is kept: sizes, far corners, merged cells and
formulas without a value are looked for. What is refused here never reaches
the library that reads the cells, which would spread a sheet with one cell in its last corner over all memory.
"""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import IO
from xml.parsers import expat

from mytakeoff.errors import Mistake, TakeoffError, column_letters

MOST_BYTES = 32 * 2**20  # of all parts together, unpacked: some 300 000 cells
MOST_CELLS = 300_000
MOST_PARTS = 2000
PIECE = 2**16
MOST_NAMED = 5


@dataclass
class Found:
    """What one sheet holds: how far it reaches, merged cells, formulas without a value."""

    rows: int = 0
    columns: int = 0
    merged: list[str] = field(default_factory=list)
    unsolved: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def reach(self, row: int, column: int) -> None:
        """Note a cell that holds something, counted from 1."""
        self.rows, self.columns = max(self.rows, row), max(self.columns, column)
        if self.rows * self.columns > MOST_CELLS:
            raise _TooMuchError


class _TooMuchError(Exception):
    """More than anybody reads off a wall by hand."""


def look_at(file: zipfile.ZipFile, part: str, walker: Callable[[Found], Walker], name: str) -> Found:
    """Run through a spreadsheet file.

    Parameters
    ----------
    file : ZipFile
    part : str
        The part that holds the sheet.
    walker : callable
        Makes what follows the elements of that part.
    name : str
        What the file is called in messages.

    Raises
    ------
    TakeoffError
        More than can be a survey, merged cells, formulas without a value, or no spreadsheet after all.
    """
    found = Found()
    try:
        _check_size(file)
        with file.open(part) as stream:
            _walk(stream, walker(found))
    except _TooMuchError:
        raise TakeoffError(
            Mistake(
                f"more than {MOST_CELLS} cells, or {MOST_BYTES // 2**20} MB unpacked",
                "a survey by hand is a small sheet",
                "save the readings alone in a new file, or as CSV if they come from a scan",
                name,
            )
        ) from None
    _refuse(found.merged, "merged cells", "each reading has a cell of its own", "unmerge them", name)
    _refuse(found.errors, "formulas that went wrong", "each reading is a number", "put them right", name)
    _refuse(found.unsolved, "formulas without a value", "formulas are never worked out here",
            "open the file in a spreadsheet and save it again, or paste the values", name)  # fmt: skip
    return found


def _refuse(cells: list[str], what: str, rule: str, remedy: str, name: str) -> None:
    if cells:
        more = f" and {len(cells) - MOST_NAMED} more" if len(cells) > MOST_NAMED else ""
        listed = ", ".join(cells[:MOST_NAMED])
        raise TakeoffError(Mistake(f"{what}: {listed}{more}", rule, remedy, name))


def _check_size(file: zipfile.ZipFile) -> None:
    """Unpack every part and drop it: what a file says of its own sizes need not be true."""
    entries = file.infolist()
    if len(entries) > MOST_PARTS:
        raise _TooMuchError
    left = MOST_BYTES
    for entry in entries:
        for piece in pieces(file, entry):
            left -= len(piece)
            if left < 0:
                raise _TooMuchError


def pieces(file: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """A part of the file, unpacked piece by piece."""
    with file.open(entry) as stream:
        while piece := stream.read(PIECE):
            yield piece


def _walk(stream: IO[bytes], walker: Walker) -> None:
    """Run XML past a walker; a document type, which can hold entities that multiply, is refused."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = lambda tag, said: walker.start(tag.rpartition(" ")[2], _bare(said))
    parser.EndElementHandler = lambda tag: walker.end(tag.rpartition(" ")[2])
    parser.CharacterDataHandler = walker.text
    parser.StartDoctypeDeclHandler = _no_doctype
    parser.ParseFile(stream)


def _bare(said: dict[str, str]) -> dict[str, str]:
    """Attributes without their namespaces; an extension's comes after the standard's and wins."""
    return {key.rpartition(" ")[2]: said[key] for key in sorted(said, key=lambda key: "calcext" in key)}


def _no_doctype(*_: object) -> None:
    raise _TooMuchError


class Walker:
    """Follows the elements of a sheet and notes what it finds."""

    def __init__(self, found: Found) -> None:
        self.found = found
        self.row, self.column = 0, 0
        self.formula, self.value, self.holds = False, False, False

    def start(self, tag: str, said: dict[str, str]) -> None:
        """An element begins."""

    def end(self, tag: str) -> None:
        """An element ends."""

    def text(self, text: str) -> None:
        """Something is written."""
        self.value = self.value or bool(text.strip())

    @property
    def here(self) -> str:
        """The cell as a spreadsheet names it."""
        return f"{column_letters(min(self.column, 10**6))}{self.row}"


class XlsxWalker(Walker):
    """The elements of an .xlsx sheet (ISO/IEC 29500-1, 18.3): row, c, f, v, is, mergeCell."""

    def start(self, tag: str, said: dict[str, str]) -> None:
        """Count rows and cells, by what they say of their place or else one after another."""
        if tag == "row":
            self.row, self.column = _number(said.get("r"), self.row + 1), 0
        elif tag == "c":
            letters = said.get("r", "").rstrip("0123456789")
            self.column = _column(letters) if letters else self.column + 1
            self.row = _number(said.get("r", "")[len(letters) :], self.row)
            if said.get("t") == "e":
                self.found.errors.append(self.here)
            self.formula, self.value, self.holds = False, False, False
        elif tag == "f":
            self.formula = True
        elif tag in ("v", "is"):
            self.holds = True
        elif tag == "mergeCell":
            self.found.merged.append(said.get("ref", "?"))

    def end(self, tag: str) -> None:
        """At a cell's end it is known what it holds."""
        if tag == "f":
            self.value = False  # a formula's own text is no value
        elif tag == "c":
            if self.formula and not self.value:
                self.found.unsolved.append(self.here)
            if self.holds:
                self.found.reach(self.row, self.column)


class OdsWalker(Walker):
    """The elements of the first table of an .ods (OpenDocument 1.2, part 1, 9.1), repeated ones counted."""

    tables = 0
    rows_left = 0
    cells_left = 0

    def start(self, tag: str, said: dict[str, str]) -> None:
        """Count rows and cells with their repeats; only what holds something reaches anywhere."""
        self.tables += tag == "table"
        if self.tables != 1:
            return
        if tag == "table-row":
            self.row, self.column = self.row + self.rows_left + 1, 0
            self.rows_left, self.cells_left = _number(said.get("number-rows-repeated"), 1) - 1, 0
        elif tag in ("table-cell", "covered-table-cell"):
            self.column += self.cells_left + 1
            self.cells_left = _number(said.get("number-columns-repeated"), 1) - 1
            self.formula, self.value = "formula" in said, "value-type" in said
            spans = (said.get("number-columns-spanned"), said.get("number-rows-spanned"))
            if any(_number(span, 1) > 1 for span in spans):
                self.found.merged.append(self.here)
            if said.get("value-type") == "error":
                self.found.errors.append(self.here)

    def end(self, tag: str) -> None:
        """At a cell's end it is known what it holds."""
        if tag == "table-cell" and self.tables == 1:
            if self.formula and not self.value:
                self.found.unsolved.append(self.here)
            if self.value:
                self.found.reach(self.row + self.rows_left, self.column + self.cells_left)


def _number(text: str | None, otherwise: int) -> int:
    """A count as the file gives it, no greater than any sheet."""
    return (
        min(int(text), 10**9) if text and text.isascii() and text.isdigit() and len(text) < 12 else otherwise
    )


def _column(letters: str) -> int:
    """The number of a column from its letters, from 1.

    Examples
    --------
    >>> _column("C"), _column("AB")
    (3, 28)
    """
    number = 0
    for letter in letters.upper()[:6]:
        number = number * 26 + (ord(letter) - ord("A") + 1 if "A" <= letter <= "Z" else 1)
    return number


NOT_READABLE = (zipfile.BadZipFile, zlib.error, expat.ExpatError, NotImplementedError, EOFError, KeyError,
                OSError, RuntimeError, ValueError)  # fmt: skip
