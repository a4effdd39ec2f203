"""What a variation says to the client: which work changes and why, and the days that it moves."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

from mytakeoff.cost.client import hidden_figures, reads_off
from mytakeoff.figures.headline import headline
from mytakeoff.figures.in_words import days_for_client
from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.job.job_wall import JobWall
from mytakeoff.programme.programme import booked
from mytakeoff.quotation.said import capital
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.variations.client_lines import VariationLine
from mytakeoff.variations.variation import Variation

LEAST_L = 0.01  # less of it is rounding
IN_COMMON = "the part of what the work has in common"
OTHERWISE = "done in another way"
Tells = Callable[[JobWall, JobWall], bool]
WHY: tuple[tuple[str, Tells], ...] = (
    ("another size or other openings", lambda was, now: _size(was) != _size(now)),
    ("measured again", lambda was, now: was.survey.readings_digest != now.survey.readings_digest),
    ("loose plaster found otherwise", lambda was, now: was.loose != now.loose),
    ("in another room", lambda was, now: was.room != now.room),
    ("other things in the way of it", lambda was, now: _in_the_way(was) != _in_the_way(now)),
    ("other beads", lambda was, now: _beads(was) != _beads(now)),
    ("another plaster", lambda was, now: was.system != now.system),
)


def signed_amount(formats: Formats, amount: Decimal) -> str:
    """An amount with its sign, also where it is added.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> signed_amount(HOUSE, Decimal("12.5")), signed_amount(HOUSE, Decimal(0))
    ('+12.50', '0.00')
    """
    return f"+{formats.amount(amount)}" if amount > 0 else formats.amount(amount)


def standing_told(variation: Variation) -> str:
    """How a job stands against what was signed, in a sentence; titles come from anybody and are in none."""
    formats, day = variation.formats, variation.formats.day(variation.signed.signed_on)
    against = f"against what was signed on {day}"
    if not (variation.told or variation.not_counted):
        return f"The job stands as it was signed on {day}."
    if not variation.told:
        return f"Nothing of the work has changed {against}; other prices and rates since then do not count."
    return f"{signed_amount(formats, variation.gross)} with tax {against}, as variation {variation.number}."


def changes_told(variation: Variation) -> tuple[str, ...]:
    """What changes, a sentence for each piece of work, without a figure of the estimator's."""
    said = [(line, _line_told(line, variation)) for line in variation.lines]
    own = (f"{capital(line.item)}: {words}." for line, words in said if words != IN_COMMON)
    return (*own, *_beside_the_walls(variation))


def _line_told(line: VariationLine, variation: Variation) -> str:
    if not line.was:
        return f"added: {line.now}" if line.wall else "added"
    if not line.now:
        return "taken out of the work"
    if line.was != line.now:
        return f"{line.now}; it was to be {line.was}"
    return _why(line, variation) if line.wall else _how_many(line, variation)


def _why(line: VariationLine, variation: Variation) -> str:
    """Why a wall costs something else that is treated as before."""
    was, now = (result.wall(line.wall) for result in (variation.base, variation.changed))
    why = [words for words, tells in WHY if tells(was.entry, now.entry)]
    more_l = now.build_up.volume_l - was.build_up.volume_l
    if abs(more_l) >= LEAST_L:
        why.append("more plaster on it" if more_l > 0 else "less plaster on it")
    if not why:
        why = [IN_COMMON if _alike(was, now) else OTHERWISE]
    return in_a_row(why)


def _alike(was: WallResult, now: WallResult) -> bool:
    return was.entry == now.entry and was.layers == now.layers and was.rails == now.rails


def _size(entry: JobWall) -> object:
    wall = entry.wall
    return wall.width_m, wall.height_m, wall.openings, wall.fitted


def _in_the_way(entry: JobWall) -> object:
    return entry.sockets, entry.radiators, entry.fittings, entry.skirting_off_m, entry.strip


def _beads(entry: JobWall) -> object:
    return entry.edge_bead, entry.angle_bead_m, entry.stop_bead_m


def _how_many(line: VariationLine, variation: Variation) -> str:
    was, now = (
        sum(
            extra.quantity
            for extra in result.job.extras
            if (extra.item, extra.room) == (line.item, line.room)
        )
        for result in (variation.base, variation.changed)
    )
    if was == now:
        return IN_COMMON
    return "more of it" if now > was else "less of it"


def _beside_the_walls(variation: Variation) -> Iterator[str]:
    """What comes into the price or out of it and is no finished thing of a room."""
    was, now = (_named(result) for result in (variation.base, variation.changed))
    for item in (item for item in now if item not in was):
        yield f"{capital(item)}: in the price now."
    for item in (item for item in was if item not in now):
        yield f"{capital(item)}: no longer in the price."
    for item in (item for item in now if item in was and now[item] != was[item]):
        yield f"{capital(item)}: {'more' if now[item] > was[item] else 'less'} of it."


def _named(result: Result) -> dict[str, float]:
    """Things that are shared among all rows, and what goes with the work by the day."""
    site, found = result.job.site, {}
    for asked, item in ((site.travel, "travel"), (site.parking, "parking"), (site.platform, "a platform")):
        if asked:
            found[item] = 1.0
    for extra in result.job.extras:
        if not extra.room and not extra.excluded:
            found[extra.item] = found.get(extra.item, 0.0) + extra.quantity
    return found


def days_told(variation: Variation) -> tuple[tuple[str, str], ...]:
    """Days on site and the first day for paint, as signed and from now on, by what each is.

    Of days and visits no number is told that a rate could be read off beside the amounts.
    """
    counts = _may_be_told(variation)
    was, now = (_when(result, counts) for result in (variation.base, variation.changed))
    pairs = ((name, was[name], now[name]) for name in now)
    return tuple((name, _moved(before, after)) for name, before, after in pairs if before or after)


def _when(result: Result, counts: bool) -> dict[str, str]:
    """As `when_told`, but what is agreed only later."""
    programme, formats, start = booked(result), result.job.formats, result.job.calendar.start
    known = days_for_client(result, headline(result)) if counts else {}
    work = ", ".join(known[name].removesuffix(" on site") for name in ("days", "visits") if name in known)
    dates = in_a_row([formats.span(*stay) for stay in programme.stays]) if start else ""
    paint = ""
    if programme.walls:
        after = f"{counted(programme.days_to_paint, 'day')} after the first day on site"
        paint = formats.day(programme.paint_date) if start else after
    there = bool(programme.stints)
    return {"On site": "; ".join(filter(None, (work, dates))) if there else "", "Paint from": paint}


def _moved(was: str, now: str) -> str:
    if was == now:
        return f"{now}, as signed"
    return f"{now or 'none any more'}; {f'as signed: {was}' if was else 'none was signed'}"


def _may_be_told(variation: Variation) -> bool:
    """Whether no quotient of its amount, or of a total, and days or visits is a price or a rate."""
    heads = [headline(result) for result in (variation.base, variation.changed)]
    counts = {float(number) for head in heads for number in (head.site_days, head.visits)}
    amounts = {abs(float(each)) for each in (variation.gross, *(head.total for head in heads))}
    hidden = hidden_figures(variation.changed.job)
    return not any(reads_off(amount, count, hidden) for amount in amounts for count in counts)
