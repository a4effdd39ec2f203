"""A changed job at the signed rates: what is done follows the job, what it costs follows what was signed."""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal

import pytest
from demo import coarse_demo
from varied import TOWER, changed, dearer, signed_job, thicker, varied, with_tower

import mytakeoff as mt
from mytakeoff.io.signed.standing import variation_against
from mytakeoff.job.edits import with_mix, with_wall_name
from mytakeoff.variations.signed_rates import RATES, SAID, WORK, at_signed_rates
from mytakeoff.variations.variation import check_changed, check_signable


def test_every_field_of_a_job_is_a_rate_or_work_or_says_nothing_of_the_price():
    names = [*RATES, *WORK, *SAID]
    assert sorted(names) == sorted(field.name for field in fields(mt.Job))


def test_other_prices_rates_and_waste_cost_nothing_and_are_told():
    job = coarse_demo()
    now = dearer(job)
    assert mt.evaluate(now).cost.total > mt.evaluate(job).cost.total + 1000
    made = varied(now)
    assert at_signed_rates(job, now) == job
    assert (made.net, made.tax, made.gross) == (0, 0, 0)
    assert made.told == made.lines == ()
    assert {"waste 10 % → 30 %", "price of plasterer 34.00 EUR → 69.00 EUR"} <= set(made.not_counted)
    check_changed(made)
    with pytest.raises(mt.TakeoffError, match="only prices and rates have changed since the job was signed"):
        check_signable(made)


def test_work_costs_the_same_whatever_prices_have_become():
    now = thicker(coarse_demo())
    assert varied(dearer(now)).gross == varied(now).gross != 0


def test_without_a_change_there_is_no_variation():
    with pytest.raises(mt.TakeoffError, match="nothing has changed since the job was signed on 20 Feb 2027"):
        check_changed(varied(coarse_demo()))


@pytest.mark.parametrize(
    "said",
    [
        {"title": "Another name", "client": "Mooring", "place": "Quay 2"},
        {"locale": "de_AT", "feet_and_inches": True, "small_item_amount": 0.0},
        {"state": "done", "built_year": 1950, "notes": ()},
        {"scenarios": (mt.Scenario("dry", (mt.Edit("waste_share", 0.2),)),)},
    ],
    ids=["names", "how it is shown", "how far it is", "a scenario"],
)
def test_what_says_nothing_of_the_price_is_no_change(said):
    made = varied(replace(coarse_demo(), **said))
    assert (made.told, made.not_counted, made.gross) == ((), (), 0)


def test_what_had_no_signed_price_has_todays_and_is_marked():
    made = changed("no price was signed")
    [line] = made.todays
    assert (line.line.priced_as, line.line.price) == (TOWER, Decimal("172.0"))  # dearer by then
    assert line.was is None
    plasterer = next(each for each in made.priced if each.line.priced_as == "plasterer")
    assert not plasterer.todays
    assert plasterer.line.price == coarse_demo().prices.of("plasterer").price


def test_a_pack_that_is_listed_since_changes_no_signed_price():
    job = coarse_demo()
    pack = mt.Pack("plasterer", Decimal(1), "h", Decimal(1))
    assert at_signed_rates(job, replace(job, packs=mt.PackList((pack, *job.packs.rows)))) == job


def test_rails_in_other_lengths_and_other_sellers_are_how_it_is_bought():
    job = coarse_demo()
    now = replace(job, rails=replace(job.rails, stock_m=2.5), buying=mt.Buying(in_stock=("primer",)))
    assert at_signed_rates(job, now) == job


def test_a_mix_keeps_the_figures_that_it_had():
    job = coarse_demo()
    name = job.system.backing.name
    now = thicker(with_mix(job, name, density_kg_per_l=1.2, bag_kg=30))
    assert at_signed_rates(job, now).system == job.system
    assert varied(now).gross == varied(thicker(job)).gross


def test_what_is_allowed_for_unread_spots_stays_as_signed_and_readings_count():
    job = coarse_demo()
    walls = tuple(replace(wall, missed_high_spot_mm=20.0) for wall in job.walls)
    assert at_signed_rates(job, replace(job, walls=walls)) == job
    assert "1 reading added" in "".join(varied(_read_once_more(job)).told)


def _read_once_more(job: mt.Job) -> mt.Job:
    wall = job.wall("door wall")
    survey = wall.survey
    again = mt.Survey.from_readings(
        survey.wall, [*survey.x_m, 1.23], [*survey.z_m, 1.23], [*survey.proud_mm, -9.0], plumb=survey.plumb
    )
    return replace(job, walls=tuple(replace(w, survey=again) if w is wall else w for w in job.walls))


def test_another_currency_is_refused():
    with pytest.raises(mt.TakeoffError, match="the job is in CHF, and was signed in EUR"):
        varied(replace(coarse_demo(), currency="CHF"))


def test_a_version_that_comes_to_another_total_is_told():
    signed = replace(signed_job(coarse_demo()), total=Decimal("6000.00"))
    with pytest.raises(mt.TakeoffError, match=r"6.000\.00 EUR were signed"):
        variation_against(signed, thicker(coarse_demo()))


def test_a_wall_that_has_another_name_is_the_same_wall():
    made = varied(with_wall_name(coarse_demo(), "door wall", "stair wall"))
    assert (made.told, made.gross) == ((), 0)
    made = varied(thicker(with_wall_name(coarse_demo(), "door wall", "stair wall")))
    assert made.gross == varied(thicker(coarse_demo())).gross
    assert "door wall" in [line.item for line in made.lines]  # as on the page that was signed


def test_the_next_variation_is_reckoned_from_the_one_before():
    first = varied(thicker(coarse_demo()))
    second = varied(with_tower(thicker(coarse_demo())), first.changed.job)
    both = varied(with_tower(thicker(coarse_demo())))
    assert first.gross + second.gross == both.gross
