"""Scans as text: a point on each row, its first three numbers (or the columns headed x, y, z) the place.

XYZ, TXT, ASC and CSV, with spaces, tabs, commas or semicolons between, with decimal point, or decimal comma
beside semicolons, tabs or spaces. Rows that start with # or // are remarks. PTS is the same with the
number of points on a row of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

import numpy as np

from mytakeoff.errors import TakeoffError
from mytakeoff.io.scan.chunks import ScanFile, truncated, wrong
from mytakeoff.survey.survey import Floats

BLOCK_BYTES = 1 << 24
LONGEST_ROW = 1 << 16  # [bytes]; a row of a cloud has a few dozen
NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?|[+-]?(nan|inf(inity)?)", re.IGNORECASE)
REMARK = ("#", "//")
COLUMN = re.compile(
    r"[#/\"' ]*(?:points?[_ .:]?)?([xyz])(?:[_ ]?\(?\[?(?:m|mm|cm|ft|in)\]?\)?)?[\"' ]*", re.IGNORECASE
)


@dataclass(frozen=True)
class TextLayout:
    """How the rows of a text cloud are written.

    Parameters
    ----------
    separator : str
        Between columns; "" for white space.
    decimal : str
    columns : tuple of int
        Which hold x, y and z, from 0.
    skip : int
        Rows before the first point.
    promised : int or None
        Points by a row of its own, as PTS has it.
    headed : bool
        Whether the columns are headed x, y, z.
    """

    separator: str
    decimal: str = "."
    columns: tuple[int, ...] = (0, 1, 2)
    skip: int = 0
    promised: int | None = None
    headed: bool = False

    def cells(self, row: str) -> list[str]:
        """The cells of a row without quotes."""
        parts = row.split(self.separator) if self.separator else row.split()
        return [part.strip().strip('"') for part in parts]


def column_layout(head: str, last_row_whole: bool = False) -> TextLayout | None:
    """How the rows of a text cloud are written, by its first rows; None if it is no text cloud.

    Parameters
    ----------
    head : str
        The first rows.
    last_row_whole : bool
        Whether the last of them is complete.

    Examples
    --------
    >>> column_layout("x;y;z;red\\n1,5;2,0;3,25;7\\n", True)
    TextLayout(separator=';', decimal=',', columns=(0, 1, 2), skip=1, promised=None, headed=True)
    """
    rows = head.splitlines()
    rows = rows if last_row_whole or len(rows) < 2 else rows[:-1]
    heading, promised = None, None
    for at, row in enumerate(rows):
        if not row.strip():
            continue
        if not (found := _separator_of(row)):
            if row.strip().isdecimal() and promised is None and heading is None:
                promised = int(row)
            elif row.lstrip().startswith(REMARK):
                heading = _heading(row) or heading
            elif heading is None:
                heading = _heading(row)
                if heading is None:
                    return None
            else:
                return None
            continue
        separator, decimal = found
        return TextLayout(separator, decimal, heading or (0, 1, 2), at, promised, heading is not None)
    return None


def _separator_of(row: str) -> tuple[str, str] | None:
    """Separator and decimal mark of a row whose first three or more cells are numbers."""
    for separator in (";", "\t", "", ","):
        cells = [cell.strip().strip('"') for cell in (row.split(separator) if separator else row.split())]
        numbers = [bool(NUMBER.fullmatch(cell)) for cell in cells[:3]]
        if len(numbers) == 3 and all(numbers):
            decimal = "," if any("," in cell for cell in cells[:3]) else "."
            return separator, decimal
    return None


def _heading(row: str) -> tuple[int, ...] | None:
    """Which columns are headed x, y and z, if all three are there once."""
    for separator in (";", "\t", ",", None):
        cells = row.lstrip("#/ ").split(separator)
        names = [match[1].lower() if (match := COLUMN.fullmatch(cell.strip())) else "" for cell in cells]
        if all(names.count(name) == 1 for name in "xyz"):
            return tuple(names.index(name) for name in "xyz")
    return None


def open_text(path: Path, name: str) -> ScanFile:
    """A text cloud.

    Raises
    ------
    TakeoffError
        Empty, or its rows do not start with three numbers.
    """
    with path.open("rb") as file:
        head = file.read(LONGEST_ROW)
    text = head.decode("utf-8-sig", errors="replace")
    layout = column_layout(text, last_row_whole=len(head) < LONGEST_ROW)
    if layout is None:
        rows = text.splitlines()
        first = next((row.strip() for row in rows if row.strip() and not row.lstrip().startswith(REMARK)), "")
        raise wrong(
            name,
            f"the first row is {first[:40]!r}" if first else "there is no point in it",
            "a text cloud has a point on each row: x, y and z first, or headed x, y, z",
            "export the cloud again with plain numbers",
        )
    read = partial(read_rows, path, name, layout, 0, layout.promised)
    return ScanFile(name, "XYZ", read, promised=layout.promised, path=path)


def read_rows(
    path: Path, name: str, layout: TextLayout, start: int, promised: int | None
) -> Iterator[tuple[Floats, float]]:
    """Points of a text cloud, a block of rows at a time.

    Parameters
    ----------
    path : Path
    name : str
        Of the file, for messages.
    layout : TextLayout
    start : int
        Byte at which its rows start.
    promised : int or None
        Points to read; None for all that there are.

    Raises
    ------
    TakeoffError
        A row that has no three numbers, with its row; fewer points than promised.
    """
    size = max(path.stat().st_size, 1)
    count, row, skip = 0, 1, layout.skip
    with path.open("rb") as file:
        row += sum(block.count(b"\n") for block in iter(partial(_some, file, start), b""))
        for rows in _blocks(file, name):
            block, skipped = _without_first(rows, skip)
            row, skip = row + skipped, skip - skipped
            most = None if promised is None else promised - count
            points = _parsed(block, layout, most, name, row)
            row += _row_ends(block)
            count += len(points)
            yield points, file.tell() / size
            if promised is not None and count >= promised:
                return
    if promised is not None and count < promised:
        raise truncated(name, f"{promised} points by its header, {count} rows of points")


def _some(file: BinaryIO, until: int) -> bytes:
    return file.read(min(BLOCK_BYTES, until - file.tell()))


def _row_ends(block: bytes) -> int:
    return block.count(b"\n") or block.count(b"\r")


def _without_first(block: bytes, rows: int) -> tuple[bytes, int]:
    """A block without its first rows, and how many were taken off."""
    end = b"\n" if b"\n" in block else b"\r"
    parts = block.split(end, rows)
    return parts[-1], len(parts) - 1


def _blocks(file: BinaryIO, name: str) -> Iterator[bytes]:
    """Whole rows of a file, some megabytes at a time."""
    rest = b""
    while part := file.read(BLOCK_BYTES):
        end = part.rfind(b"\n")
        end = end if end >= 0 else part.rfind(b"\r")
        rest += part[: end + 1]
        if len(part) - end > LONGEST_ROW or len(rest) > BLOCK_BYTES + LONGEST_ROW:
            raise wrong(name, f"a row of more than {LONGEST_ROW} bytes", "a row of a cloud holds one point",
                        "export it again with a row for each point")  # fmt: skip
        if rest:
            yield rest
        rest = part[end + 1 :]
    if rest.strip():
        yield rest


def _parsed(block: bytes, layout: TextLayout, most: int | None, name: str, row: int) -> Floats:
    """The points of some rows, no more than `most`."""
    import pandas as pd  # takes half a second, and only those who scan need it here

    if not block.strip():
        return np.empty((0, 3))
    try:
        table = pd.read_csv(
            BytesIO(block), sep=layout.separator or r"\s+", decimal=layout.decimal, header=None, nrows=most,
            usecols=list(layout.columns), dtype=np.float64, comment="#", skipinitialspace=True,
        )  # fmt: skip
    except pd.errors.EmptyDataError:
        return np.empty((0, 3))
    except (ValueError, OverflowError):  # pandas' own errors are ValueErrors
        raise _bad_row(block, layout, name, row) from None
    if not set(layout.columns) <= set(table.columns):  # the first row sets how many columns there are
        raise _bad_row(block, layout, name, row)
    points = table[list(layout.columns)].to_numpy()
    if np.isnan(points).any() and (error := _short_row(block, layout, name, row, most)):
        raise error
    return points


def _short_row(
    block: bytes, layout: TextLayout, name: str, row: int, most: int | None = None
) -> TakeoffError | None:
    """A mistake for the first row that has no three numbers."""
    lines = block.decode("utf-8", errors="replace").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    points = 0
    for at, line in enumerate(lines, start=row):
        line = line.partition("#")[0]
        if not line.strip():
            continue
        cells = layout.cells(line)
        if len(cells) <= max(layout.columns) or not all(NUMBER.fullmatch(cells[k]) for k in layout.columns):
            return wrong(f"{name}, row {at}", repr(line.strip()[:40]), "each row of a cloud has x, y and z",
                         "take the row out, or export the cloud again: the file may be cut off")  # fmt: skip
        points += 1
        if most is not None and points >= most:
            return None
    return None


def _bad_row(block: bytes, layout: TextLayout, name: str, row: int) -> TakeoffError:
    found = _short_row(block, layout, name, row)
    return found or wrong(f"{name}, from row {row}", "rows that differ in their number of columns",
                          "each row of a cloud has the same columns", "export the cloud again")  # fmt: skip
