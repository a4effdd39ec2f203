"""A variation's page in a browser, and how a job stands in the budget: wide, on a phone, for everybody."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, assert_accessible
from playwright.sync_api import Browser, Page
from pypdfium2 import PdfDocument
from quoted import as_read, pdf_text
from varied import changed, handed

import mytakeoff as mt
from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pictures import NO_PICTURES
from mytakeoff.variations.client_edition import client_variation


@pytest.fixture
def written(tmp_path: Path) -> Path:
    path = tmp_path / "variation-1.html"
    path.write_bytes(page_bytes(client_variation(handed("several at once")), NO_PICTURES, None))
    return path


def test_it_prints_what_it_says_without_a_network(written: Path, browser: Browser, tmp_path: Path):
    context = browser.new_context(viewport={"width": 1440, "height": 900}, offline=True)
    page = context.new_page()
    page.goto(written.as_uri())
    page.emulate_media(media="print")
    page.pdf(path=tmp_path / "printed.pdf", prefer_css_page_size=True)
    printed = (tmp_path / "printed.pdf").read_bytes()
    made = changed("several at once")
    for line in made.lines:
        assert as_read(made.formats.money(abs(line.amount))) in pdf_text(printed)
    assert f"Page 1 of {len(PdfDocument(printed))}" in pdf_text(printed)
    context.close()


@pytest.mark.parametrize("width", [390, 800, 1440])
def test_nothing_of_it_scrolls_sideways(written: Path, browser: Browser, width: int):
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto(written.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


def test_a_check_for_access_finds_nothing_on_it(written: Path, browser: Browser):
    from axe_core_python.sync_playwright import Axe

    page = browser.new_page(bypass_csp=True)  # the check is a script, and the page runs none
    page.goto(written.as_uri())
    found = Axe().run(page)["violations"]
    assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found] == []
    page.close()


@pytest.mark.parametrize("width", [390, 1440])
def test_the_budget_says_how_a_signed_job_stands(shared_page: Page, app: JobServer, width: int):
    mt.sign_job(app.folder)
    job = mt.open_job(app.folder)
    mt.save_job(replace(job, plane=replace(job.plane, least_mm=12.0)), app.folder, job)
    page = shared_page
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(app.address)  # anew: what it said of the job before would be taken for an answer
    page.get_by_text("with tax against what was signed on").first.wait_for(timeout=WAIT_MS)
    line = page.locator(".mt-against-signed")
    assert line.evaluate("(box) => box.scrollWidth <= box.clientWidth + 1")
    assert_accessible(page, ".mt-panel")
    page.get_by_role("button", name="Write the variation").click()
    page.get_by_text("for the client variation-1.pdf").first.wait_for(timeout=WAIT_MS)
    assert (app.folder / "variation-1.pdf").is_file()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
