"""The package's own workbooks: told apart by their bytes, and kept byte for byte when they are saved."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import nbformat
import pytest
from jupyter_server.services.contents.filemanager import AsyncFileContentsManager
from tornado.ioloop import IOLoop
from traitlets.config import Config

from mytakeoff.launch.own_workbooks import is_own, keep_own_bytes, own_workbooks

OWN = own_workbooks()[0]


def own_content() -> dict[str, Any]:
    content: dict[str, Any] = json.loads(OWN.read_text("utf-8"))
    return content


def as_run(content: dict[str, Any]) -> dict[str, Any]:
    """What JupyterLab makes of a notebook by opening, trusting and running it."""
    run = copy.deepcopy(content)
    for count, cell in enumerate(run["cells"], start=1):
        cell["metadata"] = {**cell["metadata"], "trusted": True}
        if cell["cell_type"] == "code":
            stream = {"output_type": "stream", "name": "stdout", "text": "a result"}
            cell.update(execution_count=count, outputs=[stream])
            cell["metadata"]["execution"] = {"shell.execute_reply": "2030-01-01T00:00:00Z"}
    run["metadata"]["language_info"] = {"name": "python", "version": "3.99.0"}
    run["metadata"]["widgets"] = {"application/vnd.jupyter.widget-state+json": {"state": {}}}
    return run


def saved(folder: Path, content: dict[str, Any]) -> bytes:
    """Save a notebook through Jupyter's own contents manager, as JupyterLab's save does."""
    hook = {"FileContentsManager": {"pre_save_hook": "mytakeoff.launch.own_workbooks.keep_own_bytes"}}
    manager = AsyncFileContentsManager(root_dir=str(folder), config=Config(hook))
    model = {"type": "notebook", "format": "json", "content": content}
    loop = IOLoop(make_current=False)
    try:
        loop.run_sync(lambda: manager.save(model, "any name.ipynb"))
    finally:
        loop.close(all_fds=True)
    return (folder / "any name.ipynb").read_bytes()


@pytest.mark.parametrize("own", own_workbooks(), ids=lambda path: path.name)
def test_own_is_told_by_every_byte(tmp_path: Path, own: Path) -> None:
    copied = tmp_path / "under another name.ipynb"
    copied.write_bytes(own.read_bytes())
    assert is_own(copied)
    copied.write_bytes(own.read_bytes() + b"\n")
    assert not is_own(copied)


@pytest.mark.parametrize("own", own_workbooks(), ids=lambda path: path.name)
def test_own_run_and_saved_is_own_again(tmp_path: Path, own: Path) -> None:
    content = json.loads(own.read_text("utf-8"))
    assert saved(tmp_path, as_run(content)) == own.read_bytes()


def _another_source(content: dict[str, Any]) -> None:
    content["cells"][-1]["source"] = "print('mine')"


def _a_cell_more(content: dict[str, Any]) -> None:
    content["cells"].append(nbformat.v4.new_markdown_cell("mine", id="mine"))


def _a_cell_less(content: dict[str, Any]) -> None:
    del content["cells"][-1]


def _another_order(content: dict[str, Any]) -> None:
    content["cells"].reverse()


def _code_shown(content: dict[str, Any]) -> None:
    content["cells"][-1]["metadata"]["jupyter"] = {"source_hidden": "not as it came"}


def _another_kernel(content: dict[str, Any]) -> None:
    content["metadata"]["kernelspec"]["name"] = "another"


def _a_tag(content: dict[str, Any]) -> None:
    content["cells"][0]["metadata"]["tags"] = ["mine"]


@pytest.mark.parametrize(
    "change",
    [_another_source, _a_cell_more, _a_cell_less, _another_order, _code_shown, _another_kernel, _a_tag],
    ids=lambda change: change.__name__.strip("_"),
)
def test_a_changed_workbook_is_saved_as_its_user_left_it(change: Any) -> None:
    content = as_run(own_content())
    change(content)
    model = {"type": "notebook", "content": content}
    before = copy.deepcopy(model)
    keep_own_bytes(model, path="budget.ipynb", contents_manager=None)
    assert model == before


def test_results_of_a_changed_workbook_reach_the_disk(tmp_path: Path) -> None:
    content = as_run(own_content())
    _another_source(content)
    last = json.loads(saved(tmp_path, content))["cells"][-1]
    assert last["source"] == ["print('mine')"]
    assert last["outputs"][0]["text"] == ["a result"]


@pytest.mark.parametrize("kind", ["file", "directory"])
def test_what_is_no_notebook_is_left_alone(kind: str) -> None:
    model = {"type": kind, "content": "text"}
    keep_own_bytes(model, path="prices.csv", contents_manager=None)
    assert model == {"type": kind, "content": "text"}
