"""The programme as bars by day: a row a wall, what is worked on, what sets, is kept damp and dries.

Days on site are wide and their working hours take most of them; the days in which plaster only dries follow
at a scale of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.lettering import LINE, box_on, points, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.formats.formats import HOUSE, MONTH_AND_DAY, WEEKDAY, Formats

WORK, SETS, DAMP, DRIES = "worked on", "sets or dries before the next step", "kept damp", "dries before paint"
_FONT_PX, _ROW_PX, _BAR_PX, _EDGE_PX, _NAMES_PX = 13.0, 26.0, 15.0, 12.0, 150.0
_INSET_PX = 10.0  # of a wall's name under its room's
_MOST_DAY_PX, _LEAST_DAY_PX, _DRY_SHARE = 64.0, 9.0, 0.3
_WORKED_SHARE = 0.84  # of a working day's column for its working hours
_SHADE = "#e4e4e4"
_CHANGE: dict[str, Any] = {"color": INK, "linewidth": 1.4, "linestyle": (0, (4, 2)), "zorder": 4}
_LOOKS = {
    WORK: {"facecolor": "#3f6f8f", "hatch": "", "height": _BAR_PX},
    SETS: {"facecolor": PAPER, "hatch": "////", "height": 9.0},
    DAMP: {"facecolor": PAPER, "hatch": "||||", "height": 9.0},
    DRIES: {"facecolor": "#f2e6c4", "hatch": "", "height": 5.0},
}


@dataclass(frozen=True)
class Span:
    """From when to when something goes on: WORK, SETS, DAMP or DRIES."""

    begins: datetime
    ends: datetime
    what: str


@dataclass(frozen=True)
class BarRow:
    """One row: a wall, or what is done for a whole `room`; its spans, and the first day for paint."""

    name: str
    spans: tuple[Span, ...]
    paint: date | None = None
    room: bool = False


@dataclass(frozen=True)
class Days:
    """The days of the drawing.

    Parameters
    ----------
    first, last_on_site, last : date
        The first day; the last on which plaster is laid; the last that is drawn.
    idle : tuple of date
        Days among them on which nobody works.
    from_h, until_h : float
        Working hours of a day, 0 to 24 [h].
    formats : Formats
    """

    first: date
    last_on_site: date
    last: date
    idle: tuple[date, ...]
    from_h: float
    until_h: float
    formats: Formats = HOUSE

    @property
    def wide(self) -> int:
        """Days at the large scale [-]."""
        return (self.last_on_site - self.first).days + 1

    @property
    def narrow(self) -> int:
        """Days after them [-]."""
        return max((self.last - self.last_on_site).days, 0)


class _Scale:
    """Where a moment lies across the drawing [px]."""

    def __init__(self, days: Days, width_px: float) -> None:
        self.days = days
        for_dry = min(width_px * _DRY_SHARE, 8.0 * days.narrow) if days.narrow else 0.0
        self.day_px = min(max((width_px - for_dry) / days.wide, _LEAST_DAY_PX), _MOST_DAY_PX)
        room = max(width_px - self.day_px * days.wide, 0.0)
        self.dry_px = min(room / days.narrow, 14.0) if days.narrow else 0.0
        self.width_px = self.day_px * days.wide + self.dry_px * days.narrow

    def of_day(self, day: date) -> float:
        """Where a day begins [px]."""
        number = min(max((day - self.days.first).days, 0), self.days.wide + self.days.narrow)
        wide = min(number, self.days.wide)
        return self.day_px * wide + self.dry_px * (number - wide)

    def of(self, at: datetime) -> float:
        """Where a moment lies [px]."""
        day, left = at.date(), self.of_day(at.date())
        width = self.of_day(day + timedelta(days=1)) - left
        hour = (at - datetime.combine(day, time())).total_seconds() / 3600
        if day in self.days.idle or day > self.days.last_on_site:
            return left + width * hour / 24
        return left + width * self._share(hour)

    def _share(self, hour: float) -> float:
        """Share of a working day's column that an hour lies at: its working hours take most of it."""
        start, end, edge = self.days.from_h, self.days.until_h, (1 - _WORKED_SHARE) / 2
        if hour <= start:
            return edge * hour / start if start else 0.0
        if hour <= end:
            return edge + _WORKED_SHARE * (hour - start) / (end - start)
        return 1 - edge * (24 - hour) / (24 - end) if end < 24 else 1.0


@own_settings()
def make(days: Days, rows: Sequence[BarRow], title: str, *, width_px: float = 960.0) -> Figure:
    """The bars by day.

    Parameters
    ----------
    days : Days
    rows : sequence of BarRow
        From the top.
    title : str
        Written above; "" where the page says it.
    width_px : float
        Width of the sheet, 360 or more [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        Its axes are pixels across from the first day, and rows down from the first.
    """
    names = min(_NAMES_PX, width_px * 0.28)
    scale = _Scale(days, width_px - names - 2 * _EDGE_PX - 40)
    heading = wrapped(title, width_px - 2 * _EDGE_PX, _FONT_PX + 1, bold=True) if title else ()
    head = _EDGE_PX + len(heading) * LINE * (_FONT_PX + 1) + 2.6 * LINE * _FONT_PX
    tall = _ROW_PX * len(rows)
    keys = _keys(days)
    legend = _legend_places(keys, width_px)
    figure = new_figure(width_px, head + tall + 16 + (legend[-1][1] + 1) * 20 + _EDGE_PX)
    figure.set_facecolor("white")
    write(figure, _EDGE_PX, _EDGE_PX, "\n".join(heading), _FONT_PX + 1, bold=True)
    axes = _axes(figure, (names + _EDGE_PX, head, width_px - names - 2 * _EDGE_PX, tall), len(rows))
    _draw_days(axes, figure, days, scale, names + _EDGE_PX, head, len(rows))
    size = _names_size(rows, names)
    for nth, row in enumerate(rows):
        _draw_row(axes, row, nth, scale)
        _write_name(figure, row, size, names, head + nth * _ROW_PX)
    _draw_legend(figure, keys, legend, head + tall + 12)
    return figure


def _names_size(rows: Sequence[BarRow], room_px: float) -> float:
    """One size for all names: a smaller one where one of them would need two lines [px]."""
    broken = (wrapped(row.name, _name_room(row, room_px), _FONT_PX, bold=row.room) for row in rows)
    return _FONT_PX - 3 if any(len(lines) > 1 for lines in broken) else _FONT_PX


def _name_room(row: BarRow, room_px: float) -> float:
    return room_px - 8 - (0 if row.room else _INSET_PX)


def _write_name(figure: Figure, row: BarRow, size: float, room_px: float, top_px: float) -> None:
    """The row's name, in two lines where one has no room."""
    lines = wrapped(row.name, _name_room(row, room_px), size, bold=row.room)[:2]
    top, left = top_px + (_ROW_PX - len(lines) * LINE * size) / 2, _EDGE_PX + (0 if row.room else _INSET_PX)
    write(figure, left, top, "\n".join(lines), size, bold=row.room)


def _axes(figure: Figure, box_px: tuple[float, float, float, float], rows: int) -> Axes:
    axes = figure.add_axes(box_on(figure, *box_px), facecolor="none")
    axes.set_axis_off()
    axes.set_xlim(0, box_px[2])
    axes.set_ylim(max(rows, 1), 0)
    return axes


def _draw_days(
    axes: Axes, figure: Figure, days: Days, scale: _Scale, left_px: float, head_px: float, rows: int
) -> None:
    """Columns of the days, idle ones grey, and their dates above: each day, or each Monday where narrow."""
    end = 0.0
    for number in range(days.wide + days.narrow):
        day = days.first + timedelta(days=number)
        left, right = scale.of_day(day), scale.of_day(day + timedelta(days=1))
        if day in days.idle:
            axes.add_patch(Rectangle((left, 0), right - left, rows, facecolor=_SHADE, linewidth=0, zorder=0))
        if number < days.wide or day.weekday() == 0:
            axes.plot([left, left], [0, rows], color="#bdbdbd", linewidth=0.6, zorder=1)
        weekday = days.formats.day(day, WEEKDAY) if number < days.wide else ""
        words = f"{weekday}\n{days.formats.day(day, MONTH_AND_DAY)}"
        wide = max(width_of(part, _FONT_PX - 2) for part in words.split("\n"))
        if left >= end and (number < days.wide or day.weekday() == 0) and left + wide <= scale.width_px + 40:
            write(figure, left_px + left + 1, head_px - 2.2 * LINE * (_FONT_PX - 2), words, _FONT_PX - 2)
            end = left + wide + 6
    axes.plot([scale.width_px] * 2, [0, rows], color="#bdbdbd", linewidth=0.6, zorder=1)
    if days.narrow:
        axes.plot([scale.day_px * days.wide] * 2, [0, rows], **_CHANGE)
    for row in range(rows + 1):
        axes.plot([0, scale.width_px], [row, row], color="#dedede", linewidth=0.6, zorder=1)


def _draw_row(axes: Axes, row: BarRow, nth: int, scale: _Scale) -> None:
    """Bars of one row, work over waits, and the day for paint as a mark with its date."""
    for span in sorted(row.spans, key=lambda span: span.what == WORK):
        left, right = scale.of(span.begins), scale.of(span.ends)
        look = _LOOKS[span.what]
        height = float(str(look["height"])) / _ROW_PX
        axes.add_patch(
            Rectangle(
                (left, nth + 0.5 - height / 2),
                max(right - left, 1.2),
                height,
                facecolor=str(look["facecolor"]),
                hatch=str(look["hatch"]),
                edgecolor=INK,
                linewidth=0.6,
                zorder=3 if span.what == WORK else 2,
            )
        )
    if row.paint is not None:
        at = scale.of_day(row.paint)
        axes.plot([at], [nth + 0.5], marker="D", markersize=6, color=INK, zorder=5, clip_on=False)
        axes.text(
            at + 7, nth + 0.5, scale.days.formats.day(row.paint, MONTH_AND_DAY),
            va="center", ha="left", fontsize=points(_FONT_PX - 2), color=INK, zorder=5, clip_on=False,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0},
        )  # fmt: skip


PAINT, IDLE = "first day for paint", "nobody works"
NARROWER = "from here on days are narrower, a date a week"


def _keys(days: Days) -> tuple[str, ...]:
    """What the key explains."""
    return (WORK, SETS, DAMP, DRIES, PAINT, IDLE, *((NARROWER,) if days.narrow else ()))


def _legend_places(keys: Sequence[str], width_px: float) -> list[tuple[float, int]]:
    """Where each entry of the key begins across [px], and in which line of it."""
    places, left, line = [], _EDGE_PX, 0
    for words in keys:
        wide = 34 + width_of(words, _FONT_PX - 1) + 18
        if left > _EDGE_PX and left + wide > width_px:
            left, line = _EDGE_PX, line + 1
        places.append((left, line))
        left += wide
    return places


def _draw_legend(
    figure: Figure, keys: Sequence[str], places: Sequence[tuple[float, int]], top_px: float
) -> None:
    for words, (left, line) in zip(keys, places, strict=True):
        top = top_px + 20 * line
        axes = figure.add_axes(box_on(figure, left, top, 26, 15), facecolor="none")
        axes.set_axis_off()
        axes.set_xlim(0, 26)
        axes.set_ylim(15, 0)
        look = _LOOKS.get(words)
        if look is not None:
            height = float(str(look["height"]))
            axes.add_patch(
                Rectangle(
                    (0, 7.5 - height / 2), 26, height, facecolor=str(look["facecolor"]),
                    hatch=str(look["hatch"]), edgecolor=INK, linewidth=0.6,
                )
            )  # fmt: skip
        elif words == IDLE:
            axes.add_patch(Rectangle((0, 0), 26, 15, facecolor=_SHADE, linewidth=0))
        elif words == NARROWER:
            axes.plot([13, 13], [0, 15], **_CHANGE)
        else:
            axes.plot([13], [7.5], marker="D", markersize=6, color=INK)
        write(figure, left + 33, top, words, _FONT_PX - 1)


def describe_days(days: Days, rows: Sequence[BarRow]) -> str:
    """What the picture shows, in sentences."""
    day = days.formats.day
    said = [f"{row.name} from {day(row.paint)}" for row in rows if row.paint is not None]
    work = f"Work from {day(days.first)}, plaster laid until {day(days.last_on_site)}."
    paint = f" First day for paint: {'; '.join(said)}." if said else ""
    narrower = (
        f" After {day(days.last_on_site)} days are drawn narrower, a date a week." if days.narrow else ""
    )
    return work + paint + narrower
