"""Straight lines between readings: of two diagonals the prouder, and nothing else about their order."""

from __future__ import annotations

from itertools import combinations, permutations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.survey.triangles import between_readings

SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
FINE = (np.arange(200) + 0.5) / 200
EVERYWHERE = np.column_stack([axis.ravel() for axis in np.meshgrid(FINE, FINE)])


def highest_of_all_triangles(places, heights, at):
    """The upper hull at one place: the highest that any three of the readings around it make it."""
    found = -np.inf
    for three in combinations(range(len(places)), 3):
        corners = places[list(three)]
        square = np.vstack([corners.T, np.ones(3)])
        if abs(np.linalg.det(square)) > 1e-9:
            share = np.linalg.solve(square, [*at, 1.0])
            if share.min() > -1e-9:
                found = max(found, float(share @ heights[list(three)]))
    return found


@pytest.mark.parametrize("order", list(permutations(range(4))))
@pytest.mark.parametrize(
    ("corner_mm", "middle_mm", "litres"),
    [
        (10.0, 5.0, 10 / 3),  # the diagonal runs up to it: two triangles of 0, 0, 10 with half a m² each
        (-10.0, 0.0, -5 / 3),  # the diagonal passes it by: one triangle stays at 0
    ],
)
def test_one_corner_of_a_square_by_hand(order, corner_mm, middle_mm, litres):
    places, heights = SQUARE[list(order)], np.array([0.0, 0.0, 0.0, corner_mm])[list(order)]
    assert between_readings(places, heights, np.array([[0.5, 0.5]])) == pytest.approx([middle_mm], abs=1e-9)
    assert between_readings(places, heights, EVERYWHERE).mean() == pytest.approx(litres, rel=1e-4)


def test_four_corners_in_one_plane_stay_in_it():
    leaning = 3 * SQUARE[:, 0] - 2 * SQUARE[:, 1]
    found = between_readings(SQUARE, leaning, EVERYWHERE)
    np.testing.assert_allclose(found, 3 * EVERYWHERE[:, 0] - 2 * EVERYWHERE[:, 1], atol=1e-12)


@given(st.integers(0, 10_000), st.integers(5, 12))
@examples(40)
def test_many_on_one_circle_make_their_upper_hull(seed, count):
    random = np.random.default_rng(seed)
    turn = np.sort(random.choice(24, count, replace=False)) * np.pi / 12
    places = np.column_stack([2 + np.cos(turn), 1 + np.sin(turn)])
    heights = random.integers(-10, 10, count).astype(float)
    at = random.dirichlet(np.ones(count), 6) @ places
    hull = [highest_of_all_triangles(places, heights, place) for place in at]
    np.testing.assert_allclose(between_readings(places, heights, at), hull, atol=1e-4)


@pytest.mark.parametrize(("off_m", "middle_mm"), [(0.0, 5.0), (0.0005, 5.0), (-0.0005, 5.0), (0.01, 0.0)])
def test_heights_choose_only_where_readings_lie_on_one_circle_to_a_millimetre(off_m, middle_mm):
    """A proud corner a centimetre outside the circle of the others is passed by."""
    places = SQUARE.copy()
    places[3] += off_m / np.sqrt(2)
    found = between_readings(places, np.array([0.0, 0.0, 0.0, 10.0]), np.array([[0.5, 0.5]]))
    assert found == pytest.approx([middle_mm], abs=0.05)


def test_the_rim_is_inside_however_its_readings_are_rounded():
    """Five readings in line along the floor, two of them a hair off it: straight from one to the next."""
    heights = np.array([0.0, 4.0, 0.0, 4.0, 0.0, 1.0, 1.0])
    for hair in (0.0, 1e-16, -1e-16, 3e-14, -3e-14):
        places = np.array([[0, 0.3], [1, 0.3 + hair], [2, 0.3], [3, 0.3 - hair], [4, 0.3], [0, 2], [4, 2]])
        at = np.array([[0.5, 0.3], [1.5, 0.3], [2.25, 0.3], [3.75, 0.3], [0.0, 1.15], [4.0, 1.15]])
        expected = [2.0, 2.0, 1.0, 1.0, 0.5, 0.5]
        np.testing.assert_allclose(between_readings(places, heights, at), expected, atol=1e-9)


def test_beyond_the_readings_nothing_is_known():
    found = between_readings(SQUARE, np.zeros(4), np.array([[1.001, 0.5], [0.5, -0.001], [0.5, 0.5]]))
    np.testing.assert_array_equal(np.isnan(found), [True, True, False])


def test_every_reading_is_honoured():
    random = np.random.default_rng(5)
    x, z = (axis.ravel()[1:] for axis in np.meshgrid(np.arange(0.1, 4, 0.4), np.arange(0.1, 2.6, 0.6)))
    places, heights = np.column_stack([x, z]), random.integers(-20, 20, x.size).astype(float)
    np.testing.assert_allclose(between_readings(places, heights, places), heights, atol=1e-9)
