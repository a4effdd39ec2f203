"""Sides and diagonals of a room of four walls, held to plane geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import examples, scaled
from hypothesis import given
from hypothesis import strategies as st
from invented_rooms import AT_M, RECTANGLE, inside_deg, invented, planes_deg

import mytakeoff as mt
from mytakeoff.corners.quadrilateral import across_corners, angles_of

ORDER = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]
near_corner = st.tuples(st.floats(-0.8, 0.8), st.floats(-0.8, 0.8))


def lengths_between(corners) -> np.ndarray:
    """Sides clockwise and the two diagonals."""
    return np.array([math.dist(corners[one], corners[other]) for one, other in ORDER])


def inside_angles(corners) -> list[float]:
    """At the right end of each side, by vectors."""
    sides = [(corners[nth], corners[(nth + 1) % 4]) for nth in range(4)]
    return [inside_deg(side, sides[(nth + 1) % 4]) for nth, side in enumerate(sides)]


@given(st.tuples(near_corner, near_corner, near_corner, near_corner))
@examples(60)
def test_exact_lengths_give_the_room_they_were_taken_of(moved):
    corners = [np.add(at, by) for at, by in zip(RECTANGLE, moved, strict=True)]
    found = angles_of(lengths_between(corners), np.full(6, 2.0))
    assert [math.degrees(each.turn) for each in found] == pytest.approx(inside_angles(corners), abs=1e-5)
    assert sum(each.turn for each in found) == pytest.approx(2 * math.pi, abs=1e-9)


def test_corners_on_a_circle_keep_ptolemys_product():
    """A quadrilateral on a circle: the diagonals' product is that of the sides, pair by pair (Ptolemy), and
    angles that face one another come to 180° (Euclid III.22)."""
    corners = [2.5 * np.array([math.cos(a), -math.sin(a)]) for a in (0.4, 1.7, 3.3, 5.0)]
    lengths = lengths_between(corners)
    a, b, c, d, p, q = lengths
    assert p * q == pytest.approx(a * c + b * d)
    found = [math.degrees(each.turn) for each in angles_of(lengths, np.full(6, 2.0))]
    assert found[0] + found[2] == pytest.approx(180.0, abs=1e-6)
    assert found[1] + found[3] == pytest.approx(180.0, abs=1e-6)


def test_one_angle_by_the_law_of_cosines():
    lengths = np.array(
        [4.0, 3.0, 4.0, 3.0, 5.1, math.sqrt(50 - 5.1**2)]
    )  # a parallelogram: p² + q² = 2(a² + b²)
    found = angles_of(lengths, np.full(6, 2.0))
    assert math.degrees(found[0].turn) == pytest.approx(
        math.degrees(math.acos((16 + 9 - 5.1**2) / 24)), abs=1e-6
    )


def test_angles_scatter_as_their_standard_deviations_say():
    rng, corners = np.random.default_rng(1), np.add(RECTANGLE, [(0, 0), (0.1, 0), (0, 0.2), (-0.1, 0)])
    sds, true = np.array([5.0, 5.0, 5.0, 5.0, 2.0, 2.0]), inside_angles(corners)
    off, refused = [], 0
    for _ in range(scaled(300)):
        try:
            found = angles_of(lengths_between(corners) + rng.normal(0, sds) / 1000, sds)
        except mt.TakeoffError:
            refused += 1
            continue
        off += [
            (each.turn - math.radians(at)) / math.sqrt(each.variance)
            for each, at in zip(found, true, strict=True)
        ]
    assert np.std(off) == pytest.approx(1.0, abs=0.15)
    assert refused <= 0.05 * scaled(300)  # 2.5 standard deviations: 1.2 % of good measurements


@pytest.mark.parametrize(("lengths", "words"), [
    ((4.0, 3.0, 4.0, 3.0, 5.0, 5.2), "200 mm off|mm off the nearest"),
    ((4.0, 3.0, 4.0, 3.0, 7.1, 5.0), "diagonals of 7.1 and 5 m over sides of 4, 3, 4, 3 m$"),
    ((4.0, 3.0, 4.0, 3.0, 0.9, 5.0), "diagonals of 0.9 and 5 m"),
])  # fmt: skip
def test_diagonals_that_no_room_has(lengths, words):
    with pytest.raises(mt.TakeoffError) as told:
        angles_of(np.array(lengths), np.full(6, 2.0), "room 'A', diagonals")
    (mistake,) = told.value.mistakes
    assert mistake.place == "room 'A', diagonals"
    assert "fit one room" in mistake.rule
    assert pytest.importorskip("re").search(words, mistake.found)


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("seed", range(2))
def test_diagonals_tell_the_angles_between_the_planes(first, seed):
    walls = invented(RECTANGLE, seed)
    surveys = {wall.name: wall.survey() for wall in walls}
    corners = [mt.RoomCorner(wall.name, walls[(nth + 1) % 4].name) for nth, wall in enumerate(walls)]
    turned = [*RECTANGLE[first:], *RECTANGLE[:first]]
    lengths = lengths_between(turned).tolist()
    taped = mt.Diagonals(walls[first].name, lengths[4], lengths[5], AT_M, tuple(lengths[:4]))
    found = across_corners(taped, corners, surveys)
    assert [each.corner for each in found] == corners
    true = [planes_deg(wall, walls[(nth + 1) % 4]) for nth, wall in enumerate(walls)]
    assert [each.angle_deg for each in found] == pytest.approx(true, abs=1e-6)
    by_widths = across_corners(
        mt.Diagonals(walls[first].name, lengths[4], lengths[5], AT_M), corners, surveys
    )
    assert all(one.sd_mm_per_m > other.sd_mm_per_m for one, other in zip(by_widths, found, strict=True))
