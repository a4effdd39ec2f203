"""Litres against published grid volumes and solids with a formula."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from oracles import covered_area, flat_wall, grid_of, rough_wall

import mytakeoff as mt

NO_LEAST = mt.PlaneRule(least_mm=0.0)
LEVEL = {"turn_mm_per_m": 0.0}

# Borrow pit, 20 × 20 ft squares, cut in ft at the corners and n, the squares that share each corner.
# Wolf/Ghilani, Elementary Surveying, sample notes "Borrow-pit leveling" (plate B.2).
NOTHING = float("nan")
CUT_FT = np.array(
    [
        [1.5, 1.3, 1.0, 0.8, 0.5],
        [2.0, 1.9, 1.5, 1.2, 0.9],
        [2.5, 2.0, 1.9, 1.7, NOTHING],
        [2.9, 2.7, 2.1, 2.1, NOTHING],
        [3.3, 3.0, 2.5, NOTHING, NOTHING],
    ]
)
SHARED_BY = np.array([[1, 2, 2, 2, 1], [2, 4, 4, 3, 1], [2, 4, 4, 2, 0], [2, 4, 3, 1, 0], [1, 2, 1, 0, 0]])
SUM_OF_CUT_TIMES_SHARES_FT = 91.1
VOLUME_FT3 = 9110.0
VOLUME_YD3 = 337


def borrow_pit(mirrored=False):
    """The pit as a wall of 80 × 80 (1 m stands for 1 ft), row 0 at the top."""
    cut = CUT_FT[:, ::-1] if mirrored else CUT_FT
    off_pit = [mt.Opening("right", 60, 0, 20, 60), mt.Opening("last row", 40, 0, 20, 20)]
    if mirrored:
        off_pit = [mt.Opening("left", 0, 0, 20, 60), mt.Opening("last row", 20, 0, 20, 20)]
    wall = mt.Wall("borrow pit", 80.0, 80.0, tuple(off_pit))
    x, z = np.meshgrid(np.arange(5) * 20.0, 80.0 - np.arange(5) * 20.0)
    return mt.Survey.from_readings(wall, x.ravel(), z.ravel(), -cut.ravel(), layout="grid")


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("cell", [20.0, 10.0, 5.0])
def test_borrow_pit_volume_is_the_published_one(cell, mirrored):
    surface = mt.grid_surface(borrow_pit(mirrored), cell_m=cell)
    dug = mt.full_coat(surface, mt.TargetPlane(0.0, 0.0, 0.0), NO_LEAST)
    assert surface.net_area_m2 == pytest.approx(12 * 400.0, rel=1e-12)
    assert dug.volume_l == pytest.approx(VOLUME_FT3, rel=1e-9)
    assert round(dug.volume_l / 27) == VOLUME_YD3
    assert dug.volume_l / 100 == pytest.approx(SUM_OF_CUT_TIMES_SHARES_FT, rel=1e-9)


def test_borrow_pit_table_was_copied_right():
    assert np.nansum(CUT_FT * SHARED_BY) == pytest.approx(SUM_OF_CUT_TIMES_SHARES_FT, rel=1e-12)
    assert SHARED_BY.sum() == 4 * 12


@pytest.mark.parametrize("cell", [50.0, 25.0, 10.0])
def test_single_square_of_50_ft(cell):
    # corners 87.6, 87.6, 87.6, 88.6, filled to 90: mean fill 2.15 ft, 5375 ft³, 199 yd³
    # (expertsmind.com, question 30170481)
    wall = mt.Wall("square", 50.0, 50.0)
    survey = mt.Survey.from_readings(wall, [0, 50, 0, 50], [0, 0, 50, 50], [87.6, 87.6, 87.6, 88.6])
    fill = mt.full_coat(mt.grid_surface(survey, cell_m=cell), mt.TargetPlane(90.0, 0.0, 0.0), NO_LEAST)
    assert fill.mean_mm == pytest.approx(2.15, rel=1e-9)
    assert fill.volume_l == pytest.approx(5375.0, rel=1e-9)
    assert round(fill.volume_l / 27) == 199


def test_the_sum_a_plasterer_does_in_the_head():
    # 4.2 × 2.6 m at 17 mm is 186 l (common practice, no source)
    _, survey = flat_wall(4.2, 2.6)
    surface = mt.grid_surface(survey)
    rule = mt.PlaneRule(least_mm=17.0)
    assert round(mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l) == 186


# --- solids with a formula -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "height", "lean"), [(4.0, 2.5, 20.0), (3.37, 2.61, -13.7), (1.0, 2.4, 0.5)]
)
@pytest.mark.parametrize("cell", [0.025, 0.11, 1.0])
@pytest.mark.parametrize("layout", ["grid", "list"])
def test_wedge_of_a_leaning_wall(width, height, lean, cell, layout):
    # a plumb plane in front of a wall that leans by `lean` over its height: ½·w·h·lean + least·w·h
    wall = mt.Wall("leaning", width, height)
    corners = [0, width, 0, width], [0, 0, height, height], [0, 0, lean, lean]
    surface = mt.grid_surface(mt.Survey.from_readings(wall, *corners, layout=layout), cell_m=cell)
    rule = mt.PlaneRule(least_mm=8.0)
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert coat.volume_l == pytest.approx(width * height * (abs(lean) / 2 + 8.0), rel=1e-9)
    assert coat.area_m2 == pytest.approx(width * height, rel=1e-12)


def test_wedge_turned_out_of_the_corner():
    wall = mt.Wall("turned", 3.6, 2.4)
    surface = mt.grid_surface(
        mt.Survey.from_readings(wall, [0, 3.6, 0, 3.6], [0, 0, 2.4, 2.4], [0, 18, 0, 18])
    )
    rule = mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0)
    along = mt.PlaneRule(least_mm=5.0)
    square, freely = (mt.full_coat(surface, mt.target_plane(surface, r), r).volume_l for r in (rule, along))
    assert square == pytest.approx(3.6 * 2.4 * (9.0 + 5.0), rel=1e-9)
    assert freely == pytest.approx(3.6 * 2.4 * 5.0, rel=1e-9)


OPENINGS = {
    "off the cells": [(0.513, 0.307, 0.821, 1.113)],
    "across the step": [(1.61, 0.0, 0.777, 2.03)],
    "two that overlap": [(0.4, 0.3, 0.9, 1.0), (0.95, 0.85, 1.2, 0.71)],
    "one inside the other": [(0.4, 0.3, 1.5, 1.5), (0.8, 0.6, 0.3, 0.3)],
    "the same twice": [(2.2, 0.5, 0.63, 0.94), (2.2, 0.5, 0.63, 0.94)],
    "flush with every edge": [(0.0, 0.0, 0.31, 2.4), (3.7, 0.0, 0.3, 0.7), (1.0, 2.05, 0.9, 0.35)],
    "thinner than a cell": [(1.013, 0.2, 0.004, 1.0)],
    "side by side": [(0.5, 0.5, 0.25, 1.0), (0.75, 0.5, 0.333, 1.0)],
}


@pytest.mark.parametrize("name", OPENINGS)
def test_stepped_wall_with_openings_cut_exactly(name):
    # left half flush, right half 10 mm back; a plane in line leaves 5 mm and 15 mm
    openings = [mt.Opening(f"opening {i}", *size) for i, size in enumerate(OPENINGS[name])]
    surface = grid_of(np.where(np.arange(40) < 20, 0.0, -10.0) * np.ones((24, 1)), openings=openings)
    gone = covered_area([0.0, 2.0, 4.0], [0.0, 2.4], OPENINGS[name])[0]
    rule = mt.PlaneRule(least_mm=5.0, **LEVEL)
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    left, right = 2.0 * 2.4 - gone
    assert coat.area_m2 == pytest.approx(left + right, rel=1e-12)
    assert coat.volume_l == pytest.approx(5.0 * left + 15.0 * right, rel=1e-9)


@given(st.lists(st.tuples(*[st.floats(0, 1)] * 4), min_size=0, max_size=5), st.floats(0.07, 0.5))
@examples(50)
def test_any_openings_are_cut_exactly_from_each_cell(corners, cell):
    width, height = 3.1, 2.3
    sizes = []
    for u1, v1, u2, v2 in corners:
        x1, x2, z1, z2 = min(u1, u2) * width, max(u1, u2) * width, min(v1, v2) * height, max(v1, v2) * height
        if x2 - x1 > 1e-6 and z2 - z1 > 1e-6:
            sizes.append((x1, z1, x2 - x1, z2 - z1))
    _, survey = flat_wall(
        width, height, openings=[mt.Opening(f"o{i}", *size) for i, size in enumerate(sizes)]
    )
    surface = mt.grid_surface(survey, cell_m=cell)
    nz, nx = surface.cell_area_m2.shape
    x_edges, z_edges = np.linspace(0, width, nx + 1), np.linspace(0, height, nz + 1)
    whole = np.outer(np.diff(z_edges), np.diff(x_edges))
    expected = whole - covered_area(x_edges, z_edges, sizes)
    np.testing.assert_allclose(surface.cell_area_m2, expected, atol=1e-12)
    assert surface.net_area_m2 == pytest.approx(expected.sum(), abs=1e-10)


@pytest.mark.parametrize("n", [11, 33, 99])
def test_dome_by_its_midpoint_rule(n):
    # proud = −k·r² from the middle of a 2.2 × 2.2 m wall; between plane and dome k·w·h·(w² + h²)/12,
    # and the midpoint rule on n cells is short of it by exactly k·w·h·(Δx² + Δz²)/12
    size, k, cell = 2.2, 12.0, 2.2 / n
    at = (np.arange(n) + 0.5) * cell - size / 2
    surface = grid_of(-k * (at[None, :] ** 2 + at[:, None] ** 2), cell_m=cell)
    rule = mt.PlaneRule(least_mm=5.0, plumb=False)
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    area = size * size
    exact = k * area * 2 * size**2 / 12 + 5.0 * area
    assert coat.volume_l == pytest.approx(exact - k * area * 2 * cell**2 / 12, rel=1e-9)


def test_dome_converges_at_second_order():
    size, k = 2.2, 12.0
    exact = k * 2 * size**4 / 12 + 5.0 * size**2
    errors = []
    for n in (11, 33, 99):
        at = (np.arange(n) + 0.5) * size / n - size / 2
        surface = grid_of(-k * (at[None, :] ** 2 + at[:, None] ** 2), cell_m=size / n)
        rule = mt.PlaneRule(least_mm=5.0)
        errors.append(exact - mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l)
    assert errors[0] / errors[1] == pytest.approx(9.0, rel=1e-6)
    assert errors[1] / errors[2] == pytest.approx(9.0, rel=1e-6)


def test_bilinear_saddle_is_exact_at_any_cell():
    # corners 0, 0, 0, h under a bilinear surface: mean h/4, highest h (at the corner reading)
    wall = mt.Wall("saddle", 2.0, 2.0)
    survey = mt.Survey.from_readings(wall, [0, 2, 0, 2], [0, 0, 2, 2], [0, 0, 0, 8.0])
    rule = mt.PlaneRule(least_mm=1.0, **LEVEL)
    for cell in (2.0, 0.5, 0.07):
        surface = mt.grid_surface(survey, cell_m=cell)
        coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
        assert coat.mean_mm == pytest.approx(8.0 + 1.0 - 2.0, rel=1e-9)


# --- sums hold -------------------------------------------------------------------------------------------


@given(st.integers(0, 10_000), st.floats(0, 20), st.sampled_from([0.0, 2.5]), st.booleans())
@examples(40)
def test_volume_is_area_times_mean_and_the_sum_of_cells(seed, least, cut, plumb):
    proud = rough_wall(seed, nx=15, nz=9)
    proud[0:2, 0:3] = np.nan
    surface = grid_of(proud, openings=[mt.Opening("hatch", 0.72, 0.33, 0.4, 0.29)])
    rule = mt.PlaneRule(least_mm=least, cut_mm=cut, plumb=plumb)
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    thickness = np.nan_to_num(coat.thickness_mm)
    priced = np.isfinite(surface.proud_mm) & (surface.cell_area_m2 > 0)
    assert coat.volume_l == pytest.approx((thickness * surface.cell_area_m2).sum(), rel=1e-12)
    assert coat.volume_l == pytest.approx(coat.area_m2 * coat.mean_mm, rel=1e-12)
    assert coat.area_m2 == pytest.approx(surface.cell_area_m2[priced].sum(), rel=1e-12)
    assert coat.covered_area_m2 == pytest.approx(
        surface.cell_area_m2[priced & (thickness > 0)].sum(), rel=1e-12
    )
    assert coat.max_mm == pytest.approx(thickness.max(), rel=1e-12)
    assert thickness[priced].min() >= least - 1e-9
    assert coat.volume_l >= 0


def test_thickness_is_plane_less_wall_plus_cut():
    surface = grid_of(rough_wall(1))
    rule = mt.PlaneRule(least_mm=5.0, cut_mm=3.0)
    plane = mt.target_plane(surface, rule)
    coat = mt.full_coat(surface, plane, rule)
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    gap = plane.at(x, z) - surface.proud_mm
    np.testing.assert_allclose(coat.cut_mm, np.maximum(0.0, 5.0 - gap), atol=1e-9)
    np.testing.assert_allclose(coat.thickness_mm, gap + coat.cut_mm, atol=1e-9)
    assert coat.cut_l == pytest.approx((coat.cut_mm * surface.cell_area_m2).sum(), rel=1e-12)


def test_covered_area_leaves_out_bare_cells():
    proud = np.zeros((4, 10))
    proud[:, 5:] = -7.0
    coat = mt.full_coat(grid_of(proud), mt.TargetPlane(0.0, 0.0, 0.0), NO_LEAST)
    assert coat.area_m2 == pytest.approx(0.4)
    assert coat.covered_area_m2 == pytest.approx(0.2)
    assert coat.volume_l == pytest.approx(7.0 * 0.2)


def test_unknown_and_open_places_carry_no_thickness():
    proud = np.zeros((4, 10))
    proud[1, 1] = np.nan
    surface = grid_of(proud, openings=[mt.Opening("gap", 0.5, 0.0, 0.5, 0.4)])
    rule = mt.PlaneRule(least_mm=5.0)
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert np.isnan(coat.thickness_mm[1, 1])
    assert np.isnan(coat.thickness_mm[:, 5:]).all()
    assert coat.area_m2 == pytest.approx(0.2 - 0.01)
    assert surface.unknown_area_m2 == pytest.approx(0.01)


@given(st.integers(0, 10_000), st.floats(-500, 500))
@examples(30)
def test_shifting_all_readings_leaves_the_thickness(seed, shift):
    random = np.random.default_rng(seed)
    wall = mt.Wall("A", 3.0, 2.4)
    x, z = np.meshgrid(np.linspace(0, 3.0, 5), np.linspace(0, 2.4, 4))
    proud = random.integers(-20, 20, x.size).astype(float)
    rule = mt.PlaneRule(least_mm=6.0)
    thicknesses = []
    for readings in (proud, proud + shift):
        surface = mt.grid_surface(mt.Survey.from_readings(wall, x.ravel(), z.ravel(), readings), cell_m=0.2)
        thicknesses.append(mt.full_coat(surface, mt.target_plane(surface, rule), rule).thickness_mm)
    np.testing.assert_allclose(*thicknesses, atol=1e-9)


@given(st.integers(0, 10_000), st.booleans())
@examples(30)
def test_a_mirrored_survey_takes_the_same_plaster(seed, plumb):
    random = np.random.default_rng(seed)
    wall = mt.Wall("A", 3.0, 2.4, (mt.Opening("window", 0.4, 0.9, 0.8, 1.0),))
    turned = mt.Wall("A", 3.0, 2.4, (mt.Opening("window", 1.8, 0.9, 0.8, 1.0),))
    x, z = np.meshgrid(np.linspace(0, 3.0, 5), np.linspace(0, 2.4, 4))
    proud = random.integers(-20, 20, x.shape).astype(float)
    rule, litres = mt.PlaneRule(least_mm=6.0, plumb=plumb), []
    for where, places in ((wall, x), (turned, 3.0 - x)):
        survey = mt.Survey.from_readings(where, places.ravel(), z.ravel(), proud.ravel())
        surface = mt.grid_surface(survey, cell_m=0.2)
        litres.append(mt.full_coat(surface, mt.target_plane(surface, rule), rule).volume_l)
    assert litres[0] == pytest.approx(litres[1], rel=1e-9)
