"""Scenarios on a page: kept by keyboard, read beside the agreed job on a screen and on a phone."""

from __future__ import annotations

from driving import WAIT_MS, JobServer, assert_accessible, show_app
from playwright.sync_api import Locator, Page, expect

import mytakeoff as mt


def opened(page: Page, fold: str) -> Locator:
    """What a fold holds, opened by keyboard."""
    head = page.locator(f".mt-fold-{fold} .mt-fold-head button")
    head.wait_for(timeout=WAIT_MS)
    head.press("Enter")
    return page.locator(f".mt-fold-{fold}")


def test_a_scenario_is_kept_by_keyboard_and_read_beside_the_agreed_job(
    shared_app_page: Page, app: JobServer
) -> None:
    page = shared_app_page
    show_app(page, app)
    page.locator(".mt-cost tbody tr.mt-line").first.wait_for(timeout=WAIT_MS)
    agreed = page.locator(".mt-panel .mt-total").inner_text()
    fold = opened(page, "scenarios")
    waste = page.locator(".mt-waste_share-box input")
    waste.fill("15")
    waste.press("Enter")
    fold.locator(".mt-scenario-name input").focus()
    page.keyboard.type('what if <b>"more"</b> waste')
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    cards = fold.locator(".mt-scenario")
    expect(cards).to_have_count(2, timeout=WAIT_MS)
    expect(cards.nth(0).locator("strong").first).to_have_text(agreed, timeout=WAIT_MS)
    played = page.locator(".mt-panel .mt-total").inner_text()
    expect(cards.nth(1).locator("strong").first).to_have_text(played, timeout=WAIT_MS)
    expect(cards.nth(1)).to_contain_text("waste 10 % → 15 %")
    expect(cards.nth(1).locator("h4")).to_have_text('what if <b>"more"</b> waste')
    saved = mt.open_job(app.folder)
    assert saved.waste_share == 0.1
    assert [edit.change for edit in saved.scenarios[0].edits] == ["waste_share"]
    for width, across in ((1440, True), (390, False)):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-panel.mt-{'narrow' if width < 600 else 'widest'}").wait_for(timeout=WAIT_MS)
        tops = [box["y"] for at in range(2) if (box := cards.nth(at).bounding_box())]
        assert (tops[0] == tops[1]) is across  # side by side, or one below the other
        assert_accessible(page, ".mt-panel")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_what_each_wall_comes_to_is_read_whole(shared_app_page: Page, app: JobServer) -> None:
    page = shared_app_page
    show_app(page, app)
    page.locator(".mt-cost tbody tr.mt-line").first.wait_for(timeout=WAIT_MS)
    fold = opened(page, "by-wall")
    total = fold.locator("tr", has=page.locator("th", has_text="total")).locator("td").last
    expect(total).to_have_text(page.locator(".mt-cost tfoot td").last.inner_text(), timeout=WAIT_MS)
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-panel.mt-{'narrow' if width < 600 else 'widest'}").wait_for(timeout=WAIT_MS)
        assert_accessible(page, ".mt-panel")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
