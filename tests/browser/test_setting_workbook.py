"""The setting-out workbook in a real browser: it runs by itself, follows a slider, carries rails, writes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, slider_step, start_workbook
from playwright.sync_api import Page, expect

import mytakeoff as mt

NAME = "setting-out.ipynb"
CHEEK = "breast left cheek"


@pytest.fixture
def page(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab, NAME)
    shared_page.locator(".mt-setting-panel .mt-elevation-wide svg").wait_for(timeout=WAIT_MS)
    return shared_page


def test_rails_follow_a_slider_are_carried_to_the_job_and_written(page: Page, shared_lab: JobServer) -> None:
    job = mt.open_job(shared_lab.folder)
    headline = page.locator(".mt-setting-panel .mt-headline").first
    expect(headline).to_contain_text(f"{mt.set_out(mt.evaluate(job)).fixing_count} fixings")
    slider_step(page, "mt-fixing_step_m", "ArrowLeft", "ArrowLeft", "ArrowLeft")
    closer = replace(job, rails=replace(job.rails, fixing_step_m=0.27))
    count = mt.set_out(mt.evaluate(closer)).fixing_count
    expect(headline).to_contain_text(f"{count} fixings", timeout=WAIT_MS)
    page.locator(".mt-setting-panel .mt-wall select").select_option(CHEEK)
    expect(page.locator(".mt-setting-panel .mt-map")).to_contain_text("sit lower:", timeout=2 * WAIT_MS)
    page.locator(".mt-setting-panel .mt-carry").click()
    said = page.locator(".mt-setting-panel .mt-controls .mt-said").last
    expect(said).to_contain_text("Saved to", timeout=WAIT_MS)
    assert mt.open_job(shared_lab.folder).wall(CHEEK).rails_x_m == (0.15,)
    page.locator(".mt-setting-panel .mt-write").click()
    expect(said).to_contain_text("setting-out.pdf", timeout=WAIT_MS)
    assert (shared_lab.folder / "setting-out.pdf").stat().st_size > 5000
    assert (shared_lab.folder / "setting-out.csv").read_text(encoding="utf-8-sig").count("\n") == count + 1


def test_axe_finds_nothing_and_nothing_scrolls_sideways(page: Page) -> None:
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-setting-panel.mt-{'narrow' if width < 600 else 'wide'}").wait_for(timeout=WAIT_MS)
        assert_accessible(page, ".mt-setting-panel")
