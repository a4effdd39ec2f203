"""The programme as a calendar file (RFC 5545): each day on site, days of keeping damp, days for paint."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from icalendar import Calendar, Event

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience, check_name, first_line
from mytakeoff.formats.formats import HOUSE, MONTH_AND_DAY, Formats
from mytakeoff.io.files.atomic import write_all
from mytakeoff.labour.waits import Step
from mytakeoff.programme.programme import Day, Programme, Stint, WallDates, waits_for

PRODUCT = "-//mytakeoff//programme//EN"
NAMES = uuid.UUID("5f2d3a0e-6c1b-4f0e-9d57-0d8c4a1f7e21")


def diary_bytes(programme: Programme, audience: Audience = ESTIMATOR) -> bytes:
    """The content of `write_diary`'s file."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    for event in _events(programme, audience):
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def write_diary(programme: Programme, path: str | Path, audience: Audience = ESTIMATOR) -> None:
    """Write the programme as a calendar file, whole or not at all.

    Parameters
    ----------
    programme : Programme
    path : str or Path
        In a folder that exists.
    audience : "estimator" or "client"
        Whom it is for, which each event says first; a client reads of no mixes and gaugings.

    Raises
    ------
    TakeoffError
        A name that is not for this audience, or a file that cannot be written.

    Notes
    -----
    Times are those of the place, without a zone. The same programme gives the same bytes, and its events keep
    their names, so that a diary that reads the file again replaces them.
    """
    check_name(path, audience)
    write_all({Path(path): diary_bytes(programme, audience)})


def _events(programme: Programme, audience: Audience) -> Iterator[Event]:
    job = programme.job
    for day in programme.days:
        begins, ends = day.stints[0].begins, day.stints[-1].ends
        rooms = ", ".join(dict.fromkeys(stint.step.room for stint in day.stints))
        lines = day_lines(day, job.formats, audience)
        summary = f"On site: {rooms} ({job.title})"
        yield _event(programme, f"on site {day.on}", summary, begins, ends, lines, audience)
    for wall in programme.walls:
        if wall.cured > wall.laid:
            words = ["Keep it damp: spray it as its sheet says, keep draughts off."]
            yield _event(
                programme, f"damp {wall.wall}", f"Keep damp: {wall.wall} ({job.title})",
                wall.laid.date(), wall.cured.date() + timedelta(days=1), words, audience,
            )  # fmt: skip
        yield _paint(programme, wall, audience)


def _paint(programme: Programme, wall: WallDates, audience: Audience) -> Event:
    said = [
        f"Last coat {programme.job.formats.day(wall.laid)}. Dry by reckoning only: measure before you paint."
    ]
    return _event(
        programme, f"paint {wall.wall}", f"Paint from today: {wall.wall} ({programme.job.title})",
        wall.paint, wall.paint + timedelta(days=1), said, audience,
    )  # fmt: skip


def _event(
    programme: Programme,
    key: str,
    summary: str,
    begins: date | datetime,
    ends: date | datetime,
    lines: Iterable[str],
    audience: Audience,
) -> Event:
    event = Event()
    name = f"{programme.job.title}/{key}" + (f"/{CLIENT}" if audience == CLIENT else "")
    event.add("uid", f"{uuid.uuid5(NAMES, name)}@mytakeoff")
    event.add("dtstamp", datetime.combine(programme.first_day, time(), UTC))
    event.add("summary", " ".join(summary.split()))
    event.add("dtstart", begins)
    event.add("dtend", ends)
    event.add("description", "\n".join([first_line(audience), *lines]))
    return event


def day_lines(day: Day, formats: Formats = HOUSE, audience: Audience = ESTIMATOR) -> list[str]:
    """What is done on a day: a line a stint, for the client one for each task without its times and mixes."""
    if audience == CLIENT:
        return [_task_words(stint, formats) for stint in day.ends]
    return [stint_words(stint, formats) for stint in day.stints]


def _task_words(stint: Stint, formats: Formats) -> str:
    """What is done, and what is waited for beyond the day."""
    where, until = _where(stint), stint.ready
    if until is None or until.date() == stint.day:
        return f"{where}: {stint.step.task}"
    day = formats.day(until, MONTH_AND_DAY)
    return f"{where}: {stint.step.task}; then {waits_for(stint.step)} until {day}"


def _where(stint: Stint) -> str:
    return stint.step.wall or stint.step.room


def stint_words(stint: Stint, formats: Formats = HOUSE) -> str:
    """One stint in words: when, where, what, with its gaugings and what is waited for."""
    step = stint.step
    mixed = f", {gauging_words(step, stint.gaugings, formats)}" if step.mix and stint.gaugings else ""
    wait = f"; then {step.why}, {formats.number(step.wait_h)} h" if stint.ready else ""
    return f"{stint.begins:%H:%M} to {stint.ends:%H:%M} {_where(stint)}: {step.task}{mixed}{wait}"


def gauging_words(step: Step, gaugings: int, formats: Formats = HOUSE) -> str:
    """So many gaugings [-] with what goes into each."""
    some = f"{gaugings} gauging{'' if gaugings == 1 else 's'} of {step.mix.name if step.mix else ''}"
    dry, water = (formats.number(all_of / step.gaugings, 1) for all_of in (step.dry_kg, step.water_l))
    each = f"{dry} kg with {water} l of water"
    return f"{some} ({each}{'' if gaugings == 1 else ' each'})"
