"""The priced table: every line, what it says of itself, and that both views add up to one total."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from effort import examples
from hand import SITE_MIX, entry_of, flat, job_of, one_wall, prices_of
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff import (
    Extra,
    LooseArea,
    Margins,
    Opening,
    Price,
    PriceList,
    RailChoice,
    Room,
    System,
    TakeoffError,
    Wall,
)
from mytakeoff.cost.cost import COLUMNS, job_cost, price_lines
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM, STANDARD_EXCLUSIONS, UNITS
from mytakeoff.job.mixing import whole_bags
from mytakeoff.labour.hours import labour_hours
from mytakeoff.measure.line import Quantity
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.units import share_out

D = Decimal
WINDOW = Opening("window", 1.0, 0.9, 1.2, 1.4, reveal_mm=180)
FULL = System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0)
money = st.decimals(0, 2000, places=3, allow_nan=False, allow_infinity=False)
share = st.floats(0, 1, allow_nan=False)


def full_job(**details):
    """Everything at once on one wall: a window, a loose area, rails, beads, sockets."""
    wall = Wall("A", 4.0, 2.5, (WINDOW,))
    loose = (LooseArea(0.2, 0.2, 0.6, 0.5, 20.0),)
    more = {"angle_bead_m": 2.5, "stop_bead_m": 1.0, "sockets": 2, "radiators": 1, "allowance_mm": 4.0}
    more |= {"system": FULL, "loose": loose, "background": "sound old plaster", "cut_mm": 3.0, **details}
    return one_wall(mm=20.0, wall=wall, **more)


def of(cost_or_takeoff, item):
    lines = cost_or_takeoff.lines if hasattr(cost_or_takeoff, "lines") else cost_or_takeoff.quantities
    return [
        line
        for line in lines
        if item in (getattr(line, "priced_as", ""), getattr(line, "label", ""), line.item)
    ]


def amount_of(takeoff, item):
    return sum(float(line.quantity) for line in of(takeoff, item))


def test_every_line_by_hand():
    job, wall = full_job()
    takeoff = takeoff_lines(job, [wall])
    face_m2 = 4.0 * 2.5 - 1.2 * 1.4
    loose_m2 = 0.6 * 0.5 * 1.25
    assert amount_of(takeoff, "floor protection") == 12.0
    waste_kg = sum(
        need for need in (0.1 * 0.8 * (face_m2 * 22 + 0.72 * 12), 0.1 * 1.25 * (face_m2 + 0.72) * 2)
    )
    assert amount_of(takeoff, "tipping, gypsum") == pytest.approx(waste_kg, abs=0.006)
    assert amount_of(takeoff, "tipping, mixed rubble") == pytest.approx(
        (loose_m2 * 20 + face_m2 * 3) * 1.7, abs=0.006
    )
    assert amount_of(takeoff, "grit primer") == pytest.approx((face_m2 + 0.72) * 0.3, abs=0.006)
    assert amount_of(takeoff, "mesh") == pytest.approx(face_m2 * 1.1, abs=0.006)  # 20 mm, wanted over 15
    assert amount_of(takeoff, "angle bead") == pytest.approx(4.0 + 2.5)
    assert amount_of(takeoff, "stop bead") == 1.0
    # 3.7 m between the outer rails in bays of at most 1.2 m; two of five are cut at the window; 10 mm short
    assert amount_of(takeoff, "rail") == pytest.approx(3 * 2.48 + 2 * (0.88 + 0.18))
    assert amount_of(takeoff, "rail fixing") == 3 * 9 + 2 * (4 + 2)
    assert amount_of(takeoff, "socket brought forward") == 2
    assert amount_of(takeoff, "radiator off and on") == 1
    kg = 0.8 * 1.1 * (face_m2 * (18 + 4) + 0.72 * 12)  # what the readings do not show is bought as well
    (backing,) = of(takeoff, "light gypsum backing")
    assert float(backing.quantity) == np.ceil(kg / 25)


def test_the_price_is_for_whole_packs_and_lengths_with_their_delivery():
    job, wall = full_job()
    lines = {line.item: line for line in job_cost(job, [wall]).lines}
    # the price list's own units are the packs where none are listed: 2.712 kg, 9.152 m², 6.5 m
    assert [lines[item].quantity for item in ("grit primer", "mesh", "angle bead")] == [3, 10, 7]
    # 3 of 2.48 m, 2 of 0.88 m and 2 of 0.18 m out of 3 m: a length for each long one, one for the rest
    assert (lines["rail"].quantity, lines["rail"].unit, lines["rail"].price) == (4, "length of 3 m", D(30))
    assert "9.56 m: 4 × length of 3 m, 2.44 m over" in lines["rail"].basis
    assert (lines["delivery"].quantity, lines["delivery"].amount) == (1, D("10.00"))


@given(mm=st.floats(8, 60), waste=st.floats(0, 0.6), allowance_mm=st.floats(0, 6))
@examples(60)
def test_who_multiplies_the_basis_out_gets_the_bags_that_stand_in_the_column(mm, waste, allowance_mm):
    job, wall = one_wall(mm=mm, waste_share=waste, allowance_mm=allowance_mm)
    (line,) = of(takeoff_lines(job, [wall]), "light gypsum backing")
    found = re.match(
        r"([\d.]+) l(?: \(([\d.]+) l measured, ([\d.]+) l on top, .*?\))? × 0.8 kg/l × ([\d.]+) = "
        r"([\d.]+) kg: (\d+) bags?",
        line.basis.replace("\u202f", ""),
    )
    litres, measured, allowed, factor, kg, bags = found.groups()
    assert int(bags) == line.quantity
    if measured:
        assert D(measured) + D(allowed) == D(litres)
    share = float(factor) - 1
    for each in (float(kg), float(litres) * 0.8 * float(factor)):
        assert whole_bags(each, 25, each * share / (1 + share), job.bag_slack_share) == line.quantity


def test_labour_lines_are_the_hours_and_the_labourer_half_as_much():
    job, wall = full_job()
    takeoff = takeoff_lines(job, [wall])
    hours = sum(task.hours for task in labour_hours(job, [wall]))
    assert amount_of(takeoff, "plasterer") == pytest.approx(hours, abs=1e-9)
    assert hours % 4 == pytest.approx(0, abs=1e-6)
    assert amount_of(takeoff, "labourer") == pytest.approx(hours * 0.5)


def test_each_line_says_what_it_was_computed_from():
    job, wall = one_wall(
        mm=17.0, wall=Wall("A", 4.2, 2.6), system=System(replace(LIGHT_GYPSUM, density_kg_per_l=0.9))
    )
    (line,) = of(takeoff_lines(job, [wall]), "light gypsum backing")
    assert line.basis.startswith(
        "186 l × 0.9 kg/l × 1.10 = 184 kg: 8 bags of 25 kg, 16 kg over; 110 l of water"
    )
    everything, walls = full_job()
    assert all(re.search(r"\w", q.basis) for q in takeoff_lines(everything, [walls]).quantities)


def test_gypsum_is_kept_apart_from_other_rubble():
    job, wall = full_job(old_plaster_gypsum=True)
    takeoff = takeoff_lines(job, [wall])
    assert amount_of(takeoff, "tipping, mixed rubble") == 0
    assert amount_of(takeoff, "tipping, gypsum") > (0.375 * 20 + 8.32 * 3) * 1.1


def test_rubble_fills_whole_sacks():
    job, wall = full_job(waste_share=0.0)
    (sacks,) = of(takeoff_lines(job, [wall]), "rubble sack")
    litres = (0.375 * 20 + 8.32 * 3) * 1.5
    assert float(sacks.quantity) == np.ceil(litres / 20)


def test_rails_on_dabs_need_no_plugs():
    job, wall = full_job(rails=RailChoice(bedded="dabs", left_in=True))
    takeoff = takeoff_lines(job, [wall])
    assert amount_of(takeoff, "rail dab") == 39
    assert amount_of(takeoff, "rail fixing") == 0
    assert "left in" in of(takeoff, "rail")[0].basis


def test_rails_taken_out_say_the_litres_of_their_channels():
    job, wall = full_job()
    # 9.56 m × 20 mm × 6 mm = 1.1 l
    assert "1.1 l" in of(takeoff_lines(job, [wall]), "rail")[0].basis


def test_a_site_mix_is_priced_by_cement_lime_and_sand():
    job, wall = one_wall(mm=12.0, system=System(SITE_MIX), waste_share=0.2)
    takeoff = takeoff_lines(job, [wall])
    dry_m3 = 0.09 * 1.2 * 1.33
    assert amount_of(takeoff, "cement") == np.ceil(dry_m3 / 8 * 1440 / 25)
    assert amount_of(takeoff, "lime") == np.ceil(dry_m3 / 8 * 600 / 25)
    assert amount_of(takeoff, "sand") == pytest.approx(dry_m3 * 0.75 * 1600, abs=0.006)
    assert amount_of(takeoff, "cement-lime 1:1:6") == 0


def test_protection_is_by_room():
    rooms = (Room("one", 8.0), Room("two", 9.5), Room("not worked in", 30.0))
    entries = [entry_of(Wall("A", 2, 2.5), room="one"), entry_of(Wall("B", 2, 2.5), room="two")]
    job = job_of(*entries, rooms=rooms)
    takeoff = takeoff_lines(job, [flat(job, entry, 10.0) for entry in entries])
    assert [float(q.quantity) for q in of(takeoff, "floor protection")] == [8.0, 9.5]


def test_what_is_not_in_the_price_is_named():
    extras = (Extra("skirting and architrave", 8.0), Extra("tiling", excluded=True))
    job, wall = one_wall(extras=extras)
    unknown = replace(wall, surface=replace(wall.surface, proud_mm=np.where(np.eye(10, 20) > 0, np.nan, 0.0)))
    excluded = takeoff_lines(job, [unknown]).excluded
    assert "tiling" in excluded
    assert "skirting and architrave" not in excluded
    assert set(STANDARD_EXCLUSIONS) - {"skirting and architrave"} <= set(excluded)
    assert any(name.startswith("0.38 m² of A") for name in excluded)  # 10 cells of 0.0375 m²


def test_an_extra_takes_the_unit_of_its_price():
    job, wall = one_wall(extras=(Extra("mixer hire", 2.0),))
    (line,) = of(job_cost(job, [wall]), "mixer hire")
    assert (line.quantity, line.unit, line.amount) == (2, "day", D("20.00"))


@pytest.mark.parametrize("quantity", [-1.0, float("nan"), 1e9])
def test_an_extra_that_cannot_be_is_refused(quantity):
    with pytest.raises(TakeoffError, match="it is 0 to 1000000"):
        Extra("mixer hire", quantity)


def test_all_missing_prices_are_told_together():
    job, wall = full_job()
    bare = replace(job, prices=PriceList((Price("plasterer", "h", D(30)),)))
    with pytest.raises(TakeoffError) as told:
        job_cost(bare, [wall])
    assert {m.place for m in told.value.mistakes} == {"prices.csv"}
    found = " ".join(m.found for m in told.value.mistakes)
    assert all(
        f"'{name}'" in found for name in ("labourer", "grit primer", "rail", "gypsum skim", "rubble sack")
    )
    assert "'plasterer'" not in found
    assert len(told.value.mistakes) == len({q.item for q in takeoff_lines(job, [wall]).quantities}) - 1


def test_a_price_by_another_unit_is_refused_not_multiplied():
    job, wall = full_job()
    rows = tuple(replace(row, unit="day") if row.item == "plasterer" else row for row in job.prices.rows)
    with pytest.raises(TakeoffError, match="'plasterer' is priced by the day"):
        job_cost(replace(job, prices=PriceList(rows)), [wall])


def test_square_metres_may_be_written_plainly():
    job, wall = full_job()
    rows = tuple(replace(row, unit=row.unit.replace("²", "2")) for row in job.prices.rows)
    assert job_cost(replace(job, prices=PriceList(rows)), [wall]).total == job_cost(job, [wall]).total


def test_the_default_items_cover_every_line():
    job, wall = full_job(extras=(Extra("mixer hire", 1.0),))
    known = set(UNITS) | {mix.name for mix in FULL.mixes}
    assert {q.item for q in takeoff_lines(job, [wall]).quantities} <= known


def takeoff_of(*lines):
    return Takeoff(tuple(Quantity(f"item {n}", f"item {n}", D(q), "m", "entered", "materials")
                         for n, q in enumerate(lines)))  # fmt: skip


def prices(*values):
    return PriceList(tuple(Price(f"item {n}", "m", D(value)) for n, value in enumerate(values)))


def test_markups_stand_on_what_is_above_them():
    # 100.00; overhead 10 % = 10.00; profit 10 % of 110 = 11.00; contingency 5 % of 121 = 6.05;
    # tax 20 % of 127.05 = 25.41
    cost = price_lines(takeoff_of("10"), prices("10"), Margins(0.10, 0.10, 0.05, 0.20))
    assert [line.amount for line in cost.markups] == [D("10.00"), D("11.00"), D("6.05"), D("25.41")]
    assert cost.subtotal == D("100.00")
    assert cost.before_tax == D("127.05")
    assert cost.total == D("152.46")


@pytest.mark.parametrize(("quantity", "price", "places", "amount"), [
    ("1", "0.125", 2, "0.13"), ("1", "0.135", 2, "0.14"), ("3", "33.335", 2, "100.01"), ("2.5", "1", 0, "3"),
])  # fmt: skip
def test_a_line_is_rounded_once_half_up(quantity, price, places, amount):
    cost = price_lines(takeoff_of(quantity), prices(price), Margins(0, 0, 0, 0), money_places=places)
    assert cost.lines[0].amount == D(amount)
    assert cost.total == D(amount)


def test_shares_below_zero_are_told_together():
    with pytest.raises(TakeoffError) as told:
        Margins(-0.1, 0.1, float("nan"), 0.2)
    assert [m.found.split()[0] for m in told.value.mistakes] == ["overhead", "contingency"]


@given(
    rows=st.lists(st.tuples(st.decimals(0, 500, places=2), money), min_size=1, max_size=12),
    margins=st.builds(Margins, share, share, share, share),
    places=st.sampled_from([0, 2, 3]),
)
@examples(150)
def test_both_views_add_up_to_the_total(rows, margins, places):
    takeoff = takeoff_of(*(quantity for quantity, _ in rows))
    cost = price_lines(takeoff, prices(*(price for _, price in rows)), margins, money_places=places)
    frame, client = cost.to_frame(), cost.to_frame("client")
    assert sum(frame["amount"], D(0)) == cost.total
    assert sum(client["amount"], D(0)) == cost.total
    assert all(amount >= 0 and amount == round(amount, places) for amount in client["amount"])
    assert cost.total == cost.subtotal + sum((m.amount for m in cost.markups), D(0))
    assert list(frame["running_total"])[-1] == cost.total


@given(
    total=st.decimals(0, 10_000, places=2),
    weights=st.lists(st.decimals(0, 1000, places=2), min_size=1, max_size=20),
)
def test_shares_add_up_and_stay_within_a_coin_of_their_part(total, weights):
    parts = share_out(total, weights)
    assert sum(parts, D(0)) == total
    if sum(weights):
        exact = [total * weight / sum(weights) for weight in weights]
        assert all(abs(part - share) <= D("0.01") for part, share in zip(parts, exact, strict=True))


@given(waste=st.floats(0, 0.5), more=st.floats(0, 0.3))
@examples(40)
def test_more_waste_never_costs_less(waste, more):
    job, wall = full_job(waste_share=waste)
    dearer = replace(job, waste_share=waste + more)
    assert job_cost(dearer, [wall]).total >= job_cost(job, [wall]).total


def test_the_table_has_its_columns_and_its_lines_multiply_out():
    job, wall = full_job()
    cost = job_cost(job, [wall])
    frame = cost.to_frame()
    assert tuple(frame.columns) == COLUMNS
    for row in frame.itertuples():
        assert row.amount == (row.quantity * row.price).quantize(D("0.01"), rounding="ROUND_HALF_UP")
    assert not frame["item"].str.contains("total").any()
    assert list(frame["item"])[-4:] == ["overhead", "profit", "contingency", "tax"]
    assert set(frame["currency"]) == {job.currency}


def test_a_price_edit_leaves_the_takeoff_as_it_is():
    job, wall = full_job()
    takeoff = takeoff_lines(job, [wall])
    dearer = replace(job, prices=job.prices.with_price("plasterer", D("20")), margins=Margins(0, 0, 0, 0))
    assert takeoff_lines(dearer, [wall]) == takeoff
    assert hash(takeoff) == hash(takeoff_lines(dearer, [wall]))
    assert takeoff_lines(replace(job, prices=PriceList()), [wall]) == takeoff


def test_prices_of_every_item_twice_is_twice_the_subtotal():
    job, wall = full_job()
    twice = replace(job, prices=prices_of(FULL, price="20"))
    assert job_cost(twice, [wall]).subtotal == 2 * job_cost(job, [wall]).subtotal
