"""The panel for those who see it badly or not at all: checked by axe-core, the reference library for it."""

from __future__ import annotations

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, show_app
from playwright.sync_api import Page, expect


@pytest.mark.parametrize("width", [390, 1280])  # loaded on a phone, then wider
def test_axe_finds_nothing_on_the_panel(shared_page: Page, app: JobServer, width: int) -> None:
    page = shared_page
    page.set_viewport_size({"width": width, "height": 900})
    show_app(page, app)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    assert_accessible(page, ".mt-panel")


def test_what_folds_away_opens_by_keyboard_and_says_whether_it_is_open(
    shared_page: Page, app: JobServer
) -> None:
    page = shared_page
    show_app(page, app)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    head = page.get_by_role("button", name="Margins and tax")
    tax = page.locator(".mt-tax_share-box input")
    expect(head).to_have_attribute("aria-expanded", "false", timeout=WAIT_MS)
    expect(tax).to_be_hidden()
    for key, open_now in (("Enter", True), ("Space", False), ("Enter", True)):
        head.focus()
        page.keyboard.press(key)
        expect(head).to_have_attribute("aria-expanded", str(open_now).lower())
        expect(tax).to_be_visible() if open_now else expect(tax).to_be_hidden()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('.mt-fold') !== null")


@pytest.mark.parametrize("width", [1440, 390])
def test_what_stands_behind_the_range_is_read_whole(shared_page: Page, app: JobServer, width: int) -> None:
    page = shared_page
    page.set_viewport_size({"width": width, "height": 900})
    show_app(page, app)
    page.get_by_text("8 in 10").first.wait_for(timeout=WAIT_MS)
    head = page.get_by_role("button", name="How sure, and where to measure next")
    head.press("Enter")
    page.locator(".mt-next").wait_for(timeout=WAIT_MS)
    inside = page.locator(".mt-fold", has=page.locator(".mt-next")).last
    cut = inside.evaluate(
        """(box) => [...box.querySelectorAll("label, caption, th, td")].filter((each) => each.clientWidth
          && (each.scrollWidth > each.clientWidth + 1
            || each.getBoundingClientRect().right > box.getBoundingClientRect().right))
          .map((each) => each.textContent)"""
    )
    assert cut == []
    head.press("Enter")
