"""Rails by the spacing that a straightedge allows (common practice, no source)."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from mytakeoff import RailChoice, TakeoffError
from mytakeoff.rails.rails import fixings_per_rail, greatest_bay_m, rail_least_mm, rail_positions


@pytest.mark.parametrize(("overhang_m", "bay_m"), [(0.15, 1.2), (0.2, 1.1)])
def test_a_metre_and_a_half_of_edge_wants_rails_so_far_apart(overhang_m, bay_m):
    # a 1.5 m edge reaching 150 to 200 mm beyond each rail: 1.1 to 1.2 m (common practice, no source)
    assert greatest_bay_m(RailChoice(straightedge_m=1.5, overhang_m=overhang_m)) == pytest.approx(bay_m)


@given(
    width=st.floats(0.3, 12),
    edge=st.floats(0.8, 3.0),
    overhang=st.floats(0.05, 0.2),
    end=st.floats(0.0, 0.3),
)
@example(width=3.60453266756402, edge=0.8125, overhang=0.0625, end=0.0)  # once a rail an ulp off the wall
def test_bays_are_equal_and_the_edge_reaches_beyond_both_rails(width, edge, overhang, end):
    rails = RailChoice(straightedge_m=edge, overhang_m=overhang, end_m=end)
    places = rail_positions(width, rails)
    bays = [right - left for left, right in pairwise(places)]
    assert 0 <= places[0] <= places[-1] <= width
    assert all(bay == pytest.approx(bays[0]) for bay in bays)
    assert all(bay + 2 * overhang <= edge + 1e-6 for bay in bays)
    if bays:
        assert places[0] == pytest.approx(end)
        assert places[-1] == pytest.approx(width - end)


@given(width=st.floats(1.6, 12))  # wider than one bay and the strips beyond its rails
def test_no_rail_more_than_it_takes(width):
    rails = RailChoice()
    places = rail_positions(width, rails)
    bays_fewer = len(places) - 2
    assert bays_fewer >= 1
    assert (width - 2 * rails.end_m) / bays_fewer > greatest_bay_m(rails)


def test_a_cheek_of_the_chimney_breast_takes_two_rails_and_a_narrow_strip_one():
    assert rail_positions(0.7, RailChoice()) == pytest.approx((0.15, 0.55))
    assert rail_positions(0.35, RailChoice()) == pytest.approx((0.175,))


def test_no_rails_where_none_are_used():
    assert rail_positions(4.0, RailChoice(used=False)) == ()


def test_an_exact_fit_takes_no_rail_more():
    assert len(rail_positions(0.3 + 3 * 1.2, RailChoice())) == 4


@pytest.mark.parametrize(
    ("length_m", "step_m", "count"), [(2.4, 0.3, 9), (2.5, 0.3, 10), (2.5, 0.25, 11), (0.2, 0.3, 2)]
)
def test_fixings_stand_at_both_ends_and_no_further_apart_than_the_step(length_m, step_m, count):
    # every 250 to 300 mm (common practice, no source)
    assert fixings_per_rail(length_m, RailChoice(fixing_step_m=step_m)) == count


def test_a_rail_needs_its_depth_and_room_for_the_head():
    assert rail_least_mm(RailChoice(depth_mm=6, head_clearance_mm=3)) == 9


@pytest.mark.parametrize("wrong", [{"overhang_m": 0.75}, {"overhang_m": 0.9}])
def test_an_edge_no_longer_than_its_overhangs_is_refused(wrong):
    with pytest.raises(TakeoffError, match="longer than twice its overhang"):
        rail_positions(4.0, RailChoice(**wrong))


def test_two_mistakes_are_told_at_once():
    with pytest.raises(TakeoffError) as told:
        rail_positions(4.0, RailChoice(straightedge_m=0.2, fixing_step_m=0.0))
    assert len(told.value.mistakes) == 2
