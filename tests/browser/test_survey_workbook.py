"""The survey workbook in a real browser: it runs by itself, and a sheet reaches the job without code."""

from __future__ import annotations

import pytest
from driving import (
    WAIT_MS,
    JobServer,
    assert_accessible,
    slider_step,
    start_workbook,
    wait_for_kernel_idle,
)
from playwright.sync_api import Page, expect

import mytakeoff as mt

NAME = "survey.ipynb"
SHEET = b"off_line_mm x_cm z_cm;10;160;310\r\n240;31;36;40\r\n120;30,5;35;41\r\n10;29;33;39\r\n"


@pytest.fixture
def page(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab, NAME)
    shared_page.locator(".mt-survey-panel .mt-map svg").first.wait_for(timeout=WAIT_MS)
    return shared_page


def test_a_sheet_from_the_device_becomes_a_wall_of_the_job(page: Page, shared_lab: JobServer) -> None:
    panel = page.locator(".mt-survey-panel")
    expect(panel.locator(".mt-headline")).to_contain_text("back over its 2.6 m")
    slider_step(page, "mt-at_x", "ArrowRight", "ArrowRight")
    expect(panel.locator("figcaption").first).to_contain_text("Upright at x 2.0", timeout=WAIT_MS)
    panel.locator(".mt-wall select").select_option("a new wall")
    expect(panel.locator(".mt-headline")).to_contain_text("No survey yet", timeout=WAIT_MS)
    with page.expect_file_chooser() as asked:
        panel.locator(".mt-bring").click()
    asked.value.set_files(files=[{"name": "Stair wall.csv", "mimeType": "text/csv", "buffer": SHEET}])
    expect(panel.locator(".mt-map").first).to_contain_text("a field grid: 3 columns, 3 rows", timeout=WAIT_MS)
    for css, typed in (("name", "stair wall"), ("width", "3.2"), ("height", "2.5")):
        box = panel.locator(f".mt-{css} input")
        box.fill(typed)
        box.press("Enter")
    expect(panel.locator(".mt-headline")).to_contain_text("stair wall", timeout=WAIT_MS)
    expect(panel.locator(".mt-headline")).to_contain_text("3.2 × 2.5 m")
    panel.locator(".mt-save").click()
    expect(panel.locator(".mt-said").last).to_contain_text("surveys/stair-wall.csv", timeout=WAIT_MS)
    assert (shared_lab.folder / "surveys" / "stair-wall.csv").read_bytes() == SHEET
    priced = mt.evaluate(mt.open_job(shared_lab.folder))
    assert [wall.entry.name for wall in priced.walls][-1] == "stair wall"


def test_a_refused_sheet_takes_the_old_wall_off_the_page_and_asks_what_its_numbers_are(page: Page) -> None:
    """In feet and inches, and its first cell is words."""
    panel = page.locator(".mt-survey-panel")
    sheet = b'height / along;1;5;9\n8\' 2";1 3/8;1 1/2;1\n4;1 1/4;1;7/8\n4";1;1 1/8;1\n'
    with page.expect_file_chooser() as asked:
        panel.locator(".mt-bring").click()
    asked.value.set_files(files=[{"name": "hall.csv", "mimeType": "text/csv", "buffer": sheet}])
    expect(panel.locator(".mt-problem")).to_contain_text("height / along", timeout=WAIT_MS)
    expect(panel.locator(".mt-headline")).to_contain_text("Not read yet")
    expect(panel.locator(".mt-map svg")).to_have_count(0)
    panel.locator(".mt-save").click()
    expect(panel.locator(".mt-problem")).to_contain_text("no survey that was read", timeout=WAIT_MS)
    expect(panel.locator(".mt-problem")).to_contain_text("height / along")
    assert_accessible_wide_and_narrow(page)
    for css, value in (
        ("side", "from the line"),
        ("reading_unit", "inches"),
        ("x_unit", "feet"),
        ("z_unit", "feet"),
    ):
        box = panel.locator(f".mt-{css} select")
        box.select_option(box.locator("option", has_text=value).first.inner_text())
    expect(panel.locator(".mt-map").first).to_contain_text("Readings in inches", timeout=WAIT_MS)
    expect(panel.locator(".mt-problem")).to_have_count(0)


def test_a_reading_that_stands_off_is_left_out_and_kept_by_keyboard(
    page: Page, shared_lab: JobServer
) -> None:
    heights = range(5)
    rows = [
        [2.4 - 0.5 * up, *(-19 if (up, across) == (2, 3) else 30 for across in range(6))] for up in heights
    ]
    head = ["off_line_mm", *(0.2 + 0.5 * across for across in range(6))]
    sheet = "\n".join(",".join(f"{cell}" for cell in row) for row in (head, *rows)).encode()
    panel = page.locator(".mt-survey-panel")
    panel.locator(".mt-wall select").select_option("a new wall")
    expect(panel.locator(".mt-headline")).to_contain_text("No survey yet", timeout=WAIT_MS)
    with page.expect_file_chooser() as asked:
        panel.locator(".mt-bring").click()
    asked.value.set_files(files=[{"name": "hall.csv", "mimeType": "text/csv", "buffer": sheet}])
    row = panel.locator(".mt-asked:visible")
    expect(row).to_contain_text("49 mm proud of what is 60 cm around it", timeout=WAIT_MS)
    expect(row).to_contain_text("plaster, or something in front of the wall? It counts.")
    expect(row).to_contain_text("l without it", timeout=WAIT_MS)
    row.get_by_role("button", name="Leave S1 out").press("Enter")
    expect(row).to_contain_text("It is left out, as you said.", timeout=WAIT_MS)
    expect(row.get_by_role("button", name="Leave S1 out")).to_be_focused()
    assert_accessible_wide_and_narrow(page)
    row.get_by_role("button", name="Keep S1").click()
    expect(row).to_contain_text("It counts, as you said.", timeout=WAIT_MS)
    panel.locator(".mt-save").click()
    expect(panel.locator(".mt-said").last).to_contain_text("surveys/hall.csv", timeout=WAIT_MS)
    saved = mt.open_job(shared_lab.folder).walls[-1].survey
    assert [(one.x_m, one.z_m, one.said) for one in saved.said] == [(1.7, 1.4, "plaster")]


def assert_accessible_wide_and_narrow(page: Page) -> None:
    """axe finds nothing, and nothing scrolls sideways, on a screen and on a phone."""
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        page.locator(f".mt-survey-panel.mt-{'narrow' if width < 600 else 'wide'}").wait_for(timeout=WAIT_MS)
        assert_accessible(page, ".mt-survey-panel")


def enter_by_keyboard(page: Page, fold: str, *keys: str) -> None:
    """Open a fold, add a row to it and fill it in, with no hand on the mouse."""
    panel = page.locator(".mt-survey-panel")
    panel.locator(f".mt-fold-{fold} .mt-fold-head button").press("Enter")
    rows = panel.locator(f".mt-{fold}-rows")
    expect(rows.locator(".mt-add")).to_be_visible(timeout=WAIT_MS)
    rows.locator(".mt-add").press("Enter")
    first = rows.locator(".mt-entry:visible").last.locator("select, input").first
    expect(first).to_be_focused(timeout=WAIT_MS)
    for key in keys:
        page.keyboard.type(key)
        page.keyboard.press("Tab")


def test_what_is_found_on_a_wall_is_entered_by_keyboard_and_reaches_the_job(
    page: Page, shared_lab: JobServer
) -> None:
    panel = page.locator(".mt-survey-panel")
    panel.locator(".mt-wall select").select_option("door wall")
    expect(panel.locator(".mt-headline")).to_contain_text("door wall", timeout=WAIT_MS)
    enter_by_keyboard(page, "loose", "1.25", "1.4", "0.4", "0,4", "18")
    enter_by_keyboard(page, "sweeps", "0.5", "1.9", "level", "2", "6", "0.35 1.9")
    enter_by_keyboard(page, "fittings", "socket", "by the bed", "1.2", "0.45")
    depth = panel.locator(".mt-loose-rows .mt-in-depth_mm input").last
    expect(depth).to_have_attribute("inputmode", "decimal")  # a phone shows its keys for numbers
    for mark in ("L2 loose plaster, 18 mm", "E1 straightedge 2 m", "P3 socket (by the bed)"):
        expect(panel.locator(".mt-map")).to_contain_text(mark, timeout=WAIT_MS)
    wait_for_kernel_idle(page)
    assert_accessible_wide_and_narrow(page)
    before = mt.evaluate(mt.open_job(shared_lab.folder)).wall("door wall")
    panel.locator(".mt-save").press("Enter")
    expect(panel.locator(".mt-said").last).to_contain_text("Saved", timeout=WAIT_MS)
    wall = mt.open_job(shared_lab.folder).wall("door wall")
    assert wall.loose[-1] == mt.LooseArea(1.25, 1.4, 0.4, 0.4, 18.0)
    assert wall.survey.sweeps == (mt.LaidEdge(0.5, 1.9, 2.0, 6.0, touches_m=(0.35, 1.9)),)
    assert (wall.fittings[-1].name, wall.fittings[-1].x_m) == ("by the bed", 1.2)
    after = mt.evaluate(mt.open_job(shared_lab.folder)).wall("door wall")
    assert after.entry.sockets_to_move == before.entry.sockets_to_move + 1


def test_axe_finds_nothing_and_nothing_scrolls_sideways(page: Page) -> None:
    page.locator(".mt-survey-panel .mt-wall select").select_option("window wall")  # it has an opening
    page.locator(".mt-survey-panel .mt-opening input").first.wait_for(timeout=WAIT_MS)
    wait_for_kernel_idle(page)
    assert_accessible_wide_and_narrow(page)
