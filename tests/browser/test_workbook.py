"""The budget workbook as its user meets it: run by itself, moved by hand, exported, read back."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest
from csv_back import read_back
from driving import WAIT_MS, JobServer, show_app, slider, slider_drag, slider_step, start_workbook
from playwright.sync_api import Page, expect

import mytakeoff as mt
from mytakeoff.job.edits import with_mix, with_plane

SLIDERS = ("max_coat_mm", "mix_density_kg_per_l", "waste_share", "least_mm", "cut_mm")


def money(text: str) -> Decimal:
    """An amount as the page writes it."""
    return Decimal(re.sub(r"[^\d.]", "", text))


def total(page: Page) -> Decimal:
    """The total under the table."""
    return money(page.locator(".mt-cost tfoot tr.mt-strong td").inner_text())


def painted(page: Page) -> int:
    """How often the map has been painted."""
    return int(page.locator("[data-paints]").first.get_attribute("data-paints") or 0)


def box_value(page: Page, name: str) -> float:
    """What stands in a slider's box."""
    return float(page.locator(f".mt-{name}-box input").input_value())


@pytest.fixture
def lab_panel(shared_page: Page, shared_lab: JobServer) -> Page:
    """The workbook in JupyterLab, as `mytakeoff open` shows it, run from a fresh job folder."""
    start_workbook(shared_page, shared_lab)
    return painted_panel(shared_page)


def painted_panel(page: Page) -> Page:
    """The page, once its table and its map are there."""
    page.locator(".mt-cost tbody tr").first.wait_for(timeout=WAIT_MS)
    page.locator("[data-paints]").first.wait_for(timeout=WAIT_MS)
    return page


def changed_jobs(job: mt.Job, page: Page) -> mt.Job:
    """The job as the boxes on the page say it now."""
    name = job.system.backing.name
    moved = with_mix(
        job,
        name,
        max_coat_mm=box_value(page, "max_coat_mm"),
        density_kg_per_l=box_value(page, "mix_density_kg_per_l"),
    )
    moved = with_plane(moved, cut_mm=box_value(page, "cut_mm"))
    if box_value(page, "least_mm") != job.system.backing.least_coat_mm:
        moved = with_plane(moved, least_mm=box_value(page, "least_mm"))
    return mt.Job(**{**vars(moved), "waste_share": box_value(page, "waste_share") / 100})


def move_every_slider(page: Page, folder: Path) -> None:
    """Each slider by keyboard, one by dragging; table and picture change and agree with `evaluate`."""
    job = mt.open_job(folder)
    assert total(page) == mt.evaluate(job).cost.total
    for name in SLIDERS:
        before, paints = total(page), painted(page)
        slider_step(page, f"mt-{name}", *["ArrowRight"] * 4)
        expect(page.locator(".mt-cost tfoot tr.mt-strong td")).not_to_have_text(
            f"{before:,}", timeout=WAIT_MS
        )
        page.wait_for_function(
            "([before]) => Number(document.querySelector('.mt-cost tfoot tr.mt-strong td')"
            ".textContent.replace(/[^0-9.]/g, '')) !== before",
            arg=[float(before)],
            timeout=WAIT_MS,
        )
        if name in ("max_coat_mm", "least_mm"):
            page.wait_for_function(
                "([before]) => Number(document.querySelector('[data-paints]').dataset.paints) > before",
                arg=[paints],
                timeout=WAIT_MS,
            )
    slider_drag(page, "mt-waste_share", 0.8)
    page.wait_for_function("() => Number(document.querySelector('.mt-waste_share-box input').value) > 25")
    settle(page, folder)


def settle(page: Page, folder: Path) -> None:
    """Wait until the page is still and its table says what `evaluate` gives for the values in the boxes."""
    for _ in range(60):
        shown = (total(page), [box_value(page, name) for name in SLIDERS])
        page.wait_for_timeout(500)
        if shown == (total(page), [box_value(page, name) for name in SLIDERS]):
            break
    expect(page.get_by_text("is being worked out")).to_have_count(0, timeout=WAIT_MS)
    assert total(page) == mt.evaluate(changed_jobs(mt.open_job(folder), page)).cost.total


def export(page: Page, folder: Path) -> None:
    """Write the CSV, find it where the page says, and add it up."""
    page.get_by_role("button", name="Write the CSV").click()
    said = page.locator(".mt-controls .mt-said")
    expect(said).to_contain_text("costed-table.csv", timeout=WAIT_MS)
    frame = mt.evaluate(changed_jobs(mt.open_job(folder), page)).cost.to_frame()
    back = read_back(folder / "costed-table.csv")
    assert back["amount"].tolist() == frame["amount"].tolist()
    assert back["computed_from"].tolist() == frame["computed_from"].tolist()
    assert sum(back["amount"]) == total(page)


class TestInJupyterLab:
    def test_every_slider_and_the_export(self, lab_panel: Page, shared_lab: JobServer) -> None:
        move_every_slider(lab_panel, shared_lab.folder)
        export(lab_panel, shared_lab.folder)

    def test_a_refused_value_stays_and_the_table_too(self, lab_panel: Page, shared_lab: JobServer) -> None:
        before = total(lab_panel)
        box = lab_panel.locator(".mt-waste_share-box input")
        box.fill("120")
        box.press("Enter")
        expect(lab_panel.locator(".mt-problem")).to_contain_text("80 %", timeout=WAIT_MS)
        assert total(lab_panel) == before
        assert box.input_value() == "120"
        box.fill("12")
        box.press("Enter")
        expect(lab_panel.locator(".mt-problem")).to_have_count(0, timeout=WAIT_MS)
        settle(lab_panel, shared_lab.folder)

    def test_a_price_is_typed_where_it_stands(self, lab_panel: Page, shared_lab: JobServer) -> None:
        price = lab_panel.get_by_label("Price of tipping, mixed rubble for one kg")
        price.fill("7,40")
        price.press("Enter")
        expect(price).to_have_value("7.40", timeout=WAIT_MS)
        before = total(lab_panel)
        price.fill("-1")
        price.press("Enter")
        expect(lab_panel.locator(".mt-problem")).to_contain_text("0 or more", timeout=WAIT_MS)
        assert price.input_value() == "-1"
        assert price.get_attribute("aria-invalid") == "true"
        assert total(lab_panel) == before

    def test_saving_and_the_client_view(self, lab_panel: Page, shared_lab: JobServer) -> None:
        slider_step(lab_panel, "mt-waste_share", "ArrowRight", "ArrowRight")
        lab_panel.wait_for_function("() => document.querySelector('.mt-waste_share-box input').value == '12'")
        settle(lab_panel, shared_lab.folder)
        lab_panel.get_by_role("button", name="Save to the job").click()
        expect(lab_panel.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
        assert mt.open_job(shared_lab.folder).waste_share == pytest.approx(0.12)
        before = total(lab_panel)
        lab_panel.locator(".mt-view select").select_option("client")
        expect(lab_panel.locator(".mt-cost thead")).not_to_contain_text("price", timeout=WAIT_MS)
        assert total(lab_panel) == before
        assert "overhead" not in lab_panel.locator(".mt-cost").inner_text()

    def test_two_hundred_moves_leave_nothing_behind(self, lab_panel: Page, shared_lab: JobServer) -> None:
        lab_panel.locator(".mt-headline", has_text="8 in 10").wait_for(timeout=WAIT_MS)  # the last to come,
        lab_panel.wait_for_timeout(2000)  # but for what folds under it
        count = "() => document.querySelectorAll('.jp-OutputArea *').length"
        before = lab_panel.evaluate(count)
        handle = slider(lab_panel, "mt-mix_density_kg_per_l")
        handle.focus()
        for step in range(200):
            handle.press("ArrowRight" if step % 20 < 10 else "ArrowLeft")
        settle(lab_panel, shared_lab.folder)
        assert abs(lab_panel.evaluate(count) - before) <= 5


class TestWithoutCode:
    def test_every_slider_and_the_export(self, shared_app_page: Page, app: JobServer) -> None:
        shared_app_page.goto(app.address)
        move_every_slider(painted_panel(shared_app_page), app.folder)
        export(shared_app_page, app.folder)

    @pytest.mark.parametrize("width", [390, 800, 1280])
    def test_nothing_scrolls_sideways(self, shared_app_page: Page, app: JobServer, width: int) -> None:
        show_app(shared_app_page, app)
        painted_panel(shared_app_page).set_viewport_size({"width": width, "height": 844})
        shared_app_page.wait_for_timeout(300)
        wide = shared_app_page.evaluate(
            """() => Array.from(document.querySelectorAll('.mt-panel *'))
                 .filter((el) => el.getBoundingClientRect().right > innerWidth + 1 && el.offsetParent)
                 .map((el) => el.className || el.tagName).slice(0, 5)"""
        )
        assert wide == []
