"""Price a square metre against mean thickness: a ring for each job, the odd ones filled and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.frame import ticks
from mytakeoff.charts.drawing.lettering import LINE, box_on, points, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.formats.formats import Formats

__all__ = ["JobMark", "make"]

_EDGE_PX, _FONT_PX, _UNDER_PX = 12.0, 12.5, 44.0
_NAME_PX, _NAME_LINES = 190.0, 2
_STEPS = tuple(figure * 10.0**power for power in range(-2, 7) for figure in (1, 2, 5))
_GRID = (INK, 0.2)  # thin ink, so that it follows the ink of a dark page


@dataclass(frozen=True)
class JobMark:
    """One job on the drawing.

    Parameters
    ----------
    mean_mm : float
        Thickness over what is priced, 0 or more [mm].
    per_m2 : float
        Price with tax, 0 or more [currency/m²].
    name : str
        Beside a job that is odd; "" for any other.
    """

    mean_mm: float
    per_m2: float
    name: str = ""


@own_settings()
def make(
    marks: Sequence[JobMark],
    line: tuple[float, float] | None,
    formats: Formats,
    *,
    width_px: float = 620.0,
    height_px: float = 380.0,
) -> Figure:
    """The jobs, and the line that they follow.

    Parameters
    ----------
    marks : sequence of JobMark
        One at least.
    line : (float, float) or None
        Price at no thickness [currency/m²], and how a millimetre moves it [currency/(m²·mm)].
    formats : Formats
        With the currency.
    width_px, height_px : float
        Of the sheet, 320 and 240 or more [CSS px, 96 to the inch].
    """
    across = max(max(each.mean_mm for each in marks) * 1.06, 1.0)
    dearest = max(max(each.per_m2 for each in marks) * 1.1, 1.0)
    size = points(_FONT_PX - 0.5)
    up = ticks(dearest, 6, _STEPS)
    left = _EDGE_PX + max(width_of(formats.number(mark), _FONT_PX) for mark in up) + 6
    top = _EDGE_PX + _FONT_PX * LINE + 10
    figure = new_figure(width_px, height_px)
    figure.set_facecolor("white")
    write(figure, _EDGE_PX, _EDGE_PX, f"price with tax a m², {formats.currency}", _FONT_PX)
    write(
        figure,
        width_px - _EDGE_PX,
        height_px - 6,
        "mean thickness, mm",
        _FONT_PX,
        across="right",
        up="bottom",
    )
    box = box_on(figure, left, top, width_px - left - _EDGE_PX, height_px - top - _UNDER_PX)
    axes = figure.add_axes(box, facecolor="none")
    axes.set(xlim=(0, across), ylim=(0, dearest))
    steps = ticks(across, 8, _STEPS)
    axes.set_xticks(steps, [formats.short(mark) for mark in steps], fontsize=size, color=INK)
    axes.set_yticks(up, [formats.number(mark) for mark in up], fontsize=size, color=INK)
    _draw(axes, marks, line)
    _name(axes, [each for each in marks if each.name])
    return figure


def _draw(axes: Axes, marks: Sequence[JobMark], line: tuple[float, float] | None) -> None:
    """Grid, line and rings."""
    axes.grid(color=_GRID, linewidth=0.6)
    axes.set_axisbelow(True)
    axes.tick_params(length=3, width=0.8, pad=3, color=INK)
    for side, spine in axes.spines.items():
        spine.set(visible=side in ("left", "bottom"), linewidth=0.8, color=INK)
    if line is not None:
        ends = axes.get_xlim()
        axes.plot(ends, [line[0] + line[1] * at for at in ends], color=INK, linewidth=1.0,
                  linestyle=(0, (5, 3)), zorder=2, label="line")  # fmt: skip
    for filled in (False, True):
        some = [each for each in marks if bool(each.name) is filled]
        axes.plot([each.mean_mm for each in some], [each.per_m2 for each in some], "o",
                  markersize=8.0, markerfacecolor=INK if filled else PAPER, markeredgecolor=INK,
                  markeredgewidth=1.3, zorder=4 if filled else 3,
                  label="odd" if filled else "jobs")  # fmt: skip


def _name(axes: Axes, odd: Sequence[JobMark]) -> None:
    """Names of the odd ones, each on the side where there is room, none over another."""
    middle, taken = sum(axes.get_xlim()) / 2, list[tuple[bool, float]]()
    line_px, height_px = _FONT_PX * LINE, axes.get_window_extent().height
    for each in sorted(odd, key=lambda mark: -mark.per_m2):
        right = each.mean_mm > middle
        lines = wrapped(each.name, _NAME_PX, _FONT_PX)
        words = "\n".join((*lines[: _NAME_LINES - 1], " ".join(lines[_NAME_LINES - 1 : _NAME_LINES])))
        words = f"{words.rstrip()}…" if len(lines) > _NAME_LINES else words.rstrip()
        spot = height_px * (1 - each.per_m2 / axes.get_ylim()[1])
        high = line_px * (words.count("\n") + 1)
        top = max([spot - high / 2, *(below for side, below in taken if side == right)])
        taken.append((right, top + high))
        axes.annotate(
            words, (each.mean_mm, each.per_m2), xytext=(points(-9 if right else 9), points(spot - top)),
            textcoords="offset points", ha="right" if right else "left", va="top",
            fontsize=points(_FONT_PX), color=INK, parse_math=False, zorder=5,
        )  # fmt: skip
