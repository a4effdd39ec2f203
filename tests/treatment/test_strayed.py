"""Places that stray further than was said: what lies between the readings spreads so many times as far."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.treatment.left_open import fingerprint


def strayed(ratio: float) -> mt.Job:
    job = coarse_demo()
    wall = job.wall("window wall")
    return of_walls(
        job,
        (wall,),
        compare=replace(job.compare, beside=()),
        sureness=replace(job.sureness, strayed_ratio=ratio),
    )


def more_l(job: mt.Job) -> np.ndarray:
    (wall,) = mt.evaluate(job).walls
    assert wall.left_open is not None
    return np.array(wall.left_open.more_l)


def test_litres_spread_about_their_mean():
    usual, far = more_l(strayed(1.0)), more_l(strayed(2.0))
    assert far - far.mean() == pytest.approx(2.0 * (usual - usual.mean()), abs=0.02 * np.ptp(usual))
    assert far.mean() == pytest.approx(usual.mean(), abs=0.01 * np.ptp(usual))


def test_price_and_ranges_go_with_it():
    usual, far = (job_ranges(mt.evaluate(strayed(ratio))) for ratio in (1.0, 1.5))
    wide, wider = (each.litres.high - each.litres.low for each in (usual, far))
    assert wider == pytest.approx(1.5 * wide, rel=0.02)
    assert far.result.allowance_l > usual.result.allowance_l
    assert far.walls[0].range.drawn.litres.std() == pytest.approx(
        1.5 * usual.walls[0].range.drawn.litres.std()
    )


def test_what_was_worked_out_before_still_fits():
    """No ratio is as if there were none: the fingerprints of jobs that were saved before stay."""
    job = mt.open_job()
    known = {each.fingerprint for each in job.worked_out.walls}
    walls = mt.evaluate(job).walls
    assert {fingerprint(job, wall) for wall in walls} <= known
    far = replace(job, sureness=replace(job.sureness, strayed_ratio=1.5))
    assert not {fingerprint(far, wall) for wall in walls} & known


@pytest.mark.parametrize("ratio", [0.0, 0.1, 6.0, float("nan")])
def test_what_no_wall_does_is_refused(ratio):
    with pytest.raises(mt.TakeoffError, match="strayed"):
        strayed(ratio)
