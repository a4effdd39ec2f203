"""Hours on site: what the rates of `labour` make of the walls.

Fixed parts (set-up, visits, clean-up, patches) and parts by m², m and piece; each wall by its own factor for
size, height and stairs.

Notes
-----
Hours, visits and days in the price are those of the programme: they come from the same pieces of work and
from its schedule, by the job's own calendar or, where that has no start, from a Monday. The crew cleans up on
each day that it works.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from mytakeoff.formats.formats import Formats, counted
from mytakeoff.job.job import Job
from mytakeoff.job.mixing import whole
from mytakeoff.job.rates import LabourRates
from mytakeoff.labour.pieces import TASKS, WorkPiece, check_rates, wall_factor, wall_pieces
from mytakeoff.labour.schedule import Schedule, schedule
from mytakeoff.measure.line import without_zeros
from mytakeoff.measure.wall_measures import Measures, measure_wall, storey_of
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import decimal_of, round_money

NOTHING = 1e-9
HALF_DAYS = "to whole half days"
COUNTED = ("room", "visit", "day", "piece")


@dataclass(frozen=True)
class Task:
    """A plasterer's work: how much of it, the hours it takes with all factors, what they come from.

    `quantity` is in `unit` [-], `hours` are person-hours of a plasterer [h], `site_mixed_h` those of them in
    which something is laid that is mixed on site [h]; `more` says what the quantity does not.
    """

    name: str
    quantity: float
    unit: str
    hours: float
    basis: str
    site_mixed_h: float = 0.0
    more: str = ""

    def said(self, formats: Formats) -> str:
        """The task and how much of it there is, in words.

        Examples
        --------
        >>> from mytakeoff.formats.formats import HOUSE
        >>> Task("rails", 42.4, "m", 8.4, "").said(HOUSE), Task("set up", 1, "room", 1, "").said(HOUSE)
        ('rails, 42 m', 'set up, 1 room')
        """
        if self.more:
            return f"{self.name}: {self.more}"
        if self.unit in COUNTED:
            count = formats.days(self.quantity)
            return f"{self.name}, {count} {_units(self.unit, self.quantity)}"
        return f"{self.name}, {formats.number(self.quantity, 0 if self.quantity >= 10 else 1)} {self.unit}"


def _units(unit: str, quantity: float) -> str:
    """A unit as it follows its quantity: what is counted has a plural."""
    return f"{unit}s" if unit in COUNTED and quantity > 1 else unit


def labour_hours(
    job: Job, walls: Sequence[WallResult], measures: Sequence[Measures] | None = None
) -> tuple[Task, ...]:
    """A plasterer's hours by task, rounded up to half days by a task of its own.

    Parameters
    ----------
    job : Job
        For rates, rails, rooms and the opening rule.
    walls : sequence of WallResult
    measures : sequence of Measures or None
        Of the same walls, where they are at hand.

    Returns
    -------
    tuple of Task
        In the order of the work; empty without walls. The hours add up to whole half days of the crew.

    Raises
    ------
    TakeoffError
        Something is laid that has no labour rate.
    """
    if not walls:
        return ()
    measures = measures or [measure_wall(job, wall) for wall in walls]
    check_rates(walls, measures)
    planned = schedule(job, walls)
    tasks = [*_room_tasks(job, walls, planned.returns), *_wall_tasks(job, walls, measures)]
    tasks.append(_clean_up(planned, job.rates, job.formats))
    if job.rates.least_half_days > 0:
        tasks.append(_round_up(tasks, job.rates, job.formats))
    return tuple(task for task in tasks if task.hours > NOTHING)


def _room_tasks(job: Job, walls: Sequence[WallResult], visits: Mapping[str, int]) -> list[Task]:
    """Set-up by room, return visits by room."""
    formats, rates, rooms = job.formats, job.rates, list(dict.fromkeys(wall.entry.room for wall in walls))
    short = formats.short
    stairs = {room: rates.storey_factor ** storey_of(job, room) for room in rooms}
    set_up = rates.room_set_up_h * sum(stairs.values())
    again = rates.return_visit_h * sum(visits[room] * stairs[room] for room in rooms)
    said = ", ".join(f"{room} {visits[room]}" for room in rooms)
    rooms_said = f"{short(rates.room_set_up_h)} h for each of {', '.join(rooms)}, more by floors"
    return [
        Task("set up", len(rooms), "room", set_up, rooms_said),
        Task(
            "return visits",
            sum(visits.values()),
            "visit",
            again,
            f"after long waits and when dry, as the programme has it: {said}; × "
            f"{short(rates.return_visit_h)} h",
            more=said,
        ),
    ]


def _wall_tasks(job: Job, walls: Sequence[WallResult], measured: Sequence[Measures]) -> list[Task]:
    """The pieces of all walls, each by its wall's factor, added up by task."""
    by_task: dict[str, list[tuple[WorkPiece, float]]] = {}
    for wall, measures in zip(walls, measured, strict=True):
        factor = wall_factor(wall.entry, measures.storey, job.rates)
        for piece in wall_pieces(job, wall, measures):
            by_task.setdefault(piece.task, []).append((piece, factor))
    order = {name: place for place, name in enumerate(TASKS)}
    return [
        _added_up(name, by_task[name], job.formats) for name in sorted(by_task, key=lambda name: order[name])
    ]


def _added_up(name: str, parts: Iterable[tuple[WorkPiece, float]], formats: Formats) -> Task:
    parts = list(parts)
    bare, hours = sum(p.hours for p, _ in parts), sum(p.hours * factor for p, factor in parts)
    by_rate: dict[str, float] = {}
    for piece, _ in parts:
        by_rate[piece.rate] = by_rate.get(piece.rate, 0.0) + piece.quantity
    unit = parts[0][0].unit
    said = "; ".join(
        f"{formats.exact(without_zeros(round_money(decimal_of(quantity))))} {_units(unit, quantity)}, {rate}"
        for rate, quantity in by_rate.items()
        if quantity > 0 or len(by_rate) == 1
    )
    basis = f"{said}: {formats.number(bare, 2)} h"
    if hours > bare + 0.005:
        basis += f"; small, narrow or high walls and stairs add {formats.number(hours - bare, 2)} h"
    site_mixed = sum(
        p.hours * factor for p, factor in parts if p.mix is not None and p.mix.recipe is not None
    )
    return Task(name, sum(by_rate.values()), unit, hours, basis, site_mixed)


def _clean_up(planned: Schedule, rates: LabourRates, formats: Formats) -> Task:
    days = planned.site_days
    basis = f"{counted(days, 'day')} on site × {formats.short(rates.clean_up_h_per_day)} h"
    return Task("clean up", days, "day", days * rates.clean_up_h_per_day, basis)


def _round_up(tasks: Sequence[Task], rates: LabourRates, formats: Formats) -> Task:
    """What is missing to whole half days of the crew, and to the least that a job is charged."""
    hours, half_day_h = sum(task.hours for task in tasks), rates.day_h * rates.crew / 2
    half_days = max(whole(hours / half_day_h), rates.least_half_days)
    over = hours - (half_days - 1) * half_day_h
    if over <= 0:
        why, more = f"at least {counted(half_days, 'half day')} are charged", "the least that is charged"
    elif half_days == 1:
        why, more = "the first half day", f"{formats.number(over, 1)} h of the first"
    else:
        more = f"{formats.number(over, 1)} h over"
        why = f"{formats.number(over, 2)} h over {counted(half_days - 1, 'half day')}: another half day"
    basis = (
        f"{formats.number(hours, 2)} h, {why}; {counted(half_days, 'half day')} of "
        f"{formats.short(half_day_h)} h"
    )
    return Task(HALF_DAYS, half_days, "half day", half_days * half_day_h - hours, basis, more=more)
