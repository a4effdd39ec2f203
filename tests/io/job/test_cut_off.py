"""Saves that are cut off at each of their file operations: the folder opens as the old or the new job."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from cut_off_saves import DONE, REFUSED, cut_off

import mytakeoff as mt
from mytakeoff.io.files.journal import STAGE, half_done
from mytakeoff.io.files.turn import LOCK_FILE
from mytakeoff.resources import demo_folder

PACKS = "item,supplier,pack,holds,unit,price\nour plaster,merchant,bag,25,kg,12.50\n"
SAVES = ["save", "save_new", "save_survey"]
SAVES_REFUSED = ["save", *(pytest.param(name, marks=pytest.mark.slow) for name in SAVES[1:])]


@pytest.fixture
def template(folder: Path) -> Path:
    """A folder with the job folder, and a survey file beside it."""
    (folder / "packs.csv").write_text(PACKS)
    shutil.copy(folder / "surveys/north.csv", folder.parent / "brought.csv")
    return folder.parent


def places(template: Path, save: str, how: str) -> list[tuple[Path, int]]:
    return cut_off(template, template.parent / f"{template.name}-{how}", save, how)


def saved_in(place: Path, save: str) -> Path:
    return place / ("new/place" if save == "save_new" else "job")


def said(folder: Path) -> mt.Job:
    return replace(mt.open_job(folder), folder="")


def ours(folder: Path) -> list[str]:
    """What no save leaves behind."""
    found = (path for path in folder.rglob("*") if path.suffix == ".part" or path.name in (STAGE, LOCK_FILE))
    return [path.name for path in found]


def check_old_or_new(found: list[tuple[Path, int]], template: Path, save: str, files) -> set[str]:
    """Each folder opens as one of the two jobs, byte for byte, and is clean after the next save; which."""
    old = saved_in(template, save)
    new = saved_in(found[-1][0], save)
    jobs = {"new": (said(new), files(new))}
    if old.exists():
        jobs["old"] = (said(old), files(old))
    seen = set()
    for place, _ in found:
        folder = saved_in(place, save)
        if "old" not in jobs and not (folder / "job.toml").exists() and not half_done(folder):
            seen.add("old")  # no job there yet
            continue
        job = said(folder)
        [state] = [name for name, (known, _) in jobs.items() if job == known]
        there = {
            name: text for name, text in files(folder).items() if not name.startswith((STAGE, LOCK_FILE))
        }
        assert there == jobs[state][1], place
        mt.save_job(mt.open_job(folder), folder)
        assert ours(folder) == [], place
        assert files(folder) == jobs[state][1], place
        seen.add(state)
    return seen


@pytest.mark.parametrize("save", SAVES)
def test_killed_before_any_operation_it_is_the_old_job_or_the_new(template, files, save):
    found = places(template, save, "killed")
    assert [code for _, code in found] == [-9] * (len(found) - 1) + [DONE]
    assert sum(half_done(saved_in(place, save)) for place, _ in found) > 3
    assert check_old_or_new(found, template, save, files) == {"old", "new"}


@pytest.mark.parametrize("save", SAVES_REFUSED)
def test_refused_once_it_is_as_it_was(template, files, save):
    found = places(template, save, "once")
    assert {code for _, code in found} == {DONE, REFUSED}
    before = files(template)
    for place, code in found:
        if code == REFUSED:
            assert files(place) == before
            assert not (place / "new/place").exists()
    check_old_or_new(found, template, save, files)


@pytest.mark.parametrize("save", SAVES_REFUSED)
def test_refused_for_good_it_is_the_old_job_or_the_new(template, files, save):
    found = places(template, save, "on")
    assert {code for _, code in found} == {DONE, REFUSED}
    assert any(half_done(saved_in(place, save)) for place, _ in found)
    check_old_or_new(found, template, save, files)


@pytest.mark.slow
def test_the_demo_job_too(tmp_path, files):
    shutil.copytree(demo_folder(), tmp_path / "template/job")
    found = places(tmp_path / "template", "save", "killed")
    assert check_old_or_new(found, tmp_path / "template", "save", files) == {"old", "new"}
