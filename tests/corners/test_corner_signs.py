"""Which way walls turn, held to points and vectors in plan."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from invented_rooms import (
    AT_M,
    L_SHAPE,
    RECTANGLE,
    InventedWall,
    corner_of,
    inside_deg,
    invented,
    laid_square,
    planes_deg,
    taped_triangle,
)

import mytakeoff as mt
from mytakeoff.corners.measuring import measured

NORTH = InventedWall("north", (0.0, 0.0), (4.0, 0.0))
EAST = InventedWall("east", (4.0, 0.0), (4.0, -3.0))


def test_the_east_wall_is_next_to_the_north_wall_at_its_right():
    assert NORTH.towards.tolist() == [0.0, -1.0]
    assert EAST.towards.tolist() == [-1.0, 0.0]
    assert inside_deg((NORTH.left, NORTH.right), (EAST.left, EAST.right)) == pytest.approx(90.0)
    assert [round(planes_deg(*pair)) for pair in ((NORTH, EAST), (EAST, NORTH))] == [90, 270]


def test_a_face_that_comes_forward_to_the_right_is_turned_clockwise():
    left, right = NORTH.finished(mt.TargetPlane(0.0, 5.0, 0.0))
    turned = math.degrees(math.atan2(*(right - left)[::-1]))
    assert turned == pytest.approx(-math.degrees(math.atan(0.005)))  # y is up, so clockwise is less than 0


@given(st.floats(-60, 60), st.floats(-60, 60), st.floats(-20, 20), st.floats(-20, 20), st.booleans())
@examples(60)
def test_finished_faces_stand_at_the_planes_angle_less_what_they_turn(b, c, tilt, other, outer):
    ends = ((4.0, 0.0), (4.0, 3.0)) if outer else ((4.0, 0.0), (4.0, -3.0))
    wall = InventedWall("a", (0.0, 0.0), (4.0, 0.0), tilt)
    after = InventedWall("b", *ends, other)
    faces = [each.finished(mt.TargetPlane(9.0, turn, 0.0)) for each, turn in ((wall, b), (after, c))]
    turned = math.degrees(math.atan(c / 1000) - math.atan(b / 1000))
    assert inside_deg(*faces) == pytest.approx(planes_deg(wall, after) - turned, abs=1e-9)


@pytest.mark.parametrize("shape", [RECTANGLE, L_SHAPE])
@pytest.mark.parametrize("on_wall", [True, False])
@pytest.mark.parametrize("seed", range(3))
def test_a_square_tells_the_angle_between_the_planes(shape, on_wall, seed):
    walls = invented(shape, seed)
    surveys = {wall.name: wall.survey() for wall in walls}
    for nth, wall in enumerate(walls):
        after = walls[(nth + 1) % len(walls)]
        wide = planes_deg(wall, after) > 180
        corner = corner_of(walls, nth, off_square=laid_square(wall, after, wide, on_wall=on_wall))
        assert measured(corner, surveys).angle_deg == pytest.approx(planes_deg(wall, after), abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_a_triangle_tells_it_too(seed):
    walls = invented(RECTANGLE, seed)
    surveys = {wall.name: wall.survey() for wall in walls}
    for nth, wall in enumerate(walls):
        after = walls[(nth + 1) % len(walls)]
        corner = corner_of(walls, nth, triangle=taped_triangle(wall, after))
        # the run is taped along the face and laid off along the plane: 20 mm/m askew, a hundredth of a degree
        assert measured(corner, surveys).angle_deg == pytest.approx(planes_deg(wall, after), abs=0.01)


def test_a_survey_shows_the_corner_where_the_wall_has_it():
    for wall in invented(L_SHAPE, 5):
        ends = [wall.point(x, float(wall.proud_mm(x, AT_M))) for x in (0.0, wall.width_m)]
        assert np.allclose(ends, [wall.left, wall.right], atol=1e-9)
