"""Programme and order as HTML: the headline, dates by wall, a row a day, the list for the merchant."""

from __future__ import annotations

from html import escape

from mytakeoff.buying.basket import Bought, Charge
from mytakeoff.buying.order import Order
from mytakeoff.io.tables.calendar_file import day_lines
from mytakeoff.io.tables.orders import back_lines, carry_lines, proof_words, spare_lines
from mytakeoff.panels.parts.words import listed
from mytakeoff.programme.programme import Day, Programme
from mytakeoff.result import Result
from mytakeoff.treatment.cautions import cautions_for
from mytakeoff.units import say, say_day

BY_PRICE_LIST = "by the price list"
WEIGHT = "Weight of bags"


def headline(programme: Programme, order: Order, way: str) -> str:
    """The first day for paint, then days, order and weight in a line."""
    job = programme.job
    facts = (
        _some(programme.days_on_site, "day") + " on site in " + _some(programme.visits, "visit"),
        f"{say_day(programme.first_day)} to {say_day(programme.last_day)}",
        f"order {say(order.total, job.money_places)} {job.currency} before tax",
        f"{say(order.weight_kg)} kg to carry in {_some(sum(up.trips for up in order.carrying), 'trip')}",
    )
    line = " · ".join(f"<span>{escape(fact)}</span>" for fact in facts)
    return (
        f'<div class="mt-what">{escape(job.title)}: {escape(way)}</div>'
        f'<div class="mt-total">Paint from {say_day(programme.paint_date)}</div>'
        f'<div class="mt-facts">{line}</div>'
    )


def _some(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _head(*titles: str) -> str:
    cells = "".join(f"<th scope='col'>{title}</th>" for title in titles)
    return f"<thead><tr>{cells}</tr></thead>"


def wall_table(programme: Programme) -> str:
    """When each wall has its last coat, need not be kept damp, is dry, and can be painted."""
    rows = "".join(
        f"<tr><th scope='row'>{escape(wall.wall)}</th><td>{say_day(wall.laid)}, {wall.laid:%H:%M}</td>"
        f"<td>{say_day(wall.cured) if wall.cured > wall.laid else 'not needed'}</td>"
        f"<td>{say_day(wall.paint)}</td></tr>"
        for wall in programme.walls
    )
    if not rows:
        return "<p>No wall is plastered.</p>"
    head = _head("wall", "last coat", "kept damp until", "paint from")
    note = "<p>Dry by reckoning only: measure before you paint.</p>"
    return f"<table class='mt-list'>{head}<tbody>{rows}</tbody></table>{note}"


def day_table(programme: Programme) -> str:
    """A row a day: gaugings and water, and what is done from when to when."""
    rows = "".join(_day_row(day) for day in programme.days)
    head = _head("day", "what is done")
    clean = programme.job.rates.clean_up_h_per_day / programme.job.rates.crew
    note = f"<p>The last {say(60 * clean)} minutes of each day are for cleaning up.</p>" if clean else ""
    return f"<table class='mt-list mt-days'>{head}<tbody>{rows}</tbody></table>{note}"


def _day_row(day: Day) -> str:
    lines = "".join(f"<li>{escape(line)}</li>" for line in day_lines(day))
    mixed = f"{_some(day.gaugings, 'gauging')}, {say(day.water_l)} l of water" if day.gaugings else ""
    return (
        f"<tr><th scope='row'><strong>{day.on:%a} {say_day(day.on)}</strong><br>{mixed}</th>"
        f"<td><ul>{lines}</ul></td></tr>"
    )


def order_table(order: Order) -> str:
    """The list for the merchant: supplier by supplier, with what each of them charges."""
    parts = "".join(_supplier(order, charge) for charge in order.basket.charges)
    total = _sum_row("all, before tax", say(order.total, order.job.money_places), strong=True)
    head = _head("item", "buy", f"each, {escape(order.job.currency)}", "amount", "needed", "over")
    return (
        f"<table class='mt-list mt-buy'>{head}{parts}<tbody>{total}</tbody></table>"
        f"<p>{escape(proof_words(order))}</p>"
    )


def _supplier(order: Order, charge: Charge) -> str:
    places = order.job.money_places
    rows = [
        f"<tr><th colspan='6' scope='rowgroup'>{escape(charge.supplier or BY_PRICE_LIST)}</th></tr>",
        *(_bought_row(order, each) for each in order.basket.bought if each.pack.supplier == charge.supplier),
    ]
    for words, amount in (("delivery", charge.delivery), ("up to the least order", charge.up_to_least)):
        if amount > 0:
            rows.append(_sum_row(words, say(amount, places)))
    rows.append(_sum_row("together", say(charge.total, places), strong=True))
    return f"<tbody>{''.join(rows)}</tbody>"


def _sum_row(words: str, amount: str, strong: bool = False) -> str:
    said = f"<strong>{amount}</strong>" if strong else amount
    return (
        f"<tr><th scope='row'>{escape(words)}</th><td></td><td></td>"
        f"<td class='mt-number'>{said}</td><td></td><td></td></tr>"
    )


def _bought_row(order: Order, each: Bought) -> str:
    need, places = each.offer.need, order.job.money_places
    over = next(left.over for left in order.left_over if left.need == need)
    size = pack_words(each)
    return (
        f"<tr><th scope='row'>{escape(need.item)}</th><td>{escape(size)}</td>"
        f"<td class='mt-number'>{say(each.price, places)}</td>"
        f"<td class='mt-number'>{say(each.amount, places)}</td>"
        f"<td class='mt-number'>{escape(_amount(need.amount, need.unit))}</td>"
        f"<td class='mt-number'>{escape(_amount(over, need.unit))}</td></tr>"
    )


def pack_words(each: Bought) -> str:
    """How many of which pack, as one says it: "15 × bag of 25 kg", or "3 bag" where the unit is the pack."""
    pack = each.pack
    if pack.pack == pack.unit and pack.holds == 1:
        return f"{each.packs} × {pack.unit}"
    return f"{each.packs} × {pack.pack} of {_amount(float(pack.holds), pack.unit)}"


def _amount(value: float, unit: str) -> str:
    """An amount with its unit, to a tenth."""
    shown = f"{round(value, 1) + 0.0:g}"
    return f"{shown} pieces" if unit == "piece" and shown != "1" else f"{shown} {unit}"


def over_list(order: Order) -> str:
    """What is bought beyond the need, and whether bringing unopened packs back pays."""
    lines = [*spare_lines(order), *back_lines(order)]
    return listed(lines) if lines else "<p>No unopened pack is likely to be left.</p>"


def carry_list(order: Order, result: Result) -> str:
    """Weight, trips and floor, with the caution about lifting."""
    cautions = [str(c) for c in cautions_for(result.job, result.walls) if c.title == WEIGHT]
    return listed([*carry_lines(order), *cautions])
