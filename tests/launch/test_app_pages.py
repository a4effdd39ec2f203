"""Without code, one server shows all workbooks of the package in a job folder, and nothing else of it."""

from __future__ import annotations

import shutil
import urllib.error
import urllib.request
from collections.abc import Iterator

import nbformat
import psutil
import pytest
from driving import JobServer, serving

from mytakeoff.launch.folder import new_job_folder
from mytakeoff.resources import FIRST_WORKBOOK, JOB_WORKBOOKS

ANSWER_S = 120
OTHERS = {
    "strange.ipynb": "print('strange')",
    "copy of budget.ipynb": "",
    "inside/budget.ipynb": "",
}
REFUSED = (
    "strange.ipynb", "copy%20of%20budget.ipynb", "inside/budget.ipynb", "./inside/../inside/budget.ipynb",
    "budget.ipynb/", "budget.ipynb/inside", "budgetxipynb", "budget", "BUDGET.IPYNB",
    "..%2Fjob%2Fbudget.ipynb",
    "job.toml", "prices.csv", "surveys/party-wall.csv", "surveys", "picture.png",
    "files/job.toml", "notebooks/budget.ipynb", "tree", "api/contents", "api/contents/budget.ipynb",
    "voila/tree", "voila/tree/", "voila/render/budget.ipynb", "voila/render/strange.ipynb",
    "voila/files/picture.png", "voila/files/job.toml", "voila/api/contents", "voila/api/contents/job.toml",
)  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """The demo job without code, with more in its folder than the package put there."""
    folder = new_job_folder(tmp_path_factory.mktemp("pages") / "job", demo=True)
    (folder / "inside").mkdir()
    for name, source in OTHERS.items():
        if source:
            cells = [nbformat.v4.new_code_cell(source)]
            nbformat.write(nbformat.v4.new_notebook(cells=cells), folder / name)
        else:
            shutil.copy(folder / "budget.ipynb", folder / name)
    (folder / "picture.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    with serving(folder, tmp_path_factory.mktemp("scratch"), "--app") as server:
        yield server


def answer(server: JobServer, path: str, token: bool = True) -> tuple[int, str, str]:
    """Status, address in the end and text of what the server answers."""
    headers = {"Authorization": f"token {server.token}"} if token else {}
    request = urllib.request.Request(f"{server.root}/{path}", headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=ANSWER_S) as got:
            return got.status, got.url, got.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.url, f"{error.reason} {error.read().decode()}"


def kernels(server: JobServer) -> int:
    below = psutil.Process(server.pid).children(recursive=True)
    return sum("mytakeoff.launch.kernel" in each.cmdline() for each in below)


@pytest.mark.parametrize("name", JOB_WORKBOOKS)
def test_each_workbook_is_a_page_of_the_one_server(server: JobServer, name: str) -> None:
    status, _, text = answer(server, f"{name}.ipynb")
    assert status == 200
    assert f"<title>mytakeoff: {name}</title>" in text
    assert f"Opening {name.replace('-', ' ')}" in text.replace('" + "', "").replace('"', "")
    assert "import mytakeoff" not in text, "sources are left out"


def test_the_first_is_at_the_root(server: JobServer) -> None:
    assert f"<title>mytakeoff: {FIRST_WORKBOOK}</title>" in answer(server, "")[2]


def test_nothing_else_of_the_folder_is_served_and_no_list_of_it(server: JobServer) -> None:
    before = kernels(server)
    for path in REFUSED:
        status, _, text = answer(server, path)
        assert status == 404, path
        assert "strange.ipynb" not in text.replace(path, ""), path
    assert kernels(server) <= before + 1, "the one that is ready, at most"


def test_each_page_wants_the_token(server: JobServer) -> None:
    for path in ("", *(f"{name}.ipynb" for name in JOB_WORKBOOKS)):
        assert "/login" in answer(server, path, token=False)[1], path


def test_a_changed_copy_is_refused_and_the_others_are_shown(server: JobServer) -> None:
    workbook = server.folder / "options.ipynb"
    own, ran = workbook.read_bytes(), server.folder / "ran"
    notebook = nbformat.reads(own.decode(), nbformat.NO_CONVERT)
    notebook.cells.append(nbformat.v4.new_code_cell("open('ran', 'w').close()", id="added"))
    nbformat.write(notebook, workbook)
    status, _, text = answer(server, "options.ipynb")
    assert status == 403
    assert "changed and does not run here" in text
    assert "href='survey.ipynb'" in text, "the way to the others"
    assert "http" not in text, "another machine is asked for something"
    assert answer(server, "survey.ipynb")[0] == 200
    assert not ran.exists()
    workbook.unlink()
    assert answer(server, "options.ipynb")[0] == 404
    workbook.write_bytes(own)
    assert answer(server, "options.ipynb")[0] == 200
