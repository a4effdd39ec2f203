"""The client's page of a variation from top to bottom: no figure in it is the estimator's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from mytakeoff.formats.formats import unbroken
from mytakeoff.formats.inches import NBSP
from mytakeoff.quotation.blocks import (
    Block,
    Document,
    Facts,
    Letterhead,
    Signatures,
    Table,
    Title,
    Total,
    Words,
    points,
    section,
)
from mytakeoff.quotation.said import capital
from mytakeoff.variations.client_lines import VariationLine
from mytakeoff.variations.said import changes_told, days_told, signed_amount
from mytakeoff.variations.variation import Variation

AT_SIGNED_RATES = "It is priced at the rates that were signed."
AT_TODAYS = "What the signed price had nothing for is priced as of today."
IN_COMMON = "What the work has in common, such as setting up and carriage, is shared out among the lines."
REST_HOLDS = "All else stays as it was signed."


@dataclass(frozen=True)
class HandedOver:
    """A variation as it is handed over: its day, and which page of it this is.

    Parameters
    ----------
    variation : Variation
    dated : date
    revision : int
        0 for the first page, counted up for each that takes the place of one with other figures [-].
    """

    variation: Variation
    dated: date
    revision: int = 0

    @property
    def title(self) -> str:
        """What the document is called."""
        revision = f", revision {self.revision}" if self.revision else ""
        return f"Variation {self.variation.number}{revision}"

    @property
    def day(self) -> str:
        """Its day, in words."""
        return self.variation.formats.day(self.dated)


def client_variation(page: HandedOver) -> Document:
    """The variation as it is handed over and signed."""
    job = page.variation.changed.job
    return Document(
        title=f"{page.title}: {job.title}",
        author=job.quotation.firm,
        for_whom="For the client",
        foot=str(page.variation.mark),
        blocks=tuple(_blocks(page)),
    )


def _blocks(page: HandedOver) -> Iterator[Block]:
    variation = page.variation
    yield from heading_of_variation(page, page.title)
    yield Total(signed_amount(variation.formats, variation.gross), _total_words(variation))
    at = (AT_SIGNED_RATES, AT_TODAYS if variation.todays else "", REST_HOLDS)
    yield Words(" ".join(filter(None, at)))
    yield totals_table(variation)
    yield from section("What changes", points([unbroken(text) for text in changes_told(variation)]))
    common = Words(IN_COMMON, "small") if variation.lines else None
    yield from section("What it costs, line by line", client_lines_table(variation), common)
    days = days_told(variation)
    yield from section("When", Facts(days) if days else None)
    yield from _signed_here(page)


def _total_words(variation: Variation) -> str:
    where = "taken off" if variation.gross < 0 else "on top of"
    return f"Tax included, {where} what was signed"


def what_was_signed(variation: Variation) -> str:
    """What the variation belongs to, in words."""
    terms = variation.changed.job.quotation
    kind = "estimate" if terms.kind == "estimate" else "quotation"
    quoted = " ".join(filter(None, (kind, terms.number)))
    with_it = f" with variation {variation.signed.number}" if variation.signed.number else ""
    return f"{quoted}{with_it}, signed on {variation.formats.day(variation.signed.signed_on)}"


def heading_of_variation(page: HandedOver, title: str) -> list[Block]:
    """Who writes, to whom, about what, and when; the job's own notes."""
    variation = page.variation
    job = variation.changed.job
    terms = job.quotation
    facts = (
        ("For", job.client),
        ("At", job.place),
        ("Work", job.title),
        ("To", what_was_signed(variation)),
        ("Dated", page.day),
    )
    return [
        Letterhead(terms.firm, terms.firm_lines, terms.logo),
        Title(title, 1),
        Facts(facts, split=3),
        *(Words(note, "small") for note in variation.changed.notes),
    ]


def totals_table(variation: Variation) -> Table:
    """What was signed, what this makes, and all from now on."""
    money, was, now = variation.formats.money, variation.base.cost, variation.changed.cost
    rows = (
        ("Signed so far", was.before_tax, was.tax, was.total),
        (f"This variation, no. {variation.number}", variation.net, variation.tax, variation.gross),
        ("In all from now on", now.before_tax, now.tax, now.total),
    )
    return Table(
        "The price as signed, this variation, and the price in all from now on",
        (f"Amounts in {now.currency}", "Net", _tax_head(variation), "With tax"),
        tuple((name, *map(money, amounts)) for name, *amounts in rows),
        figures=(1, 2, 3),
        sums=1,
    )


def _tax_head(variation: Variation) -> str:
    """Tax with its share, over a column."""
    share = variation.formats.short(round(100 * variation.changed.job.margins.tax_share, 6))
    return f"Tax {share}{NBSP}%"


def client_lines_table(variation: Variation) -> Table:
    """Each piece of work: what it costs more or less before tax; one number a row, as client rows have."""
    money, lines = variation.formats.money, variation.lines
    rows = [(line_name(line), *_sides(line, variation)) for line in lines]
    sums = [money(sum((getattr(line, side) for line in lines), Decimal(0))) for side in ("added", "less")]
    nothing = ("Nothing costs more or less", "", "")
    return Table(
        "What each piece of work costs more or less before tax",
        (f"Work, amounts in {variation.changed.cost.currency} before tax", "Added", "Less"),
        (*rows, ("In all", *sums)) if rows else (nothing,),
        figures=(1, 2),
        sums=1 if rows else 0,
    )


def line_name(line: VariationLine) -> str:
    """What a line is of, and in which room."""
    what = "added" if not line.was else "taken out" if not line.now else ""
    return capital(", ".join(filter(None, (line.item, line.room, what))))


def _sides(line: VariationLine, variation: Variation) -> tuple[str, str]:
    money = variation.formats.money
    if line.less:
        return "", money(line.less)
    return money(line.added), ""


def _signed_here(page: HandedOver) -> Sequence[Block]:
    """What is signed, named so that it says so on a page by itself too."""
    variation = page.variation
    formats, job = variation.formats, variation.changed.job
    words = (
        f"I order {page.title.lower()}, of {page.day}, to {what_was_signed(variation)}, at "
        f"{signed_amount(formats, variation.gross)} with tax: in all "
        f"{formats.amount(variation.changed.cost.total)}."
    )
    parties = (job.quotation.firm or "For the firm", job.client or "The client")
    return section("Agreed", Signatures(words, parties))
