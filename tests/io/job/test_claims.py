"""Walls that claim one survey, and more walls than a job has: told before a sheet is read."""

from __future__ import annotations

from pathlib import Path

import pytest
from demo import copy_of_demo

import mytakeoff as mt
from mytakeoff.io.job.claims import MOST_WALLS

WALL = """
[[wall]]
name = "wall {0}"
room = "front room"
width_m = 3.0
height_m = 2.5
background = "brick"
"""
SURVEY = '[wall.survey]\nfile = "{0}"\nplumb = true\n'


@pytest.fixture
def flat(tmp_path: Path) -> Path:
    """A copy of the demo job's folder."""
    return copy_of_demo(tmp_path)


def add(folder: Path, text: str) -> None:
    with (folder / "job.toml").open("a", encoding="utf-8") as file:
        file.write(text)


@pytest.mark.parametrize("file", ["surveys/door-wall.csv", "./surveys/door-wall.csv"])
def test_two_walls_that_claim_one_sheet_are_told(flat: Path, file: str) -> None:
    add(flat, WALL.format(7) + SURVEY.format(file))
    with pytest.raises(
        mt.TakeoffError, match=r"wall 6 \(door wall\) and wall 7 \(wall 7\) have the readings of"
    ):
        mt.open_job(flat)


def test_a_wall_that_nobody_has_read_claims_nothing(flat: Path) -> None:
    add(flat, WALL.format(7) + WALL.format(8))
    assert len(mt.open_job(flat).walls) == 8


def test_ten_thousand_walls_are_refused_and_nobody_waits(flat: Path) -> None:
    """None of their sheets, which are not there, is asked for."""
    add(flat, "".join(WALL.format(nth) + SURVEY.format(f"surveys/{nth}.csv") for nth in range(10_000)))
    with pytest.raises(mt.TakeoffError, match=f"10006 walls; a job has {MOST_WALLS} walls at most") as told:
        mt.open_job(flat)
    assert "surveys" not in str(told.value)
