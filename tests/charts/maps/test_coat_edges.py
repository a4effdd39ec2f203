"""Edges between coats and where the numbers stand."""

from __future__ import annotations

import numpy as np
import pytest

from mytakeoff.charts.drawing.field import field_of
from mytakeoff.charts.maps.coat_edges import CoatDepths, coat_numbers, label_places
from mytakeoff.survey.wall import Wall

WALL = Wall("plain", 4.0, 2.0)


def field_from(thickness: np.ndarray):
    rows, columns = thickness.shape
    x_m, z_m = (np.arange(columns) + 0.5) * 4.0 / columns, (np.arange(rows) + 0.5) * 2.0 / rows
    return field_of(WALL, x_m, z_m, thickness)


def coats_of_rule(thickness: float, finish: float, first: float, further: float) -> int:
    """How many turns it takes to lay a thickness, laid on one by one."""
    left, coats = round(thickness - finish, 6), 0
    while left > 1e-9:
        left = round(left - (first if coats == 0 else further), 6)
        coats += 1
    return coats


@pytest.mark.parametrize(("finish", "first", "dub"), [(0, 20, 0), (3, 15, 0), (2.5, 12.5, 25), (0, 7.3, 4.1)])
def test_numbers_agree_with_laying_them_on(finish, first, dub):
    thickness = np.round(np.arange(0, 80, 0.1), 1).reshape(20, 40)
    numbers = coat_numbers(field_from(thickness), CoatDepths(first, finish, dub))
    expected = [coats_of_rule(value, finish, first, dub or first) for value in thickness.ravel()]
    assert numbers.ravel().tolist() == expected


def test_exactly_the_greatest_depth_is_one_coat():
    numbers = coat_numbers(field_from(np.array([[20.0, 20.01, 40.0, 40.01, np.nan]])), CoatDepths(20.0))
    assert numbers.tolist() == [[1, 2, 2, 3, -1]]


@pytest.mark.parametrize("depth", [0.0, -3.0, float("nan")])
def test_no_depth_no_edges(depth):
    assert CoatDepths(depth).edges_mm(100.0) == ()


def test_a_tiny_depth_does_not_draw_forever():
    assert len(CoatDepths(0.01).edges_mm(600.0)) == 40


def test_every_region_gets_its_number_inside():
    thickness = np.full((40, 80), 10.0)
    thickness[5:20, 50:75] = 30.0
    thickness[22:38, 5:25] = 30.0
    field = field_from(thickness)
    depths = CoatDepths(20.0)
    places = label_places(field, depths)
    assert sorted(number for number, _, _ in places) == [1, 2, 2]
    numbers = coat_numbers(field, depths)
    for number, x_m, z_m in places:
        row, column = field.row_column(x_m, z_m)
        around = numbers[row - 2 : row + 3, column - 2 : column + 3]
        assert (around == number).all()


def test_a_region_too_small_for_a_number_has_none():
    thickness = np.full((40, 80), 10.0)
    thickness[20:22, 40:42] = 30.0
    assert [number for number, _, _ in label_places(field_from(thickness), CoatDepths(20.0))] == [1]
