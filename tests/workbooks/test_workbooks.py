"""The package's workbooks as files. Their cells are run by nbval: `pytest --nbval-lax workbooks`.

nbval compares the printed totals with the ones stored in the file; a cell that ends in a panel carries the
tag `nbval-ignore-output`. To store new totals: run the workbook, look at them, and save it from an
ordinary JupyterLab with the panel's output cleared (one that `mytakeoff open` started saves the package's
own bytes).
"""

from __future__ import annotations

import ast
from pathlib import Path

import nbformat
import pytest

from mytakeoff.launch.own_workbooks import own_workbooks


@pytest.fixture(params=own_workbooks(), ids=lambda path: path.name)
def workbook(request: pytest.FixtureRequest) -> Path:
    path: Path = request.param
    return path


def test_it_is_written_as_jupyter_writes_it(workbook: Path) -> None:
    """Otherwise saving it unchanged would change its bytes, and it would no longer open by itself."""
    notebook = nbformat.read(workbook, as_version=nbformat.NO_CONVERT)
    nbformat.validate(notebook)
    assert nbformat.writes(notebook, version=nbformat.NO_CONVERT) + "\n" == workbook.read_text("utf-8")


def test_it_carries_no_widget_state_and_no_picture(workbook: Path) -> None:
    notebook = nbformat.read(workbook, as_version=4)
    assert "widgets" not in notebook.metadata
    kinds = {
        kind
        for cell in notebook.cells
        for output in cell.get("outputs", ())
        for kind in output.get("data", ())
    }
    assert kinds <= {"text/plain"}


def test_its_cells_only_call_the_package(workbook: Path) -> None:
    """No definitions, loops or sums: what a workbook needs, the package has."""
    notebook = nbformat.read(workbook, as_version=4)
    unwanted = (ast.FunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.While, ast.BinOp, ast.comprehension)
    for cell in notebook.cells:
        if cell.cell_type == "code":
            assert not [node for node in ast.walk(ast.parse(cell.source)) if isinstance(node, unwanted)], (
                cell.source
            )
