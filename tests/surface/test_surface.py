"""From readings to cells: between the readings and beyond them."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import numpy as np
import pandas as pd
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from oracles import bilinear, cells_of, depth_volume, field_grid_file, flat_wall, least_plaster_by_lp
from places import MEASURED
from readings import edges, row_and_column, survey_of

import mytakeoff as mt

REAL_DATA = MEASURED
needs_real_data = pytest.mark.skipif(
    not (REAL_DATA / "setts_A_dense.csv").is_file(),
    reason="the measured surfaces in ../shared/data are not here",
)
LEVEL = mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0)


# --- cells -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cell", ["0.025", "0.3", "0.1", "0.07", "5"])
@pytest.mark.parametrize(
    ("width", "height"), [("4.2", "2.6"), ("2.1", "0.7"), ("3.37", "2.61"), ("0.9", "2.4")]
)
def test_cells_are_as_many_as_needed_and_fit_the_outline(width, height, cell):
    _, survey = flat_wall(float(width), float(height))
    surface = mt.grid_surface(survey, cell_m=float(cell))
    nx, nz = (ceil(Fraction(length) / Fraction(cell)) for length in (width, height))
    assert surface.proud_mm.shape == surface.cell_area_m2.shape == surface.extended.shape == (nz, nx)
    np.testing.assert_allclose(surface.x_m, (np.arange(nx) + 0.5) * float(width) / nx, rtol=1e-12)
    np.testing.assert_allclose(surface.z_m, (np.arange(nz) + 0.5) * float(height) / nz, rtol=1e-12)
    np.testing.assert_allclose(surface.cell_area_m2, float(width) * float(height) / (nx * nz), rtol=1e-12)
    assert surface.net_area_m2 == pytest.approx(float(width) * float(height), rel=1e-12)
    assert surface.unknown_area_m2 == 0.0


@pytest.mark.parametrize("cell", [0.0, -0.1, float("nan"), float("inf")])
def test_a_cell_without_a_size_is_a_mistake(cell):
    with pytest.raises(mt.TakeoffError):
        mt.grid_surface(flat_wall()[1], cell_m=cell)


def test_a_reach_below_zero_is_a_mistake():
    with pytest.raises(mt.TakeoffError):
        mt.grid_surface(flat_wall()[1], reach_m=-0.1)


def test_arrays_cannot_be_written_to():
    surface = mt.grid_surface(flat_wall()[1], cell_m=0.5)
    for values in (surface.x_m, surface.z_m, surface.proud_mm, surface.cell_area_m2):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 1.0


def test_strips_left_unplastered_bound_the_plastered_area():
    _, survey = flat_wall(
        4.0, 2.5, skirting_m=0.12, cornice_m=0.07, fitted=(mt.Opening("unit", 3.4, 0.0, 0.6, 2.2),)
    )
    surface = mt.grid_surface(survey, cell_m=0.05)
    assert surface.net_area_m2 == pytest.approx(4.0 * (2.5 - 0.19) - 0.6 * (2.2 - 0.12), rel=1e-12)
    x, z = edges(surface)
    gone = [(0, 0, 4.0, 0.12), (0, 2.43, 4.0, 0.07), (3.4, 0.0, 0.6, 2.2)]
    expected = np.outer(np.diff(z), np.diff(x)) - depth_volume(x, z, [(*g, 1.0) for g in gone])
    np.testing.assert_allclose(surface.cell_area_m2, expected, atol=1e-12)


def test_overlapping_openings_are_noticed_and_others_are_not():
    apart = [mt.Opening("a", 0.5, 0.5, 0.5, 0.5), mt.Opening("b", 1.0, 0.5, 0.5, 0.5)]
    over = [mt.Opening("a", 0.5, 0.5, 0.6, 0.5), mt.Opening("b", 1.0, 0.5, 0.5, 0.5)]
    quiet, told = (mt.grid_surface(flat_wall(openings=o)[1]).notices for o in (apart, over))
    new = set(told) - set(quiet)
    assert any("overlap" in text or "once" in text for text in new)


# --- between the readings --------------------------------------------------------------------------------


@given(st.integers(0, 10_000), st.sampled_from([0.05, 0.13, 0.5, 2.0]))
@examples(30)
def test_a_field_grid_is_bilinear(seed, cell):
    random = np.random.default_rng(seed)
    xs = np.concatenate([[0], np.sort(random.uniform(0.1, 2.9, 4)), [3.0]])
    zs = np.concatenate([[0], np.sort(random.uniform(0.1, 2.3, 3)), [2.4]])
    proud = random.integers(-30, 30, (5, 6)).astype(float)
    surface = mt.grid_surface(survey_of(xs, zs, proud), cell_m=cell)
    np.testing.assert_allclose(surface.proud_mm, bilinear(xs, zs, proud, surface.x_m, surface.z_m), atol=1e-9)
    assert not surface.extended.any()


@pytest.mark.parametrize("seed", range(3))
def test_a_mirrored_field_grid_gives_the_mirrored_surface(seed):
    random = np.random.default_rng(seed)
    xs, zs = np.array([0.0, 0.5, 1.0, 1.5, 2.0]), np.array([0.0, 0.5, 1.0, 1.5])
    proud = random.integers(-30, 30, (4, 5)).astype(float)
    proud[1, 1] = np.nan
    plain = mt.grid_surface(survey_of(xs, zs, proud, layout="grid"), cell_m=0.1)
    mirrored = mt.grid_surface(survey_of(2.0 - xs, zs, proud, layout="grid"), cell_m=0.1)
    np.testing.assert_allclose(mirrored.proud_mm, plain.proud_mm[:, ::-1], atol=1e-9)
    np.testing.assert_array_equal(mirrored.extended, plain.extended[:, ::-1])


@given(st.integers(0, 10_000))
@examples(25)
def test_a_list_of_readings_on_a_plane_gives_that_plane_also_beyond(seed):
    random = np.random.default_rng(seed)
    a, b, c = random.normal(0, 10, 3)
    x, z = random.uniform(0, 3, 25), random.uniform(0, 2.4, 25)
    survey = mt.Survey.from_readings(mt.Wall("A", 3.0, 2.4), x, z, a + b * x + c * z)
    surface = mt.grid_surface(survey, cell_m=0.1, reach_m=5.0)
    expected = a + b * surface.x_m[None, :] + c * surface.z_m[:, None]
    np.testing.assert_allclose(surface.proud_mm, expected, atol=1e-8)


def test_a_list_honours_its_readings():
    random = np.random.default_rng(4)
    rows, columns = random.integers(0, 24, 30), random.integers(0, 30, 30)
    places = np.unique(np.column_stack([rows, columns]), axis=0)
    z, x = (places + 0.5).T * 0.1
    proud = random.normal(0, 8, z.size)
    survey = mt.Survey.from_readings(mt.Wall("A", 3.0, 2.4), x, z, proud, layout="list")
    surface = mt.grid_surface(survey, cell_m=0.1)
    np.testing.assert_allclose(surface.proud_mm[places[:, 0], places[:, 1]], proud, atol=1e-9)
    inside = surface.proud_mm[~surface.extended & np.isfinite(surface.proud_mm)]
    assert proud.min() - 1e-9 <= inside.min() <= inside.max() <= proud.max() + 1e-9


def test_a_list_is_linear_on_each_triangle():
    # three corners and a middle: from the corner (0, 0) to the middle it rises evenly
    survey = mt.Survey.from_readings(
        mt.Wall("A", 2.0, 2.0), [0, 2, 0, 2, 1], [0, 0, 2, 2, 1], [0, 0, 0, 0, 8.0], layout="list"
    )
    surface = mt.grid_surface(survey, cell_m=0.1)
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    np.testing.assert_allclose(surface.proud_mm, 8.0 * (1 - np.maximum(abs(x - 1), abs(z - 1))), atol=1e-9)


def test_a_scan_is_the_median_of_each_cell():
    random = np.random.default_rng(5)
    x, z = random.uniform(0, 1.0, 4000), random.uniform(0, 0.8, 4000)
    proud = 5 * x + random.normal(0, 1, x.size)
    proud[::5] += 300.0  # a lamp, a lead, a hand: one point in five is not wall
    survey = mt.Survey.from_readings(mt.Wall("A", 1.0, 0.8), x, z, proud, layout="scan")
    surface = mt.grid_surface(survey, cell_m=0.1)
    table = pd.DataFrame({"row": (z / 0.1).astype(int), "column": (x / 0.1).astype(int), "proud": proud})
    expected = table.groupby(["row", "column"])["proud"].median().unstack().to_numpy()
    np.testing.assert_allclose(surface.proud_mm, expected, atol=1e-9)
    assert np.abs(surface.proud_mm - 5 * surface.x_m).max() < 3.0
    plane = mt.target_plane(surface, LEVEL)
    assert plane.a_mm == pytest.approx(
        np.nanmax(surface.proud_mm) + 5.0, abs=1e-9
    )  # stray points do not bind


def test_a_dense_cloud_is_a_scan_also_when_nobody_said_so():
    # what is averaged into its cell does not bind the plane by itself
    random = np.random.default_rng(8)
    x, z = random.uniform(0, 1.0, 8000), random.uniform(0, 0.8, 8000)
    proud = 5 * x + random.normal(0, 3, x.size)
    wall = mt.Wall("A", 1.0, 0.8)
    unsaid = mt.grid_surface(mt.Survey.from_readings(wall, x, z, proud), cell_m=0.1)
    said = mt.grid_surface(mt.Survey.from_readings(wall, x, z, proud, layout="scan"), cell_m=0.1)
    np.testing.assert_allclose(unsaid.proud_mm, said.proud_mm, atol=1e-12)
    assert mt.target_plane(unsaid, LEVEL).a_mm == pytest.approx(mt.target_plane(said, LEVEL).a_mm, abs=1e-9)


def test_a_thin_scan_still_honours_its_points():
    random = np.random.default_rng(6)
    x, z = random.uniform(0, 3.0, 60), random.uniform(0, 2.4, 60)
    proud = 4.0 + 2.0 * x - 3.0 * z
    survey = mt.Survey.from_readings(mt.Wall("A", 3.0, 2.4), x, z, proud, layout="scan")
    surface = mt.grid_surface(survey, cell_m=0.1, reach_m=3.0)
    expected = 4.0 + 2.0 * surface.x_m[None, :] - 3.0 * surface.z_m[:, None]
    np.testing.assert_allclose(surface.proud_mm, expected, atol=1e-8)


# --- beyond the readings ---------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", ["grid", "list"])
def test_beyond_its_reach_the_survey_says_nothing(layout):
    xs, zs = np.linspace(0, 1.0, 11), np.linspace(0, 2.0, 21)
    proud = 3.0 + 2.0 * xs[None, :] + 1.0 * zs[:, None]
    survey = survey_of(xs, zs, proud, width=3.0, height=2.0, layout=layout)
    surface = mt.grid_surface(survey, cell_m=0.05, reach_m=0.5)
    known = np.isfinite(surface.proud_mm)
    at = surface.x_m
    assert known[:, at < 1.44].all()
    assert not known[:, at > 1.51].any()
    assert not surface.extended[:, at < 0.99].any()
    assert surface.extended[:, (at > 1.01) & (at < 1.44)].all()
    expected = 3.0 + 2.0 * at[None, :] + surface.z_m[:, None]
    np.testing.assert_allclose(surface.proud_mm[known], expected[known], atol=1e-9)
    assert surface.net_area_m2 == pytest.approx(surface.cell_area_m2[known].sum(), rel=1e-12)
    assert surface.net_area_m2 + surface.unknown_area_m2 == pytest.approx(6.0, rel=1e-12)
    coat = mt.full_coat(surface, mt.target_plane(surface, LEVEL), LEVEL)
    assert coat.area_m2 == surface.net_area_m2
    assert surface.notices  # a survey too thin for its wall says so


def test_no_reach_means_readings_only():
    survey = survey_of([0.5, 1.0, 1.5], [0.5, 1.0, 1.5], np.zeros((3, 3)), width=2.0, height=2.0)
    surface = mt.grid_surface(survey, cell_m=0.1, reach_m=0.0)
    assert surface.net_area_m2 == pytest.approx(1.0, rel=1e-9)
    assert not surface.extended.any()


def test_extension_is_the_least_squares_plane_plus_the_nearest_residual():
    # a leaning, rough field: the plane by lstsq; beside a row of readings the nearest residual is that of the
    # face at its rim, so that the face does not jump there
    random = np.random.default_rng(7)
    xs, zs = np.linspace(0, 1.0, 6), np.linspace(0, 2.0, 11)
    proud = 4.0 * xs[None, :] - 3.0 * zs[:, None] + random.normal(0, 2, (11, 6))
    surface = mt.grid_surface(survey_of(xs, zs, proud, width=1.4, height=2.0), cell_m=0.1)
    x, z = (v.ravel() for v in np.meshgrid(xs, zs))
    fit = np.linalg.lstsq(np.column_stack([np.ones_like(x), x, z]), proud.ravel(), rcond=None)[0]
    rim = bilinear(xs, zs, proud, [1.0], surface.z_m)
    beyond = surface.x_m > 1.0
    expected = rim + fit[1] * (surface.x_m[None, beyond] - 1.0)
    np.testing.assert_allclose(surface.proud_mm[:, beyond], expected, atol=1e-9)
    assert surface.extended.sum() == 20 * 4


# NIST StRD "Norris", 36 points (y, x) on one line; certified B0, B1 (itl.nist.gov/div898/strd)
NORRIS = (
    "0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3 "
    "449.1 448.6  778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0 "
    "448.9 447.5  10.8 11.6  557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3 "
    "0.6 0.3  557.6 556.8  339.3 339.1  888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3 "
    "228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5"
)
NORRIS_Y, NORRIS_X = np.array(NORRIS.split(), dtype=float).reshape(36, 2).T
NORRIS_B0, NORRIS_B1 = -0.262323073774029, 1.00211681802045


def test_extension_follows_the_certified_line():
    # each point is read twice, as far below the middle of the wall as above it, so the lean is none;
    # 1 m of wall stands for 1000 of x
    step = np.arange(NORRIS_X.size) * 1e-3
    x = np.tile(NORRIS_X / 1000, 2)
    z = np.concatenate([0.5 - step, 1.5 + step])
    y = np.tile(NORRIS_Y, 2)
    survey = mt.Survey.from_readings(mt.Wall("line", 1.4, 2.0), x, z, y)
    surface = mt.grid_surface(survey, cell_m=0.01)
    seen = 0
    for row, column in zip(*np.nonzero(surface.extended & (surface.x_m > 1.05)), strict=True):
        at = surface.x_m[column]
        nearest = np.argmin(np.hypot(x - at, z - surface.z_m[row]))
        residual = y[nearest] - NORRIS_B0 - NORRIS_B1 * 1000 * x[nearest]
        assert surface.proud_mm[row, column] == pytest.approx(
            NORRIS_B0 + NORRIS_B1 * 1000 * at + residual, abs=1e-8
        )
        seen += 1
    assert seen > 500


def test_a_blank_is_bridged_and_marked():
    xs, zs = np.linspace(0, 2.0, 6), np.linspace(0, 2.0, 6)
    proud = 2.0 + 3.0 * xs[None, :] - 1.0 * zs[:, None]
    proud[2, 2] = np.nan  # at 0.8, 0.8
    surface = mt.grid_surface(survey_of(xs, zs, proud, layout="grid"), cell_m=0.05)
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    np.testing.assert_allclose(surface.proud_mm, 2.0 + 3.0 * x - z, atol=1e-9)
    assert surface.extended[row_and_column(surface, 0.8, 0.8)]
    far = np.maximum(abs(x - 0.8), abs(z - 0.8)) > 0.4
    assert not surface.extended[far].any()


def test_a_wide_gap_stays_unknown():
    xs, zs = np.linspace(0, 4.0, 21), np.linspace(0, 4.0, 21)
    proud = np.zeros((21, 21))
    proud[5:16, 5:16] = np.nan  # from 1 m to 3 m nothing was read
    surface = mt.grid_surface(survey_of(xs, zs, proud, layout="grid"), cell_m=0.1, reach_m=0.5)
    assert np.isnan(surface.proud_mm[row_and_column(surface, 2.0, 2.0)])
    assert np.isfinite(surface.proud_mm[row_and_column(surface, 1.1, 2.0)])
    assert surface.unknown_area_m2 > 0.5


# --- high spots ------------------------------------------------------------------------------------------


def test_a_high_spot_binds_the_plane_and_lifts_the_surface_near_it():
    xs, zs = np.linspace(0, 4.0, 9), np.linspace(0, 2.5, 6)
    plain = survey_of(xs, zs, np.zeros((6, 9)))
    swept = plain.with_high_spots([(1.23, 1.31, 12.0)])
    before, after = mt.grid_surface(plain, cell_m=0.05), mt.grid_surface(swept, cell_m=0.05)
    plane = mt.target_plane(after, LEVEL)
    assert plane.at(1.23, 1.31) == pytest.approx(17.0, abs=1e-9)
    assert any((t.x_m, t.z_m, t.proud_mm) == pytest.approx((1.23, 1.31, 12.0)) for t in plane.touches)
    lift = after.proud_mm - before.proud_mm
    assert lift[row_and_column(after, 1.23, 1.31)] > 6.0
    assert lift.min() >= -1e-9
    assert lift.max() <= 12.0 + 1e-9
    x, z = np.meshgrid(after.x_m, after.z_m)
    assert np.abs(lift[np.hypot(x - 1.23, z - 1.31) > 1.0]).max() == pytest.approx(0.0, abs=1e-9)


def test_a_high_spot_in_an_opening_does_not_bind():
    _, survey = flat_wall(2.0, 2.0, openings=[mt.Opening("door", 0.5, 0.0, 1.0, 1.8)])
    surface = mt.grid_surface(survey.with_high_spots([(1.0, 0.9, 40.0)]), cell_m=0.05)
    assert mt.target_plane(surface, LEVEL).at(1.0, 0.9) < 45.0


# --- a ready height field --------------------------------------------------------------------------------


def test_from_grid_keeps_what_it_is_given():
    proud = np.arange(12.0).reshape(3, 4)
    wall = mt.Wall("A", 2.0, 1.5, (mt.Opening("hole", 0.0, 0.0, 0.25, 0.5),))
    surface = mt.Surface.from_grid(wall, [0.25, 0.75, 1.25, 1.75], [0.25, 0.75, 1.25], proud)
    np.testing.assert_array_equal(surface.proud_mm, proud)
    np.testing.assert_allclose(surface.cell_area_m2, [[0.125, 0.25, 0.25, 0.25], [0.25] * 4, [0.25] * 4])
    assert surface.net_area_m2 == pytest.approx(3.0 - 0.125)
    assert not surface.extended.any()


@pytest.mark.parametrize(
    ("x", "z", "shape"),
    [([0.5, 1.5], [0.5, 1.5], (3, 2)), ([1.5, 0.5], [0.5, 1.5], (2, 2)), ([0.5, 9.5], [0.5, 1.5], (2, 2))],
    ids=["shape", "order", "off the wall"],
)
def test_from_grid_refuses_what_does_not_fit(x, z, shape):
    with pytest.raises(mt.TakeoffError):
        mt.Surface.from_grid(mt.Wall("A", 2.0, 2.0), x, z, np.zeros(shape))


# --- a measured surface ----------------------------------------------------------------------------------


def setts(name):
    xs, zs, proud = field_grid_file(REAL_DATA / name)
    x, z = np.meshgrid(xs, zs)
    return mt.Survey.from_readings(
        mt.Wall("setts", 5.0, 3.41), x.ravel(), z.ravel(), proud.ravel(), layout="grid"
    )


@needs_real_data
def test_hand_readings_of_a_rough_surface_price_what_they_saw():
    # every 25 cm of a measured sett surface, plumb, at least 5 mm: 51.5 mm in the mean
    # (worked out from that file; no published answer comes with it)
    rule = mt.PlaneRule(least_mm=5.0)
    surface = mt.grid_surface(setts("setts_A_hand.csv"))
    coat = mt.full_coat(surface, mt.target_plane(surface, rule), rule)
    assert coat.mean_mm == pytest.approx(51.5, rel=0.01)


@needs_real_data
def test_the_whole_of_a_rough_surface_takes_a_third_more():
    # its full 1 cm grid, blanks left out: 67.7 mm in the mean; what a reading every 25 cm cannot see
    rule = mt.PlaneRule(least_mm=5.0)
    survey = setts("setts_A_dense.csv")
    surface = mt.grid_surface(survey, cell_m=0.01)
    plane = mt.target_plane(surface, rule)
    coat = mt.full_coat(surface, plane, rule)
    assert coat.mean_mm == pytest.approx(67.7, rel=0.01)
    every_fourth = slice(None, None, 4)
    coarse = mt.Surface.from_grid(
        mt.Wall("setts", 5.0, surface.z_m[every_fourth].size * 0.04),
        np.arange(125) * 0.04 + 0.02,
        np.arange(surface.z_m[every_fourth].size) * 0.04 + 0.02,
        surface.proud_mm[every_fourth, every_fourth],
    )
    cells = cells_of(coarse, rule)
    assert cells.litres_of(mt.target_plane(coarse, rule)) == pytest.approx(
        least_plaster_by_lp(cells, rule), rel=1e-9
    )
