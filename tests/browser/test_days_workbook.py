"""The workbook for buying and days in a real browser: it runs by itself, follows a slider, writes files."""

from __future__ import annotations

from dataclasses import replace

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, slider_step, start_workbook
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.buying.order import order_as_priced
from mytakeoff.formats.formats import HOUSE, say
from mytakeoff.programme.programme import work_programme

NAME = "buying-and-days.ipynb"


@pytest.fixture
def page(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab, NAME)
    # Bars are drawn for a wide and for a narrow panel; at this width the wide ones are shown.
    shared_page.locator(".mt-day-panel .mt-bars-wide svg").wait_for(timeout=WAIT_MS)
    return shared_page


def test_days_and_order_follow_the_crew_and_are_written(page: Page, shared_lab: JobServer) -> None:
    result = mt.evaluate(mt.open_job(shared_lab.folder))
    headline = page.locator(".mt-day-panel .mt-headline").first
    expect(headline).to_contain_text(f"Paint from {HOUSE.day(work_programme(result).paint_date)}")
    expect(headline).to_contain_text(f"{say(order_as_priced(result).total, 2)} EUR")
    slider_step(page, "mt-crew", "ArrowRight")
    pair = mt.evaluate(replace(result.job, rates=replace(result.job.rates, crew=2)))
    expect(headline).to_contain_text(
        f"Paint from {HOUSE.day(work_programme(pair).paint_date)}", timeout=WAIT_MS
    )
    said = page.locator(".mt-day-panel .mt-controls .mt-said").last
    for button, name in (("order", "order.csv"), ("calendar", "programme.ics"), ("chart", "programme.png")):
        page.locator(f".mt-day-panel .mt-{button}").click()
        expect(said).to_contain_text(name, timeout=WAIT_MS)
        assert (shared_lab.folder / name).stat().st_size > 500


def test_axe_finds_nothing_and_nothing_scrolls_sideways(page: Page) -> None:
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-day-panel.mt-{'narrow' if width < 600 else 'wide'}").wait_for(timeout=WAIT_MS)
        assert_accessible(page, ".mt-day-panel")
