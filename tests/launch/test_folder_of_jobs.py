"""A folder of job folders: how it is opened, what it gets, and what is shown of it without code."""

from __future__ import annotations

import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from driving import JobServer, serving

from mytakeoff.launch import server as server_module
from mytakeoff.launch.command import main
from mytakeoff.launch.folder import first_workbook, new_job_folder
from mytakeoff.panels.parts.frame import links_between
from mytakeoff.resources import JOB_WORKBOOKS, JOBS_SHOWN, JOBS_WORKBOOK, workbooks_folder

ANSWER_S = 120


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with a job in it, and something else."""
    new_job_folder(tmp_path / "firm" / "flat", demo=True)
    (tmp_path / "firm" / "notes").mkdir()
    return tmp_path / "firm"


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What would be served, in place of serving it."""
    opened: list[Path] = []
    for name in ("serve_lab", "serve_app"):
        monkeypatch.setattr(server_module, name, lambda workbook, **_: opened.append(workbook))
    return opened


def test_it_opens_with_the_table_of_all_and_gets_that_workbook_alone(
    place: Path, started: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["open", str(place), "--app"]) == 0
    assert started == [place / "jobs.ipynb"]
    own = workbooks_folder() / "jobs.ipynb"
    assert (place / "jobs.ipynb").read_bytes() == own.read_bytes()
    assert [each.name for each in place.glob("*.ipynb")] == ["jobs.ipynb"]
    first, *lines = capsys.readouterr().out.splitlines()
    assert "links to the others" not in first
    assert [line.split()[0] for line in lines] == [JOBS_WORKBOOK]
    assert not (place / "flat" / "jobs.ipynb").exists()


def test_a_job_that_holds_job_folders_is_opened_as_a_job(place: Path) -> None:
    new_job_folder(place / "flat" / "another")
    assert first_workbook(place / "flat") == "budget"


@pytest.mark.parametrize(
    ("folder", "workbook", "remedy"),
    [(".", "budget", "name the folder of one of them"), ("flat", "jobs", "the folder that this job lies in")],
)
def test_a_workbook_that_is_not_of_the_folder_is_told(
    place: Path,
    started: list[Path],
    capsys: pytest.CaptureFixture[str],
    folder: str,
    workbook: str,
    remedy: str,
) -> None:
    assert main(["open", str(place / folder), "--workbook", workbook]) == 2
    assert remedy in capsys.readouterr().err
    assert started == []


def test_only_where_all_jobs_are_shown_does_a_job_lead_back_to_them(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = str(place / "flat")
    monkeypatch.delenv(JOBS_SHOWN, raising=False)
    assert "jobs.ipynb" not in links_between("", job)
    monkeypatch.setenv(JOBS_SHOWN, str(place))
    assert links_between("", job).index("../jobs.ipynb") < links_between("", job).index("job.ipynb'")
    monkeypatch.setenv(JOBS_SHOWN, str(place.parent))
    assert "jobs.ipynb" not in links_between("", job)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobServer]:
    """Two jobs without code, and things beside them that are none."""
    place = tmp_path_factory.mktemp("pages") / "firm"
    for name in ("flat", "flat 2 & more", "deep/inside", ".hidden"):
        new_job_folder(place / name, demo=True)
    new_job_folder(place.parent / "neighbour", demo=True)
    new_job_folder(place / "none")
    (place / "none" / "job.toml").unlink()
    (place / "flat" / "strange.ipynb").write_text("{}")
    with serving(place, tmp_path_factory.mktemp("scratch"), "--app") as server:
        yield server


def answer(server: JobServer, path: str, token: bool = True, host: str = "") -> tuple[int, str, str]:
    headers = {"Authorization": f"token {server.token}"} if token else {}
    request = urllib.request.Request(
        f"{server.root}/{path}", headers=headers | ({"Host": host} if host else {})
    )
    try:
        with urllib.request.urlopen(request, timeout=ANSWER_S) as got:
            return got.status, got.url, got.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.url, error.read().decode()


@pytest.mark.parametrize("path", ["", "jobs.ipynb", "flat/budget.ipynb", "flat%202%20%26%20more/job.ipynb"])
def test_each_workbook_of_each_job_is_a_page(pages: JobServer, path: str) -> None:
    status, _, text = answer(pages, path)
    assert status == 200
    name = path.rpartition("/")[2].removesuffix(".ipynb") or "jobs"
    assert f"<title>mytakeoff: {name}</title>" in text
    assert "import mytakeoff" not in text
    assert "/login" in answer(pages, path, token=False)[1]


@pytest.mark.parametrize(
    "path",
    [
        "budget.ipynb", "flat/jobs.ipynb", "flat/strange.ipynb", "flat/job.toml", "flat/", "flat", "notes",
        "none/budget.ipynb", ".hidden/budget.ipynb", "deep/inside/budget.ipynb", "deep%2Finside/budget.ipynb",
        "..%2Fneighbour/budget.ipynb", "%2e%2e/neighbour/budget.ipynb",
        "%2e%2e%2fneighbour%2fbudget.ipynb/budget.ipynb",
        "%2e/budget.ipynb", "flat%2Fbudget.ipynb", "flat/budget.ipynb/", "jobs-kept.json",
    ],
)  # fmt: skip
def test_nothing_else_is_shown(pages: JobServer, path: str) -> None:
    status, _, text = answer(pages, path)
    assert status == 404, path
    assert "neighbour" not in text.replace(path, "")


def test_who_asks_by_another_name_of_the_machine_gets_no_answer(pages: JobServer) -> None:
    """As a page of somebody's would, whose name was made to point here."""
    assert answer(pages, "jobs.ipynb", host="somebody.example")[0] == 403
    assert answer(pages, "login", host="somebody.example:80")[0] == 403


def test_a_changed_workbook_of_a_job_does_not_run(pages: JobServer) -> None:
    workbook = pages.folder / "flat" / "options.ipynb"
    own = workbook.read_text("utf-8")
    workbook.write_text(own.replace("panel = options(job)", "open('ran', 'w')"), "utf-8")
    status, _, text = answer(pages, "flat/options.ipynb")
    workbook.write_text(own, "utf-8")
    assert status == 403
    assert "href='survey.ipynb'" in text, "the way to the others of the job"
    assert not (pages.folder / "flat" / "ran").exists()


@pytest.mark.parametrize(
    "address",
    ["office.example", "ftp://office.example/", "https://", "https://a@office.example/", "https://office.example/?a",
     "https://office.example/a b/", "https://office.example//b/", "https://office.example/%2e%2e/"],
)  # fmt: skip
def test_a_public_address_that_is_none_is_told(
    place: Path, started: list[Path], capsys: pytest.CaptureFixture[str], address: str
) -> None:
    assert main(["open", str(place), "--public-address", address]) == 2
    assert "as --public-address https://office.example/takeoff/" in capsys.readouterr().err
    assert started == []


def test_behind_a_proxy_each_server_still_hears_this_machine_only(place: Path) -> None:
    public = "https://office.example/takeoff/"
    lab = server_module.lab_arguments(place / "jobs.ipynb", public=public)
    app = server_module.app_arguments(place / "jobs.ipynb", public=public)
    assert {"--ServerApp.ip=127.0.0.1", "--ServerApp.base_url=/takeoff/"} <= set(lab)
    assert {"--Voila.ip=127.0.0.1", "--Voila.base_url=/takeoff/"} <= set(app)
    for arguments, names in ((lab, "--ServerApp.local_hostnames"), (app, "--JobApp.hostnames")):
        assert [each for each in arguments if each.startswith(names)] == [f"{names}=office.example"]
        assert "--IdentityProvider.secure_cookie=True" in arguments
        assert not any("allow_remote_access" in each or "allow_origin" in each for each in arguments)
    assert not any("secure_cookie" in each for each in server_module.app_arguments(place / "jobs.ipynb"))
    assert JOBS_WORKBOOK not in JOB_WORKBOOKS
