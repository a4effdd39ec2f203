"""A finished job against its agreed price: sums by hand, what cannot be, and what is taken for given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import permutations

import pytest
from demo import coarse_demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.account.settle import account_spread, as_measured, settle_up
from mytakeoff.account.words import account_words, cause_parts
from mytakeoff.account.worth import CAUSES, DENSITY, HOURS, PRICES, QUANTITIES, THICKNESS, TRIPS, WASTE
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.job.edits import with_mix

BACKING = "light gypsum backing"
D = Decimal


def agreed() -> mt.Result:
    return mt.evaluate(coarse_demo())


def price_of(name: str) -> Decimal:
    (line,) = (line for line in agreed().cost.lines if name in (line.priced_as, line.item))
    return line.price


def as_it_was(factor: float) -> tuple[FinishedWall, ...]:
    """Every wall measured so many times as thick as it was priced, allowance among it."""
    return tuple(
        FinishedWall(w.entry.name, factor * (w.build_up.volume_l + w.allowance_l) / w.build_up.area_m2, 0.4)
        for w in agreed().walls
    )


def line_of(account, name):
    (found,) = (line for line in account.lines if line.name == name)
    return found


def test_nothing_written_down_is_the_job_as_priced():
    account = settle_up(coarse_demo(), Finished())
    cost = agreed().cost
    assert (account.priced, account.spent, account.agreed_price) == (
        cost.subtotal,
        cost.subtotal,
        cost.before_tax,
    )
    assert set(account.parts.values()) == {0}
    assert account.left == account.margin_priced == cost.before_tax - cost.subtotal
    assert len(account.not_written) == len(cost.lines)


def test_every_sum_by_hand():
    """18 bags at 13.90, two brought back at 15 % less; 26.5 h of floating; a trip; a niche."""
    job = coarse_demo()
    finished = Finished(
        (Delivered(BACKING, 18, brought_back=2, price=13.9),),
        (HoursSpent("float backing", 20), HoursSpent("float backing", 6.5, price=36.0)),
        (AgreedVariation("a niche", 150.0),),
        (ReturnTrip("beads forgotten", 1.5, 4.0),),
    )
    account, wage = settle_up(job, finished), price_of("plasterer: float backing")
    bags = D("250.20") - D("27.80") * D("0.85")
    assert line_of(account, BACKING).spent == bags == D("226.57")
    assert line_of(account, "float backing").spent == 20 * wage + D("234.00")
    assert line_of(account, "to whole half days").spent == 0
    trips = D("1.5") * wage + 4
    assert account.parts[TRIPS] == trips
    spent = agreed().cost.subtotal + trips
    for name, now in ((BACKING, bags), ("float backing", 20 * wage + 234), ("to whole half days", D(0))):
        spent += now - line_of(account, name).priced
    assert account.spent == spent
    assert account.left == agreed().cost.before_tax + 150 - spent
    assert account.left == account.margin_priced + account.variations - account.difference


def full() -> Finished:
    return Finished(
        (
            Delivered(BACKING, 10, wasted=0.9, price=13.9),
            Delivered(BACKING, 8, brought_back=2, wasted=0.3),
            Delivered("dubbing-out gypsum", 7),
            Delivered("mesh", 1, price=36.0),
        ),
        (HoursSpent("float backing", 26.5), HoursSpent("rails", 7), HoursSpent("labourer", 40, price=24.0)),
        (AgreedVariation("a niche", 150.0),),
        (ReturnTrip("beads forgotten", 1.5, 4.0),),
        as_it_was(1.08),
    )


def test_what_made_the_difference_adds_up_by_line_by_cause_and_in_any_order():
    account = settle_up(coarse_demo(), full())
    assert sum(account.parts.values()) == account.difference != 0
    for line in account.lines:
        assert sum(line.worth.parts.values()) == line.difference
    for order in list(permutations(CAUSES))[::701]:
        told = account.parts_told(order)
        assert list(told) == list(order)
        assert sum(told.values()) == account.difference
    table = account.to_frame()
    assert sum(table["difference"]) == account.difference
    assert {cause: sum(table[cause]) for cause in CAUSES} == account.parts
    with pytest.raises(mt.TakeoffError, match="every cause is told once"):
        account.parts_told(CAUSES[1:])


def test_thickness_is_what_this_program_would_have_priced_it_with():
    """Only the walls were thicker, and powder and hours were as such walls are priced with."""
    thicker = Finished(walls=as_it_was(1.2))
    measured = as_measured(agreed(), thicker)
    (need,) = (each for each in measured.needs if each.mix.name == BACKING)
    (was,) = (each for each in agreed().needs if each.mix.name == BACKING)
    assert need.priced_l > was.priced_l
    walls = sum(w.build_up.volume_l + w.allowance_l for w in measured.walls)
    assert walls == pytest.approx(1.2 * agreed().litres)
    used = need.dry_kg / 25
    account = settle_up(
        coarse_demo(), replace(thicker, deliveries=(Delivered(BACKING, used, wasted=used / 11),))
    )
    parts = line_of(account, BACKING).worth.parts
    exact = price_of(BACKING) * D(need.dry_kg - was.dry_kg) / 25
    assert parts[THICKNESS] == pytest.approx(exact, abs=D("0.01"))
    assert abs(parts.get(DENSITY, 0)) + abs(parts.get(WASTE, 0)) <= D("0.01")


def test_a_denser_mix_is_told_from_more_waste():
    """The same bags: where the skip held more of them, the wall holds less."""
    by_waste = {
        wasted: settle_up(
            coarse_demo(), Finished((Delivered(BACKING, 18, wasted=wasted),), walls=as_it_was(1.0))
        ).parts
        for wasted in (0.5, 3.0)
    }
    assert by_waste[0.5][WASTE] < 0 < by_waste[3.0][WASTE]
    assert by_waste[0.5][DENSITY] > by_waste[3.0][DENSITY]
    assert by_waste[0.5][THICKNESS] == by_waste[3.0][THICKNESS] == 0


def test_a_price_alone_moves_prices_alone():
    account = settle_up(coarse_demo(), Finished((Delivered("mesh", 1, price=36.5),)))
    more = D("36.5") - price_of("mesh")
    assert account.parts == {**dict.fromkeys(CAUSES, 0), PRICES: more}
    fewer = settle_up(coarse_demo(), Finished((Delivered("rail", 15),)))
    assert fewer.parts == {**dict.fromkeys(CAUSES, 0), QUANTITIES: -2 * price_of("rail")}


def test_hours_take_what_the_thickness_does_not():
    hours = (HoursSpent("dub out", 5.0),)
    flat, thick = (
        settle_up(coarse_demo(), Finished(hours=hours, walls=as_it_was(f))).parts for f in (1.0, 1.3)
    )
    assert flat[THICKNESS] == 0 < thick[THICKNESS]
    assert thick[HOURS] < flat[HOURS]
    assert flat[THICKNESS] + flat[HOURS] == thick[THICKNESS] + thick[HOURS]


def test_what_the_measuring_leaves_open_is_said():
    spread = account_spread(coarse_demo(), full())
    assert spread[THICKNESS] > 0 < spread[DENSITY]
    assert spread[PRICES] <= D("0.01")  # rounding
    assert spread[TRIPS] == 0
    assert set(account_spread(coarse_demo(), replace(full(), walls=())).values()) == {0}


WRONG = Finished(
    (
        Delivered("light gypsum backin", 3),
        Delivered("mesh", 1, brought_back=2),
        Delivered("primer", 3, brought_back=1, used=3),
        Delivered("gypsum skim", 3, wasted=4, day=date(2027, 2, 1)),
        Delivered("rail", 17, credit=3.0),
    ),
    (HoursSpent("singing", 3),),
    (AgreedVariation("niche", 10, date(2026, 12, 24)),),
    (ReturnTrip(day=date(2027, 2, 28)),),
    (FinishedWall("north wall"), FinishedWall("party wall", strayed_ratio=1.2)),
)


def test_everything_that_cannot_be_is_told_together():
    with pytest.raises(mt.TakeoffError) as error:
        settle_up(coarse_demo(), WRONG, "finished.toml")
    found = [(mistake.place, mistake.found) for mistake in error.value.mistakes]
    assert all(m.rule and m.remedy and m.place.startswith("finished.toml") for m in error.value.mistakes)
    for place, what in (
        ("delivery 1", "'light gypsum backin'"),
        ("delivery of mesh", "1 came, 2 brought back"),
        ("delivery of primer", "3 came, 1 brought back, 3 used"),
        ("delivery of gypsum skim", "4 wasted of 3"),
        ("delivery 5", "nothing brought back"),
        ("hours 1", "'singing'"),
        ("delivery 4", "1 Feb 2027"),
        ("variation 1", "24 Dec 2026"),
        ("trip 1", "28 Feb 2027"),
        ("wall 1", "'north wall'"),
        ("wall 2", "1.2 from 0 places"),
    ):
        assert any(place in where and what in said for where, said in found), (place, what)
    assert len(found) == 11
    assert "write 'light gypsum backing'" in str(error.value)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Delivered("mesh", -1),
        lambda: Delivered("mesh", 1, brought_back=-1),
        lambda: Delivered("mesh", 1, price=-1),
        lambda: HoursSpent("rails", -0.5),
        lambda: HoursSpent("rails", float("nan")),
        lambda: ReturnTrip(hours=-1),
        lambda: FinishedWall("party wall", mean_mm=-3),
        lambda: FinishedWall("party wall", mean_mm=0),
        lambda: AgreedVariation(" ", 3),
    ],
)
def test_what_nothing_can_be_is_refused_at_once(wrong):
    with pytest.raises(mt.TakeoffError):
        wrong()


def test_what_is_agreed_stays_as_it_was():
    job, before = coarse_demo(), mt.evaluate(coarse_demo())
    settle_up(job, full())
    assert job == coarse_demo()
    assert mt.evaluate(job).cost == before.cost


def test_a_wall_far_thinner_than_priced_takes_no_litres_below_nothing():
    measured = as_measured(agreed(), Finished(walls=as_it_was(0.05)))
    assert all(need.priced_l >= 0 for need in measured.needs)
    assert all(line.quantity >= 0 for line in measured.cost.lines)


def test_bags_from_stock_are_counted_by_weight():
    job = coarse_demo()
    job = replace(job, buying=replace(job.buying, in_stock=(BACKING,)))
    (need,) = (each for each in mt.evaluate(job).needs if each.mix.name == BACKING)
    account = settle_up(job, Finished((Delivered(BACKING, round(need.dry_kg, 2)),)))
    assert line_of(account, BACKING).unit == "kg"
    assert abs(line_of(account, BACKING).difference) <= D("0.01")


def test_shrinkage_that_was_priced_is_no_density():
    job = with_mix(coarse_demo(), BACKING, shrinkage_share=0.05)
    (need,) = (each for each in mt.evaluate(job).needs if each.mix.name == BACKING)
    bags = need.dry_kg / 25
    account = settle_up(job, Finished((Delivered(BACKING, bags, wasted=bags / 11),)))
    assert abs(account.parts[DENSITY]) <= D("0.01")


def test_in_words():
    said = account_words(settle_up(coarse_demo(), full()))
    assert said[0].startswith("Agreed: ")
    assert "+150.00 by 1 variation" in said[0]
    account = settle_up(coarse_demo(), full())
    assert f"together +{account.difference}" in said[3]
    assert "dubbing-out gypsum: what it did stands with density" in said[-1]
    few = account_words(settle_up(coarse_demo(), Finished((Delivered(BACKING, 14),))))
    assert few[-1].startswith("Not measured again: party wall")


def test_each_cause_says_what_it_is_on_average_and_in_one_order():
    account = settle_up(coarse_demo(), full())
    order = CAUSES[::-1]
    parts = cause_parts(account, order)
    assert [each.cause for each in parts] == list(order)
    assert {each.cause: each.part for each in parts} == account.parts
    assert {each.cause: each.told for each in parts} == account.parts_told(order)
    assert len({each.words for each in parts}) == len(CAUSES)


def some_of(names: tuple[str, ...], record: Callable[..., object], **figures: st.SearchStrategy[object]):
    return st.lists(st.builds(record, st.sampled_from(names), **figures), max_size=5).map(tuple)


many, prices = st.floats(0, 60), st.none() | st.floats(0, 90)
writings = st.builds(
    Finished,
    some_of((BACKING, "gypsum skim", "mesh", "rail", "primer"), Delivered, delivered=many, price=prices),
    some_of(
        ("rails", "dub out", "labourer", "clean up", "return visits"), HoursSpent, hours=many, price=prices
    ),
    trips=st.lists(st.builds(ReturnTrip, hours=st.floats(0, 9), amount=st.floats(0, 99)), max_size=2).map(
        tuple
    ),
    walls=st.floats(0.3, 2.5).map(as_it_was) | st.just(()),
)


@given(writings)
@examples(25)
def test_whatever_was_written_down_adds_up(finished):
    account = settle_up(coarse_demo(), finished)
    order = (PRICES, TRIPS, HOURS, QUANTITIES, WASTE, DENSITY, THICKNESS)
    assert sum(account.parts.values()) == sum(account.parts_told(order).values()) == account.difference
    assert account.left == account.agreed_price + account.variations - account.spent
    paid = sum(
        (D(repr(row.hours)) * (D(repr(row.price)) if row.price is not None else price_of_task(row.task)))
        for row in finished.hours
    )
    named = {row.task for row in finished.hours}
    spent = sum(line.spent for line in account.lines if line.name in named)
    assert spent == pytest.approx(paid, abs=D("0.03"))


def price_of_task(task: str) -> Decimal:
    return price_of("labourer" if task == "labourer" else f"plasterer: {task}")
