"""Packs that the user chooses and things kept in stock: priced as such, or told where nobody sells them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from demo import coarse_demo, demo
from orders import bought_amount

import mytakeoff as mt
from mytakeoff.buying.order import order_as_priced


def test_the_supplier_that_is_chosen_sells_the_product():
    job = coarse_demo()
    chosen = (mt.Chosen("light gypsum backing", "Hill yard (invented)"), mt.Chosen("gypsum skim", holds=20.0))
    result = mt.evaluate(replace(job, buying=replace(job.buying, chosen=chosen)))
    from_whom = {each.need.item: each for each in order_as_priced(result).basket.bought}
    assert from_whom["light gypsum backing"].pack.supplier == "Hill yard (invented)"
    assert from_whom["gypsum skim"].pack.holds == 20
    need = next(need for need in result.needs if need.mix.name == "gypsum skim")
    assert (need.bag_kg, need.bags) == (20.0, from_whom["gypsum skim"].packs)
    line = next(line for line in result.cost.lines if line.priced_as == "gypsum skim")
    assert f"{need.bags} bags of 20 kg" in line.basis


def test_what_the_user_keeps_is_priced_as_used_and_not_ordered():
    job = coarse_demo()
    kept = replace(job, buying=replace(job.buying, in_stock=("grit primer",)))
    bought, used = (mt.evaluate(each) for each in (job, kept))
    [tubs], [litres] = ([n for n in r.cost.lines if n.priced_as == "grit primer"] for r in (bought, used))
    assert (tubs.quantity, tubs.price) == (2, Decimal("23.50"))
    # the figures of the demo's own list: 5 kg for 23.50
    assert (litres.price, litres.unit) == (Decimal("4.7"), "kg")
    assert litres.amount == round(litres.quantity * litres.price, 2)
    order = order_as_priced(used)
    assert "grit primer" not in {each.need.item for each in order.basket.bought}
    assert [each.need.item for each in order.from_stock] == ["grit primer"]
    assert order.total == bought_amount(used) - litres.amount


# -- mistakes ----------------------------------------------------------------------------------------


def test_a_supplier_who_does_not_sell_a_product_is_told_with_those_who_do():
    chosen = (mt.Chosen("primer", "Hill yard (invented)"), mt.Chosen("mesh", None, "roll", 12.0))
    with pytest.raises(mt.TakeoffError) as told:
        replace(demo(), buying=replace(demo().buying, chosen=chosen))
    assert len(told.value.mistakes) == 2
    assert "primer: Hill yard (invented), which packs.csv does not list" in str(told.value)
    assert "choose from primer: tub of 5, Quay merchant (invented)" in str(told.value)
    assert "mesh: roll of 12" in str(told.value)
    assert {mistake.place for mistake in told.value.mistakes} == {"buying, chosen"}


def test_a_choice_without_a_supplier_is_said_in_words_too():
    assert mt.Chosen("primer").words == "primer"
    assert mt.Chosen("primer", "Hill yard", holds=5).words == "primer: pack of 5, Hill yard"


def test_what_is_kept_but_nowhere_listed_is_told():
    with pytest.raises(mt.TakeoffError, match="'grip primer' in stock; what is kept is an item"):
        replace(demo(), buying=replace(demo().buying, in_stock=("grip primer",)))
