"""Small high spots that nobody read: their number, height and place, and what readings take away."""

from __future__ import annotations

import numpy as np
import pytest

from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.nibs import READ_M, SHAPE, drawn_nibs_mm, found_nibs, seen_m2
from mytakeoff.simulation.variogram import Variogram
from mytakeoff.survey.interpolate import Readings

FACES, CELL_M2 = 4000, 0.05**2
X, Z = (axis.ravel() for axis in np.meshgrid(np.arange(0.025, 2, 0.05), np.arange(0.025, 1, 0.05)))
FAR = Readings(np.array([9.0]), np.array([9.0]), np.array([0.0]))


def nibs(per_m2: float, mm: float = 4.0, seen=(0, 0.0), readings: Readings = FAR) -> np.ndarray:
    wall, area = LikelyWall(nibs_per_m2=per_m2, nib_mm=mm), np.full(X.size, CELL_M2)
    rng = np.random.default_rng(5)
    return drawn_nibs_mm(wall, Locations.of(readings, X, Z), area, FACES, seen, rng)


def test_their_number_is_that_of_a_gamma_mixed_poisson():
    """Mean r·A, variance r·A + (r·A)²/shape: the negative binomial (any table of distributions)."""
    count = (nibs(1.5) > 0).sum(axis=1)
    mean = 1.5 * 2.0
    assert count.mean() == pytest.approx(mean, rel=0.06)
    assert count.var() == pytest.approx(mean + mean**2 / SHAPE, rel=0.15)


def test_half_are_higher_than_the_usual_height():
    high = nibs(1.0, 5.0)
    assert np.median(high[high > 0]) == pytest.approx(5.0, rel=0.03)


def test_none_are_drawn_where_the_user_says_there_are_none():
    assert not nibs(0.0).any()


def test_none_stands_beside_a_reading():
    readings = Readings(X[::7], Z[::7], np.zeros(X[::7].size))
    near = Locations.of(readings, X, Z).away_m.min(axis=1) < READ_M
    found = nibs(20.0, readings=readings)
    assert near.any()
    assert not found[:, near].any()
    assert found[:, ~near].any()


def test_what_was_looked_at_and_had_none_takes_from_their_number():
    """The gamma distribution's mean goes from r to shape / (shape / r + seen)."""
    count = (nibs(1.0, seen=(0, 0.5)) > 0).sum(axis=1)
    assert count.mean() == pytest.approx(2.0 * SHAPE / (SHAPE / 1.0 + 0.5), rel=0.08)
    assert (nibs(1.0, seen=(2, 0.5)) > 0).sum(axis=1).mean() > 3 * count.mean()


def test_a_metre_of_edge_looks_at_a_strip_as_wide_as_a_nib():
    none = Readings(*(np.zeros(0) for _ in range(3)))
    assert seen_m2(none, 10.0) == pytest.approx(0.4)


def test_a_reading_that_stands_far_before_its_neighbours_is_found():
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0, 2, 0.25), np.arange(0, 2, 0.25)))
    flat = np.random.default_rng(2).normal(0.0, 0.5, x.size)
    krigings = [Kriging.of(Variogram(1.5, 0.5, 4.0, short), Readings(x, z, flat)) for short in (0.3, 0.6)]
    assert found_nibs(krigings) == 0
    flat[27] += 9.0
    krigings = [Kriging.of(Variogram(1.5, 0.5, 4.0, short), Readings(x, z, flat)) for short in (0.3, 0.6)]
    assert found_nibs(krigings) == 1
    flat[27] -= 18.0
    krigings = [Kriging.of(Variogram(1.5, 0.5, 4.0, short), Readings(x, z, flat)) for short in (0.3, 0.6)]
    assert found_nibs(krigings) == 0


def test_a_wall_that_was_floated_has_fewer_than_one_that_was_built():
    floated, built = (likely_on(name) for name in ("sound old plaster", "stone"))
    assert 0 < floated.nibs_per_m2 < built.nibs_per_m2
    assert likely_on("stone", LikelyWall(nibs_per_m2=0.0)).nibs_per_m2 == 0.0
