"""A strange notebook in the job folder is shown, and nothing of it runs: neither in kernel nor page."""

from __future__ import annotations

import json
from pathlib import Path

import nbformat
import pytest
from anywidget import AnyWidget
from driving import JobServer, cells_run, open_workbook, runs_by_itself, wait_for_kernel_idle
from playwright.sync_api import Page

from mytakeoff.resources import workbooks_folder

OWN = workbooks_folder() / "budget.ipynb"
LONG_ENOUGH_TO_START_MS = 1500
SETS = "window.strangeRan = true; document.documentElement.dataset.strange = 'ran'"
SHOWN = "a strange notebook's own words"
PICTURE = f'<img src="data:image/png;base64,AAAA" onerror="{SETS}">'
SVG = "http://www.w3.org/2000/svg"
WIDGET = "strange-widget"
ANYWIDGET = AnyWidget().get_state()["_model_module_version"]

ANY_TRUSTED = """() => Array.from(window.jupyterapp.shell.currentWidget.content.model.cells)
  .some((cell) => cell.type === "code" && cell.trusted)"""

# Each is an output that a notebook brings along from where it was run last.
OUTPUTS = {
    "html": {"text/html": f"<script>{SETS}</script>{PICTURE}"},
    "javascript": {"application/javascript": SETS, "text/javascript": SETS},
    "svg": {"image/svg+xml": f"<svg xmlns='{SVG}' onload=\"{SETS}\"><script>{SETS}</script></svg>"},
    "markdown": {"text/markdown": f"{PICTURE} [link](javascript:{SETS.replace(' ', '%20')})"},
    "latex": {"text/latex": f"$\\href{{javascript:{SETS}}}{{x}}$ {PICTURE}"},
    "widget": {
        "application/vnd.jupyter.widget-view+json":
            {"model_id": WIDGET, "version_major": 2, "version_minor": 0}
    },
}  # fmt: skip


def _strange(folder: Path) -> None:
    """A notebook that would leave a mark in the folder if it ran, and in the page if its results did."""
    outputs = [nbformat.v4.new_output("display_data", data) for data in OUTPUTS.values()]
    cells = [
        nbformat.v4.new_markdown_cell(f"{SHOWN} {PICTURE} <script>{SETS}</script>"),
        nbformat.v4.new_code_cell("open('ran', 'w').close()", outputs=outputs, metadata={"trusted": True}),
        nbformat.v4.new_raw_cell(f"<script>{SETS}</script>"),
    ]
    notebook = nbformat.v4.new_notebook(cells=cells)
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    # a widget whose own script comes with the notebook, and one that shows HTML as it stands
    esm = {"_esm": f"{SETS}; export default {{ render() {{ {SETS} }} }}", "_model_module": "anywidget"}
    state = {
        WIDGET: {
            "model_name": "AnyModel", "model_module": "anywidget", "model_module_version": ANYWIDGET,
            "state": {**esm, "_model_name": "AnyModel", "_view_name": "AnyView", "_view_module": "anywidget",
                      "_model_module_version": ANYWIDGET, "_view_module_version": ANYWIDGET},
        },
    }  # fmt: skip
    notebook.metadata["widgets"] = {
        "application/vnd.jupyter.widget-state+json": {"state": state, "version_major": 2, "version_minor": 0}
    }
    nbformat.write(notebook, folder / "strange.ipynb")


def _check_nothing_ran(page: Page, folder: Path) -> None:
    assert not runs_by_itself(page)
    wait_for_kernel_idle(page)
    page.wait_for_timeout(LONG_ENOUGH_TO_START_MS)
    assert not (folder / "ran").exists()
    assert page.evaluate("() => window.strangeRan") is None
    assert page.evaluate("() => document.documentElement.dataset.strange") is None


def test_a_strange_notebook_is_shown_and_neither_its_cells_nor_its_results_run(
    page: Page, lab: JobServer
) -> None:
    _strange(lab.folder)
    open_workbook(page, lab, "strange.ipynb")
    assert SHOWN in page.locator(".jp-NotebookPanel").inner_text()
    _check_nothing_ran(page, lab.folder)
    assert page.evaluate(ANY_TRUSTED) is False, "the notebook's own word for it was taken"


@pytest.mark.parametrize("at", ["source", "result"])
def test_own_workbook_with_one_byte_changed_stays_unrun(page: Page, lab: JobServer, at: str) -> None:
    notebook = json.loads(OWN.read_text("utf-8"))
    cell = next(cell for cell in notebook["cells"] if cell["cell_type"] == "code")
    if at == "source":
        cell["source"][-1] = cell["source"][-1].replace("panel", "Panel")
    else:
        cell["outputs"] = [nbformat.v4.new_output("display_data", OUTPUTS["html"])]
    (lab.folder / "budget.ipynb").write_text(json.dumps(notebook, indent=1) + "\n", "utf-8")
    open_workbook(page, lab)
    _check_nothing_ran(page, lab.folder)
    assert cells_run(page) == 0
