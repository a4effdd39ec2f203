"""Who changed which file of a job folder when, as far as that can be known."""

from __future__ import annotations

import getpass
import json
import os
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from pathlib import Path

import pytest
from demo import copy_of_demo

from mytakeoff import open_job, save_job
from mytakeoff.formats.formats import Formats
from mytakeoff.io.job.news import SAVED_BY_FILE, files_of, folders_in, looks_of, who_changed

DAY = datetime(2027, 3, 1, 14, 3)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(getpass, "getuser", lambda: "anna")
    return copy_of_demo(tmp_path)


def told(folder: Path, before: dict, name: str = "job.toml", at: datetime = DAY) -> str:
    """Who changed what since those looks; that file was changed at such a time."""
    if (folder / name).exists():
        os.utime(folder / name, (at.timestamp(), at.timestamp()))
    return who_changed(folder, before, looks_of(folder, before), Formats())


def looks(folder: Path) -> dict:
    return looks_of(folder, files_of(open_job(folder)))


def test_a_workbook_of_ours_and_its_user_are_known(folder: Path) -> None:
    before = looks(folder)
    save_job(replace(open_job(folder), waste_share=0.12), folder, workbook="options")
    assert told(folder, before) == "The options workbook (anna) saved job.toml on 1 Mar at 14:03."


def test_of_another_program_no_more_is_known_than_the_time(folder: Path) -> None:
    before = looks(folder)
    save_job(replace(open_job(folder), waste_share=0.12), folder, workbook="options")
    path = folder / "job.toml"
    path.write_text(path.read_text("utf-8").replace("0.12", "0.13"), "utf-8")
    assert told(folder, before) == "Another program changed job.toml on 1 Mar at 14:03."


def test_today_needs_no_date(folder: Path) -> None:
    before, now = looks(folder), datetime.now().replace(second=0)
    (folder / "prices.csv").write_text("item,unit,price\n")
    assert told(folder, before, "prices.csv", now) == f"Another program changed prices.csv at {now:%H:%M}."


def test_what_is_away_is_told(folder: Path) -> None:
    before = looks(folder)
    (folder / "packs.csv").unlink()
    assert told(folder, before, "packs.csv") == "Another program took away packs.csv."


def test_each_file_keeps_who_saved_it_last(folder: Path) -> None:
    before, job = looks(folder), open_job(folder)
    save_job(replace(job, prices=job.prices.with_price("mesh", Decimal(2))), folder, workbook="budget")
    save_job(replace(open_job(folder), waste_share=0.12), folder, workbook="options")
    said = told(folder, before)
    assert "The options workbook (anna) saved job.toml" in said
    assert "The budget workbook (anna) saved prices.csv" in said


@pytest.mark.parametrize(
    "note",
    ["", "[]", "{", '{"format": 9, "files": {}}', '{"format": 1, "files": {"job.toml": 3}}', "[" * 9999],
)
def test_a_note_that_cannot_be_trusted_is_none(folder: Path, note: str) -> None:
    before = looks(folder)
    save_job(replace(open_job(folder), waste_share=0.12), folder, workbook="options")
    (folder / SAVED_BY_FILE).write_text(note)
    assert told(folder, before) == "Another program changed job.toml on 1 Mar at 14:03."


def test_a_script_leaves_no_note_and_an_unchanged_job_nothing(folder: Path) -> None:
    save_job(replace(open_job(folder), waste_share=0.12), folder)
    save_job(open_job(folder), folder, workbook="budget")
    assert not (folder / SAVED_BY_FILE).exists()


def test_a_user_without_a_name_is_left_out(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def nameless() -> str:
        raise KeyError("uid not found: 4711")

    monkeypatch.setattr(getpass, "getuser", nameless)
    before = looks(folder)
    save_job(replace(open_job(folder), waste_share=0.12), folder, workbook="survey")
    assert told(folder, before) == "The survey workbook saved job.toml on 1 Mar at 14:03."
    assert json.loads((folder / SAVED_BY_FILE).read_text("utf-8"))["files"]["job.toml"]["user"] == ""


def test_folders_are_those_in_which_a_survey_may_come(folder: Path) -> None:
    assert folders_in(folder) == (".", "surveys")
    assert folders_in(folder / "nowhere") == (".",)
