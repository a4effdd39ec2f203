"""The programme of a job: which day what is done, when walls are dry, and the first day for paint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from mytakeoff.audience import CLIENT, ESTIMATOR, SHOWN_TO, Audience, check_audience
from mytakeoff.chain import evaluate
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import DAY, MONTH_AND_DAY, Formats, counted, in_a_row
from mytakeoff.job.edits import without_money
from mytakeoff.job.job import Job
from mytakeoff.labour.schedule import Booking, Schedule, schedule
from mytakeoff.labour.waits import Step
from mytakeoff.programme.gaugings import set_too_soon
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult

if TYPE_CHECKING:
    import pandas as pd

CACHE_SIZE = 16  # programmes kept: each holds every wall of its job
COLUMNS = (
    "day", "from", "to", "room", "wall", "task", "plasterer_h", "quantity", "unit", "mix", "litres",
    "dry_kg", "gaugings", "water_l", "wait_h", "waits_for", SHOWN_TO,
)  # fmt: skip
CLIENT_COLUMNS = ("day", "room", "wall", "what", "waits_until", "waits_for", SHOWN_TO)


@dataclass(frozen=True)
class Stint:
    """Work on one step without a night or a break between.

    Parameters
    ----------
    step : Step
    begins, ends : datetime
    share : float
        Of the step's hours, done in this stint [-].
    gaugings : int
        Mixed in it; litres and weights go by them [-].
    visit : int
        1 for the first time on site.
    last : bool
        The step is done with it, so that its wait begins.
    """

    step: Step
    begins: datetime
    ends: datetime
    share: float
    gaugings: int
    visit: int
    last: bool

    @property
    def day(self) -> date:
        """The day it is done on."""
        return self.begins.date()

    @property
    def hours(self) -> float:
        """Of a plasterer, as they are priced; its times are these to the quarter hour [h]."""
        return self.step.hours * self.share

    @property
    def mixed_share(self) -> float:
        """Of the step's plaster, mixed and laid in this stint [-]."""
        return self.gaugings / self.step.gaugings if self.step.gaugings else 0.0

    @property
    def ready(self) -> datetime | None:
        """Until when is waited after it; None where nothing is waited for."""
        waits = self.last and self.step.wait_h > 0
        return self.ends + timedelta(hours=self.step.wait_h) if waits else None


@dataclass(frozen=True)
class WallDates:
    """When one wall has its last coat, need not be kept damp any more, is dry, and can be painted."""

    wall: str
    room: str
    laid: datetime
    cured: datetime
    dry: datetime
    paint: date


@dataclass(frozen=True)
class Day:
    """One working day on site: its stints in the order of the clock."""

    on: date
    stints: tuple[Stint, ...]

    @property
    def ends(self) -> tuple[Stint, ...]:
        """The last stint of each task on each wall: breaks part no task of a day."""
        return tuple({(s.step.room, s.step.wall, s.step.task): s for s in self.stints}.values())

    @property
    def gaugings(self) -> int:
        """Bucketfuls mixed [-]."""
        return sum(stint.gaugings for stint in self.stints)

    @property
    def water_l(self) -> float:
        """Mixing water [l]."""
        return sum(stint.step.water_l * stint.mixed_share for stint in self.stints)

    @property
    def hours(self) -> float:
        """Of a plasterer, cleaning up not counted [h]."""
        return sum(stint.hours for stint in self.stints)


@dataclass(frozen=True, eq=False)
class Programme:
    """When the work of a job is done.

    Parameters
    ----------
    job : Job
        With the calendar that it follows.
    schedule : Schedule
        The same by hours since midnight of the calendar's first day.
    work_days : float
        Plasterers' hours in the price ÷ (plasterers × hours a day) [d].
    missing : tuple of str
        Walls that are not in it, because they cannot be plastered as the job has it.
    why_missing : tuple of Mistake
        What has to be put right before they can.

    Notes
    -----
    One crew works on one thing at a time, by working hours, to the quarter hour; what rounding leaves over is
    made up for by the steps that follow. What sets, cures or dries does so by nights and weekends too.
    Cleaning up is taken off the end of each day. Its days and visits are those in the price.
    """

    job: Job
    schedule: Schedule
    work_days: float
    missing: tuple[str, ...] = ()
    why_missing: tuple[Mistake, ...] = ()

    @cached_property
    def stints(self) -> tuple[Stint, ...]:
        """All work in the order of the clock: nights and breaks part the stints of a step."""
        return tuple(stint for booking in self.schedule.bookings for stint in self._stints_of(booking))

    def _stints_of(self, booking: Booking) -> Iterator[Stint]:
        step, clock = booking.step, self.schedule.clock
        whole_h = sum(end - start for start, end in booking.spans)
        done, mixed = 0.0, 0
        for nth, (start, end) in enumerate(booking.spans, start=1):
            last = nth == len(booking.spans)
            share = (end - start) / whole_h if whole_h else 1.0
            done += share
            so_far = step.gaugings if last else round(done * step.gaugings)
            begins, ends = clock.moment(start), clock.moment(end)
            yield Stint(step, begins, ends, share, so_far - mixed, booking.visit, last)
            mixed = so_far

    @cached_property
    def days(self) -> tuple[Day, ...]:
        """Every day on which the crew is on site."""
        by_day: dict[date, list[Stint]] = {}
        for stint in self.stints:
            by_day.setdefault(stint.day, []).append(stint)
        return tuple(Day(on, tuple(stints)) for on, stints in by_day.items())

    @cached_property
    def walls(self) -> tuple[WallDates, ...]:
        """The dates of each wall that is plastered, in the job's order."""
        clock, rooms = self.schedule.clock, {wall.name: wall.room for wall in self.job.walls}
        return tuple(
            WallDates(
                name, rooms[name], clock.moment(each.laid_h), clock.moment(each.cured_h),
                clock.moment(each.dry_h), clock.day_after(each.dry_h),
            )
            for name, each in self.schedule.dried.items()
        )  # fmt: skip

    @property
    def first_day(self) -> date:
        """The first day on site: the calendar's, or the first after it that is worked on."""
        return self.days[0].on if self.days else self.job.calendar.first_day

    @property
    def last_day(self) -> date:
        """The last day on site: where plaster is laid, that of the check."""
        return self.days[-1].on if self.days else self.first_day

    @property
    def paint_date(self) -> date:
        """The earliest day on which every wall can take paint."""
        if self.walls:
            return max(wall.paint for wall in self.walls)
        clock, bookings = self.schedule.clock, self.schedule.bookings
        return clock.day_after(bookings[-1].end_h) if bookings else self.first_day

    @property
    def days_to_paint(self) -> int:
        """From the first day on site to that day [d]."""
        return (self.paint_date - self.first_day).days

    @property
    def paint_from(self) -> date | None:
        """`paint_date`; None where no wall is plastered, so that none is painted after it."""
        return self.paint_date if self.walls else None

    @property
    def days_on_site(self) -> int:
        """Days of the calendar on which somebody works [-]."""
        return self.schedule.site_days

    @property
    def visits(self) -> int:
        """Stays on site without a gap of more than half a working day; a day that ends early is none [-]."""
        return self.schedule.visits

    @cached_property
    def stays(self) -> tuple[tuple[date, date], ...]:
        """The first and the last day of each visit."""
        by_visit: dict[int, list[date]] = {}
        for stint in self.stints:
            by_visit.setdefault(stint.visit, []).append(stint.day)
        return tuple((days[0], days[-1]) for days in by_visit.values())

    def __str__(self) -> str:
        return self.in_words()

    @property
    def missing_words(self) -> str:
        """Which walls it leaves out."""
        return f"not in it yet: {', '.join(self.missing)}" if self.missing else ""

    def in_words(self, audience: Audience = ESTIMATOR) -> str:
        """How much work, on which days, and the first day for paint, as every screen and file says it.

        Parameters
        ----------
        audience : "estimator" or "client"
            The client reads on how many days somebody comes, not how much work it is: those are hours.

        Returns
        -------
        str
            As in "8½ days' work on 11 days, in 2 visits, 1 to 12 Mar and 29 Apr; paint from 29 Apr". The year
            is said where days lie in more than one; of a job that does not say when it begins no date is.
        """
        return "; ".join(filter(None, (self._in_words(audience), self.missing_words)))

    def _in_words(self, audience: Audience) -> str:
        if not self.stints:
            return "no work"
        formats, paint = self.job.formats, self.paint_from
        worked, on_site, visits = days_of_work(self.work_days, self.days_on_site, self.visits, formats)
        said = f"{on_site} on site" if audience == CLIENT else f"{worked} on {on_site}"
        said += f", in {visits}"
        if self.job.calendar.start is None:
            return said + (f"; paint {counted(self.days_to_paint, 'day')} after the first" if paint else "")
        years = len({self.first_day.year, self.last_day.year, (paint or self.last_day).year}) > 1
        dates = in_a_row([formats.span(*stay, year=years) for stay in self.stays])
        when = f"; paint from {formats.day(paint, DAY if years else MONTH_AND_DAY)}" if paint else ""
        return f"{said}, {dates}{when}"

    def to_frame(self, audience: Audience = ESTIMATOR) -> pd.DataFrame:
        """The programme as a table, for the file.

        Parameters
        ----------
        audience : "estimator" or "client"

        Returns
        -------
        pandas.DataFrame
            One row a stint, columns day, from, to, room, wall, task, plasterer_h, quantity, unit, mix,
            litres, dry_kg, gaugings, water_l, wait_h, waits_for and shown_to; a wait stands in the row that
            it begins after. The client's: one row for what is done on a wall on a day, with what is waited
            for beyond that day, and one for its first day for paint; columns day, room, wall, what,
            waits_until, waits_for and shown_to. A wall that is missing has one row without a day.

        Raises
        ------
        TakeoffError
            Another audience.
        """
        import pandas as pd

        check_audience(audience)
        missing = [(w.room, w.name, "not planned yet") for w in self.job.walls if w.name in self.missing]
        if audience == CLIENT:
            said = sorted(self._client_rows(), key=lambda row: row[0])
            said += [("", *wall, "", "", CLIENT) for wall in missing]
            return pd.DataFrame(said, columns=list(CLIENT_COLUMNS))
        rows = [_row(stint) for stint in self.stints]
        rows += [(*[None] * 3, *wall, *[None] * 10, ESTIMATOR) for wall in missing]
        return pd.DataFrame(rows, columns=list(COLUMNS))

    def _client_rows(self) -> Iterator[tuple[str, ...]]:
        for day in self.days:
            for stint in day.ends:
                until = stint.ready.date() if stint.ready else day.on
                wait = (until.isoformat(), waits_for(stint.step)) if until > day.on else ("", "")
                yield day.on.isoformat(), stint.step.room, stint.step.wall, stint.step.task, *wait, CLIENT
        for wall in self.walls:
            if wall.cured > wall.laid:
                damp = wall.cured.date().isoformat(), "plaster hardens"
                yield wall.laid.date().isoformat(), wall.room, wall.wall, "keep it damp", *damp, CLIENT
            yield wall.paint.isoformat(), wall.room, wall.wall, "paint from this day", "", "", CLIENT


def waits_for(step: Step) -> str:
    """What is waited for after a step, as a client reads it: a product's name says nothing there.

    Examples
    --------
    >>> from mytakeoff.job.catalogue import LIGHT_GYPSUM
    >>> waits_for(Step("float backing", "A", "hall", 3.0, why="light gypsum backing sets", mix=LIGHT_GYPSUM))
    'plaster sets'
    """
    return step.why.replace(step.mix.name, "plaster") if step.mix else step.why


def days_of_work(work_days: float, site_days: int, visits: int, formats: Formats) -> tuple[str, str, str]:
    """How much work it is [d], on how many days somebody comes [d], and how often [-].

    Examples
    --------
    >>> days_of_work(8.5, 11, 2, Formats())
    ("8½ days' work", '11 days', '2 visits')
    """
    unit = "days' work" if work_days > 1 else "day's work"
    return f"{formats.days(work_days)} {unit}", counted(site_days, "day"), counted(visits, "visit")


def _row(stint: Stint) -> tuple[object, ...]:
    step, share, mixed = stint.step, stint.share, stint.mixed_share
    waits = stint.ready is not None
    return (
        stint.day.isoformat(), f"{stint.begins:%H:%M}", f"{stint.ends:%H:%M}", step.room, step.wall,
        step.task, round(stint.hours, 2), round(step.quantity * share, 2), step.unit,
        step.mix.name if step.mix and stint.gaugings else "", round(step.litres * mixed, 1),
        round(step.dry_kg * mixed, 1), stint.gaugings, round(step.water_l * mixed, 1),
        round(step.wait_h, 1) if waits else 0.0, step.why if waits else "", ESTIMATOR,
    )  # fmt: skip


def work_programme(result: Result, start: date | None = None) -> Programme:
    """The programme of a job.

    Parameters
    ----------
    result : Result
        Of the job in the way it is to be done: see `carry` for another way.
    start : date or None
        First day; None: the job's own, or a Monday that is not said.

    Returns
    -------
    Programme

    Raises
    ------
    TakeoffError
        On every wall a pot life in which not even the smallest gauging can be laid (some walls are missing
        and named); hours or a calendar in which nothing can be done: all that can be found at once.
    """
    missing, why = set_too_soon(result)
    left = [wall for wall in result.walls if wall.entry.name not in missing]
    if missing and not any(wall.worked for wall in left):
        raise TakeoffError(*why)
    if not missing:
        return booked(result, start)
    others = evaluate(replace(result.job, only=tuple(wall.entry.name for wall in left)))
    return replace(booked(others, start), missing=missing, why_missing=why)


def booked(result: Result, start: date | None = None) -> Programme:
    """`work_programme` without asking whether its gaugings can be laid: the days that headlines speak of.

    It is remembered; its job comes without prices, margins and packs, which leave the days as they are.
    """
    job = without_money(result.job)
    if start is not None:
        job = replace(job, calendar=replace(job.calendar, start=start))
    return _booked(job, result.walls, result.days)


@lru_cache(maxsize=CACHE_SIZE)
def _booked(job: Job, walls: tuple[WallResult, ...], work_days: float) -> Programme:
    return Programme(job, schedule(job, [wall for wall in walls if wall.worked]), work_days)
