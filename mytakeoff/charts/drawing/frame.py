"""The frame of the wall: true proportions, metres along the edges, the scale, the openings.

One geometry serves the live map and the printed figure, so both put a place of the wall at the same spot.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, new_figure, own_settings, svg_text
from mytakeoff.charts.drawing.palette import INK, PAPER, RAMP
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.formats.inches import MINUS
from mytakeoff.survey.wall import Opening, Wall
from mytakeoff.units import to_metres, to_millimetres

Box = tuple[float, float, float, float]

_LEFT_PX, _RIGHT_PX, _TOP_PX = 46.0, 14.0, 10.0
_X_WORDS_PX, _SCALE_PX, _SCALE_WORDS_PX = 44.0, 12.0, 40.0
_SCALE_AT_LEAST_PX = 220.0
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
_STEPS_FT = (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_STEPS_IN = (1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0)
# Stands for the page's own paper until the drawing is placed on a page; no other part has this colour.
_PAPER_MARK = "#fffffe"


@dataclass(frozen=True)
class Frame:
    """Where everything stands on the sheet.

    Parameters
    ----------
    wall : Wall
    ramp_top_mm : float
        Thickness at the dark end of the scale [mm].
    width_px : float
        Width of the sheet [CSS px, 96 to the inch].
    most_height_px : float
        The wall is never drawn higher than this [CSS px].
    font_px : float
        Height of the words [CSS px].
    formats : Formats
        How its figures are written.
    """

    wall: Wall
    ramp_top_mm: float
    width_px: float = 640.0
    most_height_px: float = 480.0
    font_px: float = 12.0
    formats: Formats = HOUSE

    @property
    def px_per_m(self) -> float:
        """Scale of the drawing [px/m]."""
        room = self.width_px - _LEFT_PX - _RIGHT_PX
        return min(room / self.wall.width_m, self.most_height_px / self.wall.height_m)

    @property
    def height_px(self) -> float:
        """Height of the sheet [px]."""
        wall = self.wall.height_m * self.px_per_m
        return _TOP_PX + wall + _X_WORDS_PX + _SCALE_PX + _SCALE_WORDS_PX

    @property
    def box(self) -> Box:
        """The wall on the sheet: left, bottom, width, height as shares of the sheet."""
        width, height = self.wall.width_m * self.px_per_m, self.wall.height_m * self.px_per_m
        left = _LEFT_PX + (self.width_px - _LEFT_PX - _RIGHT_PX - width) / 2
        bottom = self.height_px - _TOP_PX - height
        return self._shares(left, bottom, width, height)

    @property
    def scale_box(self) -> Box:
        """The colour scale on the sheet, as shares like `box`."""
        room = self.width_px - _LEFT_PX - _RIGHT_PX
        width = min(max(self.wall.width_m * self.px_per_m, _SCALE_AT_LEAST_PX), room)
        # A tenth is kept free at the right for the arrow that stands for everything above the top.
        left = _LEFT_PX + (room - width) / 2
        return self._shares(left, _SCALE_WORDS_PX, width * 0.94, _SCALE_PX)

    def _shares(self, left: float, bottom: float, width: float, height: float) -> Box:
        return (
            left / self.width_px,
            bottom / self.height_px,
            width / self.width_px,
            height / self.height_px,
        )


@dataclass(frozen=True)
class FrameOnSheet(Frame):
    """A wall somewhere on a larger sheet, without its scale.

    Parameters
    ----------
    corner_px : tuple of float
        Upper left corner of what it takes, from the sheet's [px].
    room_px : float
        Width that it may take [px].
    sheet_px : tuple of float
        Width and height of the sheet [px].
    """

    corner_px: tuple[float, float] = (0.0, 0.0)
    room_px: float = 640.0
    sheet_px: tuple[float, float] = (640.0, 480.0)

    @property
    def px_per_m(self) -> float:
        """Scale of the drawing [px/m]."""
        room = self.room_px - _LEFT_PX - _RIGHT_PX
        return min(room / self.wall.width_m, self.most_height_px / self.wall.height_m)

    @property
    def height_px(self) -> float:
        """Height of the sheet [px]."""
        return self.sheet_px[1]

    @property
    def taken_px(self) -> float:
        """Height that it takes with its words [px]."""
        return _TOP_PX + self.wall.height_m * self.px_per_m + _X_WORDS_PX

    @property
    def box(self) -> Box:
        """The wall on the sheet, as shares of the sheet."""
        width, height = self.wall.width_m * self.px_per_m, self.wall.height_m * self.px_per_m
        bottom = self.height_px - self.corner_px[1] - _TOP_PX - height
        return self._shares(self.corner_px[0] + _LEFT_PX, bottom, width, height)


def large_frame(wall: Wall, ramp_top_mm: float, formats: Formats = HOUSE) -> Frame:
    """For a wide screen: words no larger than those around it."""
    return Frame(wall, ramp_top_mm, 880.0, 560.0, 13.0, formats)


def wide_frame(wall: Wall, ramp_top_mm: float, formats: Formats = HOUSE) -> Frame:
    """For a column of a screen, and for paper."""
    return Frame(wall, ramp_top_mm, formats=formats)


def narrow_frame(wall: Wall, ramp_top_mm: float, formats: Formats = HOUSE) -> Frame:
    """For a phone: the same drawing with fewer ticks, so that its words stay readable."""
    return Frame(wall, ramp_top_mm, width_px=370.0, most_height_px=420.0, formats=formats)


def ticks(length: float, most: int, steps: Sequence[float] = _STEPS) -> tuple[float, ...]:
    """Round values from 0 to `length`, at most `most` + 1 of them.

    Examples
    --------
    >>> ticks(2.6, 6)
    (0.0, 0.5, 1.0, 1.5, 2.0, 2.5)
    >>> ticks(60.0, 6)
    (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
    """
    step = next((size for size in steps if length / size <= most + 1e-9), length)
    count = math.floor(length / step + 1e-9)
    return tuple(round(step * index, 6) for index in range(count + 1))


def scale_bar_m(formats: Formats) -> float:
    """What a drawing has beside it to be measured by: a metre, or three feet [m]."""
    return to_metres(3, "ft") if formats.feet_and_inches else 1.0


def metre_ticks(length_m: float, most: int, formats: Formats) -> tuple[list[float], list[str]]:
    """Round places from 0 to a length, in metres or in feet, and their words [m].

    Examples
    --------
    >>> metre_ticks(2.6, 3, HOUSE), metre_ticks(2.6, 5, Formats(feet_and_inches=True))[1]
    (([0.0, 1.0, 2.0], ['0', '1', '2']), ['0"', "2'", "4'", "6'", "8'"])
    """
    foot = to_metres(1, "ft") if formats.feet_and_inches else 1.0
    steps = _STEPS_FT if formats.feet_and_inches else _STEPS
    marks = [mark * foot for mark in ticks(length_m / foot, most, steps)]
    return marks, [formats.length(mark, column=True) for mark in marks]


def mm_ticks(top_mm: float, most: int, formats: Formats) -> tuple[list[float], list[str]]:
    """Round thicknesses from 0 to the top, in millimetres or in parts of an inch, and their words [mm].

    Examples
    --------
    >>> mm_ticks(20.0, 4, HOUSE)[1], mm_ticks(20.0, 4, Formats(feet_and_inches=True))[1]
    (['0', '5', '10', '15', '20'], ['0"', '1/4"', '1/2"', '3/4"'])
    """
    inch = to_millimetres(1, "in") if formats.feet_and_inches else 1.0
    steps = _STEPS_IN if formats.feet_and_inches else _STEPS
    marks = [mark * inch for mark in ticks(top_mm / inch, most, steps)]
    return marks, [formats.depth(mark, column=True) for mark in marks]


def both_ways(top: float, formats: Formats = HOUSE) -> tuple[list[float], list[str]]:
    """Round values from `-top` to `top` as ticks, and their words with a sign [mm].

    Examples
    --------
    >>> both_ways(10.0)
    ([-10.0, -5.0, 0.0, 5.0, 10.0], ['−10', '−5', '0', '+5', '+10'])
    """
    marks, said = mm_ticks(top, 2, formats)
    shown = [*(-mark for mark in reversed(marks[1:])), *marks]
    return shown, [
        *(f"{MINUS}{each}" for each in reversed(said[1:])),
        "0",
        *(f"+{each}" for each in said[1:]),
    ]


def draw_frame(figure: Figure, frame: Frame, paper: str = PAPER) -> Axes:
    """Draw axes, scale and openings; return the axes of the wall, in metres.

    The openings stand above whatever is drawn into the axes later, filled with `paper`.
    """
    axes = draw_wall(figure, frame, paper)
    _draw_scale(figure, frame)
    return axes


def draw_wall(figure: Figure, frame: Frame, paper: str = PAPER) -> Axes:
    """`draw_frame` without the scale of thickness."""
    axes = figure.add_axes(frame.box, facecolor="none")
    axes.set_xlim(0, frame.wall.width_m)
    axes.set_ylim(0, frame.wall.height_m)
    _draw_metres(axes, frame)
    for opening in (*frame.wall.openings, *frame.wall.fitted):
        _draw_opening(axes, opening, frame, paper)
    draw_strips(axes, frame.wall, paper)
    return axes


def _points(px: float) -> float:
    return px * 72.0 / CSS_PX_PER_INCH


def _draw_metres(axes: Axes, frame: Frame) -> None:
    """Ticks in metres along the floor and up the left edge."""
    size = _points(frame.font_px)
    wall = frame.wall
    across = metre_ticks(wall.width_m, max(int(wall.width_m * frame.px_per_m / 55), 2), frame.formats)
    up = metre_ticks(wall.height_m, max(int(wall.height_m * frame.px_per_m / 50), 2), frame.formats)
    axes.set_xticks(*across, fontsize=size, color=INK)
    axes.set_yticks(*up, fontsize=size, color=INK)
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    for spine in axes.spines.values():
        spine.set(linewidth=0.8, color=INK, zorder=6)
    centre = (frame.box[0] + frame.box[2] / 2) * frame.width_px
    unit = "" if frame.formats.feet_and_inches else "metres "
    words = f"{unit}{'from the left end' if wall.width_m * frame.px_per_m > 150 else 'across'}"
    below = frame.box[1] * frame.height_px - 38
    figure = axes.get_figure(root=True)
    assert figure is not None
    figure.text(
        centre / frame.width_px, below / frame.height_px, words, ha="center", va="bottom", fontsize=size
    )
    left = frame.box[0] * frame.width_px - 37
    figure.text(
        left / frame.width_px,
        frame.box[1] + frame.box[3] / 2,
        f"{unit}up",
        rotation="vertical",
        ha="center",
        va="center",
        fontsize=size,
    )


def _draw_opening(axes: Axes, opening: Opening, frame: Frame, paper: str) -> None:
    corner = (opening.x_m, opening.z_m)
    axes.add_patch(
        Rectangle(
            corner, opening.width_m, opening.height_m, facecolor=paper, edgecolor=INK, linewidth=1.0, zorder=5
        )
    )
    fitting = _fitting_words(opening, frame)
    if fitting is None:
        return
    size, rotation = fitting
    axes.text(
        opening.x_m + opening.width_m / 2,
        opening.z_m + opening.height_m / 2,
        opening.name,
        rotation=rotation,
        fontsize=_points(size),
        ha="center",
        va="center",
        color=INK,
        zorder=5.5,
        parse_math=False,
        clip_on=True,
    )


def _fitting_words(opening: Opening, frame: Frame) -> tuple[float, str] | None:
    """Height [px] and direction in which the opening's name fits into it; None where it does not."""
    width, height = opening.width_m * frame.px_per_m - 6, opening.height_m * frame.px_per_m - 6
    for size in (frame.font_px, frame.font_px - 2):
        length = 0.6 * size * len(opening.name)
        if length <= width and size * 1.3 <= height:
            return size, "horizontal"
        if length <= height and size * 1.3 <= width:
            return size, "vertical"
    return None


def draw_strips(axes: Axes, wall: Wall, paper: str) -> None:
    """Skirting and cornice, paper like the openings."""
    strips = ((0.0, wall.skirting_m), (wall.height_m - wall.cornice_m, wall.cornice_m))
    for bottom, height in strips:
        if height > 0:
            axes.add_patch(
                Rectangle(
                    (0, bottom),
                    wall.width_m,
                    height,
                    facecolor=paper,
                    edgecolor=INK,
                    linewidth=0.5,
                    zorder=4.5,
                )
            )


def _draw_scale(figure: Figure, frame: Frame) -> None:
    """The scale under the wall, with its words."""
    marks = max(int(frame.scale_box[2] * frame.width_px / 45), 1)
    draw_scale(figure, frame.scale_box, frame.ramp_top_mm, marks, _points(frame.font_px), frame.formats)
    middle = frame.scale_box[0] + frame.scale_box[2] / 2
    below, size = 2.0 / frame.height_px, _points(frame.font_px)
    words = frame.formats.head("thickness of plaster", "mm")
    figure.text(middle, below, words, ha="center", va="bottom", fontsize=size)


def draw_scale(
    figure: Figure, box: Box, top_mm: float, most_marks: int, font_pt: float, formats: Formats = HOUSE
) -> Axes:
    """The colours with their thickness, and an arrow for everything above the top, in `box` (shares)."""
    axes = figure.add_axes(box, facecolor="none")
    axes.imshow(RAMP[None, :, :], extent=(0, top_mm, 0, 1), aspect="auto", interpolation="nearest")
    axes.set_xlim(0, top_mm)
    axes.set_xticks(*mm_ticks(top_mm, most_marks, formats), fontsize=font_pt, color=INK)
    axes.set_yticks([])
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    for spine in axes.spines.values():
        spine.set(linewidth=0.6, color=INK)
    arrow = np.array([(1.0, 0.0), (1.035, 0.5), (1.0, 1.0)])
    darkest = tuple(RAMP[-1] / 255)
    axes.add_patch(
        Polygon(
            arrow,
            transform=axes.transAxes,
            facecolor=darkest,
            edgecolor=INK,
            linewidth=0.6,
            clip_on=False,
        )
    )
    return axes


@lru_cache(maxsize=32)
@own_settings()
def frame_svg(frame: Frame) -> str:
    """The frame as an SVG element for a page: its ink is the page's text colour, its paper the page's.

    It has no size of its own and fills what it is put into; the page sets ``--wallmap-paper``.
    """
    figure = new_figure(frame.width_px, frame.height_px)
    draw_frame(figure, frame, paper=_PAPER_MARK)
    drawing = svg_text(figure, salt=repr(frame))
    drawing = drawing[drawing.index("<svg") :]
    head, rest = drawing.split(">", 1)
    head = re.sub(r' (width|height)="[^"]*"', "", head) + ' fill="currentColor" aria-hidden="true"'
    rest = re.sub(r"\s*<metadata>.*?</metadata>", "", rest, flags=re.DOTALL)
    rest = rest.replace(_PAPER_MARK, "var(--wallmap-paper, #ffffff)").replace(INK, "currentColor")
    return f"{head}>{rest}"
