"""Which readings are taken for hollow: on invented faces whose hollows are known, and what the user says."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.survey.hollows import LEAST_READINGS, MOST_SHARE, hollow_readings
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.said import SaidOf

COLUMNS, ROWS = 9, 7


def face(seed: int = 1, stray_mm: float = 1.0) -> Readings:
    """A face that leans, turns and bows, its readings off by so much."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.linspace(0, 4, COLUMNS), np.linspace(0.1, 2.5, ROWS)))
    off = np.random.default_rng(seed).normal(0.0, stray_mm, x.size)
    return Readings(x, z, 5 * x - 4 * z + 3 * (x - 2) ** 2 + off)


def dented(readings: Readings, where: list[int], deep_mm: float) -> Readings:
    proud = readings.proud_mm.copy()
    proud[where] -= deep_mm
    return Readings(readings.x_m, readings.z_m, proud)


def test_dents_are_found_on_a_face_that_leans_and_bows():
    where = [3, 17, 40, 41, 55]
    assert np.flatnonzero(hollow_readings(dented(face(stray_mm=0.5), where, 10.0))).tolist() == where


def test_a_wall_that_only_bows_has_no_hollow():
    assert not hollow_readings(face(stray_mm=0.3)).any()


def test_a_nib_makes_no_hollow_of_its_neighbours():
    proud = face(stray_mm=0.3)
    assert not hollow_readings(dented(proud, [30], -12.0)).any()


def test_readings_that_stray_evenly_to_both_sides_are_hardly_ever_hollow():
    """Of a normal distribution 0.13 % lies below three standard deviations (any table of it)."""
    found = [hollow_readings(face(seed, 5.0)).mean() for seed in range(40)]
    assert np.mean(found) < 0.01


@pytest.mark.parametrize("share", [0.2, 0.35])
def test_many_hollows_are_told_from_a_face_that_is_left(share):
    rng = np.random.default_rng(3)
    where = np.sort(rng.choice(COLUMNS * ROWS, round(share * COLUMNS * ROWS), replace=False))
    found = hollow_readings(dented(face(stray_mm=0.4), where.tolist(), 12.0))
    assert found[where].mean() > 0.9
    assert found.mean() <= MOST_SHARE


def test_of_few_readings_nothing_is_told():
    readings = dented(face(), [3], 30.0)
    few = np.arange(readings.x_m.size) >= LEAST_READINGS - 1
    assert not hollow_readings(readings.without(few)).any()


def test_what_the_user_says_wins():
    readings = dented(face(stray_mm=0.5), [3, 17], 10.0)
    at = [(float(readings.x_m[n]), float(readings.z_m[n])) for n in (3, 20)]
    said = (SaidOf(*at[0], "sound"), SaidOf(*at[1], "hollow"), SaidOf(*at[1], "plaster"))
    assert np.flatnonzero(hollow_readings(readings, said)).tolist() == [17, 20]


@examples(40)
@given(st.integers(0, 1000), st.floats(-20, 20), st.floats(-20, 20), st.floats(-50, 50))
def test_a_plane_added_to_all_readings_changes_nothing(seed, turn, lean, out):
    readings = dented(face(seed), [5, 31], 9.0)
    moved = readings.proud_mm + turn * readings.x_m + lean * readings.z_m + out
    there = Readings(readings.x_m, readings.z_m, moved)
    assert (hollow_readings(readings) == hollow_readings(there)).all()
