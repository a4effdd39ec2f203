"""One set of figures: what a job is priced with is what its order, its sheets and its bags say."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from demo import coarse_demo
from effort import examples
from example_job import example_folder
from hand import SITE_MIX, one_wall, result_of
from hypothesis import given
from hypothesis import strategies as st
from orders import bought_amount, pack

import mytakeoff as mt
from mytakeoff.buying.order import cheapest_order, order_as_priced
from mytakeoff.cost.cost import job_cost
from mytakeoff.job.edits import with_price
from mytakeoff.job.packs import Buying, PackList, Supplier
from mytakeoff.resources import demo_folder
from mytakeoff.takeoff.takeoff import takeoff_lines


def test_without_packs_the_order_is_what_the_price_list_has():
    job, wall = one_wall(mm=17.0, allowance_mm=4.0, sockets=2)
    result = result_of(job, wall)
    order, mix = order_as_priced(result), result.needs[0]
    packs = {each.need.item: each.packs for each in order.basket.bought}
    assert packs[mix.mix.name] == mix.bags == result.bags
    assert packs["rail fixing"] == 36
    assert packs["rail"] == 4  # lengths of 3 m, each for one rail of 2.48 m
    assert not {"plasterer", "delivery", "rail dab"} & set(packs)
    assert order.total == bought_amount(result) == cheapest_order(result).total
    [need] = [need for need in order.needs if need.is_mix]
    assert need.amount == pytest.approx(mix.dry_kg)
    assert need.likely == pytest.approx(mix.litres * 0.8 * 1.1)


def test_a_site_mix_is_bought_as_its_parts():
    # bags of cement and lime as the takeoff counts them, sold by the kilogram or by the bag alike
    job, wall = one_wall(mm=20.0, system=mt.System(replace(SITE_MIX, bag_kg=40.0)), allowance_mm=4.0)
    bags = {q.item: q.quantity for q in takeoff_lines(job, [wall]).quantities if q.unit == "bag"}
    packs = PackList((pack("cement", 40, 7), pack("lime", 1, 9, unit="bag"), pack("sand", 800, 41)))
    result = result_of(replace(job, packs=packs), wall)
    bought = {each.pack.item: each.packs for each in order_as_priced(result).basket.bought}
    assert set(bags) == {"cement", "lime"}
    assert {item: bought[item] for item in bags} == bags
    assert bought["sand"] == 1
    assert "cement-lime 1:1:6" not in bought


def test_rails_are_cut_from_the_same_lengths_on_the_sheet_and_in_the_order():
    result = mt.evaluate(coarse_demo())
    taken = mt.evaluate(mt.take_order(result.job, cheapest_order(result)))
    for each in (result, taken):
        [rail] = [offer for offer in order_as_priced(each).basket.bought if offer.need.item == "rail"]
        cuts = mt.set_out(each).cuts
        assert (1000 * rail.holds, rail.packs) == (cuts.stock_mm, cuts.count)
    assert mt.set_out(result).cuts.stock_mm == 3000
    assert mt.set_out(taken).cuts.stock_mm == 2700  # 2.30 a length against 2.55


def test_rails_longer_than_a_length_are_priced_as_joined():
    # 3.18 m from lengths of 3 m: five whole ones and five pieces of 0.18 m out of a sixth
    job, wall = one_wall(wall=mt.Wall("A", 3.0, 3.2))
    [rail] = [o for o in order_as_priced(result_of(job, wall)).basket.bought if o.need.item == "rail"]
    assert rail.packs == len(wall.rails) + 1


def test_rails_of_a_length_that_nobody_lists_are_bought_by_the_price_list():
    job = coarse_demo()
    result = mt.evaluate(replace(job, rails=replace(job.rails, stock_m=2.75)))
    [rail] = [line for line in result.cost.lines if line.priced_as == "rail"]
    assert (rail.unit, rail.price) == ("length of 2.75 m", Decimal("2.475"))  # 0.90 a metre
    assert "by the price list, for packs.csv lists no length of 2.75 m" in rail.basis
    dearer = mt.evaluate(with_price(result.job, "rail", Decimal("2.60")))  # as the table has it: a length
    assert [line.price for line in dearer.cost.lines if line.priced_as == "rail"] == [Decimal("2.6")]
    assert mt.set_out(result).cuts.count == rail.quantity


@pytest.mark.parametrize("folder", [demo_folder(), example_folder()], ids=["demo", "starting job"])
def test_the_rows_of_an_order_are_the_lines_of_the_price(folder):
    result = mt.evaluate(replace(mt.open_job(folder), cell_m=0.1))
    priced, found = order_as_priced(result), cheapest_order(result)
    for order in (priced, found):
        frame = order.to_frame()
        assert sum(frame["amount"]) == order.total
        assert frame["supplier"].tolist() == sorted(frame["supplier"])
        assert frame["item"].is_unique or len(order.basket.charges) > 1
        numbers = frame[["needed", "left_over"]].dropna()
        assert ((numbers >= 0) & (numbers < 1e6)).all(axis=None)  # which a spreadsheet can add
        assert set(frame["needed_unit"]) <= {"kg", "l", "m", "m²", "piece", ""}
        assert len({each.need.item for each in order.basket.bought}) == len(order.basket.bought)
    assert priced.total == bought_amount(result)
    assert found.basket.exact
    assert found.basket.at_least <= found.total <= priced.total
    taken = mt.evaluate(mt.take_order(result.job, found))
    assert order_as_priced(taken).total == bought_amount(taken) == found.total
    assert result.cost.subtotal - taken.cost.subtotal == found.saves_over(priced)


def test_sand_that_the_user_adds_is_bought_where_no_mix_takes_any():
    job, wall = one_wall(extras=(mt.Extra("sand", 290.0),), packs=PackList((pack("sand", 25, 5),)))
    (sand,) = (each for each in takeoff_lines(job, [wall]).needs if each.item == "sand")
    assert (sand.amount, sand.likely, sand.unit) == (290.0, 290.0, "kg")
    (line,) = (line for line in job_cost(job, [wall]).lines if line.item == "sand")
    assert (line.quantity, line.amount) == (12, 60)


# -- price, order and sheets say the same ------------------------------------------------------------

ITEMS = {"light gypsum backing": "kg", "primer": "l", "rail fixing": "piece", "mesh": "m²", "rail": "m"}


@st.composite
def shops(draw):
    """Packs of some of what a wall takes, from two suppliers with rules of their own or without."""
    rows = {}
    for item, unit in ITEMS.items():
        sizes = {"kg": [10, 20, 25], "l": [1, 5], "piece": [50, 100], "m²": [10, 25], "m": [2.7, 3, 4]}
        for _ in range(draw(st.integers(0, 3))):
            holds = draw(st.sampled_from(sizes[unit]))
            price, least = draw(st.integers(1, 40)), draw(st.integers(1, 3))
            supplier, name = draw(st.sampled_from(["near", "far", ""])), "length" if unit == "m" else "pack"
            row = pack(item, holds, price, supplier, least=least, unit=unit, name=name)
            rows.setdefault(row.kind, row)
    prices = st.integers(0, 40).map(float)
    suppliers = [
        Supplier(name, draw(prices), draw(prices), draw(st.one_of(st.none(), prices)))
        for name in draw(st.sampled_from([(), ("near",), ("near", "far")]))
    ]
    return PackList(tuple(rows.values())), Buying(suppliers=tuple(suppliers))


@given(
    shop=shops(), mm=st.floats(8, 40), allowance_mm=st.floats(0, 5), waste=st.floats(0, 0.3),
    slack=st.floats(0, 0.5), background=st.sampled_from(["brick", "sound old plaster"]),
)  # fmt: skip
@examples(60)
def test_price_order_and_bags_say_the_same_before_and_after_an_order_is_taken(
    shop, mm, allowance_mm, waste, slack, background
):
    packs, buying = shop
    job, wall = one_wall(mm=mm, allowance_mm=allowance_mm, waste_share=waste, bag_slack_share=slack,
                         background=background, packs=packs, buying=buying)  # fmt: skip
    result = result_of(job, wall)
    proposed = cheapest_order(result)
    assert proposed.total <= order_as_priced(result).total
    taken = result_of(mt.take_order(job, proposed), wall)
    assert order_as_priced(taken).total == proposed.total
    for each in (result, taken):
        order, [mix] = order_as_priced(each), each.needs
        assert sum(order.to_frame()["amount"]) == order.total == bought_amount(each)
        [offer] = [offer for offer in order.basket.bought if offer.need.is_mix]
        [line] = [line for line in each.cost.lines if line.priced_as == mix.mix.name]
        assert each.bags == mix.bags == offer.packs == line.quantity
        assert mix.bags * mix.bag_kg >= mix.dry_kg - min(slack * mix.bag_kg, mix.waste_kg) - 1e-3
