"""The PDF, read back by another library: amounts of the client's table, tags, type, pages, strange names."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pypdfium2 import PdfDocument
from pypdfium2 import raw as pdfium
from quoted import DAY, as_read, asking, estimate, fixed, pdf_text

import mytakeoff as mt
from mytakeoff.documents.pdf import pdf_bytes
from mytakeoff.documents.pictures import pictures_of
from mytakeoff.quotation.client_page import client_document
from mytakeoff.quotation.content import Quotation, quotation_of
from mytakeoff.quotation.estimator_page import estimator_document

NAMES = [
    '#import "x"; $ * _ < @ ` \\ [b] //',
    '<b onclick="x">Ada & Ben</b>',
    "Żółć Ελλάς Ёлка",
    "long " * 60,
]


def written(quotation: Quotation, made=client_document) -> bytes:
    return pdf_bytes(made(quotation), pictures_of(quotation), None, DAY)


def test_every_amount_of_the_clients_table_stands_in_it():
    said, money = pdf_text(written(fixed())), fixed().formats.money
    cost = fixed().result.cost
    for amount in (cost.total, cost.before_tax, *(row.amount for row in cost.client_rows)):
        assert as_read(money(amount)) in said
    for room in fixed().rooms:
        assert as_read(f"{money(room.net)} {money(room.tax)} {money(room.gross)}") in said


def test_a_fixed_price_prints_no_range_and_an_estimate_does():
    ends = [as_read(estimate().formats.amount(end, 0)) for end in estimate().sure.total_money[::2]]
    assert all(end in pdf_text(written(estimate())) for end in ends)
    assert not any(end in pdf_text(written(fixed())) for end in ends)


def test_the_estimators_edition_has_every_amount_and_says_for_whom_it_is():
    said = pdf_text(written(fixed(), estimator_document))
    assert said.startswith("For the estimator, not for the client")
    for line in (*fixed().result.cost.lines, *fixed().result.cost.markups):
        assert as_read(fixed().formats.money(line.amount)) in said


def test_each_page_has_its_number_and_what_it_is_traced_by():
    content = written(fixed())
    pages = [page.get_textpage().get_text_bounded() for page in PdfDocument(content)]
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page
        assert str(fixed().mark) in page
        assert page.startswith("For the client")


def test_it_is_tagged_and_its_type_is_embedded():
    document = PdfDocument(written(fixed()))
    assert pdfium.FPDFCatalog_IsTagged(document.raw)
    assert document.get_metadata_value("Title") == client_document(fixed()).title
    families = set()
    for page in document:
        for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            font = pdfium.FPDFTextObj_GetFont(thing.raw)
            assert pdfium.FPDFFont_GetIsEmbedded(font) == 1
            name = bytes(200)
            size = pdfium.FPDFFont_GetFamilyName(font, name, 200)
            families.add(name[: size - 1].decode())
    assert {family.partition("-")[0] for family in families} == {"LibertinusSerif"}


def test_the_same_document_gives_the_same_bytes():
    assert written(fixed()) == written(fixed())


@pytest.mark.parametrize(
    "name", NAMES, ids=["markup of the typesetter", "markup of pages", "letters", "long"]
)
def test_a_name_is_only_words(name):
    job = asking(firm=name, payment=(name,), terms=(name,))
    quotation = quotation_of(mt.evaluate(replace(job, client=name, place=name)), DAY, "0.0.0")
    content = written(quotation)
    said = pdf_text(content).replace(" ", "")
    assert said.count(as_read(name).replace(" ", "")) >= 5
    assert len(PdfDocument(content)) <= len(PdfDocument(written(fixed()))) + 1


def test_letters_that_no_font_has_are_told():
    quotation = quotation_of(mt.evaluate(replace(asking(), client="\U000100fa")), DAY, "0.0.0")  # Linear B
    with pytest.raises(mt.TakeoffError, match="install a font that has it"):
        written(quotation)


def test_a_table_over_several_pages_parts_no_row():
    """Each row's figures stand on the page of its words."""
    document = PdfDocument(written(fixed(), estimator_document))
    pages = [as_read(page.get_textpage().get_text_bounded()) for page in document]
    assert len(pages) > 1
    money = fixed().formats.money
    for line in fixed().result.cost.lines:
        on = [page for page in pages if line.item in page and as_read(money(line.amount)) in page]
        assert on, line.item
