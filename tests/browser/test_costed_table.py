"""The costed table on a page: the total in sight, sections that fold, names that can be read on a phone."""

from __future__ import annotations

import pytest
from driving import WAIT_MS, JobServer, show_app, slider, start_workbook
from playwright.sync_api import Page, expect

SCROLL_TO = "(e) => e.scrollIntoView({ block: 'center' })"
ON_TOP = """() => {
  const total = document.querySelector('.mt-panel .mt-total'), box = total.getBoundingClientRect();
  const there = document.elementFromPoint(box.left + 20, box.top + box.height / 2);
  return total.contains(there) && box.top >= 0 && box.bottom < innerHeight / 4;
}"""
NAMES = """() => [...document.querySelectorAll('.mt-cost .mt-line th')].filter((e) => e.offsetParent)
  .map((e) => { const r = document.createRange(); r.selectNodeContents(e);
    const lines = new Set([...r.getClientRects()].map((box) => Math.round(box.top)));
    return [e.textContent, lines.size]; })"""


def ready(page: Page) -> Page:
    """The page once its table and its map are there."""
    page.locator(".mt-cost tbody tr.mt-line").first.wait_for(timeout=WAIT_MS)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    return page


@pytest.mark.parametrize("width", [390, 800, 1440])
def test_the_total_is_in_sight_wherever_the_hand_is(
    shared_app_page: Page, app: JobServer, width: int
) -> None:
    page = shared_app_page
    page.set_viewport_size({"width": width, "height": 844})
    show_app(page, app)
    ready(page)
    for place in (".mt-cost tfoot", ".mt-cost .mt-line input >> nth=20", ".mt-cut_mm"):
        page.locator(place).first.evaluate(SCROLL_TO)
        page.wait_for_function(ON_TOP, timeout=WAIT_MS)


def test_in_a_notebook_too(shared_page: Page, shared_lab: JobServer) -> None:
    start_workbook(shared_page, shared_lab)
    page = ready(shared_page)
    page.locator(".mt-cost tfoot").first.evaluate(SCROLL_TO)
    total = page.locator(".mt-panel .mt-total").first
    expect(total).to_be_in_viewport(timeout=WAIT_MS)


def test_on_a_phone_a_name_takes_two_lines_at_most(shared_app_page: Page, app: JobServer) -> None:
    page = shared_app_page
    page.set_viewport_size({"width": 390, "height": 844})
    show_app(page, app)
    lines = ready(page).evaluate(NAMES)
    assert len(lines) > 20
    assert [name for name, count in lines if count > 2] == []


def test_a_section_and_its_small_items_fold_by_keyboard(shared_app_page: Page, app: JobServer) -> None:
    page = shared_app_page
    page.set_viewport_size({"width": 1440, "height": 900})
    show_app(page, app)
    ready(page)
    small = page.locator(".mt-cost button", has_text="2 small items, each under 10").first
    tipping = page.get_by_label("Price of tipping, gypsum for one kg")
    expect(tipping).to_be_hidden()
    small.press("Enter")
    expect(small).to_have_attribute("aria-expanded", "true")
    expect(tipping).to_be_visible()
    head = page.get_by_role("button", name="preparation")
    head.press("Enter")
    expect(head).to_have_attribute("aria-expanded", "false")
    expect(tipping).to_be_hidden()
    expect(small).to_be_hidden()
    page.get_by_role("button", name="Fold all").click()
    assert page.locator(".mt-cost .mt-line:visible").count() == 0
    assert page.locator(".mt-cost .mt-section:visible").count() == 8
    page.get_by_role("button", name="Open all").click()
    expect(tipping).to_be_visible()


def test_a_share_is_read_out_as_its_box_shows_it(shared_app_page: Page, app: JobServer) -> None:
    page = shared_app_page
    show_app(page, app)
    ready(page)
    page.get_by_role("button", name="Margins and tax").click()
    handle = slider(page, "mt-contingency_share")
    expect(handle).to_have_attribute("aria-valuetext", "5")
    handle.press("ArrowRight")
    expect(handle).to_have_attribute("aria-valuetext", "6")


def test_the_client_sees_finished_work_and_no_control_of_method(
    shared_app_page: Page, app: JobServer
) -> None:
    page = shared_app_page
    page.set_viewport_size({"width": 1440, "height": 900})
    show_app(page, app)
    ready(page)
    page.locator(".mt-view select").select_option("client")
    table = page.locator(".mt-cost table")
    expect(table).to_contain_text("brought to a plumb plane and skimmed, ready to paint", timeout=WAIT_MS)
    for gone in (".mt-waste_share", ".mt-mix_density_kg_per_l", ".mt-max_coat_mm", ".mt-backing"):
        expect(page.locator(gone).first).to_be_hidden()
    told = page.locator(".mt-panel").inner_text()
    for word in ("bag", "litre", "use another mix", "overhead", "plasterer", "days' work"):
        assert word not in told
    assert "For the client: " in told
