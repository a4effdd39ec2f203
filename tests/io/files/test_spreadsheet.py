"""Spreadsheet files as surveys: from the general libraries, damaged, locked, and made to burst memory."""

from __future__ import annotations

import datetime
import io
import resource
import zipfile
import zlib
from pathlib import Path

import openpyxl
import pytest
from effort import examples
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from survey_files import readings, survey_in
from told import check_told, read_or_told

from mytakeoff import Survey, TakeoffError, Wall

WALL = Wall("north", 2.0, 2.5)
GRID = [["off_line_mm", 0.5, 1.0, 1.5], [2.0, 12, 14, 13], [1.0, 11, None, 12], [0.5, 10, 11.5, 12]]
LIST_IN = [["x_ft", "z_ft", "off_line_in"], [1, 1, "1 3/8"], [5, 1, 1.5], [1, 7, '1/2"'], [5, 7, "1-1/16"]]
READ = {(0.5, 2): -12, (1, 2): -14, (1.5, 2): -13, (0.5, 1): -11, (1.5, 1): -12, (0.5, 0.5): -10,
        (1, 0.5): -11.5, (1.5, 0.5): -12}  # fmt: skip


def xlsx(rows, change=lambda sheet: None) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in rows:
        sheet.append(row)
    change(sheet)
    book.create_sheet("another").append(["not", "read"])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods(rows, **first_cell) -> bytes:
    document = OpenDocumentSpreadsheet()
    table = Table(name="north")
    for nth, row in enumerate(rows):
        line = TableRow()
        for mth, value in enumerate(row):
            number = isinstance(value, (int, float))
            said = {"valuetype": "float", "value": value} if number else {}
            said = {"valuetype": "string"} if isinstance(value, str) else said
            cell = TableCell(**said, **(first_cell if (nth, mth) == (1, 1) else {}))
            if value is not None:
                cell.addElement(P(text=str(value)))
            line.addElement(cell)
        table.addElement(line)
    # spreadsheets fill the sheet to its last row and column with one repeated empty cell
    last = TableRow(numberrowsrepeated=1048576 - len(rows))
    last.addElement(TableCell(numbercolumnsrepeated=16384))
    table.addElement(last)
    document.spreadsheet.addElement(table)
    document.spreadsheet.addElement(Table(name="another"))
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def survey_of(tmp_path: Path, content: bytes, name: str = "north.xlsx") -> Survey:
    return survey_in(tmp_path, content, WALL, name)


def told(tmp_path: Path, content: bytes, name: str = "north.xlsx") -> str:
    with pytest.raises(TakeoffError) as caught:
        survey_of(tmp_path, content, name)
    check_told(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("content", "name"),
    [(xlsx(GRID), "a.xlsx"), (ods(GRID), "a.ods"), (xlsx(GRID), "a.csv"), (ods([[], *GRID, []]), "b.ods"),
     (xlsx([["off_line_mm", "0,5", "1,0", "1,5"],
            *([str(v).replace(".", ",") if v else v for v in r] for r in GRID[1:])]), "text.xlsx")],
)  # fmt: skip
def test_the_first_sheet_is_read(tmp_path, content, name):
    survey = survey_of(tmp_path, content, name)
    assert survey.layout == "grid"
    assert readings(survey) == READ


@pytest.mark.parametrize("make", [xlsx, ods])
def test_inches_and_feet_are_exact(tmp_path, make):
    """1 in = 25.4 mm and 1 ft = 0.3048 m exactly: NIST SP 811 (2008), appendix B.6."""
    survey = survey_of(tmp_path, make(LIST_IN), "a.x")
    assert readings(survey) == {
        (0.3048, 0.3048): -34.925, (1.524, 0.3048): -38.1, (0.3048, 2.1336): -12.7, (1.524, 2.1336): -26.9875,
    }  # fmt: skip


def test_a_formula_counts_as_the_value_that_was_saved_with_it(tmp_path):
    content = xlsx(GRID, lambda sheet: sheet.__setitem__("B2", "=10+2"))
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        parts = {name: file.read(name) for name in file.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = parts[sheet].replace(b"<f>10+2</f><v />", b"<f>10+2</f><v>12</v>")
    assert readings(survey_of(tmp_path, zipped(parts))) == READ


def zipped(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return out.getvalue()


def with_part(content: bytes, name: str, part: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        return zipped({**{one: file.read(one) for one in file.namelist()}, name: part})


def far_corner(sheet) -> None:
    sheet["XFD1048576"] = 1


def locked(content: bytes) -> bytes:
    """The same file with the bit set that says that its parts are encrypted (PKWARE APPNOTE 4.4.4, bit 0)."""
    changed = bytearray(content)
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = changed.find(mark)
        while place >= 0:
            changed[place + at] |= 1
            place = changed.find(mark, place + 4)
    return bytes(changed)


ENCRYPTED = b'<manifest:manifest xmlns:manifest="x"><manifest:encryption-data/></manifest:manifest>'
LAUGHS = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaa">]><office:document-content>&a;</office:document-content>'
NO_SHEETS = b"<workbook><sheets/></workbook>"
BAD = {
    "merged": (xlsx(GRID, lambda sheet: sheet.merge_cells("B2:C2")), "merged cells: B2:C2"),
    "merged in ods": (ods(GRID, numbercolumnsspanned=2), "merged cells: B2"),
    "formula": (xlsx(GRID, lambda sheet: sheet.__setitem__("C4", "=1+10")), "formulas without a value: C4"),
    "formula in ods": (ods([GRID[0], [2.0, None, 14, 13]], formula="of:=1+2"), "without a value: B2"),
    "date": (xlsx([*GRID, [0.2, datetime.date(2026, 3, 8)]]), "a date"),
    "error": (xlsx([*GRID, [0.2, "#DIV/0!"]]), "went wrong: B5"),
    "error in ods": (ods([*GRID, [0.2, "#DIV/0!"]]), "'#DIV/0!'"),
    "far corner": (xlsx(GRID, far_corner), "more than 300000 cells"),
    "repeated": (ods(GRID, numbercolumnsrepeated=10**9), "more than 300000 cells"),
    "entities": (with_part(ods(GRID), "content.xml", LAUGHS), "small sheet"),
    "old or locked": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "password"),
    "locked": (locked(xlsx(GRID)), "password"),
    "locked ods": (with_part(ods(GRID), "META-INF/manifest.xml", ENCRYPTED), "password"),
    "cut off": (xlsx(GRID)[:2000], "damaged or cut off"),
    "another zip": (zipped({"a.txt": b"x"}), "damaged"),
    "no sheets": (with_part(xlsx(GRID), "xl/workbook.xml", NO_SHEETS), "no sheet"),
    "sheet of no part": (with_part(xlsx(GRID), "xl/_rels/workbook.xml.rels", b"<links/>"), "no sheet"),
    "nothing": (xlsx([]), "nothing in it"),
}


@pytest.mark.parametrize("case", BAD)
def test_each_slip_is_one_clear_message(tmp_path, case):
    content, words = BAD[case]
    said = told(tmp_path, content)
    assert words in said
    assert said.count("\n") == 0


def test_another_zip_under_a_csv_name_is_no_text(tmp_path):
    assert "not text" in told(tmp_path, zipped({"a.txt": b"x"}), "north.csv")


def bomb(inflated_mb: int) -> bytes:
    """A sheet of spaces that says of itself that it is a few bytes long."""
    head, tail = b"<worksheet><sheetData>", b"</sheetData></worksheet>"
    made = with_part(xlsx(GRID), "xl/worksheets/sheet1.xml", head + b" " * (inflated_mb * 2**20) + tail)
    size = (len(head) + len(tail) + inflated_mb * 2**20).to_bytes(4, "little")
    return made.replace(size, (100).to_bytes(4, "little"))


def test_a_zip_bomb_takes_no_memory(tmp_path):
    for content in (bomb(400), bomb(40)):
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        told(tmp_path, content)
        grown_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
        assert grown_kb < 100_000


XLSX, ODS = xlsx(GRID), ods(GRID)


@examples(50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.sampled_from([XLSX, ODS]),
    places=st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 255)), min_size=1, max_size=8),
    cut=st.integers(0, 10**6),
)
@example(XLSX, [(0, 0x50)], 30)
def test_a_damaged_file_gives_a_survey_or_a_message(tmp_path, content, places, cut):
    changed = bytearray(content)
    for place, byte in places:
        changed[place % len(changed)] = byte
    check_any(tmp_path, bytes(changed[: cut % len(changed)] if cut % 3 == 0 else changed))


@examples(50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    old=st.sampled_from([b"<v>", b"<c ", b"12", b"row", b'r="', b"</", b"inlineStr", b'"n"', b"is>"]),
    new=st.binary(max_size=12),
)
@example(b'r="', b'r="ZZZZZZZ')
def test_a_sheet_written_wrongly_gives_a_survey_or_a_message(tmp_path, old, new):
    with zipfile.ZipFile(io.BytesIO(XLSX)) as file:
        part = file.read("xl/worksheets/sheet1.xml")
    check_any(tmp_path, with_part(XLSX, "xl/worksheets/sheet1.xml", part.replace(old, new, 1)))


def check_any(tmp_path: Path, content: bytes) -> None:
    with read_or_told():
        assert survey_of(tmp_path, content).proud_mm.size >= 3


def test_the_bomb_is_what_it_is_said_to_be():
    with zipfile.ZipFile(io.BytesIO(bomb(40))) as file:
        entry = file.getinfo("xl/worksheets/sheet1.xml")
        raw = file.fp
        assert entry.file_size == 100
        raw.seek(entry.header_offset + 30 + len(entry.filename))
        packed = raw.read(entry.compress_size)
    assert len(zlib.decompress(packed, -15)) > 40 * 2**20
