"""The quotation's page in a browser without a network: it looks as it prints, wide and on a phone."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdfium2 import PdfDocument
from quoted import as_read, fixed, pdf_text

from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pictures import pictures_of
from mytakeoff.quotation.client_page import client_document


@pytest.fixture
def quoted(tmp_path: Path) -> Path:
    path = tmp_path / "quotation.html"
    path.write_bytes(page_bytes(client_document(fixed()), pictures_of(fixed()), None))
    return path


def test_it_needs_no_network_and_prints_what_it_says(quoted: Path, browser: Browser, tmp_path: Path):
    context = browser.new_context(viewport={"width": 1440, "height": 900}, offline=True)
    page = context.new_page()
    complaints, asked = [], []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(quoted.as_uri())
    page.emulate_media(media="print")
    page.pdf(path=tmp_path / "printed.pdf", prefer_css_page_size=True)
    assert [url for url in asked if not url.startswith("data:")] == [quoted.as_uri()]
    assert complaints == []
    printed = (tmp_path / "printed.pdf").read_bytes()
    width, height = PdfDocument(printed)[0].get_size()
    assert (round(width), round(height)) == (595, 842)  # A4 [pt], ISO 216
    said, money = pdf_text(printed), fixed().formats.money
    for row in fixed().result.cost.client_rows:
        assert as_read(money(row.amount)) in said
    assert f"Page 1 of {len(PdfDocument(printed))}" in said
    context.close()


@pytest.mark.parametrize("width", [390, 800, 1440])
def test_nothing_scrolls_sideways(quoted: Path, browser: Browser, width: int):
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto(quoted.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


def test_a_check_for_access_finds_nothing(quoted: Path, browser: Browser):
    from axe_core_python.sync_playwright import Axe

    page = browser.new_page(bypass_csp=True)  # the check is a script, and the page runs none
    page.goto(quoted.as_uri())
    found = Axe().run(page)["violations"]
    assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found] == []
    page.close()
