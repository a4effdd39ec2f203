"""The target plane against a general solver, the convex hull, and what a plasterer can see."""

from __future__ import annotations

from itertools import pairwise

import matplotlib.cbook
import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from oracles import (
    cells_of,
    grid_of,
    least_plaster_by_hull,
    least_plaster_by_lp,
    rough_wall,
)
from plane_rules import RULES, litres

import mytakeoff as mt

ROUNDING_MM = 1e-12  # of sums of metres and millimetres in binary


def check_plane(surface, rule, readings=()):
    """Hold one plane to the solver's litres, to its least thickness, and to its touches."""
    plane = mt.target_plane(surface, rule)
    cells = cells_of(surface, rule, readings)
    assert cells.clearance(plane).min() >= -1e-9 - ROUNDING_MM
    assert cells.litres_of(plane) == pytest.approx(least_plaster_by_lp(cells, rule), rel=1e-9, abs=1e-9)
    return plane, cells


# --- against a general solver and the hull ------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("name", RULES)
def test_uses_the_least_plaster_that_scipy_finds(name, seed):
    check_plane(grid_of(rough_wall(seed)), mt.PlaneRule(least_mm=5.0, **RULES[name]))


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("plumb", [True, False])
def test_is_the_hull_facet_over_the_centroid(plumb, seed):
    surface, rule = grid_of(rough_wall(seed)), mt.PlaneRule(least_mm=4.0, plumb=plumb)
    cells = cells_of(surface, rule)
    plane = mt.target_plane(surface, rule)
    assert cells.litres_of(plane) == pytest.approx(least_plaster_by_hull(cells, plumb), rel=1e-9)


@given(
    arrays(np.float64, (5, 7), elements=st.integers(-40, 40).map(float)),
    st.sampled_from(sorted(RULES)),
    st.floats(0, 20),
)
@examples(60)
def test_whole_millimetre_walls_with_many_ties(proud, name, least):
    check_plane(grid_of(proud, cell_m=0.4), mt.PlaneRule(least_mm=least, **RULES[name]))


@given(
    arrays(np.float64, (4, 6), elements=st.floats(-100, 100, allow_subnormal=False)),
    st.sampled_from(sorted(RULES)),
)
@examples(60)
def test_any_readings_at_all(proud, name):
    check_plane(grid_of(proud, cell_m=0.5), mt.PlaneRule(**RULES[name]))


@pytest.mark.parametrize("name", RULES)
def test_openings_weigh_nothing_and_do_not_bind(name):
    proud = rough_wall(11)
    proud[4:8, 5:9] += 200.0  # whatever stands in the doorway is not wall
    opening = mt.Opening("door", 0.5, 0.4, 0.4, 0.4)
    surface = grid_of(proud, openings=[opening, mt.Opening("hatch", 1.53, 0.61, 0.37, 0.22)])
    plane, _ = check_plane(surface, mt.PlaneRule(**RULES[name]))
    assert plane.at(0.7, 0.6) < proud[:4].max() + 100


@pytest.mark.parametrize("name", ["plumb", "free", "turn limit"])
def test_unknown_cells_weigh_nothing_and_do_not_bind(name):
    proud = rough_wall(12)
    proud[:, :6] = np.nan
    proud[3, 15] = np.nan
    surface = grid_of(proud)
    check_plane(surface, mt.PlaneRule(**RULES[name]))
    assert surface.net_area_m2 == pytest.approx((14 * 18 - 1) * 0.01, rel=1e-12)


@pytest.mark.parametrize("plumb", [True, False])
def test_on_the_elevation_grid_that_matplotlib_ships(plumb):
    # jacksboro_fault_dem.npz of matplotlib's sample data: 344 × 403 whole metres, read here as millimetres
    with matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz") as data:
        elevation = data["elevation"].astype(float)
    surface, rule = grid_of(elevation, cell_m=0.025), mt.PlaneRule(least_mm=10.0, plumb=plumb)
    cells, plane = cells_of(surface, rule), mt.target_plane(surface, rule)
    assert cells.clearance(plane).min() >= -1e-9 - ROUNDING_MM
    assert cells.litres_of(plane) == pytest.approx(least_plaster_by_hull(cells, plumb), rel=1e-9)
    check_plane(grid_of(elevation[::4, ::4]), rule)


@pytest.mark.parametrize("name", ["plumb", "free", "square", "lean limit"])
def test_rails_bind_in_their_columns(name):
    rule = mt.PlaneRule(least_mm=5.0, rails_x_m=(0.33, 1.27, 2.11), rail_least_mm=11.0, **RULES[name])
    plane, _ = check_plane(grid_of(rough_wall(5)), rule)
    slack = mt.PlaneRule(least_mm=5.0, **RULES[name])
    assert litres(grid_of(rough_wall(5)), rule) > litres(grid_of(rough_wall(5)), slack)
    assert plane.touches


def test_rails_thinner_than_the_least_change_nothing():
    surface = grid_of(rough_wall(6))
    thin = mt.PlaneRule(least_mm=8.0, rails_x_m=tuple(surface.x_m), rail_least_mm=6.0)
    assert litres(surface, thin) == pytest.approx(litres(surface, mt.PlaneRule(least_mm=8.0)), rel=1e-12)


# --- what sets the plane ------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", RULES)
def test_touches_bind_and_lie_on_the_wall(name, seed):
    surface, rule = grid_of(rough_wall(seed)), mt.PlaneRule(least_mm=5.0, **RULES[name])
    plane = mt.target_plane(surface, rule)
    assert plane.touches
    for touch in plane.touches:
        assert plane.at(touch.x_m, touch.z_m) == pytest.approx(touch.proud_mm + 5.0, abs=1e-6)
        column = int(np.argmin(np.abs(surface.x_m - touch.x_m)))
        row = int(np.argmin(np.abs(surface.z_m - touch.z_m)))
        assert surface.proud_mm[row, column] == pytest.approx(touch.proud_mm, abs=1e-9)


def test_a_plane_free_to_lean_and_turn_rests_on_three_high_spots():
    surface = grid_of(rough_wall(7))
    assert len(mt.target_plane(surface, mt.PlaneRule(plumb=False)).touches) >= 3
    assert len(mt.target_plane(surface, mt.PlaneRule()).touches) >= 2


def test_readings_between_cell_centres_bind():
    wall = mt.Wall("A", 2.0, 2.0)
    spike = mt.Survey.from_readings(
        wall,
        [0, 2, 0, 2, 1.0, 0.6, 1.4, 1.0, 1.0],
        [0, 0, 2, 2, 1.0, 1.0, 1.0, 0.6, 1.4],
        [0, 0, 0, 0, 9, 0, 0, 0, 0],
    )
    surface = mt.grid_surface(spike, cell_m=0.2)  # the reading of 9 mm stands on a corner of four cells
    assert np.nanmax(surface.proud_mm) < 9.0
    plane = mt.target_plane(surface, mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0))
    assert plane.at(1.0, 1.0) == pytest.approx(14.0, abs=1e-9)
    assert any((t.x_m, t.z_m, t.proud_mm) == pytest.approx((1.0, 1.0, 9.0)) for t in plane.touches)


def test_a_reading_in_an_opening_does_not_bind():
    wall = mt.Wall("A", 2.0, 2.0, (mt.Opening("window", 0.5, 0.5, 1.0, 1.0),))
    survey = mt.Survey.from_readings(wall, [0, 2, 0, 2, 1.0], [0, 0, 2, 2, 1.0], [0, 0, 0, 0, 60.0])
    surface = mt.grid_surface(survey, cell_m=0.05)
    plane = mt.target_plane(surface, mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0))
    assert plane.at(1.0, 1.0) < 60.0


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", ["plumb", "free"])
def test_scattered_readings_and_cells_together_against_scipy(name, seed):
    random = np.random.default_rng(seed)
    wall = mt.Wall("A", 3.0, 2.4)
    x, z = random.uniform(0, 3.0, 40), random.uniform(0, 2.4, 40)
    proud = random.normal(0, 6, 40)
    surface = mt.grid_surface(mt.Survey.from_readings(wall, x, z, proud), cell_m=0.15, reach_m=3.0)
    check_plane(surface, mt.PlaneRule(least_mm=6.0, **RULES[name]), np.column_stack([x, z, proud]))


# --- equal answers: the least b² + c² ------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plumb", "free", "turn limit", "lean limit"])
def test_a_flat_wall_gets_a_level_coat(name):
    plane = mt.target_plane(grid_of(np.full((6, 9), 3.0)), mt.PlaneRule(least_mm=5.0, **RULES[name]))
    assert (plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m) == pytest.approx((8.0, 0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("slope", [0.0, 3.0, -3.0, 9.0])
def test_a_ridge_at_the_middle_is_covered_as_square_as_it_allows(slope):
    # proud = slope·x − 5·|x − middle|: every turn from slope − 5 to slope + 5 takes the same plaster
    x = (np.arange(9) - 4) * 0.1
    proud = np.tile(slope * x - 5.0 * np.abs(x), (5, 1))
    plane = mt.target_plane(grid_of(proud), mt.PlaneRule())
    assert plane.b_mm_per_m == pytest.approx(slope - np.clip(slope, -5.0, 5.0), abs=1e-7)


@pytest.mark.parametrize("slopes", [(0.0, 0.0), (6.0, 1.0), (-2.0, 9.0), (8.0, -7.0)])
def test_a_peak_at_the_middle_is_covered_with_the_least_lean_and_turn(slopes):
    x, z = np.meshgrid((np.arange(9) - 4) * 0.1, (np.arange(7) - 3) * 0.1)
    proud = slopes[0] * x + slopes[1] * z - 5.0 * np.abs(x) - 3.0 * np.abs(z)
    plane = mt.target_plane(grid_of(proud), mt.PlaneRule(plumb=False))
    expected = (slopes[0] - np.clip(slopes[0], -5, 5), slopes[1] - np.clip(slopes[1], -3, 3))
    assert (plane.b_mm_per_m, plane.c_mm_per_m) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("slopes", [(0.0, 0.0), (6.0, 1.0), (2.0, 2.0), (9.0, -9.0)])
def test_a_slanting_ridge_is_covered_with_the_least_lean_and_turn(slopes):
    # along x = z nothing gives; across it any tilt t·(1, −1) with |t| ≤ 4 takes the same plaster
    x, z = np.meshgrid((np.arange(9) - 4) * 0.1, (np.arange(9) - 4) * 0.1)
    proud = slopes[0] * x + slopes[1] * z - 4.0 * np.abs(x - z)
    plane = mt.target_plane(grid_of(proud), mt.PlaneRule(plumb=False))
    t = np.clip(-(slopes[0] - slopes[1]) / 2.0, -4.0, 4.0)
    expected = (slopes[0] + t, slopes[1] - t)
    assert (plane.b_mm_per_m, plane.c_mm_per_m) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("shape", [(1, 8), (8, 1), (1, 1), (2, 2)])
@pytest.mark.parametrize("name", RULES)
def test_a_single_column_or_row(shape, name):
    proud = np.random.default_rng(3).normal(0, 5, shape)
    rule = mt.PlaneRule(**RULES[name])
    plane, _ = check_plane(grid_of(proud, cell_m=0.5), rule)
    if shape[1] == 1 and rule.turn_mm_per_m is None:
        assert plane.b_mm_per_m == pytest.approx(0.0, abs=1e-7)
    if shape[0] == 1 and not rule.plumb:
        assert plane.c_mm_per_m == pytest.approx(0.0, abs=1e-7)


# --- moving, mirroring, scaling ------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plumb", "free", "square along the line", "lean limit"])
def test_shifting_every_reading_shifts_the_plane(name):
    rule, proud = mt.PlaneRule(**RULES[name]), rough_wall(8)
    before, after = (mt.target_plane(grid_of(proud + shift), rule) for shift in (0.0, 37.0))
    assert after.at(1.0, 1.0) - before.at(1.0, 1.0) == pytest.approx(37.0, abs=1e-9)
    assert litres(grid_of(proud + 37.0), rule) == pytest.approx(litres(grid_of(proud), rule), rel=1e-10)


@pytest.mark.parametrize("name", ["plumb", "free", "square along the line", "lean limit", "turn limit"])
def test_a_mirrored_wall_takes_the_same_plaster(name):
    rule, proud = mt.PlaneRule(**RULES[name]), rough_wall(9)
    plain, mirrored = grid_of(proud), grid_of(proud[:, ::-1])
    assert litres(mirrored, rule) == pytest.approx(litres(plain, rule), rel=1e-10)
    there, back = mt.target_plane(plain, rule), mt.target_plane(mirrored, rule)
    assert back.b_mm_per_m == pytest.approx(-there.b_mm_per_m, abs=1e-9)
    assert back.c_mm_per_m == pytest.approx(there.c_mm_per_m, abs=1e-9)


@pytest.mark.parametrize("factor", [1e-3, 3.0, 1e2])
def test_a_deeper_relief_takes_proportionally_more(factor):
    proud, rule = rough_wall(10), mt.PlaneRule(least_mm=0.0, plumb=False)
    assert litres(grid_of(proud * factor), rule) == pytest.approx(
        factor * litres(grid_of(proud), rule), rel=1e-9
    )


def test_freedom_never_costs_plaster():
    surface = grid_of(rough_wall(13))
    names = ["square along the line", "turn limit", "plumb"]
    used = [litres(surface, mt.PlaneRule(**RULES[name])) for name in names]
    used.append(litres(surface, mt.PlaneRule(plumb=False, lean_limit_mm_per_m=1.0)))
    used.append(litres(surface, mt.PlaneRule(plumb=False)))
    assert all(more >= less - 1e-9 for more, less in pairwise(used))


@pytest.mark.parametrize(("x_m", "z_m", "shape"), [(1.0, 2.0, ()), ([0.0, 1.0], [0.0, 2.0], (2,))])
def test_at_is_the_plane(x_m, z_m, shape):
    plane = mt.TargetPlane(4.0, 2.0, -1.0)
    assert np.shape(plane.at(np.array(x_m), np.array(z_m))) == shape
    assert np.ravel(plane.at(np.array(x_m), np.array(z_m)))[-1] == 4.0 + 2.0 * 1.0 - 1.0 * 2.0


# --- mistakes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        {"least_mm": -1.0},
        {"cut_mm": -0.5},
        {"rail_least_mm": -2.0},
        {"least_mm": float("nan")},
        {"plumb": True, "lean_limit_mm_per_m": 2.0},
        {"plumb": False, "lean_limit_mm_per_m": -1.0},
        {"turn_limit_mm_per_m": -1.0},
    ],
    ids=lambda wrong: ", ".join(wrong),
)
def test_a_rule_that_cannot_hold_is_a_mistake(wrong):
    with pytest.raises(mt.TakeoffError) as error:
        mt.target_plane(grid_of(np.zeros((3, 3))), mt.PlaneRule(**wrong))
    assert all(m.found and m.rule and m.remedy for m in error.value.mistakes)


def test_several_mistakes_are_told_at_once():
    with pytest.raises(mt.TakeoffError) as error:
        mt.target_plane(grid_of(np.zeros((3, 3))), mt.PlaneRule(least_mm=-1.0, cut_mm=-2.0))
    assert len(error.value.mistakes) == 2


def test_a_wall_that_is_all_opening_has_no_plane():
    gap = mt.Opening("gap", 0.0, 0.0, 0.5, 0.4)
    with pytest.raises(mt.TakeoffError):
        mt.target_plane(grid_of(np.zeros((4, 5)), openings=[gap]), mt.PlaneRule())


def test_a_wall_that_is_all_unknown_has_no_plane():
    with pytest.raises(mt.TakeoffError):
        mt.target_plane(grid_of(np.full((4, 5), np.nan)), mt.PlaneRule())


@pytest.mark.parametrize("rail", [-0.1, 5.0])
def test_a_rail_off_the_wall_is_a_mistake(rail):
    with pytest.raises(mt.TakeoffError):
        mt.target_plane(grid_of(np.zeros((4, 5))), mt.PlaneRule(rails_x_m=(rail,), rail_least_mm=9.0))
