"""Readings at the door: what is kept, what is refused, and in what words."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from told import read_or_told

import mytakeoff as mt

WALL = mt.Wall("A", 3.0, 2.5)
CORNERS = ([0.0, 3.0, 0.0, 3.0], [0.0, 0.0, 2.5, 2.5])
NAN = float("nan")


def refused(x, z, proud, wall=WALL, **details):
    with pytest.raises(mt.TakeoffError) as error:
        mt.Survey.from_readings(wall, x, z, proud, **details)
    for mistake in error.value.mistakes:
        assert mistake.found
        assert mistake.rule
        assert mistake.remedy
        assert mistake.place
    return error.value


def test_readings_are_kept_as_they_are():
    survey = mt.Survey.from_readings(WALL, *CORNERS, [1.0, -2.0, 3.5, 0.0])
    assert survey.x_m.tolist() == CORNERS[0]
    assert survey.z_m.tolist() == CORNERS[1]
    assert survey.proud_mm.tolist() == [1.0, -2.0, 3.5, 0.0]
    assert survey.plumb
    assert survey.wall is WALL


def test_arrays_are_copied_and_cannot_be_written_to():
    proud = np.array([1.0, -2.0, 3.5, 0.0])
    survey = mt.Survey.from_readings(WALL, *CORNERS, proud)
    proud[0] = 99.0
    assert survey.proud_mm[0] == 1.0
    with pytest.raises(ValueError, match="read-only"):
        survey.proud_mm[0] = 5.0


def test_two_surveys_are_equal_if_they_say_the_same():
    one, other, third = (mt.Survey.from_readings(WALL, *CORNERS, [0, 0, 0, mm]) for mm in (0, 0, 1))
    assert one == other != third
    assert len({one, other, third}) == 2


def test_blanks_are_dropped():
    survey = mt.Survey.from_readings(WALL, [0, 3, 0, 3, 1], [0, 0, 2.5, 2.5, 1], [0, 0, 0, 0, NAN])
    assert survey.proud_mm.size == 4


def test_layout_is_told_from_the_readings():
    x, z = (places.ravel() for places in np.meshgrid([0, 1, 2, 3], [0.1, 0.7, 1.3, 1.9, 2.5]))
    grid = mt.Survey.from_readings(WALL, x, z, np.zeros(20))
    loose = mt.Survey.from_readings(WALL, x[:-1], z[:-1], np.zeros(19))
    told = mt.Survey.from_readings(WALL, x, z, np.zeros(20), layout="list")
    assert [grid.layout, loose.layout, told.layout] == ["grid", "list", "list"]


def test_order_of_readings_does_not_matter():
    order = [2, 0, 3, 1]
    one = mt.grid_surface(mt.Survey.from_readings(WALL, *CORNERS, [1, 2, 3, 4]), cell_m=0.5)
    mixed = [np.array(values)[order] for values in (*CORNERS, [1, 2, 3, 4])]
    other = mt.grid_surface(mt.Survey.from_readings(WALL, *mixed), cell_m=0.5)
    np.testing.assert_allclose(other.proud_mm, one.proud_mm, atol=1e-12)


@pytest.mark.parametrize("proud", [[1, 2, 3], [1, 2, 3, 4, 5]])
def test_each_reading_needs_one_place(proud):
    refused(*CORNERS, proud)


@pytest.mark.parametrize("kept", [0, 1, 2])
def test_fewer_than_three_readings(kept):
    proud = np.full(4, NAN)
    proud[:kept] = 0.0
    assert "three" in str(refused(*CORNERS, proud))


@pytest.mark.parametrize(
    ("x", "z"),
    [([0, 1, 2, 3], [1, 1, 1, 1]), ([1, 1, 1], [0, 1, 2]), ([0, 1, 2], [0, 0.5, 1.0])],
    ids=["row", "column", "slant"],
)
def test_all_on_a_line(x, z):
    assert "line" in str(refused(x, z, np.zeros(len(x))))


def test_three_readings_beside_a_line_are_enough():
    assert mt.Survey.from_readings(WALL, [0, 3, 1.5], [0, 0, 2.5], [0, 0, 0]).proud_mm.size == 3


def test_all_readings_off_the_wall_are_told_together():
    error = refused([0, 3, 0, 3.4, -0.1, 1], [0, 0, 2.5, 2.5, 1, 7], np.zeros(6))
    assert len(error.mistakes) == 3
    text = str(error)
    assert all(figure in text for figure in ("3.4", "-0.1", "7"))
    assert "3 × 2.5 m" in text


@pytest.mark.parametrize("bad", [float("inf"), -float("inf")])
def test_a_reading_that_is_no_number(bad):
    refused(*CORNERS, [0, 0, 0, bad])


@pytest.mark.parametrize("axis", [0, 1])
def test_a_place_that_is_no_number(axis):
    places = [list(values) for values in CORNERS]
    places[axis][2] = NAN
    refused(*places, [0, 0, 0, 0])


def test_equal_readings_at_one_place_count_once():
    survey = mt.Survey.from_readings(WALL, [0, 3, 0, 3, 3], [0, 0, 2.5, 2.5, 2.5], [0, 1, 2, 3, 3])
    assert survey.proud_mm.tolist() == [0, 1, 2, 3]
    assert survey.layout == "grid"


def test_readings_at_one_place_that_disagree():
    error = refused([0, 3, 0, 3, 3, 0], [0, 0, 2.5, 2.5, 2.5, 0], [0, 1, 2, 3, 9, 4])
    assert len(error.mistakes) == 2
    assert "9" in str(error)
    assert "agree" in str(error)


def test_the_file_is_named_in_the_place():
    assert "north.csv" in str(refused(*CORNERS, [0, 0, 0, float("inf")], source="north.csv"))


@given(st.lists(st.tuples(st.floats(0, 3.0), st.floats(0, 2.5), st.floats(-200, 200)), max_size=25))
def test_any_readings_give_a_survey_or_a_told_mistake(rows):
    table = np.array(rows, dtype=float).reshape(-1, 3)
    with read_or_told():
        assert 3 <= mt.Survey.from_readings(WALL, *table.T).proud_mm.size <= len(rows)


# --- high spots ------------------------------------------------------------------------------------------


def test_high_spots_are_kept_apart_from_the_readings():
    survey = mt.Survey.from_readings(WALL, *CORNERS, [0, 0, 0, 0]).with_high_spots(
        [(1.2, 0.4, 7.0)], swept=True
    )
    assert (survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist()) == (
        [1.2],
        [0.4],
        [7.0],
    )
    assert survey.swept
    assert survey.proud_mm.size == 4


def test_a_high_spot_off_the_wall():
    survey = mt.Survey.from_readings(WALL, *CORNERS, [0, 0, 0, 0])
    with pytest.raises(mt.TakeoffError, match="4"):
        survey.with_high_spots([(4.0, 0.4, 7.0)])


# --- the wall --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "height"), [(0, 2.5), (-1, 2.5), (3, 0), (NAN, 2.5), (3, float("inf"))])
def test_a_wall_without_a_size(width, height):
    with pytest.raises(mt.TakeoffError):
        mt.Wall("A", width, height)


@pytest.mark.parametrize(
    "size",
    [
        (2.5, 0, 1.0, 2.0),
        (-0.1, 0, 1.0, 2.0),
        (1.0, 0, 1.0, 2.6),
        (1.0, -0.1, 1.0, 2.0),
        (1, 1, 0, 1),
        (1, 1, 1, -1),
    ],
)
def test_an_opening_that_does_not_lie_on_the_wall(size):
    with pytest.raises(mt.TakeoffError, match="door"):
        mt.Wall("A", 3.0, 2.5, (mt.Opening("door", *size),))


def test_several_bad_openings_are_told_together():
    openings = (
        mt.Opening("door", 2.5, 0, 1, 2),
        mt.Opening("window", 1, 2, 1, 1),
        mt.Opening("fine", 0, 0, 1, 1),
    )
    with pytest.raises(mt.TakeoffError) as error:
        mt.Wall("A", 3.0, 2.5, openings)
    assert [("door" in m.place, "window" in m.place) for m in error.value.mistakes] == [
        (True, False),
        (False, True),
    ]


def test_an_opening_flush_with_the_wall_is_fine():
    # 0.1 + 0.2 is a hair above 0.3 in binary
    assert mt.Wall("A", 0.3, 2.5, (mt.Opening("door", 0.1, 0.0, 0.2, 2.5),)).openings


@pytest.mark.parametrize(("skirting", "cornice"), [(-0.1, 0), (0, -0.1), (1.5, 1.0)])
def test_strips_that_leave_no_wall(skirting, cornice):
    with pytest.raises(mt.TakeoffError):
        mt.Wall("A", 3.0, 2.5, skirting_m=skirting, cornice_m=cornice)


@pytest.mark.parametrize(
    ("sides", "metres"),
    [(("left", "right", "top"), 4.0), (("left", "right", "top", "bottom"), 5.2), (("top",), 1.2), ((), 0.0)],
)
def test_running_metres_of_reveals(sides, metres):
    window = mt.Opening("window", 0.5, 0.9, 1.2, 1.4, reveal_mm=180, reveal_sides=sides)
    assert window.reveal_m == pytest.approx(metres)
    assert mt.Opening("window", 0.5, 0.9, 1.2, 1.4, reveal_sides=sides).reveal_m == 0.0
