"""A variation in a folder: all of it or nothing, never over another page; its PDF and page read back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import html5lib
import pytest
from demo import coarse_demo
from quoted import as_read, pdf_text
from varied import CHANGES, DAY, changed, dearer, handed, thicker, varied, without

import mytakeoff as mt
from mytakeoff.documents import variation_written
from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pdf import pdf_bytes
from mytakeoff.documents.pictures import NO_PICTURES
from mytakeoff.io.files import atomic
from mytakeoff.variations.client_edition import client_variation
from mytakeoff.variations.own_edition import own_variation

ENDINGS = (".pdf", ".html", ".xlsx", "-estimator.pdf", "-estimator.xlsx")
FILES = [f"variation-1{ending}" for ending in ENDINGS]
HOSTILE = '"><script>alert(1)</script>{{ 7 * 7 }} #import "x"; $'


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("name", CHANGES)
def test_every_amount_stands_in_the_pdf_and_on_the_page(name):
    made, document = changed(name), client_variation(handed(name))
    money, was, now = made.formats.money, made.base.cost, made.changed.cost
    pdf = pdf_text(pdf_bytes(document, NO_PICTURES, None, DAY))
    tree = html5lib.HTMLParser(strict=True).parse(
        page_bytes(document, NO_PICTURES, None), transport_encoding="utf-8"
    )
    for said in (pdf, as_read(" ".join(tree.itertext()))):
        for amounts in (
            (was.before_tax, was.tax, was.total),
            (made.net, made.tax, made.gross),
            (now.before_tax, now.tax, now.total),
        ):
            assert as_read(" ".join(map(money, amounts))) in said
        for line in made.lines:
            assert as_read(money(abs(line.amount))) in said
        assert str(made.mark) in said
        assert "place, date, signature" in said
    assert pdf.startswith("For the client")


def test_the_estimators_pdf_has_every_line_and_says_for_whom_it_is():
    made = changed("several at once")
    said = pdf_text(pdf_bytes(own_variation(handed("several at once")), NO_PICTURES, None, DAY))
    assert said.startswith("For the estimator, not for the client")
    for each in made.priced:
        assert each.line.item in said
        if each.amount:
            assert as_read(made.formats.money(abs(each.amount))) in said


def test_written_again_it_is_the_same_and_another_is_never_written_over(tmp_path):
    made = varied(thicker(coarse_demo()))
    mt.write_variation(made, tmp_path, DAY)
    first = contents(tmp_path)
    assert sorted(first) == sorted(FILES)
    mt.write_variation(varied(dearer(thicker(coarse_demo()))), tmp_path, DAY)
    client = [name for name in FILES if "estimator" not in name]
    assert {name: contents(tmp_path)[name] for name in client} == {name: first[name] for name in client}
    before = contents(tmp_path)
    other = mt.write_variation(varied(without(thicker(coarse_demo()), "door wall")), tmp_path, DAY)
    assert [path.name for path in other] == [f"variation-1-revision-1{ending}" for ending in ENDINGS]
    assert "Variation 1, revision 1" in pdf_text(other[0].read_bytes())
    assert {name: content for name, content in contents(tmp_path).items() if name in before} == before


@pytest.mark.parametrize("name", FILES)
def test_a_file_from_elsewhere_stays(tmp_path, name):
    (tmp_path / name).write_bytes(b"typed by hand")
    files = mt.write_variation(changed("a wall taken out"), tmp_path, DAY)
    assert all("revision-1" in path.name for path in files)
    assert (tmp_path / name).read_bytes() == b"typed by hand"


def test_nothing_but_prices_is_no_page(tmp_path):
    with pytest.raises(mt.TakeoffError, match="only prices and rates have changed"):
        mt.write_variation(varied(dearer(coarse_demo())), tmp_path, DAY)
    assert contents(tmp_path) == {}


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device", str(tmp_path / FILES[2]))

    monkeypatch.setattr(atomic, "put_together", full)
    with pytest.raises(mt.TakeoffError, match="No space left"):
        mt.write_variation(changed("a wall taken out"), tmp_path, DAY)
    assert contents(tmp_path) == {}


def test_a_folder_that_is_not_there_and_a_logo_that_is_none_are_told(tmp_path):
    with pytest.raises(mt.TakeoffError, match="could not be written"):
        mt.write_variation(changed("a wall taken out"), tmp_path / "no such", DAY)
    job = replace(coarse_demo(), quotation=replace(coarse_demo().quotation, logo="logo.png"))
    with pytest.raises(mt.TakeoffError, match="quotation, logo"):
        mt.write_variation(varied(thicker(job), job), tmp_path, DAY)
    assert contents(tmp_path) == {}


def test_names_with_markup_are_words(tmp_path):
    job = replace(coarse_demo(), client=HOSTILE, place=HOSTILE, title=HOSTILE)
    pdf, page, *_ = mt.write_variation(varied(without(job, "door wall"), job), tmp_path, DAY)
    tree = html5lib.HTMLParser(strict=True).parse(page.read_bytes(), transport_encoding="utf-8")
    assert not list(tree.iter("{http://www.w3.org/1999/xhtml}script"))
    assert " ".join(tree.itertext()).count(HOSTILE) >= 4
    assert as_read(HOSTILE).replace(" ", "") in pdf_text(pdf.read_bytes()).replace(" ", "")


def test_names_of_its_files():
    assert [variation_written.named_variation(1, ending, 0) for ending in ENDINGS] == FILES
