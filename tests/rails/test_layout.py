"""Rails on walls with openings: ruled everywhere, clear of corners and openings, as few as it takes.

Overhang of 150 to 200 mm and how far an edge may slide: common practice, no source.
"""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
import pytest
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from mytakeoff import Opening, RailChoice, TakeoffError, Wall
from mytakeoff.rails.layout import MOST_PLACES, candidates, rails_on
from mytakeoff.rails.rails import LEAST_PIECE_M, fixing_heights, rail_pieces, rail_positions
from mytakeoff.rails.span import bays_of, not_ruled

DOOR = Opening("door", 2.3, 0.0, 0.85, 2.05)
WINDOW = Opening("window", 1.5, 0.9, 1.2, 1.4)


@st.composite
def walls(draw):
    """Walls with up to three openings side by side, as rooms have them."""
    width = draw(st.integers(24, 70)) / 10
    height = draw(st.sampled_from([2.3, 2.6, 3.1]))
    openings, left = [], 0.0
    for n in range(draw(st.integers(0, 3))):
        x = round(left + draw(st.integers(3, 15)) / 10, 2)
        wide = draw(st.integers(4, 20)) / 10
        if x + wide > width - 0.3:
            break
        if draw(st.booleans()):
            openings.append(Opening(f"door {n}", x, 0.0, wide, 2.05))
        else:
            openings.append(Opening(f"window {n}", x, 0.9, wide, 1.2))
        left = x + wide
    return Wall("A", width, height, tuple(openings))


choices = st.builds(
    RailChoice,
    straightedge_m=st.sampled_from([1.2, 1.5, 1.8, 2.0]),
    overhang_m=st.sampled_from([0.15, 0.18, 0.2]),
)


def in_an_opening(wall, x, z):
    return any(o.x_m < x < o.x_m + o.width_m and o.z_m < z < o.z_m + o.height_m for o in wall.openings)


def reached(pieces, rails, x, z):
    """Whether an edge can be laid over a place, tried at every 5 mm along the wall and where it just reaches:
    two rails carry it, it reaches beyond each by the overhang, and rules no further than twice that."""
    there = sorted(
        p.x_m for p in pieces if p.bottom_m - rails.free_play_m <= z <= p.top_m + rails.free_play_m
    )
    edge, over = rails.straightedge_m, rails.overhang_m
    just = [start for rail in there for start in (rail - over, rail + over - edge)]
    for start in [
        start for start in (*np.arange(x - edge, x, 0.005), x, *just) if start <= x <= start + edge
    ]:
        for left, right in pairwise(there):
            beyond = left - start, start + edge - right
            if min(beyond) < over - 1e-6:
                continue
            if x >= left - min(beyond[0], 2 * over) - 1e-6 and x <= right + min(beyond[1], 2 * over) + 1e-6:
                return True
    return False


@examples(25, suppress_health_check=[HealthCheck.too_slow])
@given(wall=walls(), rails=choices, seed=st.integers(0, 99))
def test_every_place_lies_in_a_bay_that_the_edge_spans_or_is_said_not_to(wall, rails, seed):
    places = rails_on(wall, rails)
    pieces = rail_pieces(wall, places, rails)
    missed = not_ruled(wall, places, rails)
    for x, z in np.random.default_rng(seed).uniform([0, 0], [wall.width_m, wall.height_m], (12, 2)):
        if in_an_opening(wall, x, z):
            continue
        said = any(m.x_m <= x <= m.x_m + m.width_m and m.z_m <= z <= m.z_m + m.height_m for m in missed)
        assert said or reached(pieces, rails, x, z), (x, z, places)


@examples(30)
@given(wall=walls(), rails=choices)
def test_rails_stop_at_openings_and_no_fixing_is_in_one(wall, rails):
    places = rails_on(wall, rails)
    assert all(0 < x < wall.width_m for x in places)
    for piece in rail_pieces(wall, places, rails):
        assert piece.length_m >= LEAST_PIECE_M - 2 * rails.free_play_m - 1e-9
        assert piece.bottom_m >= rails.free_play_m - 1e-9
        assert piece.top_m <= wall.height_m - rails.free_play_m + 1e-9
        heights = fixing_heights(piece, rails)
        assert piece.bottom_m < heights[0] <= heights[-1] < piece.top_m
        assert all(high - low <= rails.fixing_step_m + 1e-9 for low, high in pairwise(heights))
        for z in (piece.bottom_m, *heights, piece.top_m):
            assert not in_an_opening(wall, piece.x_m, z)


@examples(25)
@given(wall=walls(), rails=choices)
def test_rails_keep_clear_of_corners_and_openings_where_there_is_room(wall, rails):
    free = candidates(wall, rails)
    for x in rails_on(wall, rails):
        ends = [0.0, *(s for o in wall.openings for s in (o.x_m, o.x_m + o.width_m)), wall.width_m]
        if any(abs(x - side) < rails.opening_clear_m - 1e-9 for side in ends):
            # only in the middle of a strip too narrow for it
            assert np.abs(free - x).min() < 1e-9
            near = sorted(ends, key=lambda side: abs(side - x))[:2]
            assert abs(x - sum(near) / 2) < 1e-6


def test_no_fewer_rails_would_rule_a_wall_with_a_window():
    # every choice of three among the same places, tried: none rules the wall
    wall, rails = Wall("A", 3.2, 2.6, (Opening("window", 1.3, 0.9, 1.4, 1.2),)), RailChoice()
    found = rails_on(wall, rails)
    assert not not_ruled(wall, found, rails)
    coarse = [float(x) for x in candidates(wall, rails) if abs(x * 10 - round(x * 10)) < 1e-6]
    tried = [fewer for fewer in combinations(coarse, len(found) - 1) if fewer[0] <= 0.3 and fewer[-1] >= 2.9]
    assert len(tried) > 20  # no others rule the ends
    assert all(not_ruled(wall, fewer, rails) for fewer in tried)


def test_a_bay_too_wide_beside_a_window_gets_a_rail_more():
    # by hand: one near each corner, one near each side of the window, and between those over 2.6 m two more
    wall, rails = Wall("A", 4.8, 2.6, (Opening("window", 1.2, 0.9, 2.4, 1.2),)), RailChoice()
    places = rails_on(wall, rails)
    assert any(1.2 - 0.3 <= x <= 1.1 for x in places)
    assert any(3.7 <= x <= 3.6 + 0.3 for x in places)
    assert not not_ruled(wall, places, rails)
    assert len(places) == 6 == len(rail_positions(4.8, rails)) + 1


def test_a_door_in_the_way_moves_the_rail_aside():
    wall = Wall("A", 3.4, 2.6, (DOOR,))
    assert 2.25 not in rails_on(wall, RailChoice())
    assert all(abs(x - side) >= 0.1 - 1e-9 for x in rails_on(wall, RailChoice()) for side in (2.3, 3.15))


def test_bays_over_and_under_a_window_are_told_apart():
    wall = Wall("A", 4.2, 2.6, (WINDOW,))
    bays = bays_of(wall, (0.15, 1.2, 2.1, 3.0, 4.05), RailChoice())
    at_the_middle = [(b.left_m, b.right_m, b.low_m, b.top_m) for b in bays if 2.1 in (b.left_m, b.right_m)]
    assert at_the_middle == [
        (1.2, 2.1, 0.0, 0.9),
        (1.2, 2.1, 2.3, 2.6),
        (2.1, 3.0, 0.0, 0.9),
        (2.1, 3.0, 2.3, 2.6),
    ]


def test_a_wall_narrower_than_a_bay_says_that_no_edge_on_two_rails_reaches_it():
    wall = Wall("cheek", 0.35, 2.6)
    assert rails_on(wall, RailChoice()) == pytest.approx((0.175,))
    (missed,) = not_ruled(wall, (0.175,), RailChoice())
    assert missed.area_m2 == pytest.approx(0.35 * 2.6)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"straightedge_m": 0.3, "overhang_m": 0.15}, "longer than twice its overhang"),
        ({"opening_clear_m": 0.3}, "clearance is 0 to the overhang"),
        ({"free_play_m": 0.2}, "free play 0.2 m; it is 0 to 0.025 m"),
        ({"depth_mm": -1.0}, "measure a rail"),
        ({"width_mm": 0.0}, "above 0, up to 200 mm"),
        ({"screws_mm": (40.0, 0.0)}, "screws 0 mm; it is above 0"),
    ],
)
def test_measures_out_of_range_are_refused(wrong, told):
    with pytest.raises(TakeoffError, match=told):
        rails_on(Wall("A", 4.2, 2.6, (WINDOW,)), RailChoice(**wrong))


def test_without_rails_there_are_none():
    assert rails_on(Wall("A", 4.2, 2.6), RailChoice(used=False)) == ()


@examples(60)
@given(st.integers(350, 9000), st.sampled_from((1.2, 1.5, 1.8, 2.5)))
def test_rails_stand_on_whole_steps_of_a_tape(width_mm: int, edge_m: float):
    """A place that is said to 5 mm is the place that is worked out; as many rails as an even pattern has."""
    wall, rails = Wall("A", width_mm / 1000, 2.6), RailChoice(straightedge_m=edge_m)
    places = rails_on(wall, rails)
    assert [round(x * 1000) % 5 for x in places] == [0] * len(places)
    assert len(places) == len(rail_positions(wall.width_m, rails))
    if len(places) > 1:
        assert min(places[0], wall.width_m - places[-1]) >= rails.end_m - 1e-9
        assert not not_ruled(wall, places, rails)


def test_a_long_wall_has_no_more_places_to_choose_from_than_can_be_searched():
    door = Opening("door", 2.0, 0.0, 1.0, 2.05)
    long = candidates(Wall("hall", 100.0, 3.0, (door,)), RailChoice())
    assert len(long) <= MOST_PLACES + 4  # both ends and both sides of the door
    usual = candidates(Wall("A", 20.0, 3.0, (door,)), RailChoice())
    assert np.diff(usual[usual > 4.0])[:-1] == pytest.approx(0.025)


def test_an_edge_that_hardly_reaches_from_rail_to_rail_is_refused():
    with pytest.raises(TakeoffError, match=r"longer than twice its overhang, by 0\.1 m at least"):
        rails_on(Wall("A", 100.0, 2.6), RailChoice(straightedge_m=0.31, overhang_m=0.154))
