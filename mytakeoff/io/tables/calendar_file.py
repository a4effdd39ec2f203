"""The programme as a calendar file (RFC 5545): each day on site, days of keeping damp, days for paint."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from icalendar import Calendar, Event

from mytakeoff.formats import HOUSE, Formats
from mytakeoff.io.files.atomic import write_all
from mytakeoff.labour.waits import Step
from mytakeoff.programme.programme import Day, Programme, Stint, WallDates

PRODUCT = "-//mytakeoff//programme//EN"
NAMES = uuid.UUID("5f2d3a0e-6c1b-4f0e-9d57-0d8c4a1f7e21")


def diary_bytes(programme: Programme) -> bytes:
    """The content of `write_diary`'s file."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    for event in _events(programme):
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def write_diary(programme: Programme, path: str | Path) -> None:
    """Write the programme as a calendar file, whole or not at all.

    Parameters
    ----------
    programme : Programme
    path : str or Path
        In a folder that exists.

    Raises
    ------
    TakeoffError
        The file cannot be written.

    Notes
    -----
    Times are those of the place, without a zone. The same programme gives the same bytes, and its events keep
    their names, so that a diary that reads the file again replaces them.
    """
    write_all({Path(path): diary_bytes(programme)})


def _events(programme: Programme) -> Iterator[Event]:
    title = programme.job.title
    for day in programme.days:
        begins, ends = day.stints[0].begins, day.stints[-1].ends
        rooms = ", ".join(dict.fromkeys(stint.step.room for stint in day.stints))
        lines = day_lines(day, programme.job.formats)
        yield _event(programme, f"on site {day.on}", f"On site: {rooms} ({title})", begins, ends, lines)
    for wall in programme.walls:
        if wall.cured > wall.laid:
            words = ["Keep it damp: spray it as its sheet says, keep draughts off."]
            yield _event(
                programme, f"damp {wall.wall}", f"Keep damp: {wall.wall} ({title})",
                wall.laid.date(), wall.cured.date() + timedelta(days=1), words,
            )  # fmt: skip
        yield _paint(programme, wall)


def _paint(programme: Programme, wall: WallDates) -> Event:
    said = [
        f"Last coat {programme.job.formats.day(wall.laid)}. Dry by reckoning only: measure before you paint."
    ]
    return _event(
        programme, f"paint {wall.wall}", f"Paint from today: {wall.wall} ({programme.job.title})",
        wall.paint, wall.paint + timedelta(days=1), said,
    )  # fmt: skip


def _event(
    programme: Programme,
    key: str,
    summary: str,
    begins: date | datetime,
    ends: date | datetime,
    lines: Iterable[str],
) -> Event:
    event = Event()
    event.add("uid", f"{uuid.uuid5(NAMES, f'{programme.job.title}/{key}')}@mytakeoff")
    event.add("dtstamp", datetime.combine(programme.first_day, time(), UTC))
    event.add("summary", " ".join(summary.split()))
    event.add("dtstart", begins)
    event.add("dtend", ends)
    event.add("description", "\n".join(lines))
    return event


def day_lines(day: Day, formats: Formats = HOUSE) -> list[str]:
    """What is done on a day, a line a stint."""
    return [stint_words(stint, formats) for stint in day.stints]


def stint_words(stint: Stint, formats: Formats = HOUSE) -> str:
    """One stint in words: when, where, what, with its gaugings and what is waited for."""
    step = stint.step
    where = f"{step.wall}: " if step.wall else f"{step.room}: "
    mixed = f", {gauging_words(step, stint.gaugings, formats)}" if step.mix and stint.gaugings else ""
    wait = f"; then {step.why}, {formats.number(step.wait_h)} h" if stint.last and step.wait_h > 0 else ""
    return f"{stint.begins:%H:%M} to {stint.ends:%H:%M} {where}{step.task}{mixed}{wait}"


def gauging_words(step: Step, gaugings: int, formats: Formats = HOUSE) -> str:
    """So many gaugings [-] with what goes into each."""
    some = f"{gaugings} gauging{'' if gaugings == 1 else 's'} of {step.mix.name if step.mix else ''}"
    dry, water = (formats.number(all_of / step.gaugings, 1) for all_of in (step.dry_kg, step.water_l))
    each = f"{dry} kg with {water} l of water"
    return f"{some} ({each}{'' if gaugings == 1 else ' each'})"
