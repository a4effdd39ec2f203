"""The programme of a job: which day what is done, when walls are dry, and the first day for paint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.errors import Check
from mytakeoff.formats import say
from mytakeoff.job.job import Job
from mytakeoff.labour.schedule import Booking, Schedule, schedule
from mytakeoff.labour.waits import Step
from mytakeoff.measure.materials import pot_litres
from mytakeoff.result import Result

if TYPE_CHECKING:
    import pandas as pd

COLUMNS = (
    "day", "from", "to", "room", "wall", "task", "plasterer_h", "quantity", "unit", "mix", "litres",
    "dry_kg", "gaugings", "water_l", "wait_h", "waits_for",
)  # fmt: skip


@dataclass(frozen=True)
class Stint:
    """Work on one step within one day.

    Parameters
    ----------
    step : Step
    begins, ends : datetime
    share : float
        Of the step, done in this stint [-].
    gaugings : int
        Mixed in it [-].
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
        """Of a plasterer [h]."""
        return self.step.hours * self.share


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
    def gaugings(self) -> int:
        """Bucketfuls mixed [-]."""
        return sum(stint.gaugings for stint in self.stints)

    @property
    def water_l(self) -> float:
        """Mixing water [l]."""
        return sum(stint.step.water_l * stint.share for stint in self.stints)

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

    Notes
    -----
    One crew works on one thing at a time, by working hours; what sets, cures or dries does so by nights and
    weekends too. Cleaning up is taken off the end of each day. Its visits are those in the price.
    """

    job: Job
    schedule: Schedule

    @cached_property
    def stints(self) -> tuple[Stint, ...]:
        """All work, a stint a day for each step, in the order of the clock."""
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
    def days_on_site(self) -> int:
        """Days on which the crew comes, for some hours or all day [-]."""
        return len(self.days)

    @property
    def visits(self) -> int:
        """Times the crew comes to the site and stays until it has to wait [-]."""
        return self.stints[-1].visit if self.stints else 0

    def __str__(self) -> str:
        day = self.job.formats.day
        return (
            f"{self.days_on_site} days on site in {self.visits} visits, {day(self.first_day)} to "
            f"{day(self.last_day)}; paint from {day(self.paint_date)}"
        )

    def to_frame(self) -> pd.DataFrame:
        """One row a stint, for the file.

        Returns
        -------
        pandas.DataFrame
            Columns day, from, to, room, wall, task, plasterer_h, quantity, unit, mix, litres, dry_kg,
            gaugings, water_l, wait_h and waits_for; a wait stands in the row that it begins after.
        """
        import pandas as pd

        return pd.DataFrame([_row(stint) for stint in self.stints], columns=list(COLUMNS))


def _row(stint: Stint) -> tuple[object, ...]:
    step, share = stint.step, stint.share
    waits = stint.last and step.wait_h > 0
    return (
        stint.day.isoformat(), f"{stint.begins:%H:%M}", f"{stint.ends:%H:%M}", step.room, step.wall,
        step.task,
        round(stint.hours, 2), round(step.quantity * share, 2), step.unit, step.mix.name if step.mix else "",
        round(step.litres * share, 1), round(step.dry_kg * share, 1), stint.gaugings,
        round(step.water_l * share, 1), round(step.wait_h, 1) if waits else 0.0, step.why if waits else "",
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
        A pot life in which not even the smallest gauging can be laid; hours or a calendar in which nothing
        can be done: all that can be found at once.
    """
    check_gaugings(result)
    return booked(result, start)


def booked(result: Result, start: date | None = None) -> Programme:
    """`work_programme` without asking whether its gaugings can be laid, for comparing dates only."""
    job = result.job
    if start is not None:
        job = replace(job, calendar=replace(job.calendar, start=start))
    return Programme(job, schedule(job, [wall for wall in result.walls if wall.worked]))


def check_gaugings(result: Result) -> None:
    """See that each mix can be laid before it sets in the bucket.

    Raises
    ------
    TakeoffError
        A pot life shorter than one gauging, for each such mix.
    """
    rates, least_l = result.job.rates, result.job.calendar.least_gauging_l
    check = Check("programme")
    pairs = {(layer.mix, layer.role) for wall in result.walls for layer in wall.layers}
    for mix, role in sorted(pairs, key=lambda pair: (pair[0].name, pair[1])):
        pot_l = pot_litres(mix, role, rates)
        check.that(
            pot_l >= least_l,
            f"{mix.name}: {say(pot_l, 1)} l laid within its pot life of {mix.pot_life_min:g} minutes",
            f"one gauging, {least_l:g} l at least, is laid before it sets in the bucket",
            "take a larger crew or a mix that stays open longer, or write a smaller least gauging",
            f"mix {mix.name!r} as {role}",
        )
    check.done()
