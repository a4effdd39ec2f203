"""What was learnt, taken into the next job by name, and what was refused."""

from __future__ import annotations

from functools import cache

import pytest
from done_jobs import BACKING, done_job, small_job
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

import mytakeoff as mt
from mytakeoff.formats.formats import HOUSE
from mytakeoff.job.ranges import DENSITY, LABOUR, WASTE
from mytakeoff.learning.learn import Lessons, learn
from mytakeoff.learning.offers import learnt_offers, triangle_about, with_learnt
from mytakeoff.learning.priors import ALL_TASKS
from mytakeoff.learning.words import offer_words
from mytakeoff.ranges.inputs import ranges_of


@cache
def lessons() -> Lessons:
    return learn(
        done_job(nth, denser=1.06, wasted=0.15, slower=1.2, spots=9, strayed=1.5) for nth in (1, 2, 3)
    )


def next_job() -> mt.Job:
    return small_job(7)


def names() -> list[str]:
    return [each.name for each in lessons().learnt]


def test_what_is_refused_stays_as_it_was():
    assert with_learnt(next_job(), lessons(), ()) == next_job()


def test_each_figure_comes_into_the_job():
    job = with_learnt(next_job(), lessons(), names())
    value = {each.name: each.value for each in lessons().learnt}
    before = next_job()
    assert job.system.backing.density_kg_per_l == pytest.approx(value[f"mix density: {BACKING}"], abs=1e-4)
    assert job.waste_share == pytest.approx(value["waste"], abs=1e-4)
    assert job.rates.rails_h_per_m == pytest.approx(0.15 * value["hours: rails"], abs=1e-4)
    assert job.rates.skim_h_per_m2 == pytest.approx(0.3 * value["hours: finish coat"], abs=1e-4)
    assert job.rates.float_h_per_m2 == pytest.approx(0.5 * value["hours: float backing"], abs=1e-4)
    assert job.rates.prime_h_per_m2 == before.rates.prime_h_per_m2
    (spots,) = (name for name in names() if name.startswith("high spots"))
    assert job.walls[0].nibs_per_m2 == pytest.approx(value[spots], abs=1e-4)
    assert job.sureness.strayed_ratio == pytest.approx(value["strayed"], abs=1e-4)
    assert mt.evaluate(job).cost.total > mt.evaluate(before).cost.total


def test_one_accepted_leaves_the_others():
    job = with_learnt(next_job(), lessons(), ["waste"])
    assert job.waste_share != next_job().waste_share
    assert job.system == next_job().system
    assert job.rates == next_job().rates
    assert [each.name for each in job.ranges] == [WASTE]


def test_ranges_are_those_of_the_next_job():
    """Their triangles have the 10 and 90 % of what was learnt."""
    job = with_learnt(next_job(), lessons(), names())
    found = {each.name: each for each in ranges_of(job)}
    density = lessons().named(f"mix density: {BACKING}")
    for name, learnt, middle in (
        (DENSITY, density, density.value),
        (WASTE, lessons().named("waste"), None),
    ):
        own = found[name]
        top = 1.0 if middle else 0.0
        wide = own.high - own.low
        triangle = stats.triang((top - own.low) / wide, own.low, wide)
        for share in (0.1, 0.9):
            at = learnt.after.quantile(share)
            wanted = at / middle if middle else at - learnt.value
            assert triangle.ppf(share) == pytest.approx(wanted, abs=3e-4)
        assert own.source == "your own 3 jobs"
    assert found[LABOUR].low <= 1.0 <= found[LABOUR].high
    assert found[LABOUR].source == "your own 3 jobs"


def test_the_price_reads_them():
    job = with_learnt(next_job(), lessons(), ["waste"])
    drivers = {each.name: each for each in mt.price_drivers(job)}
    marked = {each.name: each for each in mt.price_drivers(next_job())}
    assert drivers[WASTE].range == job.ranges[0]
    assert drivers[WASTE].range != marked[WASTE].range


def test_what_was_accepted_is_offered_no_more():
    job = next_job()
    offered = learnt_offers(job, lessons())
    assert {offer.name for offer in offered} <= set(names())
    assert f"mix density: {BACKING}" in {offer.name for offer in offered}
    for offer in offered:
        assert offer.was != offer.becomes
        said = offer_words(offer, HOUSE)
        assert said.startswith(f"{offer.name}: ")
        assert "over 3 jobs" in said
    after = with_learnt(job, lessons(), [offer.name for offer in offered])
    assert learnt_offers(after, lessons()) == ()


def test_a_job_has_no_use_for_a_mix_that_it_has_not():
    job = next_job()
    other = mt.Mix("our plaster", 1.0, 25, 6, 25, 40)
    job = mt.Job(**{**vars_of(job), "system": mt.System(other)})
    assert f"mix density: {BACKING}" not in {offer.name for offer in learnt_offers(job, lessons())}
    assert with_learnt(job, lessons(), [f"mix density: {BACKING}"]).system == job.system


def vars_of(job: mt.Job):
    return {name: getattr(job, name) for name in job.__dataclass_fields__}


def test_names_that_nothing_was_learnt_of_are_told_together():
    with pytest.raises(mt.TakeoffError) as error:
        with_learnt(next_job(), lessons(), ["waste", "hours: singing", "luck"])
    assert len(error.value.mistakes) == 2


def test_it_is_saved_with_the_job(tmp_path):
    job = with_learnt(next_job(), lessons(), names())
    saved = mt.save_job(job, tmp_path / "job").job
    again = mt.open_job(tmp_path / "job")
    assert again.ranges == job.ranges
    assert again.rates == job.rates
    assert saved == again


@given(st.floats(0.01, 2.0), st.floats(0.01, 2.0))
@examples(60)
def test_ends_of_a_triangle(under, over):
    low, high = triangle_about(-under, 0.0, over)
    triangle = stats.triang(-low / (high - low), low, high - low)
    assert triangle.ppf(0.1) == pytest.approx(-under, abs=1e-6)
    assert triangle.ppf(0.9) == pytest.approx(over, abs=1e-6)


def test_a_wild_job_is_taken_over_as_far_as_a_range_goes():
    """Hours that nobody spends: what they leave open is more than a range may be."""
    wild = learn([done_job(1, slower=1700.0)])
    job = with_learnt(next_job(), wild, [f"hours: {ALL_TASKS}"])
    (labour,) = (each for each in job.ranges if each.name == LABOUR)
    assert 0 < labour.low <= 1 <= labour.high == 100.0
