"""Whatever lies in a job folder, nothing in it is obeyed: not by a server, a kernel, a page or the command.

The files are those that `strange_folder` lays out. What the libraries of today look for in the working folder
was read off a system-call trace of JupyterLab, Voila, kernel and command.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import nbformat
import pytest
from driving import JobServer, console_script, own_environment, serving
from jupyter_client.blocking.client import BlockingKernelClient
from places import CHECKOUT
from strange_folder import LINE_WIDTH, MARKS, STYLE, TOKEN, lay_out, marks_of

from mytakeoff.launch.folder import new_job_folder
from mytakeoff.resources import FIRST_WORKBOOK

FIRST = f"{FIRST_WORKBOOK}.ipynb"
ANSWER_S = 120
ASKED = """
import json, os, sys, matplotlib
import mytakeoff.panels.setting_panel.panel, mytakeoff.panels.budget_panel.panel
import laspy, pye57, IPython, nbformat, pandas, numpy.random
told = [matplotlib.rcParams["lines.linewidth"], matplotlib.matplotlib_fname(), os.getcwd(), sys.path]
with open(os.environ["CANARY_MARKS"] + "/../told.json", "w") as file:
    json.dump(told, file)
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo job with everything that a stranger may leave in it."""
    folder = new_job_folder(tmp_path / "job", demo=True)
    (folder / "README.md").unlink()
    lay_out(folder)
    return folder


@pytest.fixture
def marks(tmp_path: Path) -> Path:
    """Where whatever runs leaves its mark."""
    (tmp_path / "marks").mkdir()
    return tmp_path / "marks"


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    """Jupyter's own files."""
    (tmp_path / "scratch").mkdir()
    return tmp_path / "scratch"


@contextmanager
def served(folder: Path, scratch: Path, marks: Path, *flags: str, **more: str) -> Iterator[JobServer]:
    """A server that was started from within the folder, as one who changes into it first does."""
    own = {MARKS: str(marks), "TMPDIR": str(scratch)}
    with serving(folder, scratch, *flags, cwd=folder, **own, **more) as server:
        yield server


def fetched(server: JobServer, path: str, method: str = "GET", body: bytes | None = None) -> str:
    """What the server answers."""
    headers = {"Authorization": f"token {server.token}"}
    request = urllib.request.Request(server.root + path, body, headers, method=method)
    with urllib.request.urlopen(request, timeout=ANSWER_S) as answer:
        return str(answer.read().decode())


def kernel_of(scratch: Path) -> Path:
    """Where the only kernel of a server says how to reach it, as soon as it does."""
    for _ in range(10 * ANSWER_S):
        if found := [path for path in scratch.rglob("kernel-*.json") if path.stat().st_size]:
            return found[0]
        time.sleep(0.1)
    raise AssertionError("no kernel was started")


def ask_kernel(scratch: Path) -> None:
    """Have the only kernel of a server load what a workbook does, and say what it works with."""
    client = BlockingKernelClient(connection_file=str(kernel_of(scratch)))
    client.load_connection_file()
    client.start_channels()
    try:
        reply = client.execute(ASKED, reply=True, timeout=ANSWER_S)
    finally:
        client.stop_channels()
    assert reply["content"]["status"] == "ok", reply["content"]


def check_kernel(scratch: Path, folder: Path) -> None:
    """The kernel works in the folder, with settings and modules from elsewhere."""
    ask_kernel(scratch)
    line_width, settings, place, path = json.loads((scratch.parent / "told.json").read_text())
    assert line_width != LINE_WIDTH
    assert not Path(settings).is_relative_to(folder)
    assert Path(place) == folder
    assert not {str(folder), "", "."} & set(path)


def test_jupyterlab_obeys_nothing_in_the_folder(folder: Path, scratch: Path, marks: Path) -> None:
    strange = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("hello")])
    nbformat.write(strange, folder / "strange.ipynb")
    with served(folder, scratch, marks) as server:
        assert server.token != TOKEN
        page = fetched(server, "/lab")
        assert TOKEN not in page.replace(folder.name, "")
        assert "python3" in fetched(server, "/api/kernelspecs")
        assert "html" in fetched(server, "/api/nbconvert")
        assert "hello" in fetched(server, "/nbconvert/html/strange.ipynb")
        assert "hello" in fetched(server, "/nbconvert/script/strange.ipynb")
        assert "canary" not in fetched(server, "/lab/api/settings")
        check_kernel(scratch, folder)
    assert marks_of(marks) == set()


def test_the_app_obeys_nothing_in_the_folder(folder: Path, scratch: Path, marks: Path) -> None:
    with served(folder, scratch, marks, "--app") as server:
        assert server.token != TOKEN
        page = fetched(server, "/")
        assert STYLE not in page
        assert "import mytakeoff" not in page, "sources are left out"
        check_kernel(scratch, folder)
    assert marks_of(marks) == set()


def test_an_empty_entry_of_the_search_path_is_not_the_job_folder(
    folder: Path, scratch: Path, marks: Path
) -> None:
    """``PYTHONPATH=$PYTHONPATH:/more`` with nothing set before is a common way to get one."""
    path = {"PYTHONPATH": os.pathsep.join((str(CHECKOUT), "", "."))}
    with serving(folder, scratch, **{MARKS: str(marks)}, **path):
        check_kernel(scratch, folder)
    assert marks_of(marks) == set()


@pytest.mark.parametrize("command", [["form", "."], ["new", "another"]], ids=lambda command: command[0])
@pytest.mark.parametrize("as_module", [False, True], ids=["mytakeoff", "python -P -m"])
def test_the_command_obeys_nothing_in_the_folder_it_is_given_in(
    folder: Path, scratch: Path, marks: Path, command: list[str], as_module: bool
) -> None:
    """``python -m`` without ``-P`` imports from the working folder before any of ours is asked."""
    module = [sys.executable, "-P", "-m", "mytakeoff.launch.command"]
    run = subprocess.run(
        [*(module if as_module else console_script(scratch)), *command],
        cwd=folder,
        env={**own_environment(scratch), MARKS: str(marks)},
        capture_output=True,
        text=True,
        timeout=ANSWER_S,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert (folder / ("forms" if command[0] == "form" else "another")).is_dir()
    assert marks_of(marks) == set()


def test_a_workbook_changed_after_the_app_was_started_does_not_run(tmp_path: Path, scratch: Path) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    own = (folder / FIRST).read_bytes()
    ran = tmp_path / "ran"
    with serving(folder, scratch, "--app") as server:
        notebook = nbformat.reads(own.decode(), nbformat.NO_CONVERT)
        notebook.cells.append(nbformat.v4.new_code_cell(f"open({str(ran)!r}, 'w').close()", id="added"))
        nbformat.write(notebook, folder / FIRST)
        with pytest.raises(urllib.error.HTTPError, match="changed and does not run here"):
            fetched(server, "/")
        assert not ran.exists()
        (folder / FIRST).write_bytes(own)
        assert "mytakeoff: budget" in fetched(server, "/")
