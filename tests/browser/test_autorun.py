"""A workbook runs without a click only if it is byte for byte the package's own."""

from __future__ import annotations

import json
from pathlib import Path

from driving import (
    JobServer,
    cells_run,
    open_workbook,
    run_all_cells,
    runs_by_itself,
    save_workbook,
    wait_for_kernel_idle,
    wait_until_run,
)
from playwright.sync_api import Page

from mytakeoff.resources import workbooks_folder

OWN = workbooks_folder() / "budget.ipynb"
LONG_ENOUGH_TO_START_MS = 1500


def test_own_workbook_runs_without_a_click_and_stays_own_when_saved(page: Page, lab: JobServer) -> None:
    open_workbook(page, lab)
    wait_until_run(page)
    assert cells_run(page) > 0
    assert page.locator(".jp-Dialog, .Toastify__toast").count() == 0, "something asks for attention"
    assert page.evaluate("() => window.jupyterapp.shell.currentWidget.context.model.dirty") is False

    page.evaluate("() => { window.jupyterapp.shell.currentWidget.context.model.dirty = true; }")
    before = (lab.folder / "budget.ipynb").stat()
    save_workbook(page)
    after = (lab.folder / "budget.ipynb").stat()
    assert (before.st_ino, before.st_mtime_ns) != (after.st_ino, after.st_mtime_ns), "nothing was saved"
    assert (lab.folder / "budget.ipynb").read_bytes() == OWN.read_bytes()


def test_one_byte_more_and_nothing_runs(page: Page, lab: JobServer) -> None:
    (lab.folder / "budget.ipynb").write_bytes(OWN.read_bytes() + b" ")
    open_workbook(page, lab)
    assert not runs_by_itself(page)
    wait_for_kernel_idle(page)
    page.wait_for_timeout(LONG_ENOUGH_TO_START_MS)
    assert cells_run(page) == 0


def test_a_changed_workbook_opens_unrun_and_keeps_what_its_user_runs(page: Page, lab: JobServer) -> None:
    workbook = lab.folder / "budget.ipynb"
    _with_another_cell(workbook, "open('ran', 'w').write('forty-two')")
    open_workbook(page, lab)
    assert not runs_by_itself(page)
    wait_for_kernel_idle(page)
    page.wait_for_timeout(LONG_ENOUGH_TO_START_MS)
    assert not (lab.folder / "ran").exists()

    run_all_cells(page)
    save_workbook(page)
    assert (lab.folder / "ran").read_text() == "forty-two"
    last = json.loads(workbook.read_text("utf-8"))["cells"][-1]
    assert last["source"] == ["open('ran', 'w').write('forty-two')"]
    assert last["outputs"][0]["data"]["text/plain"] == ["9"]


def test_own_workbook_runs_under_another_name_and_no_module_of_the_job_folder_does(
    page: Page, lab: JobServer
) -> None:
    for name in ("mytakeoff", "ipywidgets", "ipykernel_launcher", "numpy"):
        (lab.folder / f"{name}.py").write_text("open('ran', 'w').close()\n")
    (lab.folder / "for the client.ipynb").write_bytes(OWN.read_bytes())
    open_workbook(page, lab, "for%20the%20client.ipynb")
    wait_until_run(page)
    assert not (lab.folder / "ran").exists()


def _with_another_cell(workbook: Path, source: str) -> None:
    """Add a code cell at the end of a workbook, as its user might."""
    notebook = json.loads(workbook.read_text("utf-8"))
    cell = {"cell_type": "code", "execution_count": None, "id": "added", "metadata": {}, "outputs": []}
    notebook["cells"].append({**cell, "source": [source]})
    workbook.write_text(json.dumps(notebook, indent=1), "utf-8")
