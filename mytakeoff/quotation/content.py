"""What a quotation says, worked out once: its pages on paper and on screen and its sheets read it here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.job.choices import QuotationTerms
from mytakeoff.options import in_words
from mytakeoff.options.compare import AS_THE_JOB, WALL_BY_WALL, carry, compare, options_of, remains_of
from mytakeoff.options.result import OptionResult, Refused
from mytakeoff.options.what_is_left import Remains
from mytakeoff.quotation.days import WallWhen, walls_when, when_told
from mytakeoff.quotation.fingerprint import Mark, fingerprint_of
from mytakeoff.quotation.said import still_shows
from mytakeoff.quotation.sums import RoomSum, room_sums
from mytakeoff.ranges.job_ranges import JobRanges, job_ranges
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult

ESTIMATE = "estimate"


@dataclass(frozen=True, eq=False)
class WallPart:
    """One wall: its result and what is left on it, what is done, what still shows, when it takes paint."""

    wall: WallResult
    left: Remains
    done: str
    net: Decimal
    shows: tuple[str, ...]
    when: WallWhen | None

    @property
    def name(self) -> str:
        """The wall's name."""
        return self.wall.entry.name


@dataclass(frozen=True)
class ConsideredWay:
    """A way of treating the walls that was considered: price with tax, None where it cannot be done here."""

    name: str
    total: Decimal | None
    words: str
    verdict: str


@dataclass(frozen=True, eq=False)
class Quotation:
    """All that a quotation says.

    Parameters
    ----------
    result : Result
        What is quoted.
    terms : QuotationTerms
    mark : Mark
        What it is traced by.
    dated, until : date
        Its day, and the last on which it holds.
    rooms : tuple of RoomSum
        They add up to the total to the cent.
    walls : tuple of WallPart
    chosen : ConsideredWay
    ways : tuple of ConsideredWay
        The others that were considered.
    when : mapping of str to str
        Days on site and the first day for paint, by what each is.
    sure : JobRanges or None
        How sure an estimate is; None for a fixed price, which prints no range.
    """

    result: Result
    terms: QuotationTerms
    mark: Mark
    dated: date
    until: date
    rooms: tuple[RoomSum, ...]
    walls: tuple[WallPart, ...]
    chosen: ConsideredWay
    ways: tuple[ConsideredWay, ...]
    when: dict[str, str]
    sure: JobRanges | None

    @property
    def formats(self) -> Formats:
        """How numbers and days are written in it."""
        return self.result.job.formats

    @property
    def is_estimate(self) -> bool:
        """Whether it is an estimate, and no fixed price."""
        return self.terms.kind == ESTIMATE

    @property
    def excluded(self) -> tuple[str, ...]:
        """What is not in the price: what the job leaves out, and what the user names."""
        return (*self.result.cost.excluded, *self.terms.exclusions)


def quotation_of(result: Result, today: date, version: str) -> Quotation:
    """The quotation of a job.

    Parameters
    ----------
    result : Result
    today : date
        Stands on it where the job says no day.
    version : str
        Of the program.

    Raises
    ------
    TakeoffError
        No wall is priced, nothing is done to any, or what lies between the readings is still worked out.
    """
    check_quotable(result)
    job, terms = result.job, result.job.quotation
    dated = terms.dated or today
    chosen, others = _ways(result)
    return Quotation(
        result=result,
        terms=terms,
        mark=Mark(version, fingerprint_of(job)),
        dated=dated,
        until=dated + timedelta(days=terms.valid_days),
        rooms=room_sums(result.cost, job.margins.tax_share),
        walls=_walls(chosen),
        chosen=_way(chosen),
        ways=tuple(_way(other) for other in others),
        when=when_told(result),
        sure=job_ranges(result) if terms.kind == ESTIMATE else None,
    )


def check_quotable(result: Result) -> None:
    """See that there is something to quote, and that its price is the last word.

    Raises
    ------
    TakeoffError
        See `quotation_of`.
    """
    found, remedy = "", "read a wall, and have it priced"
    if not result.walls:
        found = "no wall is priced"
    elif not any(wall.worked for wall in result.walls):
        found, remedy = "nothing is done to any wall", "choose a way of treating the walls"
    elif result.held:
        found, remedy = "what lies between the readings is being worked out", "wait a moment and press again"
    if found:
        raise TakeoffError(Mistake(found, "a quotation says a price for work on walls", remedy, "quotation"))


def _ways(result: Result) -> tuple[OptionResult, list[OptionResult | Refused]]:
    """The way that the job has, by its name, and the others that may be considered beside it."""
    job = result.job
    named = next((way for way in options_of(job) if carry(job, way) == job), job.treatment)
    own = any(wall.treatment is not None for wall in job.walls)
    treatment = None if own else named
    name = treatment.name if treatment is not None else WALL_BY_WALL if own else AS_THE_JOB
    remains = tuple(remains_of(job, wall) for wall in result.walls)
    chosen = OptionResult(name, result, remains, treatment)
    others = [way for way in compare(replace(job, scenarios=())) if way.name != name]
    return chosen, [way for way in others if isinstance(way, Refused) or way.total > 0]


def _way(option: OptionResult | Refused) -> ConsideredWay:
    if isinstance(option, Refused):
        return ConsideredWay(option.name, None, "cannot be done on these walls", "")
    words = f"{in_words.sentence(option)} {in_words.room_lost(option)}"
    return ConsideredWay(option.name, option.total, words, in_words.verdict(option))


def _walls(chosen: OptionResult) -> tuple[WallPart, ...]:
    result = chosen.result
    rows = {row.wall: row for row in result.cost.client_rows if row.wall}
    when = walls_when(result)
    return tuple(
        WallPart(
            wall,
            left,
            rows[wall.entry.name].item.removeprefix(f"{wall.entry.name}: ")
            if wall.entry.name in rows
            else "left as it is",
            rows[wall.entry.name].amount if wall.entry.name in rows else Decimal(0),
            still_shows(chosen, wall, left),
            when.get(wall.entry.name),
        )
        for wall, left in zip(chosen.walls, chosen.remains, strict=True)
    )
