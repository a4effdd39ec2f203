"""Snags of a finished wall: those of the least repair, of known solids, and what an edge showed by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import edge_oracle
import finished_walls
import numpy as np
import pytest
from effort import examples
from finished_walls import HELD, WALL, dish, flat, read
from hypothesis import given
from hypothesis import strategies as st
from oracles import grid_of, rough_wall

import mytakeoff as mt
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.formats.formats import Formats
from mytakeoff.repair.spot_repair import finished_face

FILL_ONLY = mt.TouchUp(cut_limit_mm=0.0)
CLOSE_MM = 0.02  # a repair is computed to 0.01 mm
seeds = st.integers(0, 10_000)


def of_face(face, step_m: float = 0.05, **more) -> mt.SnagList:
    survey = read(face, step_m)
    return mt.snag_list(HELD, mt.grid_surface(survey, 0.05), survey, **more)


@given(seeds, st.sampled_from([0.0, 5.0]), st.sampled_from([0.5, 1.0]))
@examples(30)
def test_a_wall_whose_snags_are_put_right_passes(seed, cut_limit, share):
    """By the definition of the gap: what is filled and taken down leaves none above what was promised."""
    surface = grid_of(rough_wall(seed, nx=9, nz=7, noise=4.0))
    held = mt.Promised(surface.wall, (EdgeRule(0.5, 3.0),))
    found = mt.snag_list(held, surface, touch_up=mt.TouchUp(share, cut_limit))
    after = finished_face(found.repair).proud_mm
    assert np.nanmax(edge_oracle.gap(after, 0.1, 0.1, 0.5)) <= 3.0 + CLOSE_MM
    depths = {"hollow": found.repair.thickness_mm, "high": found.repair.cut_mm}
    for kind, mm in depths.items():
        own = [snag for snag in found.snags if snag.kind == kind]
        assert sum(snag.litres for snag in own) == pytest.approx(np.nansum(mm) * 0.01, abs=1e-6)
        assert max((snag.depth_mm for snag in own), default=0.0) == pytest.approx(np.nanmax(mm), abs=1e-9)
    assert min((snag.depth_mm for snag in found.snags if snag.kind == "high"), default=1.0) >= 0.5


@given(seeds)
@examples(20)
def test_litres_are_those_of_the_spot_repair(seed):
    surface = grid_of(rough_wall(seed, nx=9, nz=7, noise=4.0))
    held = mt.Promised(surface.wall, (EdgeRule(0.5, 3.0),))
    repair = mt.spot_repair(surface, 3.0, 0.5, left_mm=1.5)
    assert mt.snag_list(held, surface, touch_up=FILL_ONLY).litres == pytest.approx(repair.volume_l)
    least = mt.spot_repair(surface, 3.0, 0.5)
    found = mt.snag_list(held, surface, touch_up=mt.TouchUp(1.0, 0.0))
    assert found.litres == pytest.approx(least.volume_l, abs=0.01)


def test_a_wall_as_promised_has_no_snags():
    found = of_face(lambda x, z: dish(x, z, (2.0, 1.25), 1.0, 2.0))
    assert (found.snags, found.litres, found.minutes) == ((), 0.0, 0.0)


def test_a_trench_is_filled_to_half_of_what_is_allowed():
    """A trench 0.4 m wide and 5 mm deep up the whole wall, bridged by the edge: 3.5 mm over 0.4 × 2.5 m."""
    found = of_face(lambda x, z: np.where(abs(x - 2.0) < 0.2, -5.0, 0.0), touch_up=FILL_ONLY)
    [snag] = found.snags
    assert snag.kind == "hollow"
    assert snag.depth_mm == pytest.approx(3.5, abs=0.02)
    assert snag.litres == pytest.approx(3.5 * 0.4 * 2.5, rel=0.15)
    assert (snag.x_m, snag.z_m) == pytest.approx((2.0, 1.25), abs=0.03)
    assert (snag.place.width_m, snag.place.height_m) == pytest.approx((0.4, 2.5), abs=0.11)


def test_a_dish_is_filled_by_as_much_as_it_is_deeper_than_what_is_left():
    """A level 1.5 mm under the rim of a paraboloid d deep, radius R, cuts off π R² (d - 1.5)² / (2 d)."""
    depth, radius = 9.0, 0.45
    found = of_face(lambda x, z: dish(x, z, (2.0, 1.25), radius, depth), touch_up=FILL_ONLY)
    [snag] = found.snags
    cap_l = math.pi * radius**2 * (depth - 1.5) ** 2 / (2 * depth)
    assert snag.depth_mm == pytest.approx(depth - 1.5, abs=0.15)  # cells are flat
    # an edge that rests near the rim spans less of the dish and hangs lower, so a little more is filled
    assert cap_l * 0.97 < snag.litres < cap_l * 1.35


def test_a_knob_is_taken_down_and_nothing_is_filled_round_it():
    found = of_face(lambda x, z: dish(x, z, (2.0, 1.25), 0.15, -6.0), 0.05)
    assert {snag.kind for snag in found.snags} == {"high"}
    [snag] = found.snags
    assert (snag.x_m, snag.z_m) == pytest.approx((2.0, 1.25), abs=0.05)
    assert 2.0 < snag.depth_mm < 5.0
    assert found.litres == 0.0


def test_minutes_are_those_of_the_job_s_own_rates():
    rates = mt.LabourRates(patch_h_each=0.2, patch_h_per_m2=2.0, take_down_h_per_m2=0.5)
    trench = of_face(lambda x, z: np.where(abs(x - 2.0) < 0.2, -5.0, 0.0), touch_up=FILL_ONLY, rates=rates)
    [snag] = trench.snags
    assert snag.minutes == pytest.approx(60 * (0.2 + 2.0 * snag.area_m2))
    knob = of_face(lambda x, z: dish(x, z, (2.0, 1.25), 0.15, -6.0), 0.05, rates=rates)
    assert knob.minutes == pytest.approx(60 * (0.2 + 0.5 * knob.snags[0].area_m2))


def test_snags_stand_by_their_places_from_the_left_end_and_from_the_floor():
    def face(x, z):
        return sum(dish(x, z, at, 0.3, 7.0) for at in ((3.2, 0.6), (0.8, 1.9), (2.0, 1.2)))

    found = of_face(face, touch_up=FILL_ONLY).snags
    assert [snag.number for snag in found] == [1, 2, 3]
    assert [round(snag.x_m, 1) for snag in found] == [0.8, 2.0, 3.2]


def test_a_bulge_that_no_touching_up_cures_is_told():
    held = replace(HELD, both_ways=True)
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 1.6, -12.0), 0.25)
    found = mt.snag_list(held, mt.grid_surface(survey, 0.05), survey)
    assert any("A bulge of" in notice and "not touched up" in notice for notice in found.notices)
    assert not any("A bulge of" in notice for notice in of_face(flat, 0.25).notices)


# -- by hand -------------------------------------------------------------------------------------------


def mark(x_m: float, z_m: float, kind="light", mm: float = 4.0, edge_m: float = 2.0) -> mt.HandMark:
    return mt.HandMark(x_m, z_m, kind, mm, edge_m)


def test_light_where_no_reading_saw_a_hollow_is_a_snag_as_wide_as_readings_leave_room_for():
    survey = read(flat, 0.5)
    found = mt.snag_list(HELD, mt.grid_surface(survey, 0.05), survey, [mark(1.33, 0.91)])
    [snag] = found.snags
    radius = np.hypot(survey.x_m - 1.33, survey.z_m - 0.91).min()
    assert (snag.kind, snag.seen_by, snag.depth_mm) == ("hollow", ("edge",), 2.5)
    assert snag.area_m2 == pytest.approx(math.pi * radius**2)
    assert snag.litres == pytest.approx(math.pi * radius**2 * 2.5 / 2)  # a paraboloid


@pytest.mark.parametrize(("kind", "mm", "seen"), [("light", 3.1, 1), ("light", 3.0, 0), ("light", 0.0, 0),
                                                  ("rocks", 6.2, 1), ("rocks", 6.0, 0)])  # fmt: skip
def test_a_mark_within_what_was_promised_is_no_snag(kind, mm, seen):
    # an edge that rocks by 6 mm stands 3 mm off at both ends where it is balanced
    found = mt.snag_list(HELD, marks=[mark(1.0, 1.0, kind, mm)])
    assert len(found.snags) == seen
    assert all(snag.kind == ("high" if kind == "rocks" else "hollow") for snag in found.snags)


def test_a_mark_confirms_the_snag_beside_it_and_leaves_its_litres():
    def face(x, z):
        return dish(x, z, (2.0, 1.25), 0.4, 7.0)

    alone, [snag] = of_face(face), of_face(face, marks=[mark(2.3, 1.4, mm=6.0)]).snags
    assert snag.seen_by == ("readings", "edge")
    assert snag.marks == (mark(2.3, 1.4, mm=6.0),)
    assert snag.litres == alone.snags[0].litres
    apart = of_face(face, marks=[mark(3.5, 2.2, mm=6.0)]).snags
    assert [each.seen_by for each in apart] == [("readings",), ("edge",)]
    rocks = of_face(face, marks=[mark(2.3, 1.4, "rocks", 9.0)]).snags
    assert {(each.kind, each.seen_by) for each in rocks} == {("hollow", ("readings",)), ("high", ("edge",))}


def test_two_marks_at_one_place_are_one_snag_of_the_deeper():
    for marks in (
        [mark(1.0, 1.0, mm=4.0), mark(1.1, 1.0, mm=6.0)],
        [mark(1.1, 1.0, mm=6.0), mark(1.0, 1.0, mm=4.0)],
    ):
        [snag] = mt.snag_list(HELD, marks=marks).snags
        assert (snag.depth_mm, snag.x_m, len(snag.marks)) == (4.5, 1.1, 2)


def test_limits_go_by_the_edge_that_was_laid():
    held = replace(HELD, edges=(EdgeRule(1.0, 2.0), EdgeRule(2.0, 3.0)))
    short, long = (mt.snag_list(held, marks=[mark(1.0, 1.0, mm=2.5, edge_m=edge)]) for edge in (0.8, 2.0))
    assert (len(short.snags), len(long.snags)) == (1, 0)


# -- bad input -----------------------------------------------------------------------------------------

DOOR = mt.Wall("north", 4.0, 2.5, (mt.Opening("door", 1.0, 0.0, 0.9, 2.0),), skirting_m=0.1)


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        (mark(4.2, 1.0), "a mark is made on the wall"),
        (mark(1.0, 2.6), "a mark is made on the wall"),
        (mark(1.4, 1.0), "there is an opening"),
        (mark(3.0, 0.05), "there is an opening or a strip without it"),
        (mark(3.0, 1.0, edge_m=4.5), "an edge lies on its wall"),
        (mark(3.0, 1.0, edge_m=2.5), "a longer one tells nothing of it"),
    ],
)
def test_a_mark_that_says_nothing_of_the_wall_is_refused(wrong, rule):
    with pytest.raises(mt.TakeoffError) as refused:
        mt.snag_list(replace(HELD, wall=DOOR), marks=[mark(3.0, 1.0), wrong])
    first = refused.value.mistakes[0]
    assert rule in first.rule
    assert first.found
    assert first.remedy
    assert first.place == f"wall 'north', mark at x {wrong.x_m:g} m, z {wrong.z_m:g} m"


def test_all_wrong_marks_are_told_together():
    with pytest.raises(mt.TakeoffError) as refused:
        mt.snag_list(HELD, marks=[mark(5.0, 1.0), mark(1.0, 9.0)])
    assert len(refused.value.mistakes) == 2


@pytest.mark.parametrize(
    "wrong", [{"kind": "bumpy"}, {"mm": math.nan}, {"mm": -1.0}, {"edge_m": 0.0}, {"x_m": -1.0}]
)
def test_a_mark_that_nobody_makes_is_refused(wrong):
    with pytest.raises(mt.TakeoffError, match="mark at x"):
        replace(mark(1.0, 1.0), **wrong)


def test_the_rim_of_an_opening_has_plaster():
    assert len(mt.snag_list(replace(HELD, wall=DOOR), marks=[mark(1.9, 1.0)]).snags) == 1
    assert finished_walls.WALL is WALL


@pytest.mark.parametrize(("edges", "said"), [((2.0, 5.0), ""), ((5.0,), "4 × 2,5 m")])
def test_an_edge_too_long_for_the_wall_is_told_as_the_job_writes_it(edges, said):
    held = replace(HELD, edges=tuple(EdgeRule(length, 3.0) for length in edges))
    survey = read(flat, 0.2)
    comma = Formats(decimal_comma=True)
    found = mt.snag_list(held, mt.grid_surface(survey, 0.1), survey, formats=comma)
    assert len(found.notices) == bool(said)
    assert said in "".join(found.notices)
