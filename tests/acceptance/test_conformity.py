"""Pass and fail by JCGM 106:2012: its worked examples, its table of guard bands, and what no rule may do."""

from __future__ import annotations

import math

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

import mytakeoff as mt
from mytakeoff.acceptance.conformity import GUARDED, RULES, SIMPLE, conformance_probability

INF = math.inf
# JCGM 106:2012, examples of clauses 7.3 and 7.4, from memory
EXAMPLES = [
    # burst strength of metal containers, kPa: 490 at least
    (509.7, 8.6, 490.0, INF, 0.99),
    # breakdown voltage of a Zener diode, V: -5.40 at most
    (-5.47, 0.05, -INF, -5.40, 0.92),
    # kinematic viscosity of a motor oil, mm²/s: 12.5 to 16.3
    (13.6, 1.8, 12.5, 16.3, 0.66),
]
# JCGM 106:2012, table 1, from memory: conformance probability and (limit - y) / u
TABLE_1 = [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]
values = st.floats(-50.0, 50.0)
uncertainties = st.floats(0.01, 20.0)
limits = st.floats(0.1, 50.0)
sides = st.sampled_from(["at most", "at least", "either way"])


@pytest.mark.parametrize(("value", "sd", "low", "high", "published"), EXAMPLES)
def test_conformance_probabilities_of_the_guide(value, sd, low, high, published):
    assert conformance_probability(value, sd, low, high) == pytest.approx(published, abs=0.005)


@pytest.mark.parametrize(("probability", "away"), TABLE_1)
def test_the_guide_s_table_for_one_limit(probability, away):
    # the table has two decimals of the distance, so the probability is off by the density times half of one
    off = 0.005 * stats.norm.pdf(away)
    assert conformance_probability(-away, 1.0, -INF, 0.0) == pytest.approx(probability, abs=off + 1e-9)


def test_a_guard_band_of_the_expanded_uncertainty_leaves_2_3_per_cent():
    # JCGM 106:2012, 8.3.2: w = U = 2 u, from memory
    assert 1 - mt.AcceptanceRule().least_chance == pytest.approx(0.023, abs=0.0005)


def test_the_guide_s_speed_check_rejects_from_107_km_h_on():
    # JCGM 106:2012, example of 8.3.3, from memory: 100 km/h, 2 % standard uncertainty, 99.9 % sure
    rule = mt.AcceptanceRule(coverage_factor=3.09)
    outcomes = {speed: rule.outcome(100.0 - speed, 0.02 * speed) for speed in (99, 101, 106, 107)}
    assert outcomes[106] == "too close to call"
    assert outcomes[107] == "fail"


def law(judged: mt.Judged):
    return stats.norm(judged.measured, judged.uncertainty or 1e-12)


@given(values, values, limits, uncertainties, sides)
@examples(200)
def test_a_chance_is_that_of_the_normal_law(promised, measured, limit, sd, side):
    judged = mt.Judged("gap", "mm", promised, limit, measured, sd, side)
    low = -INF if side == "at most" else promised - limit
    high = INF if side == "at least" else promised + limit
    assert judged.chance == pytest.approx(law(judged).cdf(high) - law(judged).cdf(low), abs=1e-9)
    assert 0 <= judged.risk_of_passing <= 1
    assert judged.risk_of_passing == pytest.approx(1 - judged.risk_of_failing)


@given(values, limits, uncertainties, sides)
@examples(200)
def test_whatever_passes_conforms_as_surely_as_the_rule_says(measured, limit, sd, side):
    judged = mt.Judged("gap", "mm", 0.0, limit, measured, sd, side)
    if judged.outcome == "pass":
        both = 1 - judged.rule.least_chance
        # of two limits the second may take as much again
        assert judged.risk_of_passing <= both * (2 if side == "either way" else 1) + 1e-9
    if judged.outcome == "fail":
        assert judged.risk_of_failing <= 1 - judged.rule.least_chance + 1e-9


@given(limits, uncertainties, sides, values)
@examples(100)
def test_more_to_spare_never_makes_it_worse(limit, sd, side, measured):
    order = ["fail", "too close to call", "pass"]
    for rule in map(mt.AcceptanceRule, RULES):
        worse = mt.Judged("gap", "mm", 0.0, limit, measured, sd, side, rule)
        better = mt.Judged("gap", "mm", 0.0, limit + 1.0, measured, sd, side, rule)
        assert order.index(worse.outcome) <= order.index(better.outcome)


@given(limits, uncertainties, values)
@examples(100)
def test_simple_acceptance_takes_what_was_measured_as_it_is(limit, sd, measured):
    judged = mt.Judged("gap", "mm", 0.0, limit, measured, sd, "at most", mt.AcceptanceRule(SIMPLE))
    assert judged.outcome == ("pass" if measured <= limit else "fail")


def test_what_lies_between_readings_can_hold_back_a_pass_and_excuse_a_misread_place():
    def outcome(measured, chance):
        return mt.Judged("gap", "mm", 0.0, 3.0, measured, 0.5, chance_between=chance).outcome

    assert [outcome(1.0, chance) for chance in (None, 0.99, 0.9)] == ["pass", "pass", "too close to call"]
    assert [outcome(5.0, chance) for chance in (None, 0.05, 0.2)] == ["fail", "fail", "too close to call"]
    assert {outcome(3.2, chance) for chance in (None, 0.0, 1.0)} == {"too close to call"}


def test_both_risks_are_those_of_the_less_favourable_chance():
    judged = mt.Judged("gap", "mm", 0.0, 3.0, 1.0, 0.5, chance_between=0.98)
    assert judged.risk_of_passing == pytest.approx(0.02)
    assert judged.risk_of_failing == pytest.approx(1.0, abs=1e-4)
    held = mt.Judged("gap", "mm", 0.0, 3.0, 1.0, 0.5, chance_between=0.9)
    assert held.left_between
    assert not judged.left_between


@pytest.mark.parametrize(
    "wrong",
    [
        {"limit": 0.0}, {"limit": -3.0}, {"uncertainty": math.nan}, {"uncertainty": -1.0},
        {"measured": math.nan}, {"promised": math.inf}, {"side": "about"},
    ],
)  # fmt: skip
def test_what_cannot_be_judged_is_refused_with_value_rule_remedy_and_place(wrong):
    right = {"what": "gap", "unit": "mm", "promised": 0.0, "limit": 3.0, "measured": 1.0, "uncertainty": 0.5}
    with pytest.raises(mt.TakeoffError) as refused:
        mt.Judged(**{**right, **wrong})
    [mistake] = refused.value.mistakes
    assert all((mistake.found, mistake.rule, mistake.remedy))
    assert mistake.place == "gap"


@pytest.mark.parametrize("wrong", [{"name": "by eye"}, {"coverage_factor": 0.0}, {"guard_share": math.nan}])
def test_a_rule_that_nobody_knows_is_refused(wrong):
    with pytest.raises(mt.TakeoffError):
        mt.AcceptanceRule(**{"name": GUARDED, **wrong})


def test_an_exact_value_is_judged_as_it_is():
    judged = [mt.Judged("gap", "mm", 0.0, 3.0, mm, 0.0) for mm in (3.0, np.nextafter(3.0, 4.0), 3.1)]
    assert [each.outcome for each in judged] == ["pass", "pass", "fail"]
    assert [each.chance for each in judged] == [1.0, 0.0, 0.0]
