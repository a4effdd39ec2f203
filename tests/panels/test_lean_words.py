"""One wall, one lean: told in the same words wherever it is told, whatever the picture is held to."""

from __future__ import annotations

import numpy as np
import pytest
from hand import ONE_ROOM, SKIMMED, prices_of

import mytakeoff as mt
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.panels.parts.words import wall_in_words
from mytakeoff.panels.survey_panel import words
from mytakeoff.settingout.checks import check_words
from mytakeoff.surface.deviation import deviation, profile

HIGH_M = 2.6


def leaning_job(lean_mm: float, plumb: bool = True) -> mt.Job:
    """One wall of 3 × 2.6 m whose top stands `lean_mm` further into the room than its foot."""
    wall = mt.Wall("A", 3.0, HIGH_M)
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 3, 6), np.linspace(0, HIGH_M, 5)))
    survey = mt.Survey.from_readings(wall, x, z, lean_mm * z / HIGH_M, plumb=plumb, swept=True)
    entry = mt.JobWall(wall, "room", survey, "sound old plaster")
    return mt.Job(
        "one wall", ONE_ROOM, (entry,), SKIMMED, prices_of(SKIMMED), plane=PlaneChoice("free"), cell_m=0.1
    )


@pytest.mark.parametrize(
    ("lean_mm", "said"),
    [
        (10.0, "leans 10 mm into the room over its 2.6 m"),
        (-13.2, "leans 13 mm back over its 2.6 m"),
        (0.2, "stands plumb over its 2.6 m"),
    ],
)
def test_survey_budget_and_setting_out_say_one_lean(lean_mm: float, said: str) -> None:
    job = leaning_job(lean_mm)
    [wall] = mt.evaluate(job).walls
    formats = job.formats
    plane = deviation(wall.surface).plane
    assert said[1:] in words.headline(job.walls[0], plane, formats)
    assert f"The plane {said}." in wall_in_words(wall, formats)
    assert any(f"the face {said}." in line for line in check_words(job, wall, None))


@pytest.mark.parametrize("against", ["true", "plumb", "measured"])
def test_a_line_leans_against_plumb_whatever_it_is_held_to(against) -> None:
    """Between the outer cells, 2.5 m of the 2.6: 9.6 of the 10 mm."""
    job = leaning_job(10.0)
    held = deviation(mt.evaluate(job).walls[0].surface, against)
    line = profile(held, 1.0, upright=True)
    assert "leans 10 mm into the room over its 2.5 m" in words.along(line, True, job.formats)


def test_a_wall_that_was_not_measured_off_plumb_has_no_known_lean() -> None:
    job = leaning_job(10.0, plumb=False)
    [wall] = mt.evaluate(job).walls
    line = profile(deviation(wall.surface), 1.0, upright=True)
    for said in (
        words.headline(job.walls[0], deviation(wall.surface).plane, job.formats),
        words.along(line, False, job.formats),
        wall_in_words(wall, job.formats),
    ):
        assert "no known lean" in said
        assert "plumb over" not in said
