"""The target plane with high spots taken down, against a general solver."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from oracles import (
    cells_of,
    grid_of,
    least_with_cut_by_lp,
    rough_wall,
)
from plane_rules import RULES, litres

import mytakeoff as mt

ROUNDING_MM = 1e-12  # of sums of metres and millimetres in binary
CUT_RULES = ["plumb", "free", "square", "lean limit", "turn limit"]


@pytest.mark.parametrize("cut", [0.5, 2.0, 5.0])
@pytest.mark.parametrize("name", CUT_RULES)
@pytest.mark.parametrize("seed", range(3))
def test_cut_plane_against_scipy_with_hinges(seed, name, cut):
    surface = grid_of(rough_wall(seed, nx=12, nz=8), cell_m=0.25)
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=cut, **RULES[name])
    build_up = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert build_up.volume_l == pytest.approx(least_with_cut_by_lp(cells_of(surface, rule), rule), rel=1e-6)
    assert np.nanmin(build_up.thickness_mm) >= 5.0 - 1e-9
    assert np.nanmax(build_up.cut_mm) <= cut + 1e-9


@given(
    arrays(np.float64, (4, 6), elements=st.integers(-30, 30).map(float)),
    st.sampled_from(CUT_RULES),
    st.sampled_from([1.0, 4.0, 15.0, 70.0]),
)
@examples(60)
def test_cut_plane_on_any_wall(proud, name, cut):
    surface = grid_of(proud, cell_m=0.4)
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=cut, **RULES[name])
    build_up = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert build_up.volume_l == pytest.approx(least_with_cut_by_lp(cells_of(surface, rule), rule), rel=1e-6)
    assert np.nanmin(build_up.thickness_mm) >= 5.0 - 1e-9
    assert np.nanmax(build_up.cut_mm) <= cut + 1e-9


def test_cut_plane_with_rails_and_an_opening():
    opening = mt.Opening("hatch", 0.61, 0.43, 0.7, 0.6)
    surface = grid_of(rough_wall(3, nx=12, nz=8), cell_m=0.25, openings=[opening])
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=3.0, rails_x_m=(0.3, 1.6, 2.9), rail_least_mm=9.0)
    build_up = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert build_up.volume_l == pytest.approx(least_with_cut_by_lp(cells_of(surface, rule), rule), rel=1e-6)
    assert np.nanmin(build_up.thickness_mm[:, [1, 6, 11]]) >= 9.0 - 1e-9


@pytest.mark.parametrize("name", CUT_RULES)
def test_no_cut_is_the_plain_plane(name):
    surface = grid_of(rough_wall(4))
    plain, none = (
        mt.target_plane(surface, mt.PlaneRule(**RULES[name], **cut)) for cut in ({}, {"cut_mm": 0.0})
    )
    assert (none.a_mm, none.b_mm_per_m, none.c_mm_per_m) == (plain.a_mm, plain.b_mm_per_m, plain.c_mm_per_m)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("name", ["plumb", "free"])
def test_a_cut_plane_is_never_dearer_than_the_uncut_one_lowered(name, seed):
    surface = grid_of(rough_wall(seed))
    rule = mt.PlaneRule(cut_mm=3.0, **RULES[name])
    uncut = mt.target_plane(surface, mt.PlaneRule(**RULES[name]))
    lowered = mt.TargetPlane(uncut.a_mm - 3.0, uncut.b_mm_per_m, uncut.c_mm_per_m)
    best = mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l
    assert best <= mt.full_coat(surface, lowered, rule).volume_l + 1e-9


@pytest.mark.parametrize("name", CUT_RULES)
def test_more_cut_never_takes_more_plaster(name):
    surface = grid_of(rough_wall(15))
    used = [litres(surface, mt.PlaneRule(cut_mm=cut, **RULES[name])) for cut in (0, 0.5, 1, 2, 4, 8, 16, 32)]
    assert np.all(np.diff(used) <= 1e-6 * used[0])


def test_a_wall_flatter_than_the_cut_needs_its_least_thickness_only():
    surface = grid_of(rough_wall(16, lean=0.2, bow=0.2, noise=0.3))
    rule = mt.PlaneRule(least_mm=6.0, cut_mm=25.0, turn_mm_per_m=0.0)
    build_up = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert build_up.volume_l == pytest.approx(6.0 * surface.net_area_m2, rel=1e-9)


@pytest.mark.parametrize("name", ["plumb", "free"])
def test_a_flat_wall_is_not_cut(name):
    # cutting a flat wall saves no plaster, so nothing is taken down
    surface = grid_of(np.zeros((6, 9)))
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=4.0, **RULES[name])
    assert mt.full_coat(surface, mt.target_plane(surface, rule), rule).cut_l == pytest.approx(0.0, abs=1e-9)


def test_one_nib_is_knocked_off():
    proud = np.zeros((11, 21))
    proud[5, 4] = 10.0
    surface = grid_of(proud)
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=10.0)
    build_up = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert build_up.volume_l == pytest.approx(5.0 * surface.net_area_m2, rel=1e-9)
    assert build_up.cut_l == pytest.approx(10.0 * 0.01, rel=1e-9)  # 10 mm × 0.01 m²
