"""Ranges held to invented walls: a small, seeded part of `tests/benchmarks/bench_sure_families.py`."""

from __future__ import annotations

import everyday_walls
import numpy as np
import pytest
from effort import scaled
from family_trials import row_of
from scipy.stats import binom

pytestmark = pytest.mark.slow

SAID, STEP_M = 0.8, 0.35


@pytest.mark.parametrize("name", everyday_walls.FAMILIES)
def test_ranges_hold_what_invented_walls_take_about_as_often_as_they_say(name):
    """8 in 10 are said: at least as many of 10 as 99 in 100 such rows have, were that true (binomial)."""
    trials = max(10, scaled(10))
    rng = np.random.default_rng([7, list(everyday_walls.FAMILIES).index(name)])
    row = row_of(everyday_walls.FAMILIES[name], STEP_M, rng, trials, everyday_walls.BACKGROUNDS[name])
    held = round((1.0 - row.below - row.above) * trials)
    assert held >= binom(trials, SAID).ppf(0.01), f"{held} of {trials}"
    assert np.abs(row.off_mm).mean() < np.abs(row.plain_mm - row.true_mm).mean()
    assert row.width_mm < row.true_mm.mean()  # wide enough for anything would hold everything
