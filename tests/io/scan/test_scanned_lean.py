"""Lean of scanned walls: known ones any way round, and one measured wall from two stations."""

from __future__ import annotations

import numpy as np
import pytest
from clouds import wall_cloud, write_ply
from places import MEASURED
from sklearn.linear_model import HuberRegressor, RANSACRegressor

import mytakeoff as mt
from mytakeoff.surface.deviation import stance_of

here = pytest.mark.skipif(not MEASURED.is_dir(), reason="the measured surfaces are not beside this checkout")
Z_UP = np.eye(3)
Y_UP = np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])  # z becomes y, y becomes -z
X_UP = np.array([[0, 0, 1.0], [1.0, 0, 0], [0, 1.0, 0]])
DOWN = np.array([[-1.0, 0, 0], [0, 1.0, 0], [0, 0, -1.0]])  # hung from the ceiling


def furnished(lean_mm_per_m: float) -> np.ndarray:
    """A wall of 4 × 2.6 m, 2 m before the origin, that leans into the room; a shelf 40 mm before 30 %."""
    random = np.random.default_rng(3)
    points = wall_cloud(random, 30_000, noise_m=0.002)
    points[:, 1] = 2.0 - lean_mm_per_m / 1000.0 * points[:, 2] + random.normal(0, 0.002, len(points))
    behind = (points[:, 0] > -0.5) & (points[:, 0] < 1.5) & (points[:, 2] > 1.0)
    points[behind, 1] -= 0.04
    return points


@pytest.mark.parametrize("lean", [6.0, -9.0])
@pytest.mark.parametrize(("axes", "up"), [(Z_UP, "z"), (Y_UP, "y"), (X_UP, "x"), (DOWN, "-z")])
def test_the_lean_is_known_whichever_way_round_the_file_is(tmp_path, lean, axes, up):
    path = write_ply(tmp_path / "a.ply", furnished(lean) @ axes.T)
    wall = mt.find_walls(path, unit="m", up=up)[0]
    assert wall.lean_mm_per_m == pytest.approx(lean, abs=0.2)
    assert wall.lean_off_mm_per_m < 0.5
    stands = stance_of(mt.grid_surface(wall.survey(), 0.05))
    assert stands.c_mm_per_m == pytest.approx(wall.lean_mm_per_m, abs=0.2)
    behind = wall.other_side()
    assert behind.lean_mm_per_m == pytest.approx(-wall.lean_mm_per_m, abs=0.05)
    assert stance_of(mt.grid_surface(behind.survey(), 0.05)).c_mm_per_m == pytest.approx(-lean, abs=0.2)


def test_a_scan_that_was_not_plumb_is_made_upright_by_its_wall_and_not_by_the_shelf(tmp_path):
    wall = mt.find_walls(write_ply(tmp_path / "a.ply", furnished(12.0)), unit="m", up="z")[0]
    stands = stance_of(mt.grid_surface(wall.survey(plumb=False), 0.05))
    assert stands.c_mm_per_m == pytest.approx(0.0, abs=0.2)


@here
def test_one_wall_from_two_stations_leans_alike_within_what_is_said():
    one, other = (
        mt.find_walls(MEASURED / name, unit="m")[0]
        for name in ("apartment0_wall_x.xyz", "apartment1_wall_x.ply")
    )
    apart = abs(one.lean_mm_per_m - other.lean_mm_per_m)
    assert one.lean_mm_per_m < 0
    assert other.lean_mm_per_m < 0
    assert apart <= 2.0 * np.hypot(one.lean_off_mm_per_m, other.lean_off_mm_per_m)
    assert max(one.lean_off_mm_per_m, other.lean_off_mm_per_m) < 5.0


@here
@pytest.mark.parametrize("name", ["apartment0_wall_x.xyz", "apartment1_wall_x.ply", "apartment0_wall_y.ply"])
def test_measured_walls_lean_as_general_robust_regressions_have_it(name):
    """scikit-learn, same cells: RANSAC within 8 mm, twice the noise, the median of what 15 of its draws give,
    which lie 5 mm a metre apart; Huber, which keeps some of what stands off."""
    wall = mt.find_walls(MEASURED / name, unit="m")[0]
    x, z, proud = wall.found.cells
    places = np.column_stack([x, z])
    ransac = np.median([
        RANSACRegressor(residual_threshold=8.0, random_state=nth).fit(places, proud).estimator_.coef_[1]
        for nth in range(15)
    ])  # fmt: skip
    huber = HuberRegressor(epsilon=1.35, alpha=0.0, max_iter=1000).fit(places, proud)
    within = 2.0 * wall.lean_off_mm_per_m
    assert wall.lean_mm_per_m == pytest.approx(float(ransac), abs=within)
    assert wall.lean_mm_per_m == pytest.approx(float(huber.coef_[1]), abs=within)
