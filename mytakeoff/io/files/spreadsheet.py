"""The cells of a file, whether it is a CSV or a spreadsheet's own: the first sheet of an .xlsx or .ods."""

from __future__ import annotations

import posixpath
import zipfile
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.sheet import Cell, Sheet, read_sheet, split
from mytakeoff.io.files.spreadsheet_guard import (
    MOST_BYTES,
    NOT_READABLE,
    OdsWalker,
    Walker,
    XlsxWalker,
    look_at,
)
from mytakeoff.io.files.text import FileText, decode

ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
SHEETS = (".xlsx", ".xlsm", ".ods", ".xls")
WORKBOOK_LINKS = "xl/_rels/workbook.xml.rels"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
NO_TEXT = FileText("", "utf-8")


def read_cells(path: Path, name: str = "") -> Sheet:
    """The cells of a CSV file, or of the first sheet of an .xlsx or .ods, told apart by what is in them.

    Parameters
    ----------
    path : Path
    name : str
        What the file is called in messages; its own name if empty.

    Returns
    -------
    Sheet
        Of a spreadsheet: the values that it shows, numbers with a decimal point. Nothing in it is worked out.

    Raises
    ------
    TakeoffError
        No such file; neither text nor a spreadsheet; locked with a password; larger than a survey by hand;
        merged cells; formulas that no spreadsheet has worked out yet.
    """
    name = name or path.name
    try:
        with path.open("rb") as file:
            start = file.read(4)
            if start not in (ZIP, OLE):
                return read_sheet(path, name)
            content = start + file.read(MOST_BYTES)
    except (OSError, ValueError):
        return read_sheet(path, name)  # which says what is wrong
    if start == OLE:
        raise _not_opened("an old .xls, or a file locked with a password", name)
    if len(content) > MOST_BYTES:
        raise _not_opened(f"a spreadsheet of more than {MOST_BYTES // 2**20} MB", name)
    try:
        return _spreadsheet(content, name)
    except NOT_READABLE as error:
        if isinstance(error, TakeoffError):
            raise
        if path.suffix.lower() not in SHEETS:
            split(decode(content, name))  # a zip of another kind is no text
        raise _not_opened("a spreadsheet that is damaged or cut off", name) from None


def _not_opened(found: str, name: str) -> TakeoffError:
    remedy = "save it again as .xlsx, .ods or CSV, without a password, and name that file"
    return TakeoffError(Mistake(found, "a survey is a small, open sheet", remedy, name))


def _spreadsheet(content: bytes, name: str) -> Sheet:
    with zipfile.ZipFile(BytesIO(content)) as file:
        if any(entry.flag_bits & 1 for entry in file.infolist()) or _is_locked(file):
            raise _not_opened("a file locked with a password", name)
        part, walker = _first_part(file, name)
        look_at(file, part, walker, name)
    rows = _values(content, name)
    cells = [
        tuple(Cell(_as_text(value), row, column, 0, 0) for column, value in enumerate(values, start=1))
        for row, values in enumerate(rows, start=1)
    ]
    return Sheet(name, NO_TEXT, "\t", tuple(cells))


def _is_locked(file: zipfile.ZipFile) -> bool:
    """Whether an .ods says that its parts are encrypted."""
    manifest = "META-INF/manifest.xml"
    return manifest in file.namelist() and b"encryption-data" in _part(file, manifest)


def _part(file: zipfile.ZipFile, name: str, most: int = 2**20) -> bytes:
    """A small part of the file."""
    with file.open(name) as stream:
        content = stream.read(most + 1)
    if len(content) > most:
        raise ValueError(f"{name} is too large")
    return content


def _first_part(file: zipfile.ZipFile, name: str) -> tuple[str, type[Walker]]:
    """Where the first sheet stands, and what follows its elements."""
    if "content.xml" in file.namelist():
        return "content.xml", OdsWalker
    book = _tree(_part(file, "xl/workbook.xml"))
    sheets = [element.get(RELATION) for element in book.iter() if element.tag.endswith("}sheet")]
    links = {link.get("Id"): link.get("Target", "") for link in _tree(_part(file, WORKBOOK_LINKS))}
    target = links.get(sheets[0]) if sheets else None
    if target is None:
        raise _not_opened("a workbook file with no sheet in it", name)
    return posixpath.normpath(posixpath.join("xl", target)).lstrip("/"), XlsxWalker


def _tree(content: bytes) -> ElementTree.Element:
    """A small XML document without a document type."""
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise ValueError("a document type")
    try:
        return ElementTree.fromstring(content)
    except ElementTree.ParseError as error:
        raise ValueError(str(error)) from None


def _values(content: bytes, name: str) -> list[list[Any]]:
    """The values of the first sheet, row by row."""
    try:
        from python_calamine import load_workbook
    except ImportError:
        raise TakeoffError(
            Mistake(
                "a spreadsheet file",
                "python-calamine reads .xlsx and .ods and is not installed",
                "install python-calamine, or save the sheet as CSV",
                name,
            )
        ) from None
    try:
        with load_workbook(BytesIO(content)) as book:
            return book.get_sheet_by_index(0).to_python(skip_empty_area=False)
    except BaseException as error:  # a fault inside the reading library is no Exception
        if isinstance(error, (KeyboardInterrupt, SystemExit, MemoryError)):
            raise
        raise ValueError(str(error)) from None


def _as_text(value: Any) -> str:
    """A cell's value as a person would type it."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value).strip()
    text = format(Decimal(f"{value:.15g}"), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
