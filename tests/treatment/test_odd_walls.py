"""Walls on which an edge finds little room: in two parts, narrow, partly unknown; under every grade."""

from __future__ import annotations

from dataclasses import replace

import edge_oracle
import numpy as np
import pytest
from hand import ONE_ROOM, SKIMMED, prices_of

import mytakeoff as mt
from mytakeoff.flatness.grades import GRADE_NAMES, OWN
from mytakeoff.job.treatments import STRAIGHTEN, Compare, Treatment
from mytakeoff.options.compare import compare, option_result
from mytakeoff.options.result import OptionResult
from mytakeoff.repair.spot_repair import finished_face

STRAIGHT = Treatment("straight", STRAIGHTEN)
CUT_IN_TWO = mt.Opening("passage", 0.5, 0.0, 0.4, 2.4)


def odd_job(openings=(CUT_IN_TWO,), width_m=1.6, read_to_m=1.2, **compared) -> mt.Job:
    """A wall of 2.4 m with a hollow to both sides of a passage, read at its left only."""
    wall = mt.Wall("odd", width_m, 2.4, tuple(openings))
    x, z = (grid.ravel() for grid in np.meshgrid(np.arange(0.05, read_to_m, 0.1), np.linspace(0.1, 2.3, 12)))
    proud = -9.0 * np.exp(-((z - 1.2) ** 2) / 0.1) + 3.0 * x
    survey = mt.Survey.from_readings(wall, x, z, proud, swept=True)
    entry = mt.JobWall(wall, "room", survey, "sound old plaster", old_plaster_mm=15.0)
    choice = Compare(**{"grade": OWN, "straightedge_m": 5.0, **compared})
    return mt.Job(
        "odd",
        ONE_ROOM,
        (entry,),
        SKIMMED,
        prices_of(SKIMMED),
        cell_m=0.1,
        reach_m=0.15,
        compare=choice,
    )


def test_what_an_edge_cannot_show_is_told_beside_the_option() -> None:
    said = " ".join(option_result(odd_job(), STRAIGHT).notices)
    assert "in 2 parts" in said
    assert "longer than the wall" in said
    assert "are not known" in said


def test_a_strip_narrower_than_the_edge_is_told() -> None:
    door = mt.Opening("door", 0.5, 0.0, 0.4, 2.0)  # over it the wall runs 1.6 m across and 0.4 m up
    job = odd_job(openings=(door,), straightedge_m=2.0, read_to_m=1.6)
    said = " ".join(option_result(job, STRAIGHT).notices)
    assert "shorter than the edge of 2 m every way it is laid" in said
    assert "longer than the wall" not in said


@pytest.mark.parametrize("take_down", [False, True])
def test_each_part_is_straightened_as_if_it_stood_alone(take_down: bool) -> None:
    option = option_result(odd_job(), replace(STRAIGHT, take_down=take_down))
    face = finished_face(option.walls[0].build_up)
    assert np.nanmax(edge_oracle.gap(face.proud_mm, 0.1, 0.1, 5.0)) <= 3.0 + 0.02
    alone = odd_job(openings=(), width_m=0.5, read_to_m=0.5)
    left = option_result(alone, replace(STRAIGHT, take_down=take_down)).walls[0].build_up
    both = option.walls[0].build_up
    np.testing.assert_allclose(both.thickness_mm[:, :5], left.thickness_mm, atol=0.02)


@pytest.mark.parametrize("grade", [*GRADE_NAMES, OWN])
def test_every_grade_judges_every_option_of_an_odd_wall(grade: str) -> None:
    for option in compare(odd_job(grade=grade, take_down=False)):
        assert isinstance(option, OptionResult)
        for finding in option.remains[0].verdict.findings:
            assert np.isfinite(finding.found)
            assert finding.allowed > 0
        assert option.passes == (not option.unfinished and option.remains[0].verdict.passes)
    floated = option
    assert floated.worst_gap_mm == pytest.approx(0.0, abs=1e-6)


def test_what_is_not_known_is_not_priced() -> None:
    known, all_of_it = odd_job(), odd_job(read_to_m=1.6)
    litres = [option_result(job, STRAIGHT).result.volume_l for job in (known, all_of_it)]
    assert litres[0] < litres[1]
    assert mt.evaluate(known).unpriced_m2 == pytest.approx(0.3 * 2.4, abs=0.25)


@pytest.mark.parametrize(
    "wrong", [{"tolerance_mm": 0.0}, {"tolerance_mm": -3.0}, {"straightedge_m": 0.0}, {"grade": "no such"}]
)
def test_what_nobody_can_ask_for_is_refused_with_a_reason(wrong) -> None:
    with pytest.raises(mt.TakeoffError) as caught:
        option_result(odd_job(**wrong), STRAIGHT)
    mistake = caught.value.mistakes[0]
    assert mistake.rule
    assert mistake.remedy
