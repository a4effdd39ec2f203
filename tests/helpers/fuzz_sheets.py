"""Changes to tables of cells (prices, packs, survey sheets), and the kinds of file that they come in."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from random import Random

import openpyxl
from fuzz_values import NUMBERS, TEXTS
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table as OdsTable
from odf.table import TableCell, TableRow
from odf.text import P

Rows = list[list[str]]
HEADS = (
    "item",
    "unit",
    "price",
    "note",
    "supplier",
    "pack",
    "holds",
    "from_packs",
    "off_line_mm",
    "proud_mm",
    "x_m",
    "z_m",
    "x_ft",
    "z_in",
    "off_line_in",
    "proud_ft",
    "off_line_cm",
    "off_line_mm x_cm z_cm",
    "off_plumb_lines_mm",
    "level 1.2",
    "level",
    "height / along",
)
LENGTHS = (
    "8' 2 1/2\"",
    '4"',
    "0' 4\"",
    "1 3/8",
    "1\u00bd",
    "4,2",
    "1,200",
    "1.200,5",
    "4.2 m",
    "-",
    "–",
    "x",
)
MARKS = ("bag", "kg", "m²", "l", "piece", "h", "day", "m", "roll", "delivery")


def a_cell(random: Random, found: str) -> str:
    """What stands in a cell where `found` was meant."""
    kind = random.random()
    if kind < 0.25:
        try:
            value = float(found.replace(",", "."))
        except ValueError:
            return random.choice(LENGTHS)
        return f"{value * random.choice((-1, 10, 100, 1000, 25.4, 0.1, 0.001, random.uniform(0.5, 2))):.6g}"
    if kind < 0.45:
        return str(random.choice(NUMBERS))[:400]
    if kind < 0.6:
        return random.choice(TEXTS)
    if kind < 0.75:
        return random.choice(LENGTHS)
    return random.choice((*HEADS, *MARKS, found.upper(), f" {found} ", found * 2, ""))


def change_cells(random: Random, rows: Rows) -> str:
    """Some cells hold something else."""
    count = random.choice((1, 1, 2, 5, 30))
    at = (0, 0)
    for _ in range(count):
        row = random.choice(rows[:2] if random.random() < 0.3 else rows)
        if row:
            column = random.randrange(len(row))
            row[column] = a_cell(random, row[column])
            at = rows.index(row), column
    return f"{count} cells, the last at {at}: {rows[at[0]][at[1] : at[1] + 1]!r:.60}"


def shift_rows(random: Random, rows: Rows) -> str:
    """Rows or columns are gone, doubled, swapped, blank, or too long."""
    way = random.choice(("gone", "double", "swap", "blank", "column gone", "columns swap", "turned", "long"))
    first, second = random.randrange(len(rows)), random.randrange(len(rows))
    wide = max(len(row) for row in rows) or 1
    one, other = random.randrange(wide), random.randrange(wide)
    if way == "gone":
        del rows[first]
    elif way == "double":
        rows.insert(second, list(rows[first]))
    elif way == "swap":
        rows[first], rows[second] = rows[second], rows[first]
    elif way == "blank":
        rows.insert(first, [random.choice(("", "", " "))] * random.choice((0, 1, wide)))
    elif way == "long":
        rows[first].extend([random.choice(("", "1", "x"))] * random.choice((1, 3, 300)))
    elif way == "turned":
        full = [row + [""] * (wide - len(row)) for row in rows]
        rows[:] = [list(column) for column in zip(*full, strict=True)]
    else:
        for row in rows:
            if len(row) > max(one, other):
                row[one], row[other] = row[other], row[one]
                if way == "column gone":
                    del row[one]
    if not rows:
        rows.append([""])
    return f"rows or columns: {way}"


def changed(random: Random, rows: Rows) -> list[str]:
    """Change a table of cells, in place; what was done, in words."""
    ways: tuple[Callable[[Random, Rows], str], ...] = (change_cells, change_cells, shift_rows)
    return [random.choice(ways)(random, rows) for _ in range(random.choice((1, 1, 1, 2, 4)))]


def csv_bytes(random: Random, rows: Rows) -> bytes:
    """A table as some program writes it: its separator, decimals, line ends, quotes and encoding."""
    delimiter = random.choice(",,,,;\t")
    comma = delimiter == ";" and random.random() < 0.7
    written = [[cell.replace(".", ",") if comma else cell for cell in row] for row in rows]
    out = io.StringIO()
    quoting = random.choice((csv.QUOTE_MINIMAL, csv.QUOTE_MINIMAL, csv.QUOTE_ALL))
    ends = random.choice(("\n", "\n", "\r\n", "\r"))
    csv.writer(out, delimiter=delimiter, quoting=quoting, lineterminator=ends).writerows(written)
    text = ("sep=;\n" if delimiter == ";" and random.random() < 0.1 else "") + out.getvalue()
    encoding = random.choice(("utf-8", "utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252", "latin-1"))
    return text.encode(encoding, errors="replace")


def _plain(cell: str) -> str:
    """Without what a spreadsheet's file cannot hold."""
    return "".join(letter for letter in cell if letter >= " ")[:32000]


def _typed(random: Random, cell: str) -> float | str | bool | None:
    """A cell as a spreadsheet types it: mostly numbers where numbers are meant."""
    try:
        value = float(cell)
    except ValueError:
        return _plain(cell) or None
    usual = abs(value) < 1e300 and random.random() < 0.997
    return value if usual else random.choice((_plain(cell), True))


def xlsx_bytes(random: Random, rows: Rows) -> bytes:
    """The table as openpyxl writes it, formulas and further sheets among it."""
    book = openpyxl.Workbook()
    for row in rows[:500]:
        book.active.append([_typed(random, cell) for cell in row[:500]])
    if random.random() < 0.1:
        book.create_sheet("second").append(["proud_mm", 1, 2])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods_bytes(random: Random, rows: Rows) -> bytes:
    """The table as odfpy writes it; now and then a file without a sheet."""
    book = OpenDocumentSpreadsheet()
    sheet = OdsTable(name="readings")
    for row in rows[:500]:
        line = TableRow()
        for cell in row[:500]:
            value = _typed(random, cell)
            if isinstance(value, float):
                line.addElement(TableCell(valuetype="float", value=value))
            else:
                written = TableCell(valuetype="string")
                written.addElement(P(text="" if value is None else str(value)))
                line.addElement(written)
        sheet.addElement(line)
    if random.random() > 0.05:
        book.spreadsheet.addElement(sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


KINDS: dict[str, Callable[[Random, Rows], bytes]] = {"csv": csv_bytes, "xlsx": xlsx_bytes, "ods": ods_bytes}
