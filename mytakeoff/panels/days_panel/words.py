"""Programme and order as HTML: the headline, dates by wall, a row a day, the list for the merchant."""

from __future__ import annotations

from itertools import pairwise

from mytakeoff.audience import CLIENT, Audience, headed
from mytakeoff.buying.order import Order
from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import WEEKDAY, Formats, counted
from mytakeoff.io.tables.calendar_file import day_lines
from mytakeoff.io.tables.orders import back_lines, carry_lines, over_lines, proof_words, stock_lines
from mytakeoff.job.job import Job
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import element, grouped_table, joined, listed, table
from mytakeoff.programme.programme import Day, Programme
from mytakeoff.result import Result
from mytakeoff.takeoff.offers import Offer
from mytakeoff.takeoff.purchases import BY_PRICE_LIST, Charge, amount_words, pack_words
from mytakeoff.treatment.cautions import cautions_for

WEIGHT = "Weight of bags"
Row = tuple[str, ...]


def headline(
    programme: Programme, order: Order, way: str, audience: Audience, not_read: tuple[str, ...] = ()
) -> str:
    """The first day for paint, then the days in words; for the estimator order and weight; walls not read."""
    job, formats = programme.job, programme.job.formats
    trips = sum(up.trips for up in order.carrying)
    bought = (
        f"order {formats.amount(order.total)} before tax",
        f"{formats.number(order.weight_kg)} kg to carry in {counted(trips, 'trip')}",
    )
    days = element("div", programme.in_words(audience))
    facts = joined([days, html.facts(bought if audience != CLIENT else ())])
    paint = programme.paint_from
    total = f"Paint from {formats.day(paint)}" if paint else "No wall is plastered"
    missing = (element("div", text, css="mt-facts") for text in not_read)
    return joined([html.headline(total, facts, headed(audience, f"{job.title}: {way}")), *missing])


def nothing(job: Job, audience: Audience) -> str:
    """The headline where no wall is read."""
    return html.headline("Nothing planned yet", "", headed(audience, job.title))


def missing(programme: Programme) -> str:
    """What has to be put right before every wall is in the programme; empty where each is."""
    if not programme.missing:
        return ""
    return f"The others are planned, {programme.missing_words}.\n{TakeoffError(*programme.why_missing)}"


def wall_table(programme: Programme) -> str:
    """When each wall has its last coat, need not be kept damp, is dry, and can be painted."""
    day = programme.job.formats.day
    rows = [
        (
            wall.wall,
            f"{day(wall.laid)}, {wall.laid:%H:%M}",
            day(wall.cured) if wall.cured > wall.laid else "not needed",
            day(wall.paint),
        )
        for wall in programme.walls
    ]
    if not rows:
        return element("p", "No wall is plastered.")
    dates = table(("wall", "last coat", "kept damp until", "paint from"), rows, "mt-list")
    return dates + element("p", "Dry by reckoning only: measure before you paint.")


def day_table(programme: Programme, audience: Audience) -> str:
    """A row a day: what is done, for the estimator from when to when, with gaugings and water."""
    rows = (_day_row(day, programme.job.formats, audience) for day in programme.days)
    days = table(("day", "what is done"), rows, "mt-list mt-days")
    return days if audience == CLIENT else days + element("p", _hours_words(programme))


def _hours_words(programme: Programme) -> str:
    """Break and cleaning up, which no line of the day has."""
    clock, rates = programme.schedule.clock, programme.job.rates
    said = ["Times are to the quarter hour."]
    for (_, begins), (ends, _) in pairwise(clock.stretches):
        said.append(f"The break is from {clock.moment(begins):%H:%M} to {clock.moment(ends):%H:%M}.")
    clean_h = rates.clean_up_h_per_day / rates.crew
    if clean_h:
        minutes = programme.job.formats.number(60 * clean_h)
        said.append(f"The last {minutes} minutes of each day are for cleaning up.")
    return " ".join(said)


def _day_row(day: Day, formats: Formats, audience: Audience) -> tuple[str, str]:
    name = element("strong", f"{formats.day(day.on, WEEKDAY)} {formats.day(day.on)}")
    lines = listed(day_lines(day, formats, audience))
    if audience == CLIENT or not day.gaugings:
        return name, lines
    mixed = f"{counted(day.gaugings, 'gauging')}, {formats.number(day.water_l)} l of water"
    return joined([name, element("br"), mixed]), lines


def order_table(order: Order) -> str:
    """The list for the merchant: supplier by supplier, with what each of them charges."""
    groups: list[tuple[str, list[Row]]] = [
        (charge.supplier or BY_PRICE_LIST, _supplier(order, charge)) for charge in order.basket.charges
    ]
    all_of_it = _sum_row("all, before tax", order.job.formats.money(order.total), strong=True)
    head = ("item", "buy", f"each, {order.job.currency}", "amount", "needed", "over")
    return grouped_table(head, [*groups, ("", [all_of_it])], "mt-list mt-buy", numbers=(2, 3, 4, 5))


def _supplier(order: Order, charge: Charge) -> list[Row]:
    formats = order.job.formats
    bought = (each for each in order.basket.bought if each.pack.supplier == charge.supplier)
    rows = [_bought_row(each, formats) for each in bought]
    rows += [_sum_row(words, formats.money(amount)) for words, amount in charge.parts]
    return [*rows, _sum_row("together", formats.money(charge.total), strong=True)]


def _sum_row(words: str, amount: str, strong: bool = False) -> Row:
    return words, "", "", element("strong", amount) if strong else amount, "", ""


def _bought_row(each: Offer, formats: Formats) -> Row:
    need = each.need
    return (
        need.item,
        pack_words(each, formats),
        formats.money(each.price),
        formats.money(each.amount),
        amount_words(round(need.amount, 1), need.unit, formats),
        amount_words(round(each.over, 1), need.unit, formats),
    )


def cheaper_list(priced: Order, proposed: Order) -> str:
    """What would cost less, and how much; nothing is searched for while the price moves."""
    formats, saves = priced.job.formats, proposed.saves_over(priced)
    if saves <= 0:
        return element("p", f"It cannot be had for less. {proof_words(proposed)}")
    rows = [
        (now.need.item, _from_whom(now, formats), _from_whom(then, formats))
        for now, then in proposed.bought_otherwise(priced)
    ]
    total = formats.amount(proposed.total)
    said = f"For {total} instead, {formats.money(saves)} less before tax. {proof_words(proposed)}"
    return element("p", said) + table(("item", "as priced", "cheaper"), rows, "mt-list")


def _from_whom(offer: Offer, formats: Formats) -> str:
    return ", ".join(filter(None, (pack_words(offer, formats), offer.pack.supplier)))


def over_list(order: Order) -> str:
    """What is bought beyond the need, and whether bringing unopened packs back pays."""
    lines = [*stock_lines(order), *over_lines(order), *back_lines(order)]
    return listed(lines) or element("p", "Nothing is left over.")


def carry_list(order: Order, result: Result) -> str:
    """Weight, trips and floor, with the caution about lifting."""
    cautions = [str(c) for c in cautions_for(result.job, result.walls) if c.title == WEIGHT]
    return listed([*carry_lines(order), *cautions])
