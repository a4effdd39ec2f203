"""The estimator's edition of a variation: every line as signed and as it is, and what counts for nothing."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from mytakeoff.cost.cost import CostLine
from mytakeoff.figures.headline import headline
from mytakeoff.formats.formats import counted
from mytakeoff.programme.programme import booked
from mytakeoff.quotation.blocks import Block, Document, Facts, Table, Title, points, section
from mytakeoff.quotation.said import capital
from mytakeoff.result import Result
from mytakeoff.variations.client_edition import (
    HandedOver,
    client_lines_table,
    heading_of_variation,
    totals_table,
)
from mytakeoff.variations.priced_lines import PricedChange
from mytakeoff.variations.said import signed_amount
from mytakeoff.variations.variation import Variation

TODAYS = "today's"


def own_variation(page: HandedOver) -> Document:
    """Every line of a variation, named as not for the client."""
    title = f"{page.title}, the estimator's edition"
    job = page.variation.changed.job
    return Document(
        title=f"{title}: {job.title}",
        author=job.quotation.firm,
        for_whom="For the estimator, not for the client",
        foot=str(page.variation.mark),
        blocks=tuple(_blocks(page, title)),
    )


def _blocks(page: HandedOver, title: str) -> Iterator[Block]:
    variation = page.variation
    yield from heading_of_variation(page, title)
    yield Facts(
        (
            ("It costs", f"{signed_amount(variation.formats, variation.gross)} with tax"),
            ("As signed", _known(variation.base)),
            ("From now on", _known(variation.changed)),
        )
    )
    yield from section("What changed", points([capital(text) for text in variation.told]))
    others = points([capital(text) for text in variation.not_counted])
    yield from section("Other prices and rates by now, which count for nothing here", others)
    todays = points([capital(each.line.item) for each in variation.todays])
    yield from section("At today's price, since none was signed", todays)
    yield Title("Every line")
    yield every_line(variation)
    yield Title("As the client reads it")
    yield totals_table(variation)
    yield client_lines_table(variation)
    yield from section("To know", points(variation.changed.notices))


def _known(result: Result) -> str:
    known, formats = headline(result), result.job.formats
    return (
        f"{formats.amount(known.total)} with tax; {formats.number(known.litres)} l, "
        f"{counted(known.bags, 'bag')}; {booked(result).in_words()}"
    )


def every_line(variation: Variation) -> Table:
    """Quantities as signed and now, at which price, and what that makes; tax and margins with them."""
    money, cost = variation.formats.money, variation.changed.cost
    rows = [_row(each, variation) for each in variation.priced]
    amounts = [each.amount for each in variation.priced]
    added, less = (sum((side * each for each in amounts if side * each > 0), Decimal(0)) for side in (1, -1))
    sums = (
        ("", "Added and less", "", "", "", money(added), money(less)),
        ("", "With tax", "", "", "", *_sides(variation.gross, variation)),
    )
    return Table(
        "Every line of the price as it was signed and as it is at the signed rates",
        ("Group", f"Item, amounts in {cost.currency}", "Signed", "Now", "Price", "Added", "Less"),
        (*rows, *sums),
        figures=(2, 3, 4, 5, 6),
        sums=2,
        small=True,
    )


def _row(change: PricedChange, variation: Variation) -> tuple[str, ...]:
    line = change.line
    if not line.priced_as and line in variation.changed.cost.markups:
        was, now = (variation.formats.money(each.amount) if each else "" for each in (change.was, change.now))
        return (line.group, line.item, was, now, "", *_sides(change.amount, variation))
    price = variation.formats.exact(line.price) + (f", {TODAYS}" if change.todays else "")
    was, now = (_quantity(each, variation) for each in (change.was, change.now))
    return (line.group, line.item, was, now, price, *_sides(change.amount, variation))


def _quantity(line: CostLine | None, variation: Variation) -> str:
    return "–" if line is None else f"{variation.formats.exact(line.quantity)} {line.unit}".strip()


def _sides(amount: Decimal, variation: Variation) -> tuple[str, str]:
    """An amount under what is added, or under what is less."""
    money = variation.formats.money
    return (money(amount) if amount > 0 else "", money(-amount) if amount < 0 else "")
