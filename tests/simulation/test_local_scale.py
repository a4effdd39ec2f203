"""Roughness that is not the same everywhere, and what is shorter than a hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.local_scale import EVERYWHERE, LocalScale
from mytakeoff.simulation.short_roughness import ShortRoughness
from mytakeoff.simulation.variogram import Variogram
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings

ROUGH = Variogram(1.5, 0.4, 9.0, 0.5)


def readings_of(left_mm: float = 1.0, right_mm: float = 1.0) -> Readings:
    """As rough as so much left of 2 m and right of it."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 4, 0.2), np.arange(0.1, 2.4, 0.2)))
    off = np.random.default_rng(4).normal(0.0, 1.0, x.size)
    return Readings(x, z, np.where(x < 2.0, left_mm, right_mm) * off)


def test_misses_are_those_of_kriging_without_the_reading():
    """By definition: the reading left out, foretold from the others, over the standard deviation of that."""
    readings = readings_of().without(np.arange(240) >= 30)
    found = Kriging.of(ROUGH, readings).missed(readings.proud_mm)
    for nth in (0, 11, 29):
        others = readings.without(np.arange(30) == nth)
        kriging = Kriging.of(ROUGH, others)
        there = Locations.of(others, readings.x_m[[nth]], readings.z_m[[nth]])
        guess = float(kriging.through(there, others.proud_mm[:, None])[0, 0])
        towards = np.hstack([ROUGH.covariance(there.away_m), there.terms])[0]
        variance = ROUGH.sill_mm2 + ROUGH.short_mm2 - towards @ np.linalg.solve(kriging.matrix, towards)
        assert found[nth] == pytest.approx((readings.proud_mm[nth] - guess) / np.sqrt(variance), rel=1e-3)


def test_a_wall_rough_on_one_side_is_known_to_be():
    readings = readings_of(0.5, 3.0)
    scale = LocalScale.of([Kriging.of(ROUGH, readings)])
    at = Locations.of(readings, np.array([1.0, 3.0]), np.array([1.2, 1.2]))
    calm, wild = scale.at(at.away_m)
    assert wild > 2 * calm


def test_far_from_readings_it_is_as_rough_as_everywhere():
    readings = readings_of(3.0, 3.0)
    scale = LocalScale.of([Kriging.of(ROUGH, readings)])
    assert scale.at(np.full((1, readings.x_m.size), 50.0)) == pytest.approx([1.0])


def test_many_readings_weigh_more_than_what_was_thought_before():
    readings = readings_of()
    scale = replace(LocalScale.of([Kriging.of(ROUGH, readings)]), missed2=np.full(readings.x_m.size, 4.0))
    one = np.full((1, readings.x_m.size), 50.0)
    one[0, 0] = 0.0
    assert scale.at(one)[0] == pytest.approx(np.sqrt((EVERYWHERE + 4.0) / (EVERYWHERE + 1.0)))
    assert scale.at(np.zeros_like(one))[0] == pytest.approx(2.0, rel=0.01)


WALL = mt.Wall("A", 2.0, 1.0)
CELLS = np.meshgrid((np.arange(40) + 0.5) * 0.05, (np.arange(20) + 0.5) * 0.05)
READ = Readings(np.array([0.325, 1.575]), np.array([0.525, 0.425]), np.zeros(2))


def short_of(short_m: float, share: float = 1.0) -> ShortRoughness:
    surface = Surface.from_grid(WALL, CELLS[0][0], CELLS[1][:, 0], np.zeros((20, 40)))
    wall = LikelyWall(reading_mm=0.1, short_share=share, short_m=short_m)
    return ShortRoughness.of(wall, surface, Locations.of(READ, CELLS[0].ravel(), CELLS[1].ravel()))


@pytest.mark.parametrize("short_m", [0.0, 0.05])
def test_its_variance_is_one_and_it_is_alike_over_the_distance_told(short_m):
    """White noise smoothed by a bell of width σ has the correlation exp(-d²/4σ²), two bells folded."""
    fields = short_of(short_m).drawn(3000, np.random.default_rng(1)).reshape(-1, 20, 40)
    assert fields[:, 10, 20].var() == pytest.approx(1.0, rel=0.1)
    alike = (fields[:, 10, 20] * fields[:, 10, 22]).mean()
    expected = np.exp(-0.25 * (0.1 / short_m) ** 2) if short_m else 0.0
    assert alike == pytest.approx(expected, abs=0.08)


def test_a_reading_shows_what_is_short_about_it_and_nothing_far_away():
    variogram, missed = Variogram(1.5, 0.5, 9.0, 1.01), np.tile([5.0, 0.0], (400, 1))
    for short_m, beside in ((0.0, 0.0), (0.05, 5.0 * np.exp(-0.25 * 4))):
        short, rng = short_of(short_m), np.random.default_rng(3)
        bent = short.through(variogram, short.drawn(400, rng), missed, rng).reshape(-1, 20, 40).mean(axis=0)
        assert bent[10, 6] == pytest.approx(5.0, abs=0.3)
        assert bent[10, 8] == pytest.approx(beside, abs=0.3)
        assert bent[10, 30] == pytest.approx(0.0, abs=0.3)


def test_a_share_of_it_stands_up():
    variogram, none = Variogram(1.5, 0.5, 9.0, 4.01), np.zeros((300, 2))
    found = []
    for share in (1.0, 0.5):
        short, rng = short_of(0.0, share), np.random.default_rng(3)
        found.append(short.through(variogram, short.drawn(300, rng), none, rng)[:, 400].std())
    assert found == pytest.approx([2.0, 1.0], rel=0.12)
