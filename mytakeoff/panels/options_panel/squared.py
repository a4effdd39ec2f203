"""Corners and widths: what it costs and gains that rooms come square, in words for either reader."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.audience import CLIENT, Audience
from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.formats.inches import NBSP
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import FLOAT_PLUMB
from mytakeoff.options.compare import SQUARE_IN_ROOM
from mytakeoff.options.result import OptionResult
from mytakeoff.panels.parts.html import Html, element, joined, message, paragraphs, table
from mytakeoff.rooms.planes import FoundWidth, SquaredCorner
from mytakeoff.treatment.squaring import Squaring, ToleranceSaves, squaring, tolerance_saves

NOTHING = (
    "No corner of a room was measured between walls that were read off plumb planes. Once one is, what it "
    "costs to have the walls square stands here."
)
EXACT = "exact"
LOST_M2 = 0.005


def told_steps(job: Job, done: Sequence[OptionResult], audience: Audience) -> Iterator[Html | None]:
    """Everything about the rooms that may come square, last; None after each piece of work."""
    told: list[str] = [price_words(done)] if price_words(done) else []
    for room in job.rooms:
        try:
            found = squaring(job, room.name)
            yield None
            saves = tolerance_saves(job, found) if found is not None and audience != CLIENT else ()
        except TakeoffError as error:
            told.append(message(f"{room.name} cannot come square: {error}"))
            continue
        if found is not None:
            told.append(room_words(job, found, saves, audience))
    yield joined(told) if told else message(NOTHING)


def price_words(done: Sequence[OptionResult]) -> Html:
    """What the whole price is square and plumb, as both stand in the table."""
    by_name = {option.name: option for option in done}
    square, plumb = by_name.get(SQUARE_IN_ROOM.name), by_name.get(FLOAT_PLUMB)
    if square is None or plumb is None:
        return Html("")
    formats = square.result.job.formats
    more = square.total - plumb.total
    said = f"{formats.amount(abs(more), 0)} {'more' if more >= 0 else 'less'} than"
    if more == 0:
        said = "the same as"
    return message(
        f"Square in the room the walls come to {formats.amount(square.total, 0)} with tax, {said} plumb with "
        "each wall by itself."
    )


def room_words(job: Job, found: Squaring, saves: Sequence[ToleranceSaves], audience: Audience) -> Html:
    """One room: its corners, its widths, the floor that is lost, and for the estimator what each costs."""
    client, formats = audience == CLIENT, job.formats
    parts = [element("h3", found.planes.room), _corners(found, formats, client)]
    if found.widths:
        parts.append(_widths(found, formats))
    if found.floor_lost_m2 >= LOST_M2:
        lost = formats.number(found.floor_lost_m2, 2)
        parts.append(message(f"Square walls take {lost} m² of floor more than plumb ones."))
    if not client:
        parts += [_saves(saves, formats), paragraphs(found.planes.notices)]
    return joined(parts)


def _corners(found: Squaring, formats: Formats, client: bool) -> Html:
    head = ["corner", "wanted", "each wall by itself", "square in the room"]
    head += [] if client else ["left free, litres less", "to fill", "asked for alone, litres more", "to fill"]
    rows = []
    for each in found.corners:
        square = each.square
        row = [f"{square.wall} and {square.next_wall}", _angle(square.wanted_deg, formats)]
        row += [_stands(each.by_itself, formats), _stands(square, formats)]
        if not client:
            row += [formats.number(square.costs_l, 1), _money(each.price, formats)]
            row += [formats.number(square.alone_l, 1), _money(each.alone_price, formats)]
        rows.append(row)
    return _wide(table(head, rows, "mt-figures", "Corners"), "Corners")


def _stands(corner: SquaredCorner, formats: Formats) -> str:
    """The angle of a corner, and how far off it is over a metre."""
    if corner.got_deg is None or corner.off_mm_per_m is None:
        return "not known"
    off = corner.off_mm_per_m
    if abs(off) < 0.05:
        return f"{_angle(corner.got_deg, formats)}, {EXACT}"
    by = f"{formats.slope(abs(off), places=1)} too {'wide' if off > 0 else 'narrow'}"
    return f"{_angle(corner.got_deg, formats)}, {by}"


def _money(price: float, formats: Formats) -> str:
    """An amount that stays on one line."""
    return formats.amount(price, 0).replace(" ", NBSP)


def _angle(degrees: float, formats: Formats) -> str:
    return f"{formats.fixed(degrees, 2)}°"


def _widths(found: Squaring, formats: Formats) -> Html:
    head = ["what has to fit", "needs", "each wall by itself", "square in the room", "known to ±", "fits"]

    def left(width: FoundWidth) -> str:
        return "not known" if width.got_mm is None else formats.depth(width.got_mm, places=0, grouped=False)

    rows = (
        (
            square.asked.name,
            formats.depth(square.asked.needs_mm, places=0, grouped=False),
            left(alone),
            left(square),
            formats.depth(square.known_mm, places=0, grouped=False),
            {True: "yes", False: "no", None: "not known"}[square.kept],
        )
        for square, alone in found.widths
    )
    return _wide(table(head, rows, "mt-figures", "Widths that must remain"), "Widths that must remain")


def _saves(saves: Sequence[ToleranceSaves], formats: Formats) -> Html:
    head = ("corners may differ by", "litres less", "to fill")
    rows = (
        (
            formats.slope(each.tolerance_mm_per_m),
            formats.number(each.litres, 1),
            _money(each.price, formats),
        )
        for each in saves
    )
    return _wide(table(head, rows, "mt-figures", "What a tolerance saves"), "What a tolerance saves")


def _wide(content: Html, label: str) -> Html:
    return element("div", content, css="mt-wide-table", tabindex="0", role="region", aria_label=label)
