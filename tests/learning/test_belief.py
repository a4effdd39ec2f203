"""Updates in closed form, held to integrals of prior × likelihood and to scipy's distributions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from mytakeoff.job.ranges import DEFAULT_RANGES
from mytakeoff.learning.belief import RateBelief, RatioBelief
from mytakeoff.learning.priors import ALL_TASKS, Evidence, Prior

VALUES, WEIGHTS = [0.86, 0.83, 0.9], [1.0, 0.4, 0.7]
PRIOR = RatioBelief(math.log(0.8), 2.0, 4.0, 0.05)


def integrated(what, prior=PRIOR, values=VALUES, weights=WEIGHTS) -> float:
    """The mean of something over prior × likelihood, on a grid in μ and ln σ."""
    logs, by = np.log(values), np.array(weights)
    mu = np.linspace(-0.55, 0.15, 1401)[:, None]
    ln_sigma = np.linspace(math.log(0.004), math.log(1.2), 901)[None, :]
    sigma = np.exp(ln_sigma)
    of_sigma2 = stats.invgamma(prior.freedom / 2, scale=prior.freedom * prior.spread**2 / 2)
    weight = of_sigma2.logpdf(sigma**2) + np.log(2 * sigma**2)  # dσ² = 2σ² d ln σ
    weight = weight + stats.norm.logpdf(mu, prior.log_mean, sigma / math.sqrt(prior.strength))
    for log, each in zip(logs, by, strict=True):
        weight = weight + stats.norm.logpdf(log, mu, sigma / math.sqrt(each))
    weight = np.exp(weight - weight.max())

    def over(values):
        inner = integrate.simpson(values, x=ln_sigma[0], axis=1)
        return float(integrate.simpson(inner, x=mu[:, 0]))

    return over(weight * what(mu, sigma)) / over(weight)


AFTER = PRIOR.after(VALUES, WEIGHTS)


def test_the_mean_is_that_of_prior_times_likelihood():
    assert AFTER.log_mean == pytest.approx(integrated(lambda mu, sigma: mu + 0 * sigma), abs=1e-6)


def test_the_spread_is_that_of_prior_times_likelihood():
    """Of the inverse-χ² the mean of σ² is νs²/(ν − 2)."""
    mean = AFTER.freedom * AFTER.spread**2 / (AFTER.freedom - 2)
    assert mean == pytest.approx(integrated(lambda mu, sigma: sigma**2 + 0 * mu), rel=1e-4)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_the_next_job_is_that_of_prior_times_likelihood(share):
    log = math.log(AFTER.quantile(share))
    assert integrated(lambda mu, sigma: stats.norm.cdf(log, mu, sigma)) == pytest.approx(share, abs=2e-4)


@pytest.mark.parametrize("belief", [PRIOR, AFTER, RatioBelief(math.log(1.1), 2.0, 4.0, 0.03, 1.0)])
def test_the_next_job_is_students_t(belief):
    t = stats.t(belief.freedom, belief.log_mean, belief.spread * math.sqrt(1 + 1 / belief.strength))
    for share in (0.05, 0.1, 0.5, 0.9):
        assert belief.quantile(share) == pytest.approx(max(math.exp(t.ppf(share)) - belief.plus, 0))
    at = np.array([0.05, 0.1, 0.7, 0.8, 0.95])
    assert belief.density(at) == pytest.approx(t.pdf(np.log(at + belief.plus)) / (at + belief.plus))


@pytest.mark.parametrize("belief", [PRIOR, AFTER, RateBelief(6.0, 40.0)])
def test_densities_hold_all_of_it(belief):
    low, high = belief.quantile(0.1), belief.quantile(0.9)
    inside = integrate.quad(lambda x: float(belief.density(np.array([x]))[0]), low, high)[0]
    assert inside == pytest.approx(0.8, abs=1e-6)


def test_a_rate_is_that_of_gamma_times_poisson():
    """Six on 40 m² before, then 10 on 20 m² and 3 on 15 m²."""
    found, areas = [10, 3], [20.0, 15.0]

    def weight(rate):
        likelihood = np.prod([stats.poisson.pmf(k, rate * m2) for k, m2 in zip(found, areas, strict=True)])
        return stats.gamma.pdf(rate, 6.0, scale=1 / 40.0) * likelihood

    after = RateBelief(6.0, 40.0).after(found, areas)
    whole = integrate.quad(weight, 0, 3, epsabs=0)[0]
    mean = integrate.quad(lambda rate: rate * weight(rate), 0, 3, epsabs=0)[0] / whole
    assert after.mean == pytest.approx(mean) == pytest.approx(19 / 75)
    for share in (0.1, 0.5, 0.9):
        below = integrate.quad(weight, 0, after.quantile(share), epsabs=0)[0] / whole
        assert below == pytest.approx(share, abs=1e-6)
        assert after.quantile(share) == pytest.approx(stats.gamma.ppf(share, 19, scale=1 / 75))
    at = np.array([0.1, 0.25, 0.4])
    assert after.density(at) == pytest.approx(stats.gamma.pdf(at, 19, scale=1 / 75))


jobs = st.lists(st.tuples(st.floats(0.3, 3.0), st.floats(0.05, 1.0)), min_size=1, max_size=6)


@given(jobs, jobs)
@examples(60)
def test_jobs_seen_one_after_the_other_are_jobs_seen_together(first, second):
    together, again = first + second, second + first
    after = [
        PRIOR.after(*zip(*first, strict=True)).after(*zip(*second, strict=True)),
        PRIOR.after(*zip(*again, strict=True)),
    ]
    once = PRIOR.after(*zip(*together, strict=True))
    for each in after:
        assert (each.log_mean, each.strength, each.freedom, each.spread) == pytest.approx(
            (once.log_mean, once.strength, once.freedom, once.spread)
        )


@given(jobs)
@examples(60)
def test_it_lies_between_the_default_and_what_was_seen(seen):
    values, weights = zip(*seen, strict=True)
    after = PRIOR.after(values, weights)
    ends = [PRIOR.mean, *values]
    assert min(ends) - 1e-9 <= after.mean <= max(ends) + 1e-9


def test_few_jobs_move_little_and_many_move_all_the_way():
    moved = [
        math.log(PRIOR.after([0.9] * n, [1.0] * n).mean / 0.8) / math.log(0.9 / 0.8) for n in (1, 3, 200)
    ]
    assert moved == pytest.approx([1 / 3, 3 / 5, 200 / 202])


def test_who_is_less_sure_moves_less():
    sure, unsure = (Evidence("a", 0.9, uncertainty_share=off).weight(0.03) for off in (0.0, 0.06))
    assert (sure, unsure) == pytest.approx((1.0, 0.2))
    assert 0.8 < PRIOR.after([0.9], [unsure]).mean < PRIOR.after([0.9], [sure]).mean


@pytest.mark.parametrize(
    "prior", [Prior("mix density", "a", 1.0), Prior("hours", ALL_TASKS, 1.0), Prior("waste", "", 0.1)]
)
def test_before_any_job_it_is_about_as_wide_as_the_marked_range(prior):
    """From 10 to 90 % of the triangle that the price's own range is drawn from: within a third."""
    name = {"mix density": "mix density", "hours": "labour rate", "waste": "waste"}[prior.kind]
    (marked,) = (each for each in DEFAULT_RANGES if each.name == name)
    middle = 0.0 if name == "waste" else 1.0
    wide = marked.high - marked.low
    triangle = stats.triang((middle - marked.low) / wide, marked.low, wide)
    belief = prior.belief()
    own = belief.quantile(0.9) - belief.quantile(0.1)
    assert own == pytest.approx(triangle.ppf(0.9) - triangle.ppf(0.1), rel=1 / 3)
    assert belief.mean == pytest.approx(prior.default)
