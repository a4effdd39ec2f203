"""Two workbooks in two kernels, a page without code and a text editor on one folder: each sees the others."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, open_workbook, slider_step, wait_until_run
from playwright.sync_api import Page, expect

from mytakeoff import open_job

BUDGET, DAYS = ".mt-panel:has(.mt-waste_share)", ".mt-day-panel"


@pytest.fixture
def other_page(page: Page) -> Iterator[Page]:
    """A second window of the same browser; what it complains of fails the test."""
    other, trouble = page.context.new_page(), []
    other.on("pageerror", lambda error: trouble.append(str(error)))
    yield other
    other.close()
    assert trouble == []


def save_with_an_editor(folder: Path, old: str, new: str) -> None:
    """Write the job file as a careful editor does: beside it, then in its place."""
    path, beside = folder / "job.toml", folder / "job.toml~"
    text = path.read_text("utf-8")
    assert old in text
    beside.write_text(text.replace(old, new, 1), "utf-8")
    os.replace(beside, path)


def show(page: Page, server: JobServer, name: str, panel: str) -> None:
    open_workbook(page, server, name)
    wait_until_run(page)
    expect(page.locator(f"{panel} .mt-unsaved")).to_have_text("All saved", timeout=WAIT_MS)


def test_each_workbook_sees_what_others_save(page: Page, other_page: Page, lab: JobServer) -> None:
    show(page, lab, "budget.ipynb", BUDGET)
    show(other_page, lab, "buying-and-days.ipynb", DAYS)
    there, here = page.locator(BUDGET), other_page.locator(DAYS)

    slider_step(page, "mt-waste_share", "ArrowRight", "ArrowRight")
    expect(there.locator(".mt-unsaved summary")).to_have_text("1 change not saved yet", timeout=WAIT_MS)
    there.get_by_role("button", name="Save to the job").click()
    expect(there.locator(".mt-unsaved")).to_have_text("All saved", timeout=WAIT_MS)
    expect(here.locator(".mt-folder")).to_contain_text("waste 10 % → 12 %", timeout=WAIT_MS)
    expect(here.locator(".mt-folder")).to_contain_text("The budget workbook")

    save_with_an_editor(lab.folder, "profit_share = 0.1", "profit_share = 0.15")
    for panel in (there, here):
        expect(panel.locator(".mt-folder")).to_contain_text(
            "profit 10 % → 15 %. Another program changed job.toml", timeout=WAIT_MS
        )

    slider_step(page, "mt-waste_share", "ArrowRight")
    expect(there.locator(".mt-unsaved summary")).to_have_text("1 change not saved yet", timeout=WAIT_MS)
    save_with_an_editor(lab.folder, "profit_share = 0.15", "profit_share = 0.12")
    keep = there.get_by_role("button", name="Keep mine, take the rest")
    keep.wait_for(timeout=WAIT_MS)
    expect(there.locator(".mt-folder")).to_contain_text("Here, not saved yet: waste 12 % → 13 %")
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert_accessible(page, BUDGET)
    page.set_viewport_size({"width": 1440, "height": 900})
    keep.click()
    there.get_by_role("button", name="Save to the job").click()
    expect(here.locator(".mt-folder")).to_contain_text("waste 12 % → 13 %", timeout=WAIT_MS)
    job = open_job(lab.folder)
    assert (job.waste_share, job.margins.profit_share) == (0.13, 0.12)


def test_two_windows_on_one_workbook_see_each_other(page: Page, other_page: Page, lab: JobServer) -> None:
    for each in (page, other_page):
        show(each, lab, "budget.ipynb", BUDGET)
    here, there = page.locator(BUDGET), other_page.locator(BUDGET)
    slider_step(page, "mt-waste_share", "ArrowRight")
    expect(here.locator(".mt-unsaved summary")).to_have_text("1 change not saved yet", timeout=WAIT_MS)
    here.get_by_role("button", name="Save to the job").click()
    expect(there.locator(".mt-folder")).to_contain_text("waste 10 % → 11 %", timeout=WAIT_MS)
    slider_step(other_page, "mt-waste_share", "ArrowRight")
    expect(there.locator(".mt-unsaved summary")).to_have_text("1 change not saved yet", timeout=WAIT_MS)
    there.get_by_role("button", name="Save to the job").click()
    expect(here.locator(".mt-folder")).to_contain_text("waste 11 % → 12 %", timeout=WAIT_MS)


def test_a_page_without_code_sees_what_an_editor_saves(page: Page, app: JobServer) -> None:
    page.goto(app.address)
    panel = page.locator(BUDGET)
    expect(panel.locator(".mt-unsaved")).to_have_text("All saved", timeout=WAIT_MS)
    save_with_an_editor(app.folder, "waste_share = 0.1 ", "waste_share = 0.2 ")
    expect(panel.locator(".mt-folder")).to_contain_text("waste 10 % → 20 %", timeout=WAIT_MS)
    expect(panel.locator(".mt-waste_share-box input, .mt-waste_share .mt-box input").first).to_have_value(
        "20", timeout=WAIT_MS
    )
