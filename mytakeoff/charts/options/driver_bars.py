"""What drives the price: how far the total moves for a plausible low and high of each input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.lettering import (
    LINE,
    box_on,
    points,
    width_of,
    wrapped,
    write,
)
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.formats.formats import Formats

Money = float | Decimal

_EDGE_PX, _FONT_PX, _GAP_PX = 14.0, 13.0, 12.0
_BAR_PX, _PITCH_PX = 15.0, 19.0
# Greys are thin ink, so that they follow the ink of a dark page.
_LOW, _HIGH, _GRID = PAPER, (INK, 0.66), (INK, 0.2)
_HATCH = "////"


@dataclass(frozen=True)
class Bar:
    """How far one input moves the total.

    Parameters
    ----------
    name : str
        The input, in words.
    low_words, high_words : str
        Its ends with their unit: "0.85 kg/l".
    low_change, high_change : float or Decimal
        Total at that end less the total as entered.
    """

    name: str
    low_words: str
    high_words: str
    low_change: Money
    high_change: Money

    @property
    def spread(self) -> float:
        """From the least to the greatest total, the one as entered among them."""
        changes = (float(self.low_change), float(self.high_change), 0.0)
        return max(changes) - min(changes)


def ordered(bars: Sequence[Bar]) -> tuple[Bar, ...]:
    """The bars, the one that moves the total most first; equal ones as given."""
    return tuple(sorted(bars, key=lambda bar: -bar.spread))


@own_settings()
def make(bars: Sequence[Bar], base_total: Money, formats: Formats, *, width_px: float = 600.0) -> Figure:
    """A pair of bars for each input, the low end above the high one, from the total as entered.

    Parameters
    ----------
    bars : sequence of Bar
    base_total : float or Decimal
        With tax, as entered.
    formats : Formats
        The job's, for money.
    width_px : float
        Width of the sheet, 360 or more [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        Its axes are money more or less than the total as entered, and pixels down from the first row.
    """
    rows = ordered(bars)
    names = width_px * 0.36
    labels = [_label(bar, names - _EDGE_PX) for bar in rows]
    tall = [max(2 * _PITCH_PX, lines.count * _FONT_PX * LINE) + _GAP_PX for lines in labels]
    tops = list(accumulate(tall, initial=0.0))
    head = _EDGE_PX + 2 * _FONT_PX * LINE + 22
    figure = new_figure(width_px, head + tops[-1] + _EDGE_PX)
    figure.set_facecolor("white")
    _draw_head(figure, base_total, formats, width_px)
    if rows:
        axes = _axes(figure, rows, (names, head, width_px - names - _EDGE_PX, tops[-1]), tops, formats)
        for bar, top, height in zip(rows, tops, tall, strict=False):
            _draw_pair(axes, bar, top + height / 2, formats)
    for lines, above, height in zip(labels, tops, tall, strict=False):
        top = head + above + (height - lines.count * _FONT_PX * LINE) / 2
        write(figure, _EDGE_PX, top, "\n".join(lines.name), _FONT_PX, bold=True)
        write(figure, _EDGE_PX, top + len(lines.name) * _FONT_PX * LINE, "\n".join(lines.ends), _FONT_PX - 1)
    return figure


@dataclass(frozen=True)
class _Label:
    """The lines beside a pair: the name, then from where to where it goes."""

    name: tuple[str, ...]
    ends: tuple[str, ...]

    @property
    def count(self) -> int:
        return len(self.name) + len(self.ends)


def _label(bar: Bar, room_px: float) -> _Label:
    name = wrapped(bar.name, room_px, _FONT_PX, bold=True)
    return _Label(name, wrapped(f"{bar.low_words} to {bar.high_words}", room_px, _FONT_PX - 1))


def _draw_head(figure: Figure, base_total: Money, formats: Formats, width_px: float) -> None:
    """What the middle line stands for, and which bar is which."""
    said = f"Change of the price with tax, {formats.currency}; the line is the price as entered"
    words = f"{said}, {formats.amount(base_total, 0)}"
    size = _FONT_PX if width_of(words, _FONT_PX) < width_px - 2 * _EDGE_PX else _FONT_PX - 2
    lines = wrapped(words, width_px - 2 * _EDGE_PX, size)
    write(figure, _EDGE_PX, _EDGE_PX, "\n".join(lines), size)
    top = _EDGE_PX + 2 * _FONT_PX * LINE
    left = _EDGE_PX
    for words, fill, hatch in (("low end of the range", _LOW, _HATCH), ("high end of the range", _HIGH, "")):
        axes = figure.add_axes(box_on(figure, left, top, 22, 12), facecolor="none")
        axes.set_axis_off()
        axes.add_patch(
            Rectangle((0, 0), 1, 1, facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.8, clip_on=False)
        )
        write(figure, left + 28, top - 1, words, _FONT_PX - 1)
        left += 28 + width_of(words, _FONT_PX - 1) + 24


def _axes(
    figure: Figure,
    rows: Sequence[Bar],
    box_px: tuple[float, float, float, float],
    tops: Sequence[float],
    formats: Formats,
) -> Axes:
    """Empty axes with a line at no change and room for the values at both ends."""
    changes = [float(change) for bar in rows for change in (bar.low_change, bar.high_change)]
    least, most = min(*changes, 0.0), max(*changes, 0.0)
    reach = max(most - least, 1e-9)
    words = max(width_of(formats.change(change), _FONT_PX) for change in changes) + 10
    # The values stand beyond the bars: of the width, bars get what both columns of values leave.
    per_px = reach / max(box_px[2] - 2 * words, 20.0)
    axes = figure.add_axes(box_on(figure, *box_px), facecolor="none")
    axes.set_axis_off()
    axes.set_xlim(least - words * per_px, most + words * per_px)
    axes.set_ylim(tops[-1], 0)
    axes.axvline(0, color=INK, linewidth=1.2, zorder=4)
    for top in tops[1:-1]:
        axes.axhline(top, color=_GRID, linewidth=0.6, zorder=1)
    return axes


def _draw_pair(axes: Axes, bar: Bar, middle_px: float, formats: Formats) -> None:
    """The low end above, the high end below, each with its value at its end."""
    left, right = axes.get_xlim()
    away = 5 * (right - left) / axes.get_window_extent().width
    for place, change, fill, hatch in (
        (middle_px - _PITCH_PX / 2, float(bar.low_change), _LOW, _HATCH),
        (middle_px + _PITCH_PX / 2, float(bar.high_change), _HIGH, ""),
    ):
        axes.barh(
            place,
            change,
            height=_BAR_PX,
            facecolor=fill,
            edgecolor=INK,
            hatch=hatch,
            linewidth=0.8,
            zorder=3,
        )
        axes.text(
            change + (away if change >= 0 else -away),
            place,
            formats.change(change),
            ha="left" if change >= 0 else "right",
            va="center",
            fontsize=points(_FONT_PX - 0.5),
            color=INK,
            zorder=5,
        )


def describe_drivers(bars: Sequence[Bar], base_total: Money, formats: Formats) -> str:
    """What the picture shows, in sentences.

    Examples
    --------
    >>> describe_drivers([Bar("waste", "5 %", "20 %", -31, 84.6)], 2400, Formats(currency="EUR"))
    'Price with tax as entered 2\u202f400 EUR. What moves it, most first: waste, 5 % −31, 20 % +85 EUR.'
    """
    head = f"Price with tax as entered {formats.amount(base_total, 0)}."
    said = [
        f"{bar.name}, {bar.low_words} {formats.change(bar.low_change)}, "
        f"{bar.high_words} {formats.change(bar.high_change)} {formats.currency}"
        for bar in ordered(bars)
    ]
    return f"{head} What moves it, most first: {'; '.join(said)}." if said else head
