"""A button pressed before the kernel has heard of the last moves: what is written is what the page shows."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from csv_back import read_back
from driving import WAIT_MS, JobServer, open_workbook, run_all_cells, show_app, start_workbook
from playwright.sync_api import Locator, Page, expect

import mytakeoff as mt
from mytakeoff.job.edits import with_plane

# All of it in one task of the page, so that nothing can come back from the kernel between two moves: the
# first of them is under way, the others wait in the page for its answer, and the button does not.
HURRY = """(panel, [name, key, count, button]) => {
  const handle = panel.querySelector(`.mt-${name} .noUi-handle`);
  for (let move = 0; move < count; move++)
    handle.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
  panel.querySelector(`.mt-${button}`).click();
}"""
HOLD = """(seconds) => { window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
  .requestExecute({ code: `import time; time.sleep(${seconds})`, silent: true }); }"""
TWICE = ("import mytakeoff as mt\nfrom mytakeoff.panels import budget", 'budget(mt.open_job("."))')
MOVES, STEP_MM = 9, 0.5


def hurried(panel: Locator, name: str, key: str, button: str, count: int = MOVES) -> None:
    """Move a slider by keys and press a button, faster than a kernel can answer."""
    panel.evaluate(HURRY, [name, key, count, button])


def check_written(folder: Path, least_mm: float) -> None:
    """The table that was written is of this least thickness, and adds up to its total."""
    wanted = mt.evaluate(with_plane(mt.open_job(folder), least_mm=least_mm)).cost
    assert read_back(folder / "costed-table.csv")["amount"].tolist() == wanted.to_frame()["amount"].tolist()


def least_shown(panel: Locator) -> float:
    """What stands in the box for the least thickness [mm]."""
    return float(panel.locator(".mt-least_mm-box input").input_value())


def test_a_table_written_at_once_is_of_the_last_move(shared_page: Page, shared_lab: JobServer) -> None:
    start_workbook(shared_page, shared_lab)
    panel = shared_page.locator(".mt-panel")
    before = least_shown(panel)
    hurried(panel, "least_mm", "ArrowRight", "export")
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("costed-table.csv", timeout=WAIT_MS)
    check_written(shared_lab.folder, before + MOVES * STEP_MM)
    assert least_shown(panel) == before + MOVES * STEP_MM


def test_the_way_back_is_not_overtaken_by_moves_before_it(shared_page: Page, shared_lab: JobServer) -> None:
    start_workbook(shared_page, shared_lab)
    panel = shared_page.locator(".mt-panel")
    before = least_shown(panel)
    hurried(panel, "least_mm", "ArrowRight", "restore")
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("back at the saved job", timeout=WAIT_MS)
    shared_page.wait_for_timeout(500)  # a move that came after it would come now
    assert least_shown(panel) == before


@pytest.mark.parametrize("key", ["Enter", " "])
def test_a_busy_kernel_and_the_keyboard(shared_page: Page, shared_lab: JobServer, key: str) -> None:
    """A hand on the keys while a long cell runs: slider, then the button by Enter or the space bar."""
    start_workbook(shared_page, shared_lab)
    panel = shared_page.locator(".mt-panel")
    before = least_shown(panel)
    shared_page.evaluate(HOLD, 2)
    handle = panel.locator(".mt-least_mm .noUi-handle")
    handle.focus()
    for _ in range(MOVES):
        handle.press("ArrowRight")
    button = panel.get_by_role("button", name="Write the CSV")
    button.focus()
    button.press(key)
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("costed-table.csv", timeout=WAIT_MS)
    check_written(shared_lab.folder, before + MOVES * STEP_MM)


def test_what_was_typed_last_is_saved(shared_page: Page, shared_lab: JobServer) -> None:
    """Two texts in one box and a click from inside it, while the kernel is busy."""
    start_workbook(shared_page, shared_lab)
    panel = shared_page.locator(".mt-panel")
    shared_page.evaluate(HOLD, 2)
    box = panel.locator(".mt-mix_density_kg_per_l-box input")
    box.fill("1,1")
    box.press("Enter")
    box.fill("0,95")
    panel.get_by_role("button", name="Save to the job").click()
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("Saved to", timeout=WAIT_MS)
    assert mt.open_job(shared_lab.folder).system.backing.density_kg_per_l == 0.95
    expect(box).to_have_value("0.95")


def test_of_two_panels_on_a_page_each_writes_its_own(shared_page: Page, shared_lab: JobServer) -> None:
    cells = [
        {"cell_type": "code", "id": f"cell-{nth}", "metadata": {}, "execution_count": None, "outputs": [],
         "source": source}
        for nth, source in enumerate((*TWICE, TWICE[-1]))
    ]  # fmt: skip
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    (shared_lab.folder / "twice.ipynb").write_text(json.dumps(book), "utf-8")
    open_workbook(shared_page, shared_lab, "twice.ipynb")
    run_all_cells(shared_page)
    panels = shared_page.locator(".mt-panel")
    expect(panels).to_have_count(2, timeout=WAIT_MS)
    panels.nth(1).locator(".mt-least_mm .noUi-handle").wait_for(timeout=WAIT_MS)
    before = least_shown(panels.nth(0))
    hurried(panels.nth(0), "least_mm", "ArrowLeft", "restore")
    hurried(panels.nth(1), "least_mm", "ArrowRight", "export")
    expect(panels.nth(1).locator(".mt-controls .mt-said")).to_contain_text(
        "costed-table.csv", timeout=WAIT_MS
    )
    check_written(shared_lab.folder, before + MOVES * STEP_MM)
    expect(panels.nth(0).locator(".mt-controls .mt-said")).to_contain_text(
        "back at the saved job", timeout=WAIT_MS
    )
    assert least_shown(panels.nth(0)) == before


def test_without_code_too(shared_app_page: Page, app: JobServer) -> None:
    show_app(shared_app_page, app)
    panel = shared_app_page.locator(".mt-panel")
    panel.locator(".mt-least_mm .noUi-handle").wait_for(timeout=WAIT_MS)
    panel.locator(".mt-headline", has_text="8 in 10").wait_for(timeout=WAIT_MS)
    before = least_shown(panel)
    hurried(panel, "least_mm", "ArrowRight", "export")
    expect(panel.locator(".mt-controls .mt-said")).to_contain_text("costed-table.csv", timeout=WAIT_MS)
    check_written(app.folder, before + MOVES * STEP_MM)
