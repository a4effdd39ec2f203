"""A scan named in a job folder: read as the job says, priced, and said again when the job is saved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from clouds import wall_cloud, write_xyz

import mytakeoff as mt
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.survey.said import ScanChoice

ROOM_AND_WALL = """format = 1
title = "scanned, invented"
# one room
[[room]]
name = "room"

[system]
backing = "light gypsum backing"

[[wall]]
name = "scanned wall"
room = "room"
width_m = 4.0
height_m = 2.6
background = "brick"
[wall.survey]
file = "surveys/wall.xyz"
plumb = true
unit = "mm"   # the scanner's own
up = "z"
found = 1
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job folder with one scanned wall, its points in millimetres."""
    made = new_job_folder(tmp_path / "job")
    (made / "job.toml").write_text(ROOM_AND_WALL, "utf-8")
    (made / "surveys").mkdir()
    write_xyz(made / "surveys" / "wall.xyz", 1000.0 * wall_cloud(np.random.default_rng(5), 40_000))
    return made


def test_it_is_read_in_its_unit_and_priced(folder):
    job = mt.open_job(folder)
    entry = job.wall("scanned wall")
    assert entry.survey.layout == "scan"
    assert entry.survey.scan == ScanChoice(unit="mm", up="z", found=1)
    wall = mt.evaluate(job).wall("scanned wall")
    # leans 8 mm into the room over 2.6 m: a plumb plane 8 mm clear of the top is 8 + 4 mm on average
    assert wall.build_up.mean_mm == pytest.approx(12.0, abs=0.3)


def test_saving_keeps_what_was_said_about_it(folder):
    job = mt.open_job(folder)
    before = (folder / "surveys" / "wall.xyz").read_bytes()
    mt.save_job(replace(job, waste_share=0.2), folder, job)
    text = (folder / "job.toml").read_text("utf-8")
    assert 'unit = "mm"   # the scanner\'s own' in text
    assert (folder / "surveys" / "wall.xyz").read_bytes() == before
    again = mt.open_job(folder)
    assert again.waste_share == 0.2
    assert again.wall("scanned wall").survey.scan == job.wall("scanned wall").survey.scan


def test_a_wall_that_the_scan_does_not_hold_is_a_mistake(folder):
    told = (folder / "job.toml").read_text("utf-8")
    (folder / "job.toml").write_text(told.replace("found = 1", "found = 7"), "utf-8")
    with pytest.raises(mt.TakeoffError) as caught:
        mt.open_job(folder)
    assert "7" in str(caught.value)


def test_a_bow_that_the_scan_does_not_show_cannot_be_taken_out(folder):
    told = (folder / "job.toml").read_text("utf-8")
    (folder / "job.toml").write_text(told.replace("found = 1", "found = 1\nbow_out = true"), "utf-8")
    with pytest.raises(mt.TakeoffError, match="bow_out"):
        mt.open_job(folder)
