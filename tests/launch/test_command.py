"""The command: what it starts, and what it says when it cannot."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from done_jobs import lay_out

import mytakeoff as mt
from mytakeoff.launch import server
from mytakeoff.launch.command import main
from mytakeoff.launch.folder import first_workbook, new_job_folder
from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import FIRST_WORKBOOK, JOB_WORKBOOKS, NEW_WORKBOOK, WORKBOOK_PANELS

Started = list[tuple[str, Path, dict[str, Any]]]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> Started:
    """Note what would be served, in place of serving it."""
    calls: Started = []

    def noting(name: str) -> Callable[..., None]:
        return lambda workbook, **options: calls.append((name, workbook, options))

    monkeypatch.setattr(server, "serve_lab", noting("lab"))
    monkeypatch.setattr(server, "serve_app", noting("app"))
    return calls


def test_new_says_what_comes_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "job"
    assert main(["new", str(folder)]) == 0
    assert (folder / "job.toml").is_file()
    assert f"mytakeoff open {folder}" in capsys.readouterr().out


def test_what_comes_next_can_be_typed_as_it_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["new", "Квартира 3 — été"]) == 0
    assert 'mytakeoff open "Квартира 3 — été"' in capsys.readouterr().out
    assert main(["open", "no flat"]) == 2
    assert 'mytakeoff new "no flat"' in capsys.readouterr().err


def test_new_begins_with_what_finished_jobs_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = lay_out(tmp_path / "jobs", 1, 2, denser=1.06, wasted=0.15)
    shutil.copytree(jobs / "job 1", jobs / "copy")
    assert main(["new", str(jobs / "next"), "--learn-from", str(jobs)]) == 0
    job, lessons = mt.open_job(jobs / "next"), mt.learn_from(jobs)
    assert job.waste_share == pytest.approx(lessons.named("waste").value, abs=1e-4)
    assert "waste" in [each.name for each in job.learnt if each.taken]
    said = capsys.readouterr().out
    assert "waste: 10.0\xa0% → 12.5\xa0%. Your waste came to 15.0\xa0%" in said
    assert "Not learnt from: job 1: the same readings as copy" in said
    assert "Open it with: mytakeoff open" in said


def test_a_job_that_is_done_takes_nothing_from_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As on the job sheet: what was agreed of it stays."""
    jobs = lay_out(tmp_path / "jobs", 1, denser=1.06, wasted=0.15)
    assert main(["new", str(tmp_path / "demo"), "--demo", "--learn-from", str(jobs)]) == 0
    assert mt.open_job(tmp_path / "demo").learnt == ()
    assert "is done: what was agreed of it stays" in capsys.readouterr().out


def test_new_makes_nothing_where_the_finished_jobs_cannot_be_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / "next"), "--learn-from", str(tmp_path / "nowhere")]) == 2
    assert "cannot be read" in capsys.readouterr().err
    assert not (tmp_path / "next").exists()
    (tmp_path / "none").mkdir()
    assert main(["new", str(tmp_path / "next"), "--learn-from", str(tmp_path / "none")]) == 0
    assert "offer nothing" in capsys.readouterr().out


def test_new_in_a_full_folder_is_one_line_and_code_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "notes.txt").write_text("keep")
    assert main(["new", str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == [said.err.strip()]
    assert str(tmp_path) in said.err


def test_open_demo_makes_the_demo_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, started: Started
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["open", "--demo", "--no-browser"]) == 0
    job = tmp_path / "mytakeoff-demo" / "job.toml"
    job.write_text(job.read_text("utf-8") + "\n# mine\n", "utf-8")
    assert main(["open", "--demo"]) == 0
    assert job.read_text("utf-8").endswith("# mine\n")
    workbook = tmp_path / "mytakeoff-demo" / "budget.ipynb"
    assert started == [("lab", workbook, {"browser": False}), ("lab", workbook, {"browser": True})]


def test_open_adds_a_workbook_that_is_missing(tmp_path: Path, started: Started) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    (folder / "budget.ipynb").unlink()
    assert main(["open", str(folder), "--workbook", "budget", "--app", "--port", "9000"]) == 0
    assert started == [("app", folder / "budget.ipynb", {"browser": True, "port": 9000})]
    assert (folder / "budget.ipynb").is_file()


def test_open_says_that_a_changed_workbook_waits(
    tmp_path: Path, started: Started, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = new_job_folder(tmp_path / "job")
    with (folder / "budget.ipynb").open("a") as workbook:
        workbook.write("\n")
    assert main(["open", str(folder)]) == 0
    assert "opens unrun" in capsys.readouterr().out


def test_open_says_which_workbooks_there_are_and_what_each_is_for(
    tmp_path: Path, started: Started, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    assert main(["open", str(folder), "--workbook", "options"]) == 0
    first, *lines = capsys.readouterr().out.splitlines()
    assert str(folder) in first
    assert [line.split()[0] for line in lines] == list(JOB_WORKBOOKS)
    assert [line for line in lines if "opens now" in line] == [lines[list(JOB_WORKBOOKS).index("options")]]
    assert all(line.split("  ")[-1] for line in lines)


@pytest.fixture
def job_workbook(monkeypatch: pytest.MonkeyPatch) -> None:
    """A package whose workbooks include the one that a job is entered in."""
    monkeypatch.setitem(WORKBOOK_PANELS, NEW_WORKBOOK, "of no matter here")


@pytest.mark.usefixtures("job_workbook")
def test_a_job_is_opened_where_it_is_entered_until_a_wall_has_readings(tmp_path: Path) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    assert first_workbook(folder) == FIRST_WORKBOOK
    shutil.rmtree(folder / "surveys")
    assert first_workbook(folder) == NEW_WORKBOOK
    (folder / "job.toml").write_text('title = "new"\n')
    assert first_workbook(folder) == NEW_WORKBOOK


@pytest.mark.usefixtures("job_workbook")
@pytest.mark.parametrize(
    "text", ["wall = 3", "[[wall]]\nsurvey = 3", "[[wall]]\nsurvey.file = ['a']", "wall = [1]"]
)
def test_a_job_that_says_something_odd_of_its_walls_is_opened_all_the_same(tmp_path: Path, text: str) -> None:
    (tmp_path / "job.toml").write_text(text)
    assert first_workbook(tmp_path) == NEW_WORKBOOK


@pytest.mark.usefixtures("job_workbook")
@pytest.mark.parametrize("text", [b"[[wall", b"\xff\xfe"])
def test_a_job_that_cannot_be_read_is_told_where_any_job_opens(tmp_path: Path, text: bytes) -> None:
    (tmp_path / "job.toml").write_bytes(text)
    assert first_workbook(tmp_path) == FIRST_WORKBOOK


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["open"], "open needs a job folder"),
        (["open", "nowhere"], "make it with: mytakeoff new nowhere"),
        (["open", "."], "no job.toml in it"),
    ],
)
def test_a_mistake_is_told_with_its_remedy(
    arguments: list[str],
    message: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    started: Started,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    assert message in capsys.readouterr().err
    assert started == []
    assert list(tmp_path.iterdir()) == []


def test_a_changed_workbook_is_not_shown_as_an_app(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = new_job_folder(tmp_path / "job", demo=True)
    (folder / "budget.ipynb").write_text("{}")
    assert main(["open", str(folder), "--workbook", "budget", "--app"]) == 2
    assert "open it without --app" in capsys.readouterr().err


def test_each_folder_has_a_layout_of_its_own_and_each_server_hears_this_machine_only(tmp_path: Path) -> None:
    lab = server.lab_arguments(tmp_path / own_workbooks()[0].name)
    app = server.app_arguments(tmp_path / own_workbooks()[0].name)
    assert "--ServerApp.ip=127.0.0.1" in lab
    assert "--Voila.ip=127.0.0.1" in app
    assert not any("token=" in argument.lower() for argument in lab), "Jupyter's ordinary token stays"
    assert str(Path.cwd()) not in app, "a folder's own settings file would be read"
    assert server.workspace_name(tmp_path) != server.workspace_name(tmp_path / "job")
