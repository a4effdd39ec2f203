"""Planes found together, held to a general solver on every cell, and to what can be seen."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from oracles import TIGHT, cells_of, grid_of, least_plaster_by_hull, rough_wall
from scipy.optimize import linprog, minimize_scalar

import mytakeoff as mt
from mytakeoff.plane.outline import Outline, upper_hull
from mytakeoff.plane.planes_together import (
    Between,
    Tie,
    least_litres,
    litres_of,
    lowest_together,
    short_mm,
)

RULES = [mt.PlaneRule(least_mm=5.0), mt.PlaneRule(least_mm=4.0, rails_x_m=(0.33, 1.47), rail_least_mm=9.0)]


def outlines_of(seed: int, count: int) -> list[Outline]:
    """Rough walls, some with rails, some with an opening."""
    openings = [mt.Opening("door", 0.5, 0.4, 0.4, 0.4)]
    walls = [grid_of(rough_wall(10 * seed + n), openings=openings * (n % 2)) for n in range(count)]
    return [Outline.of(wall, RULES[n % 2]) for n, wall in enumerate(walls)]


def slope(turn: float) -> float:
    """By how much an angle rises with its tangent, both in mm/m."""
    return 1 / (1 + (turn / 1000) ** 2)


def angle(turn: float) -> float:
    return 1000 * math.atan(turn / 1000)


def least_by_solver(outlines, ties, betweens, near) -> float:
    """Least litres over heights and turns, every cell a constraint, angles by their tangents near an answer.

    Angles are not linear in slopes, but nearly: by the tangents at the answer itself no answer is better, or
    there is a better one beside it.
    """
    n = len(outlines)
    cells = [cells_of(each.surface, each.rule) for each in outlines]
    rows, most = [], []
    for nth, each in enumerate(cells):
        row = np.zeros((each.x.size, 2 * n))
        row[:, nth], row[:, n + nth] = -1.0, -(each.x - each.centroid[0])
        rows.append(row)
        most.append(-(each.proud + each.least))
    for tie in ties:
        row, (one, other) = np.zeros(2 * n), (near[tie.wall], near[tie.other])
        row[n + tie.other], row[n + tie.wall] = slope(other), -slope(one)
        apart = tie.apart_mm_per_m - (angle(other) - angle(one)) + slope(other) * other - slope(one) * one
        rows.append(np.array([row, -row]))
        most.append([apart + tie.within_mm_per_m, tie.within_mm_per_m - apart])
    for between in betweens:
        row = np.zeros(2 * n)
        sides = ((between.wall, between.x_m, 1), (between.other, between.other_x_m, between.share))
        for nth, x, share in sides:
            row[nth] += share
            row[n + nth] += share * (x - cells[nth].centroid[0])
        rows.append(row[None, :])
        most.append([between.most_mm])
    cost = np.concatenate([[each.net_m2 for each in cells], np.zeros(n)])
    answer = linprog(cost, np.vstack(rows), np.concatenate(most), bounds=(None, None), options=TIGHT)
    assert answer.status == 0, answer.message
    return float(answer.fun - sum(each.area @ each.proud for each in cells))


def check_together(outlines, ties=(), betweens=()):
    """Hold planes to the solver's litres, to their angles, to what is between, to each cell's least."""
    turns = lowest_together(outlines, ties, betweens)
    assert litres_of(outlines, turns) == pytest.approx(
        least_by_solver(outlines, ties, betweens, turns), abs=1e-6
    )
    for tie in ties:
        apart = angle(turns[tie.other]) - angle(turns[tie.wall]) - tie.apart_mm_per_m
        assert abs(apart) <= tie.within_mm_per_m + 1e-6
    planes = [each.plane(turn) for each, turn in zip(outlines, turns.tolist(), strict=True)]
    for each, plane in zip(outlines, planes, strict=True):
        assert cells_of(each.surface, each.rule).clearance(plane).min() >= -1e-9
        assert cells_of(each.surface, each.rule).litres_of(plane) == pytest.approx(
            each.litres(each.height_mm(plane.b_mm_per_m)), abs=1e-9
        )
    for each in betweens:
        one, other = planes[each.wall].at(each.x_m, 0), planes[each.other].at(each.other_x_m, 0)
        taken = float(one + each.share * other)
        assert taken <= each.most_mm + 1e-6
    return turns


def round_room(count: int, off, within: float, closed: bool) -> list[Tie]:
    """Ties from wall to wall; round a room what is off comes to nothing."""
    off = np.array(off[:count])
    ties = [Tie(n, n + 1, float(off[n]), within) for n in range(count - 1)]
    return [*ties, Tie(count - 1, 0, float(-off[: count - 1].sum()), within)] if closed else ties


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("within", [0.0, 1.5, 6.0])
@pytest.mark.parametrize("seed", range(4))
def test_no_planes_take_less_by_a_general_solver(seed, within, closed):
    rng = np.random.default_rng(seed)
    count = 2 + seed + closed
    check_together(outlines_of(seed, count), round_room(count, rng.normal(0, 8, 8), within, closed))


@pytest.mark.parametrize("within", [0.0, 2.0])
@pytest.mark.parametrize("seed", range(3))
def test_nor_with_parallel_walls_and_widths_that_must_remain(seed, within):
    rng = np.random.default_rng(50 + seed)
    outlines, off = outlines_of(seed, 4), rng.normal(0, 5, 4)
    ties = [*round_room(4, off, within, closed=True), Tie(0, 2, float(off[:2].sum()), within)]
    turns = lowest_together(outlines, ties)
    planes = [each.plane(turn) for each, turn in zip(outlines, turns.tolist(), strict=True)]
    taken = float(planes[0].at(0.3, 0) + planes[2].at(1.9, 0))
    tightest = Between(0, 2, 0.3, 1.9, -1e6)
    least = taken - float(short_mm(outlines, ties, [Between(0, 2, 0.3, 1.9, taken)])[0])
    reach = -1e6 + float(short_mm(outlines, ties, [tightest])[0])
    assert reach <= taken + 1e-6
    assert least == pytest.approx(taken)
    check_together(outlines, ties, [Between(0, 2, 0.3, 1.9, max(reach + 0.01, (reach + taken) / 2))])


@pytest.mark.parametrize("seed", range(3))
def test_a_square_room_turns_as_one(seed):
    """With no tolerance only the turn of the square is free: its litres by a search over angles."""
    rng = np.random.default_rng(seed)
    outlines, off = outlines_of(seed, 4), rng.normal(0, 20, 3)
    ahead = np.radians(np.degrees(np.concatenate([[0.0], off.cumsum()]) / 1000))

    def litres(turn):
        turns = 1000 * np.tan(turn / 1000 + ahead)
        return sum(
            least_plaster_at(each, float(each_turn)) for each, each_turn in zip(outlines, turns, strict=True)
        )

    best = min((litres(turn), turn) for turn in np.linspace(-60, 60, 241))[1]
    found = minimize_scalar(litres, bounds=(best - 1, best + 1), method="bounded", options={"xatol": 1e-9})
    turns = check_together(outlines, round_room(4, off, 0.0, closed=True))
    assert litres_of(outlines, turns) == pytest.approx(found.fun, abs=1e-6)
    assert angle(turns[0]) == pytest.approx(found.x, abs=1e-4)


def least_plaster_at(outline: Outline, turn: float) -> float:
    """Litres of the lowest plane of a turn, over every cell."""
    cells = cells_of(outline.surface, outline.rule)
    return cells.litres_under(float((cells.proud + cells.least - turn * cells.x).max()), turn, 0.0)


def test_walls_that_nothing_ties_are_as_by_themselves():
    outlines = outlines_of(3, 5)
    turns = check_together(outlines)
    for each, turn in zip(outlines, turns.tolist(), strict=True):
        alone = least_plaster_by_hull(cells_of(each.surface, each.rule), plumb=True)
        assert each.by_itself_l == pytest.approx(alone, rel=1e-9)
        assert each.litres(each.height_mm(turn)) == pytest.approx(alone, rel=1e-9)
        single = mt.target_plane(each.surface, each.rule)
        assert each.plane(turn).a_mm == pytest.approx(single.a_mm, abs=1e-6)
        assert {touch.x_m for touch in each.plane(turn).touches} == {touch.x_m for touch in single.touches}


def test_more_tolerance_takes_no_more():
    outlines = outlines_of(4, 4)
    off = [9.0, -4.0, 3.0, 0.0]
    ties = [round_room(4, off, within, closed=True) for within in (0.0, 1.0, 2.0, 5.0, 50.0)]
    litres = [litres_of(outlines, lowest_together(outlines, some)) for some in ties]
    assert all(one >= other - 1e-6 for one, other in pairwise(litres))
    assert litres[-1] == pytest.approx(litres_of(outlines, lowest_together(outlines)), abs=1e-6)
    near = lowest_together(outlines, ties[0])
    held = least_litres(outlines, ties[0][1:], (), near)  # by the other three
    assert held == pytest.approx(litres[0], abs=1e-6)
    assert least_litres(outlines, ties[0][2:], (), near) <= litres[0]


@given(arrays(np.float64, (3, 3, 5), elements=st.integers(-9, 9).map(float)), st.sampled_from([0.0, 1.0]))
@examples(40)
def test_mirrored_walls_have_the_mirrored_planes(proud, within):
    """Left for right, the walls go round the other way and each turns the other way."""
    rule = mt.PlaneRule(least_mm=5.0)
    here = [Outline.of(grid_of(face, cell_m=0.5), rule) for face in proud]
    there = [Outline.of(grid_of(face[:, ::-1], cell_m=0.5), rule) for face in proud]
    ties = round_room(3, [4.0, -7.0, 0.0], within, closed=True)
    back = [Tie(tie.other, tie.wall, tie.apart_mm_per_m, within) for tie in ties]
    turns, mirrored = (lowest_together(*each) for each in ((here, ties), (there, back)))
    assert litres_of(here, turns) == pytest.approx(litres_of(there, mirrored), abs=1e-6)
    assert litres_of(there, -turns) == pytest.approx(litres_of(here, turns), abs=1e-6)
    assert litres_of(here, -mirrored) == pytest.approx(litres_of(here, turns), abs=1e-6)


def test_a_width_that_cannot_be_is_short_by_so_much():
    """Two flat walls, 5 mm kept on each: ten millimetres of the distance are gone, and eight were allowed."""
    flat = [Outline.of(grid_of(np.zeros((3, 4))), mt.PlaneRule(least_mm=5.0)) for _ in range(2)]
    between = [Between(0, 1, 0.2, 0.2, 8.0), Between(0, 1, 0.1, 0.3, 11.0)]
    assert lowest_together(flat, [Tie(0, 1, 0.0)], between) is None
    assert short_mm(flat, [Tie(0, 1, 0.0)], between).tolist() == pytest.approx([2.0, 0.0], abs=1e-6)


def test_turns_that_cannot_hang_together():
    limit = mt.PlaneRule(least_mm=5.0, turn_limit_mm_per_m=2.0)
    flat = [Outline.of(grid_of(np.zeros((3, 4))), limit) for _ in range(2)]
    assert lowest_together(flat, [Tie(0, 1, 5.0)]) is None
    assert short_mm(flat, [Tie(0, 1, 5.0)], []) is None
    assert least_litres(flat, [Tie(0, 1, 5.0)], [], np.zeros(2)) == math.inf


def test_of_equal_answers_the_calmest():
    """A nib in the middle carries the plane at any turn up to where an end comes to bear."""
    proud = np.zeros((1, 5))
    proud[0, 2] = 10.0
    walls = [Outline.of(grid_of(proud, cell_m=0.4), mt.PlaneRule()) for _ in range(2)]
    assert lowest_together(walls, [Tie(0, 1, 0.0, 30.0)]).tolist() == pytest.approx([0.0, 0.0], abs=1e-6)
    assert lowest_together(walls, [Tie(0, 1, 3.0)]) is not None


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(-9, 9)), min_size=1, max_size=12))
@examples(60)
def test_the_upper_hull_is_what_carries_a_straight_edge(points):
    x, high = np.array(points, dtype=float).T
    kept = upper_hull(x.tolist(), high.tolist())
    assert (np.diff(x[kept]) > 0).all()
    for turn in np.linspace(-20, 20, 41):
        assert (high - turn * x)[kept].max() == (high - turn * x).max()
    slopes = np.diff(high[kept]) / np.diff(x[kept])
    assert (np.diff(slopes) < 0).all()
