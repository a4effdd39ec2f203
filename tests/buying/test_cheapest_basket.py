"""The cheapest way to buy what is needed, against trying every way and against sums done by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from effort import examples
from hand import one_wall
from hypothesis import given
from hypothesis import strategies as st
from orders import need, pack

import mytakeoff as mt
from mytakeoff.buying.basket import cheapest_basket
from mytakeoff.job.packs import Buying, PackList, Supplier
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.rails.cut_list import Piece
from mytakeoff.takeoff.offers import offers_for

NOTHING_ELSE, NO_PRICES = Buying(), PriceList()


def basket_of(needs, rows, buying=NOTHING_ELSE, prices=NO_PRICES):
    job = replace(one_wall()[0], packs=PackList(tuple(rows)), prices=prices, buying=buying)
    return cheapest_basket(job, offers_for(job, needs))


def packs_in(basket):
    return {
        (each.pack.item, float(each.pack.holds), each.pack.supplier): each.packs for each in basket.bought
    }


# -- exhaustive search -------------------------------------------------------------------------------


def cost_by_hand(counts, kinds, suppliers):
    """What an order costs, reckoned from the rows alone."""
    goods = {}
    for count, rows in zip(counts, kinds, strict=True):
        goods[rows[0].supplier] = goods.get(rows[0].supplier, 0) + goods_by_hand(count, rows)
    total = Decimal(0)
    for name, value in goods.items():
        rule = suppliers[name]
        paid = Decimal(rule.delivery_price) + max(value, Decimal(rule.least_order))
        free = rule.free_delivery_from
        total += paid if free is None else min(paid, max(value, Decimal(rule.least_order), Decimal(free)))
    return total


def goods_by_hand(count, rows):
    """What so many of one pack cost."""
    fits = [row for row in rows if count >= row.from_packs] or [rows[0]]
    return count * fits[-1].price


def count_by_hand(each, rows, most):
    """How many of one pack cover a need for the least money."""
    counts = (n for n in range(rows[0].least_packs, most + 1) if n * float(rows[0].holds) >= each.amount)
    return min(counts, key=lambda n: (goods_by_hand(n, rows), n))


def by_trying_all(needs, kinds, suppliers, most):
    """The least cost over every choice of one pack for each need."""
    choices = [[rows for rows in kinds if rows[0].item == each.item] for each in needs]
    return min(
        cost_by_hand(
            [count_by_hand(*pair, most) for pair in zip(needs, taken, strict=True)], taken, suppliers
        )
        for taken in product(*choices)
    )


@st.composite
def small_cases(draw):
    """One or two items in two or three kinds of pack, with breaks, least numbers and two suppliers."""
    items = ["plaster", "primer"][: draw(st.integers(1, 2))]
    kinds = []
    for nth in range(draw(st.integers(len(items), 3))):
        item = items[nth % len(items)]
        supplier, holds = draw(st.sampled_from(["near", "far"])), nth + draw(st.integers(1, 3))
        price, least = draw(st.integers(3, 9)), draw(st.integers(1, 2))
        rows = [pack(item, holds, price, supplier, least=least)]
        if draw(st.booleans()):
            cheaper = price - draw(st.integers(0, 2))
            rows.append(pack(item, holds, cheaper, supplier, from_packs=draw(st.integers(2, 4)), least=least))
        kinds.append(tuple(rows))
    names = {}
    for rows in kinds:  # two kinds that look alike would be one
        names.setdefault(rows[0].kind, rows)
    needs = tuple(need(item, float(draw(st.integers(1, 9)))) for item in items)
    suppliers = {
        name: Supplier(
            name,
            draw(st.integers(0, 6)),
            draw(st.integers(0, 12)),
            draw(st.one_of(st.none(), st.integers(8, 18))),
        )
        for name in ("near", "far")
    }
    return needs, list(names.values()), suppliers


@given(case=small_cases())
@examples(60)
def test_no_order_is_cheaper_than_the_one_found(case):
    needs, kinds, suppliers = case
    rows = [row for tiers in kinds for row in tiers]
    found = basket_of(needs, rows, Buying(suppliers=tuple(suppliers.values())))
    assert found.exact
    assert found.total == by_trying_all(needs, kinds, suppliers, most=12)
    assert found.at_least <= found.total


@given(case=small_cases())
@examples(40)
def test_an_order_meets_each_need_from_one_supplier_and_is_never_under_its_bound(case):
    needs, kinds, suppliers = case
    rows = [row for tiers in kinds for row in tiers]
    found = basket_of(needs, rows, Buying(suppliers=tuple(suppliers.values())))
    assert [each.need for each in sorted(found.bought, key=lambda each: needs.index(each.need))] == [*needs]
    assert all(each.packs * float(each.pack.holds) >= each.need.amount - 1e-9 for each in found.bought)
    assert sum(charge.total for charge in found.charges) == found.total >= found.at_least


# -- by hand -----------------------------------------------------------------------------------------


def test_a_price_break_is_worth_buying_more_for():
    # 9 bags at 10.00 are 90.00; 10 at 8.50 are 85.00
    rows = [pack("plaster", 25, 10), pack("plaster", 25, "8.5", from_packs=10)]
    found = basket_of([need("plaster", 9 * 25.0)], rows)
    assert packs_in(found) == {("plaster", 25.0, ""): 10}
    assert found.total == Decimal("85.0")


def test_a_product_is_bought_in_one_pack():
    # 23 kg: two bags of 20 (24.00) against five of 5 (25.00); a bag of each would be two rows for one product
    found = basket_of([need("skim", 23.0)], [pack("skim", 20, 12), pack("skim", 5, 5)])
    assert packs_in(found) == {("skim", 20.0, ""): 2}


def test_a_dearer_pack_from_the_supplier_who_comes_anyway_wins():
    # primer is 2.00 cheaper far away, but the second delivery costs 15.00
    rows = [pack("plaster", 25, 10, "near"), pack("primer", 5, 20, "near", unit="l"),
            pack("primer", 5, 18, "far", unit="l")]  # fmt: skip
    buying = Buying(suppliers=(Supplier("near", 15.0), Supplier("far", 15.0)))
    found = basket_of([need("plaster", 25.0), need("primer", 5.0, "l")], rows, buying)
    assert {each.pack.supplier for each in found.bought} == {"near"}
    assert found.total == Decimal(45)


def test_more_is_spent_where_free_delivery_pays_for_it():
    # 9 bags are 90.00 with 15.00 for delivery; for 100.00 they come free, with 10.00 of something else
    buying = Buying(suppliers=(Supplier("near", 15.0, free_delivery_from=100.0),))
    found = basket_of([need("plaster", 225.0)], [pack("plaster", 25, 10, "near")], buying)
    assert packs_in(found) == {("plaster", 25.0, "near"): 9}
    assert [charge.parts for charge in found.charges] == [(("extra, to free delivery", Decimal(10)),)]
    assert found.total == Decimal(100)


def test_who_has_no_delivery_of_his_own_delivers_by_the_load():
    # 44 bags of 25 kg are 1100 kg: two loads of up to 1000 kg at 48.00
    prices = PriceList((Price("delivery", "delivery", Decimal(48)),))
    found = basket_of([need("plaster", 1100.0)], [pack("plaster", 25, 10, "near")], prices=prices)
    assert [(charge.loads, charge.delivery) for charge in found.charges] == [(2, Decimal(96))]
    assert found.exact
    assert found.at_least <= found.total == Decimal(536)


def test_a_least_order_is_paid_up_to():
    buying = Buying(suppliers=(Supplier("near", least_order=60.0),))
    found = basket_of([need("plaster", 25.0)], [pack("plaster", 25, 10, "near")], buying)
    assert [charge.parts for charge in found.charges] == [
        (("extra, to the least that is delivered", Decimal(50)),)
    ]
    assert found.total == Decimal(60)


def test_a_least_number_of_packs_is_kept():
    found = basket_of([need("plaster", 25.0)], [pack("plaster", 25, 10, least=4)])
    assert packs_in(found) == {("plaster", 25.0, ""): 4}


def test_of_equally_dear_orders_the_one_with_fewest_packs():
    found = basket_of([need("sand", 40.0)], [pack("sand", 10, 0), pack("sand", 25, 0)])
    assert packs_in(found) == {("sand", 25.0, ""): 2}


def test_lengths_follow_the_cut_list_and_not_the_metres():
    # four rails of 2.0 m are 8 m, but a length of 3 m gives one each: 4 lengths, not 3; of 4.1 m two
    rails = tuple(Piece(f"rail {nth}", 2000) for nth in range(4))
    each = need("rail", 8.0, "m", pieces=rails)
    lengths = [pack("rail", 3, 5, unit="m", name="length"), pack("rail", "4.1", 11, unit="m", name="length")]
    assert packs_in(basket_of([each], lengths[:1])) == {("rail", 3.0, ""): 4}
    assert packs_in(basket_of([each], lengths)) == {("rail", 3.0, ""): 4}  # 20.00 against 22.00
    cheaper = [lengths[0], replace(lengths[1], price=Decimal(9))]
    assert packs_in(basket_of([each], cheaper)) == {("rail", 4.1, ""): 2}


def test_without_packs_the_unit_of_the_price_list_is_the_pack():
    prices = PriceList((Price("plaster", "bag", Decimal(10)), Price("mesh", "m²", Decimal("1.6"))))
    needs = [need("plaster", 60.0, bag_kg=25.0), need("mesh", 7.2, "m²")]
    found = basket_of(needs, [], prices=prices)
    assert packs_in(found) == {("plaster", 1.0, ""): 3, ("mesh", 1.0, ""): 8}
    assert found.total == 3 * Decimal(10) + 8 * Decimal("1.6")


# -- mistakes ----------------------------------------------------------------------------------------


def test_price_breaks_out_of_order_are_all_told_at_once():
    rows = (pack("plaster", 25, 10, from_packs=20), pack("plaster", 25, 9, from_packs=10),
            pack("primer", 5, 10), pack("primer", 5, 12, from_packs=10))  # fmt: skip
    with pytest.raises(mt.TakeoffError) as told:
        PackList(rows)
    said = str(told.value)
    assert len(told.value.mistakes) == 2
    assert "price breaks stand in the order of their numbers" in said
    assert "not dearer when more are bought" in said


def test_packs_in_a_unit_that_cannot_be_compared_and_lengths_too_short_are_told_together():
    rails = (Piece("rail 1", 2500),)
    needs = [need("primer", 3.0, "l"), need("rail", 2.5, "m", pieces=rails)]
    rows = [pack("primer", 5, 20, unit="tub"), pack("rail", 2, 5, unit="m", name="length")]
    with pytest.raises(mt.TakeoffError) as told:
        basket_of(needs, rows)
    assert "counted by the l" in str(told.value)
    assert "rail in lengths of 2 m, rail 1 is 2500 mm" in str(told.value)


@pytest.mark.parametrize(
    "wrong",
    [{"restocking_share": 1.5}, {"carry_kg": 0.0}, {"stack_m2": -1.0}, {"return_trip_price": -1.0}],
)
def test_a_figure_of_buying_out_of_its_range_is_refused(wrong):
    with pytest.raises(mt.TakeoffError, match=r"buying: .*it is"):
        Buying(**wrong)


@pytest.mark.parametrize("wrong", [{"holds": 0}, {"price": -1}, {"from_packs": 0}, {"least": 0}])
def test_a_pack_out_of_its_range_is_refused(wrong):
    with pytest.raises(mt.TakeoffError, match="pack of 'plaster'"):
        pack(**{"item": "plaster", "holds": 25, "price": 10, **wrong})
