"""Litres between two surveys of walls that were plastered in a known way, from instruments set up anew."""

from __future__ import annotations

import numpy as np
import pytest
from second_surveys import Plastered, plastered

import mytakeoff as mt

# Kinds of wall, distance of readings [m], fixed places, whether the instruments were plumb.
CASES = [
    ("floated once and dented", 0.5, 4, False),
    ("smooth plaster", 0.8, 3, False),
    ("brick with joints", 0.5, 4, False),
    ("brick with joints", 0.5, 2, True),
    ("ridged ground", 0.35, 5, False),
    ("flat-topped with gullies", 0.8, 3, True),
]


def within(case: Plastered) -> bool:
    """Whether what was put on in truth lies where it is said to lie."""
    found = mt.change_between(case.before, case.after, case.fixed)
    return bool(abs(found.volume_l - case.litres) <= found.uncertainty_l)


@pytest.mark.parametrize(("family", "step_m", "marks", "plumb"), CASES[:2])
def test_what_was_put_on_lies_where_it_is_said(family, step_m, marks, plumb):
    # 95 of 100 are said: 3 or fewer of 5 come once in 44 rows of five (binomial)
    rng = np.random.default_rng(11)
    assert sum(within(plastered(family, step_m, marks, rng, plumb)) for _ in range(5)) >= 4


@pytest.mark.long
@pytest.mark.parametrize(("family", "step_m", "marks", "plumb"), CASES)
def test_as_often_as_it_is_said(family, step_m, marks, plumb):
    # 95 of 100 are said; fewer than 90 of 100 come once in 35 rows (binomial)
    rng = np.random.default_rng(12)
    held = np.mean([within(plastered(family, step_m, marks, rng, plumb)) for _ in range(100)])
    assert 0.90 <= held <= 1.0


@pytest.mark.parametrize("marks", [3, 6])
def test_no_error_leaves_none(marks):
    """Flat faces, exact readings: any set-up gives back what was put on."""
    wall, rng = mt.Wall("flat", 3.0, 2.4), np.random.default_rng(3)
    x, z = (each.ravel() for each in np.meshgrid([0.0, 1.0, 2.0, 3.0], [0.0, 1.2, 2.4]))
    a, b, c = 87.0, -3.0, 4.5
    mark_x, mark_z, depth = rng.uniform(0, 3, marks), rng.uniform(0, 2.4, marks), rng.normal(0, 20, marks)
    fixed = np.column_stack([mark_x, mark_z, depth, depth + a + b * mark_x + c * mark_z])
    before = mt.Survey.from_readings(wall, x, z, 2.0 * x - 5.0 * z, plumb=False)
    after = mt.Survey.from_readings(wall, x, z, 12.0 + 1.0 * x + a + b * x + c * z, plumb=False)
    found = mt.change_between(before, after, fixed.tolist())
    # 12 mm at the left foot, less 1 mm a metre, 5 mm a metre more upwards: 12 - 1.5 + 6 over 7.2 m²
    assert found.mean_mm == pytest.approx(16.5, abs=1e-6)
    assert found.volume_l == pytest.approx(16.5 * 7.2, abs=1e-5)
    assert found.thickness_mm[0, 0] == pytest.approx(12.0, abs=0.2)
    assert np.abs(found.residual_mm).max() < 1e-9


def test_a_scan_after_readings_by_hand():
    rng = np.random.default_rng(5)
    wall = mt.Wall("scanned after", 2.0, 2.0)
    x, z = (each.ravel() for each in np.meshgrid([0.0, 0.5, 1.0, 1.5, 2.0], [0.0, 0.5, 1.0, 1.5, 2.0]))
    before = mt.Survey.from_readings(wall, x, z, np.round(rng.normal(0, 2, x.size)), plumb=False)
    at = rng.uniform(0, 2, (2, 8000))
    cloud = mt.Survey.from_readings(wall, *at, 15.0 + 40.0 + rng.normal(0, 1.0, 8000), plumb=False)
    assert cloud.layout == "scan"
    fixed = [(0.0, 0.0, 3.0, 43.0), (2.0, 0.0, 8.0, 48.0), (0.0, 2.0, -2.0, 38.0), (2.0, 2.0, 0.0, 40.0)]
    found = mt.change_between(before, cloud, fixed)
    assert found.mean_mm == pytest.approx(15.0, abs=found.uncertainty_mm)
    assert found.uncertainty_mm < 3.0


def test_old_plaster_that_came_off_is_filled_too():
    wall, corner = mt.Wall("hacked off", 2.0, 2.0), [0.0, 2.0, 0.0, 2.0]
    before = mt.Survey.from_readings(wall, corner, [0.0, 0.0, 2.0, 2.0], [0.0] * 4)
    after = mt.Survey.from_readings(wall, corner, [0.0, 0.0, 2.0, 2.0], [10.0] * 4)
    fixed = [(0.0, 0.0, 0.0, 0.0), (2.0, 0.0, 0.0, 0.0)]
    loose = mt.LooseArea(0.5, 0.5, 1.0, 1.0, 20.0)
    plain, off = (mt.change_between(before, after, fixed, loose=each).volume_l for each in ((), (loose,)))
    assert plain == pytest.approx(40.0)
    assert off == pytest.approx(40.0 + 20.0 * 1.25, rel=0.01)  # grown by a quarter, as `grid_surface` has it
