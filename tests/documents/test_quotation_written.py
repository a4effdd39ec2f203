"""A quotation in a folder: all of it or nothing, never over another page; logos that are none."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from pathlib import Path

import pytest
from demo import copy_of_demo
from quoted import DAY, asking, pdf_text

import mytakeoff as mt
from mytakeoff.documents import write
from mytakeoff.documents.logo import MOST_BYTES
from mytakeoff.io.files import atomic
from mytakeoff.io.forms.desk import survey_files
from mytakeoff.launch.command import main

FILES = (
    "quotation.pdf",
    "quotation.html",
    "quotation.xlsx",
    "quotation-estimator.pdf",
    "quotation-estimator.xlsx",
)
SHAPES = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">{}<rect width="40" height="20"/></svg>'


def result_in(folder: Path, **terms: object) -> mt.Result:
    return mt.evaluate(replace(asking(**terms), folder=str(folder)))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def png(across: int, up: int) -> bytes:
    """A white picture; its head says the size, and little else is in it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", across, up, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" + b"\xff" * across) * up, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_the_command_writes_it_and_says_where(tmp_path, capsys):
    folder = copy_of_demo(tmp_path)
    assert main(["quote", str(folder)]) == 0
    assert capsys.readouterr().out.split() == [str(folder / name) for name in FILES]
    assert all((folder / name).stat().st_size > 1000 for name in FILES)
    assert not [name for name in survey_files(folder) if name.startswith("quotation")]
    assert main(["quote", str(tmp_path)]) == 2


def test_written_again_it_is_the_same_and_another_is_never_written_over(tmp_path):
    write.write_quotation(result_in(tmp_path), tmp_path, DAY)
    first = contents(tmp_path)
    assert set(first) >= set(FILES)
    write.write_quotation(result_in(tmp_path), tmp_path, DAY)
    assert contents(tmp_path) == first
    other = replace(result_in(tmp_path).job, client="Mooring")
    with pytest.raises(mt.TakeoffError, match="count the revision up") as told:
        write.write_quotation(mt.evaluate(other), tmp_path, DAY)
    assert all(name in str(told.value) for name in FILES)
    assert contents(tmp_path) == first
    revised = mt.evaluate(replace(other, quotation=replace(other.quotation, revision=2)))
    written = write.write_quotation(revised, tmp_path, DAY)
    assert written[0].name == "quotation-revision-2.pdf"
    assert "2027-014, revision 2" in pdf_text(written[0].read_bytes())
    assert {name: content for name, content in contents(tmp_path).items() if name in first} == first


@pytest.mark.parametrize("name", FILES)
def test_one_page_from_elsewhere_is_enough_to_write_none(tmp_path, name):
    (tmp_path / name).write_bytes(b"typed by hand")
    with pytest.raises(mt.TakeoffError, match="never written over"):
        write.write_quotation(result_in(tmp_path), tmp_path, DAY)
    assert contents(tmp_path) == {name: b"typed by hand"}


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device", str(tmp_path / FILES[2]))

    monkeypatch.setattr(atomic, "put_together", full)
    with pytest.raises(mt.TakeoffError, match="No space left"):
        write.write_quotation(result_in(tmp_path), tmp_path, DAY)
    assert not [name for name in contents(tmp_path) if name in FILES]


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(mt.TakeoffError, match="could not be written"):
        write.write_quotation(result_in(tmp_path), tmp_path / "no such", DAY)


@pytest.mark.parametrize("name", ["logo.png", "logo.svg"])
def test_a_logo_stands_at_the_head(tmp_path, name):
    (tmp_path / name).write_bytes(png(60, 20) if name.endswith("png") else SHAPES.format("").encode())
    bare = write.write_quotation(result_in(tmp_path), tmp_path, DAY)[0].read_bytes()
    job = asking(logo=name, revision=1)
    pdf, page, *_ = write.write_quotation(mt.evaluate(replace(job, folder=str(tmp_path))), tmp_path, DAY)
    assert b"Logo of Tideway Plastering (invented)" in page.read_bytes()
    assert len(pdf.read_bytes()) > len(bare)


REFUSED = {
    "no such file": (None, "cannot be read"),
    "40 megapixels": (
        png(1, 1)[:16] + struct.pack(">II", 8000, 5000) + png(1, 1)[24:],
        "8000 by 5000 pixels",
    ),
    "too many bytes": (b"\x89PNG" + bytes(MOST_BYTES), "kB"),
    "a script": (SHAPES.format("<script>x</script>").encode(), "holds <script>"),
    "a click": (SHAPES.format('<g onclick="x"/>').encode(), "holds onclick"),
    "a page within": (SHAPES.format("<foreignObject/>").encode(), "holds <foreignObject>"),
    "an address": (SHAPES.format('<path fill="url(http://x)"/>').encode(), "holds an address"),
    "an import": (SHAPES.format("<style>@import 'x'</style>").encode(), "holds an address"),
    "copies of copies": (SHAPES.format('<use href="#a"/>').encode(), "holds <use>"),
    "entities": (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + SHAPES.format("&a;").encode(), "its own entities"),
    "too deep": (SHAPES.format("<g>" * 60 + "</g>" * 60).encode(), "within one another"),
    "no picture": (b"GIF89a", "neither a PNG nor an SVG"),
    "no drawing": (b"<html/>", "no drawing"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_logo_that_is_none_is_told_and_nothing_is_written(tmp_path, name):
    content, found = REFUSED[name]
    if content is not None:
        (tmp_path / "logo").write_bytes(content)
    before = contents(tmp_path)
    with pytest.raises(mt.TakeoffError, match="quotation, logo") as told:
        write.write_quotation(result_in(tmp_path, logo="logo"), tmp_path, DAY)
    assert found in str(told.value)
    assert contents(tmp_path) == before


@pytest.mark.parametrize("name", ["../logo.png", "/etc/logo.png", "C:\\logo.png"])
def test_a_logo_lies_in_the_job_folder(tmp_path, name):
    with pytest.raises(mt.TakeoffError, match="only files in its own folder"):
        write.write_quotation(result_in(tmp_path, logo=name), tmp_path, DAY)


def test_a_picture_that_breaks_off_is_told_and_nothing_is_written(tmp_path):
    (tmp_path / "logo.png").write_bytes(png(60, 20)[:-30])
    with pytest.raises(mt.TakeoffError, match="cannot be set"):
        write.write_quotation(result_in(tmp_path, logo="logo.png"), tmp_path, DAY)
    assert not [name for name in contents(tmp_path) if name in FILES]
