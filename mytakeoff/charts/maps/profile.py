"""The wall along one line, its millimetres drawn far larger than its metres, beside the straight line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import Floats
from mytakeoff.charts.drawing.frame import both_ways, metre_ticks
from mytakeoff.charts.drawing.lettering import box_on, points, width_of, write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.formats.formats import HOUSE, Formats

FONT_PX = 12.0
_RIGHT, _TOP, _BOTTOM = 20.0, 24.0, 44.0
_LABEL_PX = 24.0  # the axis's words, which stand upright, and a gap
_TICK_PX = 8.0


@dataclass(frozen=True, eq=False)
class ProfileLine:
    """What is drawn: places [m], the wall there and the straight line beside it [mm], (n,) each."""

    along_m: Floats
    mm: Floats
    chord_mm: Floats
    length_m: float
    upright: bool
    title: str
    formats: Formats = HOUSE


@own_settings()
def make(line: ProfileLine, top_mm: float, *, width_px: float = 370.0) -> Figure:
    """The profile: an upright line stands upright, with the room at its right.

    Parameters
    ----------
    line : ProfileLine
    top_mm : float
        What the millimetres reach to, either way: the map's own scale [mm].
    width_px : float
        Width of the sheet [CSS px].
    """
    height_px = 300.0 if line.upright else 200.0
    figure = new_figure(width_px, height_px)
    left = _left_px(line, top_mm)
    box = box_on(figure, left, _TOP, width_px - left - _RIGHT, height_px - _TOP - _BOTTOM)
    axes = figure.add_axes(box, facecolor="none")
    off = (line.mm, line.chord_mm)
    if line.upright:
        _draw(axes, (off[0], line.along_m), (off[1], line.along_m), vertical=True)
        axes.set_xlim(-top_mm, top_mm)
        axes.set_ylim(0, line.length_m)
    else:
        _draw(axes, (line.along_m, off[0]), (line.along_m, off[1]), vertical=False)
        axes.set_xlim(0, line.length_m)
        axes.set_ylim(-top_mm, top_mm)
    _label(axes, line, top_mm)
    write(figure, 4, 2, line.title, FONT_PX, bold=True)
    unit = "" if line.formats.feet_and_inches else "metres "
    across, up = (
        (line.formats.head("hollow − 0 + proud", "mm"), f"{unit}up")
        if line.upright
        else (f"{unit}across", f"{'' if line.formats.feet_and_inches else 'mm '}off the plane")
    )
    write(
        figure,
        left + (width_px - left - _RIGHT) / 2,
        height_px - 2,
        across,
        FONT_PX,
        across="center",
        up="bottom",
    )
    figure.text(10 / width_px, box[1] + box[3] / 2, up, rotation="vertical", ha="center", va="center",
                fontsize=points(FONT_PX), color=INK)  # fmt: skip
    return figure


def _draw(axes: Axes, wall: tuple[Floats, Floats], chord: tuple[Floats, Floats], vertical: bool) -> None:
    (axes.axvline if vertical else axes.axhline)(0.0, color=INK, linewidth=0.6, linestyle=(0, (1, 3)))
    axes.plot(*chord, color=INK, linewidth=1.0, linestyle=(0, (5, 4)))
    axes.plot(*wall, color=INK, linewidth=2.0)


def _left_px(line: ProfileLine, top_mm: float) -> float:
    """Room for the words and the widest number of the upright axis [px]."""
    if line.upright:
        numbers = metre_ticks(line.length_m, 5, line.formats)[1]
    else:
        numbers = list(both_ways(top_mm, line.formats)[1])
    return _LABEL_PX + max(width_of(number, FONT_PX) for number in numbers) + _TICK_PX


def _label(axes: Axes, line: ProfileLine, top_mm: float) -> None:
    size = points(FONT_PX)
    set_m, set_mm = (axes.set_yticks, axes.set_xticks) if line.upright else (axes.set_xticks, axes.set_yticks)
    set_m(*metre_ticks(line.length_m, 5, line.formats), fontsize=size, color=INK)
    set_mm(*both_ways(top_mm, line.formats), fontsize=size, color=INK)
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    for spine in axes.spines.values():
        spine.set(linewidth=0.6, color=INK)


def chord_of(along_m: Floats, mm: Floats, chord_mm: Floats) -> Floats:
    """The straight line only as far as the wall is known."""
    read = ~np.isnan(mm)
    if not read.any():
        return np.full(along_m.shape, np.nan)
    first, last = np.flatnonzero(read)[[0, -1]]
    inside = np.zeros(along_m.shape, dtype=bool)
    inside[first : last + 1] = True
    return np.where(inside, chord_mm, np.nan)
