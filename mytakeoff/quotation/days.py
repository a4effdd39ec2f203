"""When work is done, as a client reads it: no day or visit that a rate could be read off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mytakeoff.figures.headline import headline
from mytakeoff.figures.in_words import days_for_client
from mytakeoff.formats.formats import counted, in_a_row
from mytakeoff.programme.programme import booked
from mytakeoff.result import Result


@dataclass(frozen=True)
class WallWhen:
    """When a wall has its last coat, until when it is kept damp ("" where not), and when it takes paint."""

    laid: str
    damp: str
    paint: str


def when_told(result: Result) -> dict[str, str]:
    """Days on site, visits and dates in words, by what each is; without dates where no first day is said."""
    programme, formats, start = booked(result), result.job.formats, result.job.calendar.start
    if not programme.stints:
        return {}
    told = days_for_client(result, headline(result))
    work = ", ".join(told[name].removesuffix(" on site") for name in ("days", "visits") if name in told)
    if start is None:
        dates = "the first day is agreed when this is signed"
        paint = (
            f"{counted(programme.days_to_paint, 'day')} after the first day on site"
            if programme.walls
            else ""
        )
    else:
        dates = in_a_row([formats.span(*stay) for stay in programme.stays])
        paint = formats.day(programme.paint_date) if programme.walls else ""
    said = {"On site": "; ".join(filter(None, (work, dates))), "Paint from": paint}
    return {name: words for name, words in said.items() if words}


def walls_when(result: Result) -> dict[str, WallWhen]:
    """When each plastered wall has its last coat, is hard, and takes paint, by its name."""
    programme, start = booked(result), result.job.calendar.start

    def said(day: date) -> str:
        if start is not None:
            return result.job.formats.day(day)
        return f"day {(day - programme.first_day).days + 1}"

    return {
        wall.wall: WallWhen(
            said(wall.laid.date()),
            said(wall.cured.date()) if wall.cured > wall.laid else "",
            said(wall.paint),
        )
        for wall in programme.walls
    }
