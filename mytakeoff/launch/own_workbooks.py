"""Which workbook is the package's own, byte for byte, and how a saved one stays it.

A workbook from anywhere else can hold any program, so only the package's own may run without a click.
JupyterLab writes results and its own notes into every notebook that it saves; `keep_own_bytes` leaves
both out of a workbook whose cells nobody changed, so that it is still the package's own the next time.
Anything else is left to Jupyter's ordinary trust.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import nbformat

from mytakeoff.resources import workbooks_folder

# Written by JupyterLab when it shows or runs a cell; none of them is anything that runs.
_NOTES_ON_A_CELL = ("trusted", "execution")


def own_workbooks() -> tuple[Path, ...]:
    """Return the package's workbooks, in the order of their names."""
    return tuple(sorted(workbooks_folder().glob("*.ipynb")))


def own_hashes() -> tuple[str, ...]:
    """SHA-256 of each of the package's workbooks, in hexadecimal."""
    return tuple(file_hash(workbook) for workbook in own_workbooks())


def file_hash(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def is_own(path: Path) -> bool:
    """Tell whether a workbook is byte for byte one of the package's own."""
    return file_hash(path) in own_hashes()


def keep_own_bytes(model: dict[str, Any], **_from_server: Any) -> None:
    """Before a save, put the package's own content in place of a run but unchanged copy of it.

    Jupyter's contents manager calls this with what it is about to write (its *pre-save hook*). A workbook
    with any cell changed, added, moved or taken out, or with another kernel, is left exactly as it is.

    Parameters
    ----------
    model : dict
        Jupyter's contents model: `type` ("notebook" where it matters) and `content`. Changed in place.
    """
    if model.get("type") != "notebook":
        return
    own = runs_as_own(model["content"])
    if own is not None:
        model["content"] = nbformat.from_dict(own)


def runs_as_own(notebook: Mapping[str, Any]) -> nbformat.NotebookNode | None:
    """Return the package's own workbook that runs as this notebook does, none if there is none."""
    return next((own for own in _own_contents() if what_runs(own) == what_runs(notebook)), None)


def what_runs(notebook: Mapping[str, Any]) -> tuple[object, ...]:
    """Reduce a notebook to what it would run and how it looks before it has: its kernel and its cells.

    Examples
    --------
    >>> cell = {"cell_type": "code", "id": "a", "source": "1 + 1", "metadata": {"trusted": True}}
    >>> run = {**cell, "outputs": ["2"], "execution_count": 3}
    >>> what_runs({"cells": [cell]}) == what_runs({"cells": [run]})
    True
    >>> what_runs({"cells": [cell]}) == what_runs({"cells": [{**cell, "source": "1 + 2"}]})
    False
    """
    kernel = notebook.get("metadata", {}).get("kernelspec", {}).get("name")
    return (kernel, *(_cell_that_runs(cell) for cell in notebook.get("cells", ())))


def _cell_that_runs(cell: Mapping[str, Any]) -> dict[str, Any]:
    """Take the results and Jupyter's notes off a cell."""
    kept = {key: value for key, value in cell.items() if key not in ("outputs", "execution_count")}
    notes = cell.get("metadata", {})
    kept["metadata"] = {key: value for key, value in notes.items() if key not in _NOTES_ON_A_CELL}
    kept["source"] = "".join(cell["source"])
    return kept


@cache
def _own_contents() -> tuple[nbformat.NotebookNode, ...]:
    """Read the package's workbooks once: they don't change while a server runs."""
    return tuple(nbformat.read(workbook, as_version=nbformat.NO_CONVERT) for workbook in own_workbooks())
