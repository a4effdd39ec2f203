"""A wall of which not enough is read yet: what it may hold, and what is still refused.

A plane has three unknowns (offset, turn, lean): it takes three readings that are not on one line.
"""

from __future__ import annotations

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.job.catalogue import LIGHT_GYPSUM
from mytakeoff.job.edits import with_reading
from mytakeoff.survey.as_taken import LOOKED_AT, in_a_line
from mytakeoff.survey.said import SaidOf
from mytakeoff.survey.wall import LooseArea

WALL = mt.Wall("A", 4.0, 2.5)
PLACES = [(0.2, 0.2), (2.0, 0.2), (3.8, 0.2), (2.0, 2.2)]  # three on a line, one above


def taken(count: int, **details) -> mt.Survey:
    x, z = np.array(PLACES[:count]).reshape(-1, 2).T
    return mt.Survey.from_readings(WALL, x, z, np.arange(count) * 2.0, so_far=True, **details)


def test_nothing_read_is_a_survey_that_is_not_enough():
    survey = mt.Survey.none(WALL, plumb=False)
    assert (survey.x_m.size, survey.plumb, survey.is_enough) == (0, False, False)
    assert survey == taken(0, plumb=False)


@pytest.mark.parametrize(("count", "enough"), [(0, False), (1, False), (2, False), (3, False), (4, True)])
def test_it_is_enough_once_the_readings_make_a_plane(count, enough):
    assert taken(count).is_enough is enough


@pytest.mark.parametrize(("count", "words"), [
    (0, "0 readings; a plane takes at least three"),
    (2, "2 readings; a plane takes at least three"),
    (3, "3 readings on one straight line"),
])  # fmt: skip
def test_a_whole_survey_is_still_refused(count, words):
    x, z = np.array(PLACES[:count]).reshape(-1, 2).T
    with pytest.raises(mt.TakeoffError, match=words):
        mt.Survey.from_readings(WALL, x, z, np.zeros(count))


def test_readings_so_far_lie_on_the_wall_and_agree():
    with pytest.raises(mt.TakeoffError, match="readings lie on the wall"):
        mt.Survey.from_readings(WALL, [4.2], [1.0], [0.0], so_far=True)
    with pytest.raises(mt.TakeoffError, match="readings at one place agree"):
        mt.Survey.from_readings(WALL, [1.0, 1.0], [1.0, 1.0], [0.0, 9.0], so_far=True)


@pytest.mark.parametrize("word", ["left out", "hollow"])
def test_readings_that_do_not_count_are_not_enough(word):
    above = [SaidOf(2.0, 2.2, word)]
    with pytest.raises(mt.TakeoffError, match="3 readings of the"):
        taken(4).with_said(above)
    assert not taken(4).with_said(above, so_far=True).is_enough


def test_a_wall_is_read_where_enough_of_its_sound_face_is():
    survey = taken(4)
    read = mt.JobWall(WALL, "hall", survey, "brick")
    fallen = LooseArea(1.5, 2.0, 1.0, 0.4, 20.0, fallen=True)  # the one reading above lies in it
    assert read.is_read
    assert not mt.JobWall(WALL, "hall", survey, "brick", loose=(fallen,)).is_read
    assert not mt.JobWall(WALL, "hall", mt.Survey.none(WALL), "brick").is_read


def test_a_corner_is_kept_until_the_wall_is_read_and_then_counts():
    corner = mt.Corner((0.0, 2.0), (30.0, 40.0), 1.0)
    bare = mt.JobWall(WALL, "hall", mt.Survey.none(WALL), "brick", corner=corner)
    assert bare.square_turn_mm_per_m is None
    flat = mt.Survey.from_readings(WALL, [0, 4, 0, 4], [0, 0, 2.5, 2.5], [0, 0, 0, 0])
    read = mt.JobWall(WALL, "hall", flat, "brick", corner=corner)
    assert read.square_turn_mm_per_m == pytest.approx(5.0)  # 10 mm more over 2 m
    with pytest.raises(mt.TakeoffError, match="it is read on the wall"):
        mt.JobWall(WALL, "hall", mt.Survey.none(WALL), "brick", corner=mt.Corner((0.0, 4.5), (0.0, 0.0), 1.0))


def test_a_wall_is_read_one_reading_after_the_other():
    empty = mt.Job(
        "flat", (mt.Room("hall"),), (mt.JobWall(WALL, "hall", mt.Survey.none(WALL), "brick"),),
        mt.System(LIGHT_GYPSUM), mt.PriceList(),
    )  # fmt: skip
    job = empty
    for nth, (x_m, z_m) in enumerate(PLACES):
        assert job.priced_walls == ()
        job = with_reading(job, "A", x_m, z_m, float(nth))
    assert job.wall("A").survey.proud_mm.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert [wall.name for wall in job.priced_walls] == ["A"]


@pytest.mark.parametrize("turn", [0.0, 0.3])
def test_a_cloud_in_a_line_is_told_from_one_with_a_single_point_beside_it(turn):
    along = np.linspace(0.0, 3.0, 3 * LOOKED_AT)
    x, z = along * np.cos(turn), along * np.sin(turn)
    assert in_a_line(x, z)
    x[1] += 1.0  # not among those that are looked at first
    z[1] += 1.0
    assert not in_a_line(x, z)
