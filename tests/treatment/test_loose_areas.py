"""Loose and fallen areas recounted on squares of a hand: each place once, what meets is one patch."""

from __future__ import annotations

import pytest
from effort import examples
from hand import entry_of, job_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff import LooseArea, Opening, Wall
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.survey.wall import Rectangle
from mytakeoff.takeoff.takeoff import takeoff_lines
from mytakeoff.treatment.loose_areas import covered_area_m2, fallen_plaster, hollows, separate_patches

SQUARE_M = 0.1
HOLLOW = LooseArea(1.0, 0.6, 1.6, 1.4, 20.0)
HOLE = LooseArea(1.4, 1.0, 0.9, 0.7, 20.0, fallen=True)


def squares_of(rectangles):
    """The squares of 0.1 m that whole rectangles on that grid cover."""
    found = set()
    for r in rectangles:
        left, low, right, top = (
            round(value / SQUARE_M) for value in (r.x_m, r.z_m, r.x_m + r.width_m, r.z_m + r.height_m)
        )
        found |= {(x, z) for x in range(left, right) for z in range(low, top)}
    return found


def flooded(squares):
    """How many heaps of squares share no side and no corner with others, by walking from each to the next."""
    left, heaps = set(squares), 0
    while left:
        heaps, edge = heaps + 1, [left.pop()]
        while edge:
            x, z = edge.pop()
            near = {(x + i, z + j) for i in (-1, 0, 1) for j in (-1, 0, 1)} & left
            left -= near
            edge += near
    return heaps


places = st.builds(
    lambda x, z, w, h: Rectangle(x * SQUARE_M, z * SQUARE_M, w * SQUARE_M, h * SQUARE_M),
    st.integers(0, 12), st.integers(0, 12), st.integers(1, 8), st.integers(1, 8),
)  # fmt: skip


@given(st.lists(places, max_size=6), st.lists(places, max_size=3))
@examples(300)
def test_patches_and_their_area_are_those_of_a_count_on_squares(rectangles, without):
    squares = squares_of(rectangles) - squares_of(without)
    assert separate_patches(rectangles, without) == flooded(squares)
    assert covered_area_m2(rectangles, without) == pytest.approx(len(squares) * SQUARE_M**2, abs=1e-9)


@given(st.lists(places, min_size=1, max_size=5), st.randoms())
@examples(60)
def test_the_order_of_areas_and_one_named_twice_change_nothing(rectangles, random):
    twice = [*rectangles, random.choice(rectangles)]
    random.shuffle(twice)
    assert separate_patches(twice) == separate_patches(rectangles)


def plaster_of(*loose, **details):
    """The measures of a wall with such old plaster, and its takeoff."""
    entry = entry_of(Wall("A", 4.0, 2.6, **details), "sound old plaster", loose=loose)
    job = job_of(entry)
    result = mt.evaluate(job)
    return measure_wall(job, result.walls[0]), takeoff_lines(job, result.walls), job


def test_a_hole_inside_a_hollow_area_is_one_patch_of_the_same_area_and_litres():
    with_hole, _, _ = plaster_of(HOLLOW, HOLE)
    alone, _, _ = plaster_of(HOLLOW)
    apart, _, _ = plaster_of(HOLLOW, LooseArea(3.2, 0.2, 0.4, 0.3, 20.0, fallen=True))
    assert (alone.hollows, with_hole.hollows, apart.hollows) == (1, 1, 2)
    assert with_hole.hollows_m2 == pytest.approx(alone.hollows_m2) == pytest.approx(1.6 * 1.4 * 1.25)
    assert with_hole.hollows_l == pytest.approx(alone.hollows_l)
    assert with_hole.hacked_m2 == pytest.approx(alone.hacked_m2 - 0.9 * 0.7)


def test_an_area_that_an_opening_cuts_through_is_two_patches():
    window = Opening("window", 1.5, 0.5, 0.6, 1.6)
    found, _, _ = plaster_of(HOLLOW, openings=(window,))
    assert found.hollows == 2
    assert hollows(entry_of(Wall("A", 4.0, 2.6), loose=(HOLLOW,)), 0.25)[0] == 1


def test_patching_alone_counts_the_hole_once_too():
    _, _, job = plaster_of(HOLLOW, HOLE)
    patched = mt.evaluate(mt.carry(job, mt.Treatment("patch", "patch what has fallen", skim=False)))
    assert len(patched.walls[0].patches) == 1


def test_what_lies_on_the_floor_is_bagged_and_tipped_like_what_is_hacked_off():
    # by hand: 0.9 × 0.7 m, 20 mm deep, 1.7 kg/l (common practice, no source)
    _, here, _ = plaster_of(HOLE)
    assert fallen_plaster(entry_of(Wall("A", 4.0, 2.6), loose=(HOLE,))) == pytest.approx((0.63, 12.6))
    tipped = {line.item: line for line in here.quantities}["tipping, mixed rubble"]
    assert float(tipped.quantity) == pytest.approx(12.6 * 1.7)
    assert "0.63 m² fallen, 12.60 l × 1.7 kg/l" in tipped.basis


def test_rubble_is_the_same_whether_plaster_has_fallen_or_is_hacked_off():
    # the same area without growth: 1.6 × 1.4 m at 20 mm
    grown = 1.25**0.5
    smaller = LooseArea(1.0, 0.6, 1.6 / grown, 1.4 / grown, 20.0)
    _, fallen, _ = plaster_of(LooseArea(1.0, 0.6, 1.6, 1.4, 20.0, fallen=True))
    _, off, _ = plaster_of(smaller)
    kg = [
        next(float(q.quantity) for q in takeoff.quantities if q.item == "tipping, mixed rubble")
        for takeoff in (fallen, off)
    ]
    assert kg[0] == pytest.approx(kg[1], abs=0.01) == pytest.approx(1.6 * 1.4 * 20 * 1.7, abs=0.01)
