"""Lean and turn of a finished wall, and their uncertainty: by ordinary least squares and by Monte Carlo."""

from __future__ import annotations

import finished_walls
import numpy as np
import pytest
from finished_walls import WALL

import mytakeoff as mt
from mytakeoff.acceptance.read_stance import read_stance


def leaning(x, z):
    return 4.0 * z - 1.5 * x


def test_a_plane_is_found_exactly():
    survey = finished_walls.read(leaning, 0.5)
    found = read_stance(survey, mt.grid_surface(survey, 0.05), 0.6)
    assert (found.lean_mm_per_m, found.turn_mm_per_m) == pytest.approx((4.0, -1.5), abs=1e-6)


def test_its_uncertainty_is_that_of_a_regression():
    survey = finished_walls.read(leaning, 0.5, sd_mm=1.0, seed=3)
    found = read_stance(survey, mt.grid_surface(survey, 0.05), 0.1)
    terms = np.column_stack([survey.x_m, survey.z_m, np.ones(survey.x_m.size)])
    left, rank = np.linalg.lstsq(terms, survey.proud_mm, rcond=None)[1:3]
    covariance = left[0] / (survey.x_m.size - rank) * np.linalg.inv(terms.T @ terms)
    assert found.turn_sd_mm_per_m == pytest.approx(covariance[0, 0] ** 0.5)
    assert found.lean_sd_mm_per_m == pytest.approx(covariance[1, 1] ** 0.5)


def test_readings_off_at_random_scatter_the_lean_by_it():
    leans, said = [], 0.0
    for seed in range(150):
        survey = finished_walls.read(leaning, 0.5, sd_mm=0.6, seed=seed)
        found = read_stance(survey, mt.grid_surface(survey, 0.1), 0.6)
        leans.append(found.lean_mm_per_m)
        said = max(said, found.lean_sd_mm_per_m)
    assert np.mean(leans) == pytest.approx(4.0, abs=0.05)
    # the plane is that of equal cells, in which readings at the rim weigh otherwise than in a regression
    assert 0.8 * np.std(leans) < said < 1.6 * np.std(leans)


@pytest.mark.parametrize(("more", "less"), [(0.25, 0.5), (0.5, 1.0)])
def test_more_readings_tell_the_lean_better(more, less):
    sds = []
    for step in (more, less):
        survey = finished_walls.read(leaning, step)
        sds.append(read_stance(survey, mt.grid_surface(survey, 0.1), 0.6).lean_sd_mm_per_m)
    assert sds[0] < 0.75 * sds[1]


def test_three_readings_tell_a_lean_and_not_how_sure_it_is():
    survey = mt.Survey.from_readings(WALL, [0.1, 3.9, 0.1], [0.1, 0.1, 2.4], [0.0, 0.0, 5.0])
    found = read_stance(survey, mt.grid_surface(survey, 0.1), 0.6)
    assert np.isnan([found.lean_sd_mm_per_m, found.turn_sd_mm_per_m]).all()
