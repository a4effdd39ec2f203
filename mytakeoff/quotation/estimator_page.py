"""The estimator's edition of a quotation: every line, what is added, and what the client reads instead."""

from __future__ import annotations

from collections.abc import Iterator

from mytakeoff.cost.cost import CostLine
from mytakeoff.figures.headline import Headline, headline
from mytakeoff.formats.formats import counted
from mytakeoff.programme.programme import booked
from mytakeoff.quotation.blocks import Block, Document, Facts, Table, Words, points, section
from mytakeoff.quotation.client_page import heading_of, room_table, title_of
from mytakeoff.quotation.content import Quotation
from mytakeoff.quotation.said import capital, likely, would_change


def estimator_document(quotation: Quotation) -> Document:
    """Every line of the price, named as not for the client."""
    title = f"{title_of(quotation)}, the estimator's edition"
    return Document(
        title=f"{title}: {quotation.result.job.title}",
        author=quotation.terms.firm,
        for_whom="For the estimator, not for the client",
        foot=str(quotation.mark),
        blocks=tuple(_blocks(quotation, title)),
    )


def _blocks(quotation: Quotation, title: str) -> Iterator[Block]:
    result, sure = quotation.result, quotation.sure
    yield from heading_of(quotation, title)
    yield Facts(_headline(quotation))
    if sure is not None:
        yield from (Words(said) for said in filter(None, (likely(sure), *would_change(sure))))
    yield from section("Every line", lines_table(quotation))
    yield from section("By room, as the client reads it", room_table(quotation), _client_rows(quotation))
    yield from section("To know", points(result.notices))
    yield from section("Not in the price", points([capital(item) for item in quotation.excluded]))


def _headline(quotation: Quotation) -> tuple[tuple[str, str], ...]:
    result, number, depth = quotation.result, quotation.formats.number, quotation.formats.depth
    known: Headline = headline(result)
    return (
        ("Total with tax", quotation.formats.amount(known.total)),
        ("Before tax", quotation.formats.amount(result.cost.before_tax)),
        ("Plaster", f"{number(known.litres)} l, {counted(known.bags, 'bag')}, {number(known.dry_kg)} kg dry"),
        ("Thickness", f"mean {depth(known.mean_mm, places=1)}, thickest {depth(known.max_mm, places=0)}"),
        ("Work", booked(result).in_words()),
    )


def lines_table(quotation: Quotation) -> Table:
    """Quantities, prices and amounts, then what is added, then the total."""
    cost, formats = quotation.result.cost, quotation.formats
    lines = [_line(line, quotation) for line in cost.lines]
    added = [(line.item, line.basis, "", "", formats.money(line.amount)) for line in cost.markups]
    subtotal = ("Lines", "", "", "", formats.money(cost.subtotal))
    total = ("Total with tax", "", "", "", formats.money(cost.total))
    return Table(
        "Every line of the price",
        (f"Item, amounts in {cost.currency}", "Computed from", "Quantity", "Price", "Amount"),
        (*lines, subtotal, *added, total),
        figures=(2, 3, 4),
        sums=len(added) + 2,
        small=True,
    )


def _line(line: CostLine, quotation: Quotation) -> tuple[str, ...]:
    exact = quotation.formats.exact
    return (
        line.item,
        line.basis,
        f"{exact(line.quantity)} {line.unit}".strip(),
        exact(line.price),
        quotation.formats.money(line.amount),
    )


def _client_rows(quotation: Quotation) -> Table:
    money = quotation.formats.money
    rows = tuple(
        (capital(room.room), row.item, money(row.amount)) for room in quotation.rooms for row in room.rows
    )
    return Table("What the client reads", ("Room", "Work", "Net"), rows, figures=(2,), small=True)
