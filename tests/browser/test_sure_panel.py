"""How sure the figures are, as a user sees it: it comes by itself and marks places on the map."""

from __future__ import annotations

import re

from driving import WAIT_MS, JobServer, assert_accessible
from playwright.sync_api import Page, expect

# What stands out of the fold that it is in, to the right.
SPILT = """() => [...document.querySelectorAll(".mt-sure :is(span, p, svg), .mt-next")].filter((each) => {
  const right = (element) => element.getBoundingClientRect().right;
  return right(each) > right(each.closest(".mt-folded"));
}).map((each) => each.textContent)"""


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


def test_the_picture_fits_every_width_and_its_sentences_open_by_keyboard(page: Page, app: JobServer) -> None:
    page.goto(app.address)
    fold = page.get_by_role("button", name="How sure, and where to measure next")
    fold.wait_for(timeout=WAIT_MS)
    fold.focus()
    page.keyboard.press("Enter")
    picture = page.locator(".mt-sure")
    expect(picture).to_be_visible(timeout=WAIT_MS)
    sentences = page.get_by_text("through its readings, likely").first
    expect(sentences).to_be_hidden()
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-panel.mt-{'narrow' if width < 600 else 'widest'}").wait_for(timeout=WAIT_MS)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(SPILT) == []
        strip, box = picture.locator(".mt-sure-row svg").first.bounding_box(), picture.bounding_box()
        assert strip is not None
        assert box is not None
        assert 0.95 * box["width"] < strip["width"] <= box["width"]
    behind = page.get_by_role("button", name="In sentences, and what being wrong costs")
    behind.focus()
    page.keyboard.press("Enter")
    expect(sentences).to_be_visible()
    assert_accessible(page, ".mt-panel")
