"""How sure the figures are, as a user sees it: it comes by itself and marks places on the map."""

from __future__ import annotations

import re

from driving import WAIT_MS, JobServer, assert_accessible
from playwright.sync_api import Page, expect


def test_the_range_comes_by_itself_and_a_tick_shows_where_to_measure(page: Page, app: JobServer) -> None:
    page.goto(app.address)
    line = page.locator(".mt-headline", has_text=re.compile(r"likely [\d\u202f]+ to [\d\u202f]+ l"))
    expect(line).to_be_visible(timeout=WAIT_MS)
    page.get_by_role("button", name="How sure, and where to measure next").click()
    expect(page.get_by_text("Where to measure next on party wall")).to_be_visible()
    before = page.locator("[data-paints]").first.get_attribute("data-paints")
    page.get_by_label("Show where to measure next on the map").check()
    expect(page.locator("[data-paints]").first).not_to_have_attribute("data-paints", before or "")
    assert_accessible(page, ".mt-panel")
