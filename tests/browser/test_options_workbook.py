"""The options workbook in a real browser: run by itself, moved by hand, a way carried to the budget."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from csv_back import read_back
from driving import WAIT_MS, JobServer, assert_accessible, serving, show_app, slider_step, start_workbook
from playwright.sync_api import Locator, Page, expect

import mytakeoff as mt
from mytakeoff.formats.formats import say
from mytakeoff.job.edits import with_compare, with_mix, with_plane
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.options.compare import Refused, compare
from mytakeoff.options.table import options_frame

SLIDERS = ("tolerance_mm", "straightedge_m", "lean_mm_per_m", "least_mm", "cut_mm", "max_coat_mm",
           "mix_density_kg_per_l", "waste_share")  # fmt: skip
READY = "with the ranges of their prices"


def two_walls(folder: Path) -> None:
    """Price a narrow wall and the door wall alone: what all six take is not this test's."""
    job = folder / "job.toml"
    only = 'only = ["breast left cheek", "door wall"]\n'
    job.write_text(only + job.read_text("utf-8"), "utf-8")


def row(page: Page, name: str) -> Locator:
    return page.locator(f'.mt-options tr[data-option="{name}"]')


def ready(page: Page) -> None:
    expect(page.locator(".mt-head .mt-said")).to_contain_text(READY, timeout=2 * WAIT_MS)


def box(page: Page, name: str) -> float:
    return float(page.locator(f".mt-{name}-box input").input_value())


def job_on(page: Page, folder: Path) -> mt.Job:
    """The job as the boxes on the page say it."""
    job = mt.open_job(folder)
    name, grade = job.system.backing.name, page.locator(".mt-grade select").input_value()
    compared: dict[str, Any] = {
        "tolerance_mm": box(page, "tolerance_mm"),
        "straightedge_m": box(page, "straightedge_m"),
    }
    if box(page, "lean_mm_per_m") != 5.0:
        compared["lean_mm_per_m"] = box(page, "lean_mm_per_m")
    job = with_compare(job, grade="own" if grade.startswith("the gap") else grade, **compared)
    job = with_compare(job, take_down=page.locator(".mt-take_down input").is_checked())
    job = with_plane(job, cut_mm=box(page, "cut_mm"))
    if box(page, "least_mm") != job.system.backing.least_coat_mm:
        job = with_plane(job, least_mm=box(page, "least_mm"))
    job = with_mix(
        job, name, max_coat_mm=box(page, "max_coat_mm"), density_kg_per_l=box(page, "mix_density_kg_per_l")
    )
    return replace(job, waste_share=round(box(page, "waste_share") / 100, 6))


def agrees(page: Page, folder: Path) -> None:
    """Wait until all is worked out; every row says what `compare` gives for the values in the boxes."""
    page.wait_for_timeout(300)
    ready(page)
    for option in compare(job_on(page, folder)):
        if isinstance(option, Refused):
            expect(row(page, option.name)).to_contain_text("cannot be done")
        else:
            price = row(page, option.name).locator(".mt-of-price .mt-line").first
            expect(price).to_have_text(f"{say(option.total)} {option.cost.currency}", timeout=WAIT_MS)
            expect(row(page, option.name).locator(".mt-sign")).to_have_text("✓" if option.passes else "✗")


def show_estimator(page: Page) -> None:
    """By keyboard."""
    page.locator(".mt-view select").focus()
    page.keyboard.press("ArrowUp")  # the client is shown first, the estimator stands above
    expect(page.locator(".mt-options-panel .mt-controls")).to_be_visible(timeout=WAIT_MS)


def pictures(page: Page) -> str:
    return "".join(
        page.locator(".mt-of-walls .mt-picture").evaluate_all("nodes => nodes.map(n => n.innerHTML)")
    )


@pytest.fixture
def panel(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, as `mytakeoff open` has it, run from a fresh job folder."""
    two_walls(shared_lab.folder)
    start_workbook(shared_page, shared_lab, "options.ipynb")
    ready(shared_page)
    return shared_page


def test_the_client_sees_no_control_of_the_estimator(panel: Page, shared_lab: JobServer) -> None:
    assert (
        panel.locator(
            ".mt-options-panel .noUi-handle:visible, .mt-options-panel button.mt-carry:visible"
        ).count()
        == 0
    )
    heads = [text.split("\n")[0] for text in panel.locator(".mt-options thead th").all_inner_texts()]
    assert heads == ["way of treating the walls", "thickness of plaster, wall by wall", "price with tax",
                     "what you get, what still shows, what moves", "days on site"]  # fmt: skip
    show_estimator(panel)
    agrees(panel, shared_lab.folder)


def test_every_control_moves_the_table_by_keyboard(panel: Page, shared_lab: JobServer) -> None:
    show_estimator(panel)
    panel.locator(".mt-grade select").select_option("the gap allowed under the edge")
    agrees(panel, shared_lab.folder)
    for name in SLIDERS:
        shown, before = pictures(panel), box(panel, name)
        slider_step(panel, f"mt-{name}", *["ArrowRight"] * 2)
        expect(panel.locator(f".mt-{name}-box input")).not_to_have_value(f"{before:g}", timeout=WAIT_MS)
        agrees(panel, shared_lab.folder)
        if name == "least_mm":
            assert pictures(panel) != shown
        if name in ("mix_density_kg_per_l", "waste_share"):
            assert pictures(panel) == shown
    panel.locator(".mt-take_down input").focus()
    panel.keyboard.press("Space")
    agrees(panel, shared_lab.folder)


def test_what_is_refused_stays_and_the_table_too(panel: Page, shared_lab: JobServer) -> None:
    show_estimator(panel)
    shown = panel.locator(".mt-options tbody").inner_text()
    typed = panel.locator(".mt-straightedge_m-box input")
    typed.fill("-1")
    typed.press("Enter")
    expect(panel.locator(".mt-problem")).to_contain_text(
        "straightedge -1 m; it is 0.05 to 10 m", timeout=WAIT_MS
    )
    assert panel.locator(".mt-options tbody").inner_text() == shown
    typed.fill("2")
    typed.press("Enter")
    expect(panel.locator(".mt-problem")).to_have_count(0, timeout=WAIT_MS)
    agrees(panel, shared_lab.folder)


def test_a_way_is_carried_to_the_budget_and_taken_back(
    panel: Page, page: Page, shared_lab: JobServer
) -> None:
    wanted = next(
        option for option in compare(mt.open_job(shared_lab.folder)) if option.name == "patch and skim"
    )
    show_estimator(panel)
    button = row(panel, "patch and skim").locator("button")
    expect(button).to_be_visible()  # a client's row has none, and the table follows the controls
    button.press("Enter")
    expect(button).to_have_text("In the budget now", timeout=WAIT_MS)
    assert mt.evaluate(mt.open_job(shared_lab.folder)).cost.total == wanted.total
    start_workbook(page, shared_lab)
    total = page.locator(".mt-cost tfoot tr.mt-strong td")
    expect(total).to_have_text(say(wanted.total, 2), timeout=WAIT_MS)
    note = page.locator(".mt-treated")
    expect(note).to_contain_text("Every wall: patch and skim.", timeout=WAIT_MS)
    page.locator(".mt-float").focus()
    page.keyboard.press("Enter")
    floated = mt.evaluate(replace(mt.open_job(shared_lab.folder), treatment=None)).cost.total
    expect(total).to_have_text(say(floated, 2), timeout=WAIT_MS)
    expect(note).to_be_hidden()


def test_an_option_of_ones_own_is_added_saved_and_written(panel: Page, shared_lab: JobServer) -> None:
    show_estimator(panel)
    panel.get_by_text("An option of your own", exact=True).click()
    name = panel.locator(".mt-own_name input")
    name.fill("patched, bare")
    name.press("Enter")
    panel.locator(".mt-own_skim input").press("Space")
    panel.locator(".mt-add_own").press("Enter")
    expect(row(panel, "patched, bare").locator(".mt-of-price")).to_contain_text("EUR", timeout=WAIT_MS)
    ready(panel)
    panel.locator(".mt-save").press("Enter")
    said = panel.locator(".mt-controls .mt-said")
    expect(said).to_contain_text("Saved to", timeout=WAIT_MS)
    job = mt.open_job(shared_lab.folder)
    assert [treatment.name for treatment in job.treatments] == ["patched, bare"]
    panel.locator(".mt-export").press("Enter")
    expect(said).to_contain_text("options.csv", timeout=WAIT_MS)
    back, frame = read_back(shared_lab.folder / "options.csv"), options_frame(compare(job))
    assert back["option"].tolist() == frame["option"].tolist()
    assert [Decimal(price) for price in back["price"]] == frame["price"].tolist()
    for kind, mime in (("png", "image/png"), ("svg", "image/svg+xml")):
        (picture,) = sorted(shared_lab.folder.glob(f"options*.{kind}"))[:1]
        content = base64.b64encode(picture.read_bytes()).decode()
        wide = panel.evaluate(
            """async (src) => { const image = new Image(); image.src = src; await image.decode();
                              return image.naturalWidth; }""",
            f"data:{mime};base64,{content}",
        )
        assert wide > 500


def test_the_curve_is_worked_out_when_it_is_asked_for(panel: Page) -> None:
    assert panel.locator(".mt-fold-curve svg[role=img]").count() == 0
    panel.locator(".mt-fold-curve .mt-fold-head button").click()
    curve = panel.locator(".mt-fold-curve svg[role=img]")
    expect(curve).to_be_visible(timeout=2 * WAIT_MS)
    expect(curve).to_have_attribute("aria-label", re.compile("Price against the greatest gap left"))
    expect(panel.locator(".mt-fold-curve .widget-hprogress")).to_be_hidden()


def test_a_hundred_moves_settle_and_leave_nothing_behind(panel: Page, shared_lab: JobServer) -> None:
    show_estimator(panel)
    count = "() => document.querySelectorAll('.jp-OutputArea *').length"
    before = panel.evaluate(count)
    for step in range(100):
        slider_step(panel, "mt-waste_share", "ArrowRight" if step % 20 < 10 else "ArrowLeft")
    slider_step(panel, "mt-waste_share", "ArrowRight")
    agrees(panel, shared_lab.folder)
    assert abs(panel.evaluate(count) - before) <= 30


@pytest.fixture(scope="module")
def app_options(chromium: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """The options as a page without code."""
    folder = new_job_folder(tmp_path_factory.mktemp("options-app") / "job", demo=True)
    two_walls(folder)
    with serving(
        folder, tmp_path_factory.mktemp("options-app-server"), "--workbook", "options", "--app"
    ) as server:
        yield server


@pytest.mark.parametrize("width", [390, 800, 1400])  # loaded on a phone, then wider
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    shared_app_page: Page, app_options: JobServer, width: int
) -> None:
    page = shared_app_page
    page.set_viewport_size({"width": width, "height": 900})
    show_app(page, app_options)
    ready(page)
    for view in ("client", "estimator"):
        page.locator(".mt-view select").select_option(view)
        if view == "estimator":
            expect(page.locator(".mt-waste_share .noUi-handle[aria-label]")).to_be_visible(timeout=WAIT_MS)
        assert_accessible(page, ".mt-panel")
        wide = page.evaluate(
            """() => Array.from(document.querySelectorAll('.mt-panel *:not(.mt-wide-table *, .mt-true *)'))
                 .filter((el) => el.getBoundingClientRect().right > innerWidth + 1 && el.offsetParent)
                 .map((el) => el.className || el.tagName).slice(0, 5)"""
        )
        assert wide == []
