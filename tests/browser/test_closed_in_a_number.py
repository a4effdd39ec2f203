"""A page that is closed or loaded anew in the middle of a number: the half of it is written nowhere."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from driving import WAIT_MS, JobServer, sheet_of
from mill_flat import ONE_WALL
from playwright.sync_api import Page, expect

import mytakeoff as mt

A_SAVE_S = 3  # twice what a save takes on the way from a page to its file


@pytest.fixture
def served(chromium: str, tmp_path: Path) -> Iterator[JobServer]:
    with sheet_of(ONE_WALL, tmp_path) as server:
        yield server


def shown(page: Page, served: JobServer) -> Page:
    page.goto(served.address, timeout=WAIT_MS)
    page.locator("input[data-key]").first.wait_for(timeout=WAIT_MS)
    return page


@pytest.mark.parametrize("way", ["closed", "loaded anew"])
def test_half_a_number_is_written_nowhere(page: Page, served: JobServer, way: str) -> None:
    shown(page, served)
    first = page.locator("input[data-key]").first
    first.focus()
    for text in ("35", "36"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    expect(page.locator(".mt-read-said")).to_contain_text("2 of", timeout=WAIT_MS)
    page.keyboard.type("3")  # of 37
    leave(page, way)
    other = shown(page.context.new_page(), served)
    width = other.get_by_label("Width, m, north")
    expect(width).to_have_value("4.2", timeout=WAIT_MS)
    width.focus()
    other.keyboard.press("Control+A")
    other.keyboard.type("3")  # of 3.9
    leave(other, way)
    job = mt.open_job(served.folder)
    assert job.walls[0].wall.width_m == 4.2
    assert sorted(job.walls[0].survey.proud_mm.tolist()) == [-36.0, -35.0]


def leave(page: Page, way: str) -> None:
    if way == "closed":
        page.close(run_before_unload=False)
    else:
        page.reload(timeout=WAIT_MS)
    time.sleep(A_SAVE_S)
