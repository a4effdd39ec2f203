"""Job folders are made whole, and nothing that is there is written over."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from cut_off_saves import cut_off

from mytakeoff.errors import TakeoffError
from mytakeoff.io.job.open_job import open_job
from mytakeoff.launch.folder import add_missing_workbooks, check_job_folder, new_job_folder
from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import JOB_FILE, JOB_WORKBOOKS, demo_folder, starting_job_folder


def of_a_job() -> list[Path]:
    """The package's workbooks that lie in a job's folder."""
    return [own for own in own_workbooks() if own.stem in JOB_WORKBOOKS]


@pytest.mark.parametrize(("demo", "source"), [(True, demo_folder()), (False, starting_job_folder())])
def test_new_folder_holds_a_job_that_opens_and_every_workbook(
    tmp_path: Path, demo: bool, source: Path
) -> None:
    folder = new_job_folder(tmp_path / "flat" / "job", demo)
    for file in source.rglob("*"):
        if file.is_file() and (demo or file.name != JOB_FILE):
            assert (folder / file.relative_to(source)).read_bytes() == file.read_bytes()
    for workbook in of_a_job():
        assert (folder / workbook.name).read_bytes() == workbook.read_bytes()
    assert bool(open_job(folder).walls) == demo


@pytest.mark.parametrize(
    ("today", "first"),
    [(date(2026, 11, 28), date(2026, 11, 30)), (date(2026, 11, 29), date(2026, 11, 30)),
     (date(2026, 11, 30), date(2026, 12, 1))],
)  # fmt: skip
def test_a_new_job_begins_on_the_next_day_that_is_worked_on_and_is_the_starting_job_else(
    tmp_path: Path, today: date, first: date
) -> None:
    made, kept = open_job(new_job_folder(tmp_path / "job", today=today)), open_job(starting_job_folder())
    assert made.calendar == replace(kept.calendar, start=first)
    assert replace(made, calendar=kept.calendar, folder=kept.folder) == kept


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    assert new_job_folder(tmp_path) == tmp_path
    check_job_folder(tmp_path)


def test_a_folder_with_anything_in_it_is_refused_and_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("keep")
    with pytest.raises(TakeoffError, match=r"not empty.*nothing is written over.*choose another name"):
        new_job_folder(tmp_path)
    assert [file.name for file in tmp_path.iterdir()] == ["notes.txt"]


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "job").write_text("keep")
    with pytest.raises(TakeoffError, match="a file of this name"):
        new_job_folder(tmp_path / "job")
    assert (tmp_path / "job").read_text() == "keep"


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(TakeoffError, match=r"cannot write here.*choose a folder that you may write to"):
        new_job_folder(tmp_path / "file" / "job")


def test_only_missing_workbooks_are_added(tmp_path: Path) -> None:
    first = of_a_job()[0]
    (tmp_path / first.name).write_text("mine")
    added = add_missing_workbooks(tmp_path)
    assert (tmp_path / first.name).read_text() == "mine"
    assert [path.name for path in added] == [own.name for own in of_a_job()[1:]]
    assert add_missing_workbooks(tmp_path) == ()


@pytest.mark.parametrize(("made", "message"), [(False, "no such folder"), (True, "no job.toml in it")])
def test_a_folder_without_a_job_is_told(tmp_path: Path, made: bool, message: str) -> None:
    folder = tmp_path / "job"
    if made:
        folder.mkdir()
    with pytest.raises(TakeoffError, match=message):
        check_job_folder(folder)


def test_killed_before_any_operation_it_is_no_job_yet_or_a_whole_one(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    found = cut_off(tmp_path / "empty", tmp_path / "copies", "new_job", "killed")
    whole = [place for place, _ in found if (place / "new/job.toml").exists()]
    assert 1 < len(whole) < len(found)
    for place in whole:
        assert open_job(place / "new").title == open_job(whole[-1] / "new").title
        assert len(list((place / "new").glob("*.ipynb"))) == len(JOB_WORKBOOKS)
    for place in {place for place, _ in found} - {*whole}:
        with pytest.raises(TakeoffError, match=r"no such folder|no job\.toml"):
            check_job_folder(place / "new")
