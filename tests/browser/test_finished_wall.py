"""The workbook of the finished wall in a real browser: a survey chosen, a mark typed, files written."""

from __future__ import annotations

import pytest
from driving import WAIT_MS, JobServer, assert_accessible, start_workbook
from looked_at import FILE, hollow, write_face
from playwright.sync_api import Page, expect

from mytakeoff.io.finished.finished_file import open_finished

NAME, WALL = "finished-wall.ipynb", "breast front"
LAID_OUT = {1440: ".mt-wide, .mt-widest", 390: ".mt-narrow"}


@pytest.fixture
def page(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, run from a fresh job folder with the finished face of a wall read."""
    (shared_lab.folder / "finished.toml").unlink(missing_ok=True)
    write_face(shared_lab.folder, FILE, hollow, wall=WALL)
    start_workbook(shared_page, shared_lab, NAME)
    panel = shared_page.locator(".mt-finished-panel")
    panel.locator(".mt-wall select").select_option(WALL)
    return shared_page


def checked(page: Page) -> None:
    """The finished face is chosen, judged and drawn."""
    panel = page.locator(".mt-finished-panel")
    panel.locator(".mt-after select").select_option(FILE)
    expect(panel.locator(".mt-headline").first).to_contain_text(f"{WALL} fails", timeout=WAIT_MS)
    panel.locator(".mt-snag-map-wide svg").wait_for(timeout=WAIT_MS)


def test_it_says_what_to_do_first_then_judges_what_is_chosen(page: Page, shared_lab: JobServer) -> None:
    panel = page.locator(".mt-finished-panel")
    expect(panel.locator(".mt-map").first).to_contain_text("Nothing was written down of this wall yet")
    assert_accessible(page, ".mt-finished-panel")
    checked(page)
    expect(panel.locator(".mt-verdict-table")).to_contain_text("Gap under a")
    panel.locator(".mt-rule select").select_option("simple acceptance")
    expect(panel.locator(".mt-map").first).to_contain_text("Decided by simple acceptance", timeout=WAIT_MS)
    for button, name in (("snags", "snags.pdf"), ("verdicts", "verdicts.csv")):
        panel.locator(f".mt-controls .mt-{button}").click()
        expect(panel.locator(".mt-controls .mt-said").last).to_contain_text(name, timeout=WAIT_MS)
        assert (shared_lab.folder / name).stat().st_size > 200


def test_a_mark_that_is_typed_becomes_a_snag_and_is_kept(page: Page, shared_lab: JobServer) -> None:
    panel = page.locator(".mt-finished-panel")
    checked(page)
    panel.locator(".mt-add-round").click()
    panel.locator(".mt-marks-rows .mt-add").click()
    row = panel.locator(".mt-marks").last
    for name, typed in (("x_m", "1,3"), ("z_m", "2,4"), ("mm", "9")):
        box = row.locator(f".mt-in-{name} input")
        box.fill(typed)
        box.press("Enter")
    expect(panel.locator(".mt-snag-table tbody tr")).to_have_count(2, timeout=WAIT_MS)
    expect(panel.locator(".mt-snag-table")).to_contain_text("x 1.30 m, z 2.40 m")
    panel.locator(".mt-controls .mt-save").click()
    expect(panel.locator(".mt-controls .mt-said").last).to_contain_text("Saved to", timeout=WAIT_MS)
    (wall,) = open_finished(shared_lab.folder).walls
    assert [(mark.x_m, mark.z_m, mark.mm) for mark in wall.rounds[0].marks] == [(1.3, 2.4, 9.0)]
    row.locator(".mt-in-x_m input").fill("9")
    row.locator(".mt-in-x_m input").press("Enter")
    expect(panel.locator(".mt-problem")).to_contain_text("a mark is made on the wall", timeout=WAIT_MS)
    expect(panel.locator(".mt-snag-table tbody tr")).to_have_count(2)


def test_a_clear_width_is_typed_where_it_is_asked_for_and_judged(page: Page, shared_lab: JobServer) -> None:
    panel = page.locator(".mt-finished-panel")
    width = panel.locator(".mt-clear-widths")
    expect(width).to_be_hidden()
    panel.locator(".mt-wall select").select_option("window wall")
    expect(width).to_contain_text("to window wall: 3870 mm must remain")
    box = width.locator(".mt-taped input").first
    box.fill("386,2 cm")
    box.press("Enter")
    expect(panel.locator(".mt-headline").first).to_contain_text("window wall fails")
    expect(panel.locator(".mt-verdict-table")).to_contain_text("3862 ± 2 mm")
    assert_accessible(page, ".mt-finished-panel")
    panel.locator(".mt-controls .mt-save").click()
    expect(panel.locator(".mt-controls .mt-said").last).to_contain_text("Saved to")
    assert [each.mm for each in open_finished(shared_lab.folder).clear_widths] == [3862.0]


@pytest.mark.parametrize("width", LAID_OUT)
def test_axe_finds_nothing_and_nothing_scrolls_sideways(page: Page, width: int) -> None:
    checked(page)
    page.locator(".mt-finished-panel .mt-add-round").click()
    page.locator(".mt-finished-panel .mt-marks-rows .mt-add").click()
    page.set_viewport_size({"width": width, "height": 900})
    page.locator(f".mt-finished-panel:is({LAID_OUT[width]})").wait_for(timeout=WAIT_MS)
    assert_accessible(page, ".mt-finished-panel")
