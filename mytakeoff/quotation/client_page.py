"""The client's quotation from top to bottom: no figure in it is the estimator's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.formats.formats import unbroken
from mytakeoff.formats.inches import NBSP
from mytakeoff.options import in_words
from mytakeoff.quotation.blocks import (
    Block,
    Document,
    Facts,
    Letterhead,
    MapKey,
    Signatures,
    Table,
    Title,
    Total,
    WallCard,
    Warnings,
    Words,
    points,
    section,
)
from mytakeoff.quotation.content import ConsideredWay, Quotation, WallPart
from mytakeoff.quotation.said import assumed, capital, likely, surveyed, would_change
from mytakeoff.treatment.cautions import DEFER, cautions_for

FIXED = "This price is fixed for the work described here. What is not described is agreed in writing first."
ROUGH = "This is an estimate and no fixed price: what is paid follows what the walls turn out to take."


def title_of(quotation: Quotation) -> str:
    """What the document is called."""
    return "Estimate" if quotation.is_estimate else "Quotation"


def client_document(quotation: Quotation) -> Document:
    """The quotation as it is handed over."""
    job, terms = quotation.result.job, quotation.terms
    name = " ".join(filter(None, (title_of(quotation), terms.number)))
    return Document(
        title=f"{name}: {job.title}",
        author=terms.firm,
        for_whom="For the client",
        foot=str(quotation.mark),
        blocks=tuple(_blocks(quotation)),
    )


def _blocks(quotation: Quotation) -> Iterator[Block]:
    yield from heading_of(quotation, title_of(quotation))
    yield from _price(quotation)
    yield from _walls(quotation)
    yield from _ways(quotation)
    yield from _when(quotation)
    yield from _held_to(quotation)
    yield from _money(quotation)
    yield from _cautions(quotation)
    yield from _agreed(quotation)


def _agreed(quotation: Quotation) -> Sequence[Block]:
    """What is signed, named so that it says so on a page by itself too."""
    terms, formats = quotation.terms, quotation.formats
    which = " ".join(filter(None, (title_of(quotation).lower(), terms.number)))
    revision = f", revision {terms.revision}" if terms.revision else ""
    total = formats.amount(quotation.result.cost.total)
    at = "estimated at" if quotation.is_estimate else "at"
    words = f"I order the work of {which}{revision} of {formats.day(quotation.dated)}, {at} {total} with tax."
    parties = (terms.firm or "For the firm", quotation.result.job.client or "The client")
    return section("Agreed", Signatures(words, parties))


def heading_of(quotation: Quotation, title: str) -> list[Block]:
    """Who writes, to whom, about what, and when; the job's own notes."""
    job, terms, day = quotation.result.job, quotation.terms, quotation.formats.day
    facts = (
        ("For", job.client),
        ("At", job.place),
        ("Work", job.title),
        ("Number", terms.number + (f", revision {terms.revision}" if terms.revision else "")),
        ("Dated", day(quotation.dated)),
        ("Holds until", day(quotation.until)),
        ("Surveyed on", day(terms.surveyed) if terms.surveyed else ""),
    )
    return [
        Letterhead(terms.firm, terms.firm_lines, terms.logo),
        Title(title, 1),
        Facts(facts, split=3),
        *(Words(note, "small") for note in quotation.result.notes),
    ]


def _price(quotation: Quotation) -> Iterator[Block]:
    formats, result = quotation.formats, quotation.result
    words = f"{quotation.terms.kind}, tax included"
    yield Total(formats.amount(result.cost.total), capital(words))
    if quotation.sure is None:
        yield Words(FIXED)
    else:
        yield Words(" ".join(filter(None, (ROUGH, likely(quotation.sure)))))
        for said in would_change(quotation.sure):
            yield Words(said)
    yield room_table(quotation)
    yield from (Words(said) for said in result.not_priced)


def room_table(quotation: Quotation) -> Table:
    """Net, tax and with tax by room, and in all."""
    money, cost = quotation.formats.money, quotation.result.cost
    rows = [(capital(each.room), *map(money, (each.net, each.tax, each.gross))) for each in quotation.rooms]
    total = ("In all", *map(money, (cost.before_tax, cost.tax, cost.total)))
    share = quotation.formats.short(round(100 * quotation.result.job.margins.tax_share, 6))
    return Table(
        "The price by room, before tax, its tax, and with tax",
        (f"Room, amounts in {cost.currency}", "Net", f"Tax {share}{NBSP}%", "With tax"),
        (*rows, total),
        figures=(1, 2, 3),
        sums=1,
    )


def _walls(quotation: Quotation) -> Iterator[Block]:
    """Room by room, wall by wall, and what is finished beside the walls."""
    parts = {part.name: part for part in quotation.walls}
    yield Title("What is done, wall by wall")
    yield Words(
        f"Amounts are in {quotation.result.cost.currency}, before tax. Each picture shows how thick the "
        "plaster lies, all to one scale."
    )
    yield MapKey()
    for room in quotation.rooms:
        yield Title(capital(room.room), 3)
        for row in room.rows:
            if row.wall in parts:
                yield _card(parts[row.wall], quotation)
        others = [row for row in room.rows if row.wall not in parts]
        if others:
            rows = tuple((capital(row.item), quotation.formats.money(row.amount)) for row in others)
            yield Table(f"Also in {room.room}", ("Also", "Net"), rows, figures=(1,))
    untouched = [part.name for part in quotation.walls if not part.wall.worked]
    if untouched:
        yield Words(f"Left as they are: {', '.join(untouched)}.")


def _card(part: WallPart, quotation: Quotation) -> WallCard:
    facts = [("Will still show", unbroken(" ".join(part.shows)))]
    if part.when is not None:
        damp = f"; kept damp until {part.when.damp}" if part.when.damp else ""
        facts.append(("When", f"Last coat {part.when.laid}{damp}; paint from {part.when.paint}."))
    return WallCard(part.name, quotation.formats.money(part.net), f"{capital(part.done)}.", tuple(facts))


def _ways(quotation: Quotation) -> Sequence[Block]:
    judged = f"{capital(in_words.judged_by(quotation.result.job))}: {quotation.chosen.verdict}."
    chosen = Words(f"Chosen: {quotation.chosen.name}. {unbroken(quotation.chosen.words)} {judged}")
    if not quotation.ways:
        return section("The way chosen", chosen)
    others = Table(
        "Other ways of treating the walls, what each leaves and what it costs",
        ("Also considered", "What you get, and what still shows", "With tax"),
        tuple(_row(way, quotation) for way in quotation.ways),
        figures=(2,),
    )
    return section("The way chosen, and the ways considered", chosen, others)


def _row(way: ConsideredWay, quotation: Quotation) -> tuple[str, str, str]:
    price = quotation.formats.money(way.total) if way.total is not None else "–"
    name = ": ".join(filter(None, (capital(way.name), way.verdict.partition(":")[0])))
    return name, unbroken(capital(way.words)), price


def _when(quotation: Quotation) -> Sequence[Block]:
    return section("When", Facts(tuple(quotation.when.items())) if quotation.when else None)


def _held_to(quotation: Quotation) -> Iterator[Block]:
    result = quotation.result
    yield from section("How the walls were measured", points(surveyed(result.job)))
    yield from section("What is taken for given", points(assumed(result)))
    yield from section(
        "Not in the price", points([f"{capital(item)}." for item in map(_bare, quotation.excluded)])
    )


def _bare(item: str) -> str:
    """A sentence or a few words without the stop at their end."""
    return item.strip().removesuffix(".")


def _money(quotation: Quotation) -> Iterator[Block]:
    terms = quotation.terms
    paid = points(terms.payment) or Facts((("To be paid", ""),))
    yield from section("When it is paid", paid)
    yield from section("Terms", points(terms.terms))


def _cautions(quotation: Quotation) -> Sequence[Block]:
    found = cautions_for(quotation.result.job, quotation.result.walls)
    items = tuple((caution.title, caution.text, caution.source) for caution in found)
    return section(
        "To know before work begins", Warnings(items) if items else None, Words(DEFER) if items else None
    )
