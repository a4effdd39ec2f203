"""Steps of depth and the scatter of points, told apart on invented clouds of known step and scatter."""

from __future__ import annotations

import numpy as np
import pytest

from mytakeoff import Survey, Wall, grid_surface
from mytakeoff.scan.depth_steps import DepthLevels, noise_beside_steps_mm, step_that_shows
from mytakeoff.survey.interpolate import Readings

WALL = Wall("A", 4.0, 2.6)


def truth_mm(x_m, z_m):
    return 3.0 * z_m + 2.0 * np.sin(2.0 * x_m)


def cloud(step_mm: float, scatter_mm: float, count: int = 40_000) -> Survey:
    random = np.random.default_rng(4)
    x, z = random.uniform(0, 4.0, count), random.uniform(0, 2.6, count)
    proud = truth_mm(x, z) + random.normal(0, scatter_mm, count)
    proud = np.round(proud / step_mm) * step_mm
    return Survey.from_readings(WALL, x, z, proud, layout="scan", depth_step_mm=step_mm)


@pytest.mark.parametrize("count", [40_000, 3_000])
@pytest.mark.parametrize(("step_mm", "scatter_mm"), [(10.0, 0.2), (10.0, 1.0), (4.0, 0.5), (20.0, 3.0)])
def test_where_points_scatter_by_less_the_step_is_said_and_no_noise(step_mm, scatter_mm, count):
    """Anywhere in a step alike: the standard deviation of an even spread is step / √12 (textbook)."""
    surface = grid_surface(cloud(step_mm, scatter_mm, count), 0.05)
    [said] = [notice for notice in surface.notices if "steps of" in notice]
    assert f"steps of {step_mm:.1f} mm" in said
    assert "cannot be told" in said
    assert step_mm / np.sqrt(12) <= surface.noise_mm <= 1.3 * step_mm / np.sqrt(12)
    missed = surface.proud_mm - truth_mm(surface.x_m[None, :], surface.z_m[:, None])
    assert np.sqrt(np.nanmean(missed**2)) < 1.3 * surface.noise_mm


@pytest.mark.parametrize(("step_mm", "scatter_mm"), [(10.0, 6.0), (4.0, 2.5)])
def test_scatter_of_more_than_half_a_step_is_told_beside_it(step_mm, scatter_mm):
    surface = grid_surface(cloud(step_mm, scatter_mm), 0.05)
    [said] = [notice for notice in surface.notices if "steps of" in notice]
    told = float(said.split("scatter by ")[1].split(" mm")[0])
    assert told == pytest.approx(scatter_mm, rel=0.05)


@pytest.mark.parametrize(("step_mm", "scatter_mm"), [(1.0, 3.0), (0.5, 1.0)])
def test_steps_that_drown_in_the_scatter_are_not_said_and_not_added(step_mm, scatter_mm):
    stepped = grid_surface(cloud(step_mm, scatter_mm), 0.05)
    assert not any("steps of" in notice for notice in stepped.notices)
    smooth = grid_surface(cloud(1e-6, scatter_mm), 0.05)
    assert stepped.noise_mm == pytest.approx(smooth.noise_mm, rel=0.1)


def test_the_step_is_found_among_the_depths_and_only_there():
    random = np.random.default_rng(5)
    depth = random.normal(3.5, 0.05, 20_000)
    levels = DepthLevels()
    for part in np.array_split(np.round(depth / 0.03) * 0.03, 7):
        levels.add(part)
    assert levels.step == pytest.approx(0.03)
    smooth = DepthLevels()
    smooth.add(depth)
    assert smooth.step == 0.0


def test_a_true_plane_in_even_rows_shows_no_step():
    x, z = (axis.ravel() for axis in np.meshgrid(np.linspace(0, 4, 80), np.linspace(0, 2.6, 40)))
    levels = DepthLevels()
    levels.add(20.0 * z)
    assert levels.step == pytest.approx(20.0 * 2.6 / 39)  # the depths alone cannot tell
    assert step_that_shows(levels.step, Readings(x, z, 20.0 * z)) == 0.0
    rounded = np.round(20.0 * z / 4.0) * 4.0
    assert step_that_shows(4.0, Readings(x, z, rounded)) == 4.0
    assert step_that_shows(0.1, Readings(x, z, rounded)) == 0.0


def test_a_bow_in_even_rows_has_uneven_depths():
    levels = DepthLevels()
    levels.add(np.repeat(10.0 * np.sin(np.linspace(0, 3.1, 40)), 50))
    assert levels.step == 0.0


def test_noise_beside_steps_takes_a_twelfth_of_the_squared_step_off():
    """Sheppard's correction, held to the scatter that the points were drawn with."""
    random = np.random.default_rng(6)
    drawn = random.normal(0.0, 3.0, 60_000)
    cell = np.repeat(np.arange(600, dtype=np.int32), 100)
    assert noise_beside_steps_mm(cell, np.round(drawn / 4.0) * 4.0, 4.0) == pytest.approx(3.0, rel=0.02)
    assert noise_beside_steps_mm(cell, np.round(drawn / 20.0) * 20.0, 20.0) == 0.0
