"""The programme as rows of bars: what `charts.days.bars` draws of a `Programme`."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from matplotlib.figure import Figure

from mytakeoff.audience import ESTIMATOR, Audience, headed
from mytakeoff.charts.days import bars
from mytakeoff.charts.days.bars import DAMP, DRIES, SETS, WORK, BarRow, Days, Span
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.programme.programme import Programme


def days_of(programme: Programme) -> Days:
    """The days that are drawn: from the first on site to the last for paint, the check among them."""
    laid = [stint.day for stint in programme.stints if stint.step.wall and stint.step.mix]
    last_laid = max(laid, default=programme.last_day)
    last = max(programme.last_day, programme.paint_date)
    calendar, (*_, (_, until)) = programme.job.calendar, programme.schedule.clock.stretches
    count = (last - programme.first_day).days + 1
    drawn = (programme.first_day + timedelta(days=number) for number in range(count))
    idle = tuple(day for day in drawn if not calendar.works(day))
    begins = programme.schedule.clock.begins_h
    return Days(programme.first_day, last_laid, last, idle, begins, until, programme.job.formats)


def rows_of(programme: Programme) -> tuple[BarRow, ...]:
    """A row for each room's own work, then one for each wall in it."""
    rooms = dict.fromkeys(stint.step.room for stint in programme.stints)
    painted: dict[str, date] = {wall.wall: wall.paint for wall in programme.walls}
    rows = []
    for room in rooms:
        rows.append(BarRow(room, tuple(_work(programme, room, "")), room=True))
        walls = dict.fromkeys(s.step.wall for s in programme.stints if s.step.room == room and s.step.wall)
        for wall in walls:
            spans = (*_work(programme, room, wall), *_waits(programme, wall))
            rows.append(BarRow(wall, spans, painted.get(wall)))
    return tuple(rows)


def _work(programme: Programme, room: str, wall: str) -> Iterator[Span]:
    for stint in programme.stints:
        if stint.step.room == room and stint.step.wall == wall:
            yield Span(stint.begins, stint.ends, WORK)


def _waits(programme: Programme, wall: str) -> Iterator[Span]:
    for stint in programme.stints:
        if stint.step.wall == wall and stint.ready is not None:
            yield Span(stint.ends, stint.ready, SETS)
    for dates in programme.walls:
        if dates.wall == wall:
            if dates.cured > dates.laid:
                yield Span(dates.laid, dates.cured, DAMP)
            yield Span(dates.cured, dates.dry, DRIES)


def figure_of(
    programme: Programme, width_px: float = 960.0, title: bool = True, audience: Audience = ESTIMATOR
) -> Figure:
    """The bars by day, for paper with a title that says whom it is for, for a page that has one without."""
    said = headed(audience, f"{programme.job.title}: {programme.in_words(audience)}") if title else ""
    return bars.make(days_of(programme), rows_of(programme), said, width_px=width_px)


def bars_svg(programme: Programme, width_px: float = 960.0, name: str = "wide") -> str:
    """The bars by day as an SVG element that says in words what it shows; `name` tells drawings apart."""
    words = bars.describe_days(days_of(programme), rows_of(programme))
    return page_svg(figure_of(programme, width_px, title=False), f"days-{name}", words)
