"""Which jobs are odd: the line against scipy's, the rule against its own words, few jobs never."""

from __future__ import annotations

from statistics import median

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from mytakeoff.jobs.odd import LEAST_JOBS, PricePoint, price_line


def points(mean_mm: list[float], per_m2: list[float]) -> list[PricePoint]:
    return [PricePoint(f"job {nth}", *each) for nth, each in enumerate(zip(mean_mm, per_m2, strict=True))]


def scattered(seed: int, count: int = 30) -> list[PricePoint]:
    """Jobs at 60 + 3 a mm, 5 either way."""
    random = np.random.default_rng(seed)
    mean_mm = np.round(random.uniform(5, 40, count), 1)
    return points(list(mean_mm), list(60 + 3 * mean_mm + random.normal(0, 5, count)))


def test_the_line_is_the_one_that_scipy_draws_through_the_median() -> None:
    some = scattered(1)
    line = price_line(some)
    assert line is not None
    across, up = [each.mean_mm for each in some], [each.per_m2 for each in some]
    theirs = stats.theilslopes(up, across, method="joint")
    assert (line.per_mm, line.at_0) == pytest.approx((theirs[0], theirs[1]))


def test_a_few_jobs_that_are_far_off_are_named_and_do_not_move_the_line() -> None:
    some = scattered(2)
    plain = price_line(some)
    odd = [PricePoint("ten times", 20.0, 1200.0), PricePoint("for nothing", 30.0, 15.0)]
    line = price_line([*some, *odd])
    assert plain is not None
    assert line is not None
    assert [each.name for each in line.odd][:2] == ["ten times", "for nothing"]
    assert line.at(20.0) == pytest.approx(plain.at(20.0), abs=5)


@examples(60)
@given(st.lists(st.tuples(st.floats(0, 60), st.floats(1, 900)), min_size=LEAST_JOBS, max_size=25))
def test_the_rule_is_what_its_words_say(jobs: list[tuple[float, float]]) -> None:
    """Reckoned anew, by the sentence that stands beside the chart."""
    some = points(*(list(each) for each in zip(*jobs, strict=True)))
    line = price_line(some)
    assert line is not None
    far = [abs(each.per_m2 - line.at(each.mean_mm)) for each in some]
    usual = median(far) / 0.6745
    limit = max(3.5 * usual, 0.05 * median(each.per_m2 for each in some))
    sure = [each for each, distance in zip(some, far, strict=True) if distance > 1.001 * limit + 1e-6]
    perhaps = [each for each, distance in zip(some, far, strict=True) if distance > 0.999 * limit - 1e-6]
    assert {each.name for each in sure} <= {each.name for each in line.odd} <= {each.name for each in perhaps}
    below = sum(each.per_m2 < line.at(each.mean_mm) - 1e-6 for each in some)
    above = sum(each.per_m2 > line.at(each.mean_mm) + 1e-6 for each in some)
    assert max(below, above) <= len(some) / 2, "as many above as below"


def test_of_few_jobs_none_is_odd() -> None:
    some = points([10.0 + nth for nth in range(LEAST_JOBS - 1)], [100.0] * (LEAST_JOBS - 2) + [900.0])
    assert price_line(some) is None
    assert price_line([]) is None


def test_jobs_of_one_thickness_have_a_level_line_and_cents_make_none_odd() -> None:
    line = price_line(points([12.0] * 9, [100.0] * 7 + [104.9, 106.0]))
    assert line is not None
    assert (line.per_mm, line.at_0, line.usual) == (0.0, 100.0, 0.0)
    assert [each.per_m2 for each in line.odd] == [106.0]
