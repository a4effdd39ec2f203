"""How sure one wall's litres are: on walls that nobody read densely, and by what the user says of them."""

from __future__ import annotations

from dataclasses import replace

import everyday_walls
import numpy as np
import pytest
from dense_truth import RULE, hand_survey
from hand import job_of

import mytakeoff as mt
from mytakeoff.job.job_wall import JobWall
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.survey.said import SaidOf

STEP_M = 0.5
SWEPT_MOST = 1.6  # times as wide as without any nib


def survey_of(name: str = "floated once and dented", seed: int = 1, step_m: float = STEP_M) -> mt.Survey:
    rng = np.random.default_rng(seed)
    return hand_survey(*everyday_walls.FAMILIES[name](rng), step_m, rng)[1]


def width(found: mt.WallRange) -> float:
    return found.litres_90 - found.litres_10


def test_a_job_of_one_wall_shows_the_same_range():
    survey = survey_of()
    entry = JobWall(survey.wall, "room", survey, "sound old plaster")
    job = job_of(entry, cell_m=0.05)
    wall = mt.evaluate(job).walls[0]
    assert wall.rule.least_mm == RULE.least_mm
    found = mt.wall_range(survey, wall.rule, likely=mt.likely_on("sound old plaster"), reach_m=job.reach_m)
    shown = job_ranges(mt.evaluate(job)).walls[0].range.drawn
    assert [shown.at(share) for share in (0.1, 0.5, 0.9)] == pytest.approx(
        [found.litres_10, found.litres_50, found.litres_90], abs=0.05
    )


def test_nibs_make_a_wall_dearer_and_less_sure():
    survey = survey_of("smooth plaster")
    none, some = (
        mt.wall_range(survey, RULE, likely=mt.LikelyWall(nibs_per_m2=per_m2, nib_mm=5.0))
        for per_m2 in (0.0, 1.0)
    )
    assert some.litres_50 > none.litres_50
    assert some.litres_90 > none.litres_90
    assert width(some) > width(none)


def test_a_sweep_leaves_no_nib_above_what_the_edge_shows():
    """No wider than so many times the range of a wall of which the user says that there are none."""
    survey = survey_of("smooth plaster")
    swept = survey.with_high_spots([], swept=True)
    likely = mt.LikelyWall(nibs_per_m2=1.0, nib_mm=5.0)
    none = mt.wall_range(survey, RULE, likely=replace(likely, nibs_per_m2=0.0))
    found = mt.wall_range(swept, RULE, likely=likely)
    assert width(found) < SWEPT_MOST * width(none)
    assert found.litres_90 < mt.wall_range(survey, RULE, likely=likely).litres_90


def test_a_background_with_nibs_is_said_to_take_more():
    survey = survey_of("smooth plaster")
    plaster, stone = (
        mt.wall_range(survey, RULE, likely=mt.likely_on(name)) for name in ("sound old plaster", "stone")
    )
    assert stone.litres_90 > plaster.litres_90


def test_hollows_do_not_lift_the_plane_and_a_reading_called_sound_does():
    """A smooth face with three dents of 15 mm: no peaks of 15 mm are expected because of them."""
    survey = survey_of("smooth plaster", step_m=0.3)
    deep = survey.proud_mm.copy()
    where = [7, 22, 31]
    deep[where] -= 15.0
    dented = replace(survey, proud_mm=deep)
    said = tuple(SaidOf(float(dented.x_m[n]), float(dented.z_m[n]), "sound") for n in where)
    flat, found, called = (mt.wall_range(each, RULE) for each in (survey, dented, replace(dented, said=said)))
    more = (15.0 * len(where) / survey.x_m.size) * survey.wall.width_m * survey.wall.height_m
    assert found.litres_50 - flat.litres_50 < 2 * more
    assert called.litres_50 - flat.litres_50 > 1.5 * (found.litres_50 - flat.litres_50)


def test_from_the_other_end_it_is_the_same():
    survey = survey_of()
    other = mt.Survey.from_readings(
        survey.wall, survey.wall.width_m - survey.x_m[::-1], survey.z_m[::-1], survey.proud_mm[::-1]
    )
    one, turned = (mt.wall_range(each, RULE) for each in (survey, other))
    assert one.litres_50 == pytest.approx(turned.litres_50, abs=0.01)
    assert one.litres_90 == pytest.approx(turned.litres_90, abs=0.01)


@pytest.mark.parametrize(
    ("likely", "said"),
    [
        ({"nibs_per_m2": -1.0}, "nibs -1 a m²"),
        ({"nib_mm": 400.0}, "nib 400 mm"),
        ({"short_share": 2.0}, "short share 2"),
        ({"short_m": 3.0}, "short 3 m"),
    ],
)
def test_what_no_wall_has_is_refused(likely, said):
    with pytest.raises(mt.TakeoffError, match=said):
        mt.LikelyWall(**likely)


def test_a_wall_that_a_scan_saw_whole_has_one_figure():
    """3 m², 8 mm over a plane: 24 l."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.01, 2.0, 0.02), np.arange(0.01, 1.5, 0.02)))
    survey = mt.Survey.from_readings(mt.Wall("A", 2.0, 1.5), x, z, 2.0 * x, layout="scan")
    found = mt.wall_range(survey, RULE)
    assert [found.litres_10, found.litres_50, found.litres_90] == pytest.approx([24.0] * 3, abs=0.2)
