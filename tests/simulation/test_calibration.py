"""Ranges held to dense truth: a small, seeded part of `tests/benchmarks/bench_sure.py`."""

from __future__ import annotations

import numpy as np
import pytest
from dense_truth import FRACTURE, MOUNTAIN, SETTS, filled_trial, is_here, trial

from mytakeoff.ranges import fill_range as fillrange

TRIALS = 16
STEP_M = 0.5


@pytest.mark.parametrize("name", [SETTS, MOUNTAIN, FRACTURE])
def test_ranges_hold_the_true_litres_about_as_often_as_they_say(name):
    """8 in 10 are said; of 16 trials 9 to 16 is what 99 in 100 such rows would have (binomial)."""
    if not is_here(name):
        pytest.skip("the measured surfaces in ../shared/data are not here")
    rng = np.random.default_rng(2)
    done = [trial(name, STEP_M, rng, draws=120) for _ in range(TRIALS)]
    true = np.array([each.true_mm for each in done])
    low, middle, high = np.array([each.band_mm for each in done]).T
    plain = np.array([each.plain.mean_mm for each in done])
    holds = ((low <= true) & (true <= high)).sum()
    assert 9 <= holds <= TRIALS
    assert np.abs(middle - true).mean() < np.abs(plain - true).mean()
    assert (plain < true).mean() > 0.8  # readings miss the proudest point: why a range is needed at all
    assert np.mean(high - low) < 0.6 * true.mean()  # wide enough for anything would hold everything
    said, came = np.array(
        [each.chance(lift, 5.0) for each in done for lift in (0.0, 6.0, 12.0, 20.0)], dtype=float
    ).T
    assert said.mean() == pytest.approx(came.mean(), abs=0.15)
    assert ((said - came) ** 2).mean() < 0.2  # a coin's score is 0.25


def test_ranges_of_straightened_walls_hold_the_true_fill_about_as_often_as_they_say(monkeypatch):
    """Of 9 trials 4 to 9 is what 99 in 100 such rows would have (binomial); with fewer faces than usual."""
    monkeypatch.setattr(fillrange, "FACES", 20)
    rng = np.random.default_rng(3)
    names = [name for name in (SETTS, MOUNTAIN, FRACTURE) if is_here(name)]
    done = [filled_trial(name, STEP_M, rng, draws=60) for name in names for _ in range(9 // len(names))]
    true, plain = np.array([(each.true_mm, each.plain_mm) for each in done]).T
    low, middle, high = np.array([each.band_mm for each in done]).T
    assert 4 <= ((low <= true) & (true <= high)).sum() <= len(done)
    assert np.abs(middle - true).mean() < 0.7 * np.abs(plain - true).mean()
    assert (plain < true).mean() > 0.8  # readings miss hollows as they miss high spots
    assert np.median(high - low) < true.mean()
