"""A job that is opened again: a scan that lies there as it did is not read again, one that changed is."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from clouds import wall_cloud, write_ply

from mytakeoff import Job, open_job
from mytakeoff.io.job import open_job as module
from mytakeoff.resources import starting_job_folder

JOB = """\
format = 1
title = "scanned"

[system]
backing = "light gypsum backing"

[[room]]
name = "room"

[[wall]]
name = "long"
room = "room"
width_m = 4.0
height_m = 2.6
background = "brick"
survey = { file = "long.ply", plumb = true, unit = "m", up = "z" }
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(starting_job_folder() / "prices.csv", tmp_path)
    (tmp_path / "job.toml").write_text(JOB)
    write_ply(tmp_path / "long.ply", wall_cloud(np.random.default_rng(5), 40_000, 0.002))
    return tmp_path


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which files were read as surveys."""
    names: list[str] = []
    real = module.read_survey

    def noted(path, *arguments, **more):
        names.append(path.name)
        return real(path, *arguments, **more)

    monkeypatch.setattr(module, "read_survey", noted)
    return names


def test_a_scan_is_read_once_for_those_who_open_the_job(folder: Path, read: list[str]) -> None:
    first = open_job(folder)
    (folder / "job.toml").write_text(JOB.replace("scanned", "scanned again"))
    second = open_job(folder)
    assert read == ["long.ply"]
    assert second.walls[0].survey is first.walls[0].survey
    assert second.title == "scanned again"


def test_a_scan_that_changed_or_is_asked_for_otherwise_is_read_again(folder: Path, read: list[str]) -> None:
    kept: list[Job] = [open_job(folder)]
    os.utime(folder / "long.ply", (1, 1))
    kept.append(open_job(folder))
    (folder / "job.toml").write_text(JOB.replace("plumb = true", "plumb = false"))
    kept.append(open_job(folder))
    assert read == ["long.ply"] * 3
    assert not kept[2].walls[0].survey.plumb


def test_a_scan_that_nobody_has_any_more_is_not_kept(folder: Path, read: list[str]) -> None:
    open_job(folder)
    open_job(folder)
    assert len(read) == 2
