"""Cell medians against pandas, noise that is known, and no hollows made of noise."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.scan.cell_median import cell_numbers, cell_statistic
from mytakeoff.scan.cell_sample import CellSample
from mytakeoff.scan.noise import neighbour_noise_mm, point_noise_mm
from mytakeoff.scan.thin_cloud import Thinner

WIDTH, HEIGHT = 4.0, 2.6


def scan(seed: int, count: int, noise_mm: float, face=lambda x, z: 3 * x - 2 * z) -> mt.Survey:
    random = np.random.default_rng(seed)
    x, z = random.uniform(0, WIDTH, count), random.uniform(0, HEIGHT, count)
    proud = face(x, z) + random.normal(0, noise_mm, count)
    return mt.Survey.from_readings(mt.Wall("A", WIDTH, HEIGHT), x, z, proud, layout="scan")


@examples(30)
@given(
    seed=st.integers(0, 2**32 - 1),
    count=st.integers(1, 400),
    shape=st.tuples(st.integers(1, 9), st.integers(1, 9)),
    spread=st.sampled_from([0.0, 1e-3, 5.0, 400.0]),
)
def test_median_and_count_are_those_of_a_general_library(seed, count, shape, spread):
    random = np.random.default_rng(seed)
    x, z = random.uniform(0, 2.0, count), random.uniform(0, 1.0, count)
    proud = np.round(random.normal(10.0, spread, count), 1)  # rounded, so that many are equal
    found = cell_statistic(x, z, proud, (2.0, 1.0), shape)
    row, column = (z * shape[0]).astype(int), (x / 2.0 * shape[1]).astype(int)
    groups = pd.Series(proud).groupby(row * shape[1] + column)
    expected = groups.median().reindex(range(shape[0] * shape[1])).to_numpy()
    np.testing.assert_allclose(found.median_mm.ravel(), expected, atol=1e-9)
    assert (
        found.count.ravel().tolist()
        == groups.size().reindex(range(shape[0] * shape[1]), fill_value=0).tolist()
    )
    np.testing.assert_array_equal(cell_numbers(x, z, (2.0, 1.0), shape), row * shape[1] + column)


@pytest.mark.parametrize("count", [4, 5, 9, 40])
def test_the_scatter_in_cells_is_not_biased(count):
    random = np.random.default_rng(3)
    x = np.repeat(np.arange(5000) + 0.5, count)
    found = cell_statistic(x, np.full(x.size, 0.5), random.normal(0, 2.0, x.size), (5000.0, 1.0), (1, 5000))
    assert found.spread_mm.mean() == pytest.approx(2.0, rel=0.03)


def test_duplicates_do_not_move_a_cell_median():
    once = scan(1, 20_000, 2.0)
    twice = mt.Survey.from_readings(
        once.wall, *(np.tile(one, 2) for one in (once.x_m, once.z_m, once.proud_mm)), layout="scan"
    )
    faces = [mt.grid_surface(one, cell_m=0.2).proud_mm for one in (once, twice)]
    np.testing.assert_allclose(*faces, atol=1e-9)


@pytest.mark.parametrize(("count", "noise_mm"), [(400_000, 2.0), (60_000, 3.0), (12_000, 3.5)])
def test_a_flat_noisy_scan_has_no_hollows(count, noise_mm):
    surface = mt.grid_surface(scan(2, count, noise_mm))
    true = 3 * surface.x_m[None, :] - 2 * surface.z_m[:, None]
    error = np.nanstd(surface.proud_mm - true)
    assert error < 0.55
    assert surface.noise_mm == pytest.approx(error, rel=0.5)  # what is said is what there is
    assert mt.spot_repair(surface, 3.0, 2.0).volume_l < 0.01
    gap = np.nanmax(mt.straightedge_gap(surface, 2.0))
    said = next(notice for notice in surface.notices if "scatter" in notice)
    limit = float(said.split("Nothing below ")[1].split(" mm")[0])
    assert gap < 1.3 * limit


def test_the_noise_of_points_is_found_in_cells_and_between_neighbours():
    survey = scan(4, 100_000, 2.5, face=lambda x, z: 9 * x)
    found = cell_statistic(survey.x_m, survey.z_m, survey.proud_mm, (WIDTH, HEIGHT), (26, 40))
    assert point_noise_mm(found.spread_mm, found.median_mm) == pytest.approx(2.5, rel=0.1)
    flat = survey.proud_mm - 9 * survey.x_m
    assert neighbour_noise_mm(survey.x_m, survey.z_m, flat) == pytest.approx(2.5, rel=0.1)


def test_a_bump_in_a_noisy_scan_stays():
    def face(x, z):
        return 10.0 * np.exp(-((x - 2.0) ** 2 + (z - 1.3) ** 2) / (2 * 0.08**2))

    surface = mt.grid_surface(scan(5, 100_000, 3.0, face))
    assert surface.proud_mm[50:54, 78:82].mean() == pytest.approx(9.7, abs=1.5)


def test_a_thin_scan_of_a_rough_wall_goes_through_its_points():
    # without noise nothing is smoothed: the face is as rough as it was measured
    survey = scan(6, 9_000, 0.0, face=lambda x, z: 20 * np.sin(6 * x) * np.cos(5 * z))
    surface = mt.grid_surface(survey)
    inside = (slice(4, -4), slice(4, -4))
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    error = surface.proud_mm - 20 * np.sin(6 * x) * np.cos(5 * z)
    assert np.abs(error[inside]).max() < 2.0


def test_a_high_spot_found_by_sweeping_a_scanned_wall_binds():
    survey = scan(7, 60_000, 0.2).with_high_spots([(1.5, 1.2, 20.0)])
    surface = mt.grid_surface(survey)
    assert surface.points.proud_mm.tolist() == [20.0]
    assert 5.0 < surface.proud_mm[47:49, 59:61].max() <= 20.0
    plane = mt.target_plane(surface, mt.PlaneRule(least_mm=5.0, turn_mm_per_m=0.0))
    assert plane.at(np.array([1.5]), np.array([1.2]))[0] >= 25.0 - 1e-6


# --- clouds of any size ------------------------------------------------------------------------------------


@examples(15)
@given(seed=st.integers(0, 2**32 - 1), parts=st.integers(1, 6))
def test_a_thinned_cloud_keeps_every_point_in_a_mean(seed, parts):
    random = np.random.default_rng(seed)
    points = random.normal(size=(600, 3)) * [4.0, 0.01, 2.0] + 1000.0
    thinner = Thinner()
    for part in np.array_split(points, parts):
        thinner.add(part)
    for _ in range(seed % 4):
        thinner.double()
    thin = thinner.done()
    assert thin.count.sum() == 600
    np.testing.assert_allclose(thin.count @ thin.points / 600, points.mean(axis=0), rtol=1e-9)


def test_what_a_sample_keeps_does_not_depend_on_the_order_of_the_points():
    random = np.random.default_rng(8)
    points = np.column_stack(
        [random.uniform(0, 1, 40_000) ** 3, random.uniform(0, 1, 40_000), np.zeros(40_000)]
    )

    def kept(order: np.ndarray, parts: int) -> np.ndarray:
        sample = CellSample(cell_m=0.05, most=6_000)
        for part in np.array_split(points[order], parts):
            sample.add(part, part)
            assert sum(len(held) for held, _ in sample._parts) <= 6_000
        found = sample.points()
        return found[np.lexsort(found.T)]

    ends = kept(np.arange(40_000), 40)
    assert 2_000 < len(ends) <= 6_000
    fewer, more = sorted((ends, kept(random.permutation(40_000), 25)), key=len)
    assert {tuple(point) for point in fewer} <= {tuple(point) for point in more}
    # cells that hold one in a thousand of all points have kept some, dense ones no more than their share
    cells = np.unique(np.floor(ends[:, :2] / 0.05), axis=0)
    assert len(cells) == len(np.unique(np.floor(points[:, :2] / 0.05), axis=0))


def test_a_point_that_comes_twice_is_kept_once():
    points = np.random.default_rng(9).uniform(size=(500, 3))
    sample = CellSample()
    for _ in range(3):
        sample.add(points, points)
    assert sample.seen == 1500
    assert len(sample.points()) == 500
