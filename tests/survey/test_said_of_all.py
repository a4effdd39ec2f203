"""What is left of a wall once the user has said something of many of its readings: a plane, or it is told."""

from __future__ import annotations

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.survey.hollows import hollow_readings
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.said import SAID_M, SaidOf

RULE = mt.PlaneRule(least_mm=8.0)
X, Z = (each.ravel() for each in np.meshgrid([0.1, 0.7, 1.3, 1.9], [0.1, 0.9, 1.6, 2.4]))


def sixteen() -> mt.Survey:
    proud = np.random.default_rng(0).normal(0.0, 2.0, X.size).round()
    return mt.Survey.from_readings(mt.Wall("A", 2.0, 2.5), X, Z, proud)


def of_first(count: int, word: str) -> list[SaidOf]:
    return [SaidOf(float(x), float(z), word) for x, z in zip(X[:count], Z[:count], strict=True)]


@pytest.mark.parametrize(("count", "left"), [(16, 0), (14, 2), (12, 4)])
def test_hollows_that_leave_no_sound_plane_are_told(count, left):
    """Readings lie row by row: the last four are on one line."""
    with pytest.raises(mt.TakeoffError, match=f"{left} readings of the sound face once others are hollow"):
        sixteen().with_said(of_first(count, "hollow"))


@pytest.mark.parametrize(("count", "left"), [(16, 0), (12, 4)])
def test_readings_left_on_one_line_are_told_once(count, left):
    with pytest.raises(
        mt.TakeoffError, match=f"{left} readings of the wall once others are left out"
    ) as told:
        sixteen().with_said(of_first(count, "left out"))
    assert len(told.value.mistakes) == 1


def test_a_wall_of_many_hollows_still_has_a_range():
    found = mt.wall_range(sixteen().with_said(of_first(11, "hollow")), RULE)
    assert found.litres_10 < found.litres_90


def test_where_the_sound_face_has_fallen_what_is_left_is_taken_as_sound():
    survey = sixteen().with_said(of_first(8, "hollow"))
    fallen = mt.LooseArea(0.0, 1.2, 2.0, 1.3, 20.0, fallen=True)
    found = mt.wall_range(survey, RULE, loose=(fallen,), reach_m=2.0)
    assert found.litres_10 < found.litres_90


def test_what_is_said_is_meant_for_the_same_reading_everywhere():
    """A place is written to the centimetre, so up to 5 mm off: just beyond that a rounding still counts."""
    readings = Readings(X, Z, np.zeros(X.size))
    said = SaidOf(float(X[5]) + 0.9 * SAID_M, float(Z[5]), "hollow")
    assert np.flatnonzero(hollow_readings(readings, [said])).tolist() == [5]


def test_one_row_of_readings_beside_what_has_fallen_is_told():
    fallen = mt.LooseArea(0.0, 0.5, 2.0, 2.0, 20.0, fallen=True)
    with pytest.raises(mt.TakeoffError, match="4 readings outside the fallen areas"):
        mt.wall_range(sixteen(), RULE, loose=(fallen,), reach_m=2.0)
