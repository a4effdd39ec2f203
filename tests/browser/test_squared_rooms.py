"""Rooms that come square, in a real browser: price and plan by a tolerance, lines, what is packed out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from csv_back import read_back
from driving import WAIT_MS, JobServer, assert_accessible, slider, slider_drag, start_workbook
from few_walls import ROOM, price_alone
from playwright.sync_api import Locator, Page, expect

import mytakeoff as mt
from mytakeoff.charts.plan.in_words import corner_words
from mytakeoff.formats.formats import say
from mytakeoff.job.edits import with_plane
from mytakeoff.options.compare import SQUARE_IN_ROOM

SQUARE = SQUARE_IN_ROOM.name
TWO = ("party wall", "window wall")
TOLERANCE = "corner_tolerance_mm_per_m"


def unfold(page: Page, name: str) -> Locator:
    """Open a fold by keyboard, and give what is in it."""
    head = page.locator(f".mt-fold-{name} button").first
    head.press("Enter")
    return page.locator(f".mt-fold-{name} .mt-folded")


def row(page: Page, name: str) -> Locator:
    return page.locator(f'.mt-options tr[data-option="{name}"]')


def ready(page: Page) -> None:
    expect(page.locator(".mt-head .mt-said")).to_contain_text("with the ranges of", timeout=3 * WAIT_MS)


def square_price(job: mt.Job) -> str:
    """What the option costs for a job, as its row has it."""
    return say(mt.option_result(job, SQUARE_IN_ROOM).total)


@pytest.fixture
def options(shared_page: Page, shared_lab: JobServer) -> Page:
    """The options of two walls that meet, shown to the estimator."""
    price_alone(shared_lab.folder, TWO)
    start_workbook(shared_page, shared_lab, "options.ipynb")
    ready(shared_page)
    shared_page.locator(".mt-view select").select_option("estimator")
    expect(shared_page.locator(".mt-options-panel .mt-controls")).to_be_visible(timeout=WAIT_MS)
    return shared_page


def test_a_tolerance_moves_price_and_plan(options: Page, page: Page, shared_lab: JobServer) -> None:
    job = mt.open_job(shared_lab.folder)
    price = row(options, SQUARE).locator(".mt-of-price .mt-line").first
    expect(price).to_have_text(f"{square_price(job)} EUR")
    row(options, SQUARE).locator("button").press("Enter")
    expect(row(options, SQUARE).locator("button")).to_have_text("In the budget now", timeout=WAIT_MS)
    fold = unfold(options, "squared")
    expect(fold).to_contain_text("90.00°, exact", timeout=WAIT_MS)
    expect(fold).to_contain_text(f"Square in the room the walls come to {square_price(job)} EUR")
    slider(options, f"mt-{TOLERANCE}").scroll_into_view_if_needed()
    slider_drag(options, f"mt-{TOLERANCE}", 0.2)
    box = options.locator(f".mt-{TOLERANCE}-box input")
    expect(box).not_to_have_value("0", timeout=WAIT_MS)
    tolerance = float(box.input_value())
    assert 1.0 <= tolerance <= 3.0
    within = with_plane(job, **{TOLERANCE: tolerance})
    assert square_price(within) != square_price(job)
    expect(price).to_have_text(f"{square_price(within)} EUR", timeout=WAIT_MS)
    ready(options)
    expect(fold).to_contain_text(f"90.{tolerance * 5.73:02.0f}°, {tolerance:.1f} mm a metre too wide")
    options.locator(".mt-save").press("Enter")
    expect(options.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    start_workbook(page, shared_lab, "setting-out.ipynb")
    plan = unfold(page, "plan")
    saved = mt.open_job(shared_lab.folder)
    assert saved.plane.corner_tolerance_mm_per_m == tolerance
    (room,) = mt.set_out(mt.evaluate(saved)).rooms
    (known,) = (corner for corner in room.planes.corners if corner.wall == TWO[0])
    said = corner_words(room, known)
    assert "90°, 90° wanted" not in said
    expect(plan).to_contain_text(said, timeout=WAIT_MS)
    drawn = re.search(r": (90\.\d+°)", said)[1]
    expect(plan.locator("svg:visible text", has_text=drawn).first).to_be_visible()


def test_axe_finds_nothing_in_corners_and_widths(options: Page) -> None:
    fold = unfold(options, "squared")
    expect(fold).to_contain_text("What a tolerance saves", timeout=WAIT_MS)
    for width in (1280, 390):
        options.set_viewport_size({"width": width, "height": 900})
        assert_accessible(options, ".mt-fold-squared")


@pytest.fixture
def setting(shared_page: Page, shared_lab: JobServer) -> Page:
    """The setting-out workbook of a job that brings its front room square."""
    price_alone(shared_lab.folder, kind="room")
    start_workbook(shared_page, shared_lab, "setting-out.ipynb")
    shared_page.locator(".mt-setting-panel .mt-elevation-wide svg").first.wait_for(timeout=WAIT_MS)
    return shared_page


def written(page: Page, folder: Path) -> None:
    page.locator(".mt-setting-panel .mt-write").press("Enter")
    said = page.locator(".mt-setting-panel .mt-controls .mt-said").last
    expect(said).to_contain_text("packed-out.csv", timeout=2 * WAIT_MS)
    assert (folder / "square-lines.csv").is_file()


def test_lines_and_what_is_packed_out_are_written_as_they_are_shown(
    setting: Page, shared_lab: JobServer
) -> None:
    plan, packed = unfold(setting, "plan"), unfold(setting, "packed")
    expect(plan).to_contain_text(f"{ROOM} from above, brought square.", timeout=WAIT_MS)
    expect(plan).to_contain_text("thin lines across a gap")  # the window
    written(setting, shared_lab.folder)
    table = read_back(shared_lab.folder / "square-lines.csv")
    measured = table[table.what == "from the rough face"]
    wanted = [(str(mm), f"{x:.3f}") for mm, x in zip(measured.mm, measured.x_m, strict=True)]
    assert len(wanted) > 10
    assert re.findall(r"(\d+) mm at (\d+\.\d{3}) m", plan.inner_text()) == wanted
    for mm in table[table.what != "from the rough face"].mm:
        assert re.search(rf"\b{mm}\b", plan.inner_text()), mm
    rows = packed.locator("tbody tr:has(td)").evaluate_all(
        "rows => rows.map(row => [...row.children].map(cell => cell.textContent))"
    )
    edges = read_back(shared_lab.folder / "packed-out.csv")
    assert rows == [
        [name, edge, *(f"{mm} mm" for mm in (start, end, most))]
        for name, edge, start, end, most in zip(
            edges.name, edges.edge, edges.start_mm, edges.end_mm, edges.most_mm, strict=True
        )
    ]


def test_axe_finds_nothing_in_the_plan_and_what_is_packed_out(setting: Page) -> None:
    for name in ("plan", "packed"):
        expect(unfold(setting, name)).to_contain_text("mm", timeout=WAIT_MS)
    for width, css in ((1280, "wide"), (390, "narrow")):
        setting.set_viewport_size({"width": width, "height": 900})
        drawn = setting.locator(f".mt-fold-plan .mt-elevation-{css} svg")
        drawn.scroll_into_view_if_needed()
        expect(drawn).to_be_visible(timeout=WAIT_MS)
        for name in ("plan", "packed"):
            assert_accessible(setting, f".mt-fold-{name}")
