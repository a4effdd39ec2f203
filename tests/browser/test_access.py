"""The panel for those who see it badly or not at all: checked by axe-core, the reference library for it."""

from __future__ import annotations

import pytest
from driving import WAIT_MS, JobServer, assert_accessible
from playwright.sync_api import Page


@pytest.mark.parametrize("width", [1280, 390])
def test_axe_finds_nothing_on_the_panel(page: Page, app: JobServer, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(app.address)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    assert_accessible(page, ".mt-panel")
    page.set_viewport_size({"width": 1440, "height": 900})
