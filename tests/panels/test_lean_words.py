"""One wall, one lean: told in the same words wherever it is told, whatever the picture is held to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hand import ONE_ROOM, SKIMMED, prices_of

import mytakeoff as mt
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.job.treatments import AS_IT_IS, Treatment
from mytakeoff.options import in_words
from mytakeoff.options.compare import option_result
from mytakeoff.panels.parts.words import wall_in_words
from mytakeoff.panels.survey_panel import words
from mytakeoff.settingout.checks import check_words
from mytakeoff.surface.deviation import deviation, profile, stance_of

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
    assert said[1:] in words.headline(job.walls[0], stance_of(wall.surface), formats)
    assert f"The plane {said}." in wall_in_words(wall, formats)
    assert any(f"the face {said}." in line for line in check_words(job, wall, None))


@pytest.mark.parametrize("layout", ["list", "scan"])
def test_words_table_and_map_say_one_lean_whatever_stands_before_the_wall(layout) -> None:
    """Leaning 10 mm back; a board 30 mm before 30 % of it, at its top, would turn that round."""
    job = leaning_job(0.0)
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.05, 3, 0.1), np.arange(0.05, HIGH_M, 0.1)))
    proud = -10.0 * z / HIGH_M + 30.0 * ((z > 1.3) & (x > 1.2))
    survey = mt.Survey.from_readings(job.walls[0].wall, x, z, proud, layout=layout, swept=True)
    job = replace(job, walls=(replace(job.walls[0], survey=survey),))
    option = option_result(job, Treatment("as it is", AS_IT_IS, skim=False))
    [wall] = option.walls
    assert option.row["lean_mm"] == pytest.approx(-10.0, abs=0.5)
    assert "leans 10 mm back over its 2.6 m" in in_words.lean(option)
    headline = words.headline(wall.entry, stance_of(wall.surface), job.formats)
    assert "Leans 10 mm back over its 2.6 m" in headline
    assert ("Give or take" in headline) is (layout == "scan")
    held = deviation(wall.surface)
    assert held.plane.c_mm_per_m * HIGH_M == pytest.approx(option.row["lean_mm"], abs=0.01)
    assert np.nanmedian(np.abs(held.mm)) < 0.5  # the map is blank but for the board


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
        words.headline(job.walls[0], stance_of(wall.surface), job.formats),
        words.along(line, False, job.formats),
        wall_in_words(wall, job.formats),
    ):
        assert "no known lean" in said
        assert "plumb over" not in said
