"""The panel for those who see it badly or not at all: checked by axe-core, the reference library for it."""

from __future__ import annotations

import pytest
from axe_core_python.sync_playwright import Axe
from driving import WAIT_MS, JobServer
from playwright.sync_api import Page


@pytest.mark.parametrize("width", [1280, 390])
def test_axe_finds_nothing_on_the_panel(page: Page, app: JobServer, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(app.address)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    found = Axe().run(page, context=".mt-panel")
    told = [
        f"{violation['id']} ({violation['impact']}): {violation['help']}: "
        + "; ".join(node["html"][:160] for node in violation["nodes"][:3])
        for violation in found["violations"]
    ]
    assert found["passes"], "axe looked at nothing"
    assert not told, "\n".join(told)
    page.set_viewport_size({"width": 1440, "height": 900})
