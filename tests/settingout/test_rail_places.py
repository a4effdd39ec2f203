"""Rails where the plane sits lowest: against every choice tried, and by hand on a wall with ridges."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from demo import demo

import mytakeoff as mt
from mytakeoff import RailChoice, Wall, best_rails, evaluate
from mytakeoff.job.edits import with_rail_places
from mytakeoff.rails.layout import places_on, rails_on
from mytakeoff.rails.span import not_ruled
from mytakeoff.settingout.rail_places import RailSearch, saved_money, search_of

WALL = Wall("A", 1.8, 2.0)
RAILS = RailChoice(straightedge_m=1.2, overhang_m=0.15, depth_mm=10.0, head_clearance_mm=5.0)
RULE = mt.PlaneRule(least_mm=5.0, rail_least_mm=15.0)


def surface_of(columns_mm, wall=WALL):
    """A wall whose proudness changes along it only, in columns of 25 mm."""
    count = round(wall.width_m / 0.025)
    x, z = (np.arange(count) + 0.5) * 0.025, (np.arange(8) + 0.5) * wall.height_m / 8
    return mt.Surface.from_grid(wall, x, z, np.tile(columns_mm(x), (8, 1)))


def search_on(surface, rule=RULE, rails=RAILS):
    wall = surface.wall
    return RailSearch(surface, rule, rails, rails_on(wall, rails), places_on(wall, rails))


def last(steps):
    *_, best = steps
    return best


def test_rails_step_off_the_ridges_that_they_stood_on():
    # ridges 8 mm proud and 0.1 m wide under each of the even rails at 0.15, 0.9, 1.65 m. On a ridge the plane
    # is 8 + 15 mm off the wall; beside them 15 mm at a rail, 8 + 5 on the ridges: 15 mm do for both.
    def ridges(x):
        return 8.0 * (np.abs(x[:, None] - [0.15, 0.9, 1.65]).min(axis=1) < 0.06)

    search = search_on(surface_of(ridges), replace(RULE, turn_mm_per_m=0.0))
    assert search.even == pytest.approx((0.15, 0.9, 1.65))
    best = last(search.steps())
    area = 1.8 * 2.0
    ridge_area = 3 * 4 * 0.025 * 2.0
    assert search.litres(search.even) == pytest.approx(23 * area - 8 * ridge_area)
    assert search.litres(best) == pytest.approx(15 * area - 8 * ridge_area)
    assert not not_ruled(WALL, best, RAILS)


@pytest.mark.parametrize("turn", [0.0, None])
@pytest.mark.parametrize("seed", range(3))
def test_no_choice_of_as_many_rails_takes_less(seed, turn):
    # every choice of three places 50 mm apart. Square: none takes less. Free to turn: at most 0.5 % less.
    heights = np.random.default_rng(seed).uniform(0, 12, 72)
    surface = surface_of(lambda x: heights)
    search = search_on(surface, replace(RULE, turn_mm_per_m=turn))
    best = last(search.steps())
    places = [float(x) for x in search.places.x_m if abs(x * 20 - round(x * 20)) < 1e-6]
    tried = [
        search.litres(rails)
        for rails in combinations(places, len(search.even))
        if min(np.diff(rails)) >= 0.2 and not not_ruled(WALL, rails, RAILS)
    ]
    assert len(tried) > 100
    assert search.litres(best) <= search.litres(search.even)
    assert search.litres(best) <= min(tried) * (1 + 1e-9 if turn == 0.0 else 1.005)


def test_the_plane_without_rails_is_a_bound():
    heights = np.random.default_rng(7).uniform(0, 12, 72)
    search = search_on(surface_of(lambda x: heights))
    for rails in search.steps():
        assert search.litres(rails) >= search.litres(()) - 1e-9


@pytest.fixture(scope="module")
def job():
    return demo()


def test_a_choice_carried_to_the_job_moves_the_price(job):
    job = replace(job, rails=replace(job.rails, depth_mm=10.0), only=("door wall",))
    before = evaluate(job)
    plan = best_rails(job, before.walls[0])
    assert plan is not None
    assert plan.saved_l > 0
    after = evaluate(with_rail_places(job, "door wall", plan.best_x_m))
    assert after.walls[0].rails_x_m == plan.best_x_m
    assert after.walls[0].build_up.volume_l == pytest.approx(plan.best_l)
    assert before.walls[0].build_up.volume_l == pytest.approx(plan.even_l)
    assert saved_money(job, plan) == before.cost.total - after.cost.total


def test_thin_rails_cost_no_plaster_where_they_stand(job):
    thin = replace(job, rails=replace(job.rails, head_clearance_mm=0.0), only=("party wall",))
    plan = best_rails(thin, evaluate(thin).walls[0])
    assert plan is not None
    assert plan.best_possible
    assert plan.best_x_m == plan.even_x_m


def test_a_wall_without_rails_has_nothing_to_choose(job):
    freehand = replace(job, rails=RailChoice(used=False), only=("door wall",))
    assert search_of(freehand, evaluate(freehand).walls[0]) is None
    assert best_rails(freehand, evaluate(freehand).walls[0]) is None
