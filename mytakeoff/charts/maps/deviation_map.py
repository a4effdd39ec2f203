"""A wall held to a plane: proud and hollow in two colours from one neutral middle, its places marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.field import Floats, field_of
from mytakeoff.charts.drawing.frame import Frame, both_ways, draw_wall
from mytakeoff.charts.drawing.lettering import halo, points, write
from mytakeoff.charts.drawing.palette import BOTH_WAYS, HALO, INK
from mytakeoff.charts.maps.thickness_map import draw_cells, draw_not_priced, letter_places
from mytakeoff.charts.maps.wall_marks import Marks, draw_marks
from mytakeoff.survey.wall import Wall

TOPS_MM = (5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 500.0)


@dataclass(frozen=True)
class Spot:
    """A marked place: its letter or number, where it is [m], whether it is a high one."""

    mark: str
    x_m: float
    z_m: float
    high: bool


@dataclass(frozen=True)
class Lines:
    """Where the two profiles run: the x of the upright one, the z of the level one [m]."""

    x_m: float
    z_m: float


def scale_top(greatest_mm: float) -> float:
    """The round figure at which both ends of the scale stand [mm].

    Examples
    --------
    >>> scale_top(3.0), scale_top(10.4), scale_top(900.0)
    (5.0, 15.0, 500.0)
    """
    return next((top for top in TOPS_MM if top >= greatest_mm), TOPS_MM[-1])


@own_settings()
def make(
    wall: Wall,
    x_m: Floats,
    z_m: Floats,
    deviation_mm: Floats,
    *,
    top_mm: float,
    spots: Sequence[Spot] = (),
    lines: Lines | None = None,
    marks: Marks | None = None,
    frame: Frame | None = None,
) -> Figure:
    """The deviation map.

    Parameters
    ----------
    wall : Wall
    x_m, z_m : (nx,), (nz,) float
        Cell centres, evenly spaced and rising [m].
    deviation_mm : (nz, nx) float
        Towards the room from the plane; NaN where nothing is known or plastered [mm].
    top_mm : float
        Where the colours end, either way: `scale_top` [mm].
    spots : sequence of Spot
    lines : Lines, optional
        Draws where the profiles run.
    marks : Marks, optional
        What was found on the wall beside its readings.
    frame : Frame, optional
        Another sheet; one for a column of a screen unless given.
    """
    frame = frame or Frame(wall, top_mm)
    sheet = new_figure(frame.width_px, frame.height_px)
    axes = draw_wall(sheet, frame)
    field = field_of(wall, x_m, z_m, np.where(np.isnan(deviation_mm), np.nan, 0.0))
    half_x, half_z = (float(edge[1] - edge[0]) / 2 if edge.size > 1 else 0.5 for edge in (x_m, z_m))
    across = float(x_m[0]) - half_x, float(x_m[-1]) + half_x
    up = float(z_m[0]) - half_z, float(z_m[-1]) + half_z
    draw_cells(axes, wall, colours(deviation_mm, top_mm), (*across, *up))
    draw_not_priced(axes, field)
    if lines is not None:
        for draw, at_m in ((axes.axvline, lines.x_m), (axes.axhline, lines.z_m)):
            draw(at_m, color=HALO, linewidth=2.6, zorder=4.6)
            draw(at_m, color=INK, linewidth=1.0, linestyle=(0, (5, 4)), zorder=4.7)
    marks = marks or Marks()
    draw_marks(axes, marks)
    _draw_spots(axes, spots)
    _draw_letters(axes, [*((spot.mark, spot.x_m, spot.z_m) for spot in spots), *marks.letters], frame)
    _draw_scale(sheet, frame, top_mm)
    return sheet


def colours(deviation_mm: Floats, top_mm: float) -> NDArray[np.uint8]:
    """Red, green, blue and opacity of each cell; clear where nothing is known."""
    share = np.clip(np.nan_to_num(deviation_mm) / top_mm, -1.0, 1.0)
    index = np.round((share + 1.0) / 2.0 * (len(BOTH_WAYS) - 1)).astype(np.intp)
    opacity = np.where(np.isnan(deviation_mm), 0, 255).astype(np.uint8)
    return np.ascontiguousarray(np.dstack([BOTH_WAYS[index], opacity]))


def _draw_spots(axes: Axes, spots: Sequence[Spot]) -> None:
    """Open triangles, point up for high places and down for low ones."""
    for spot in spots:
        axes.plot([spot.x_m], [spot.z_m], marker="^" if spot.high else "v", markersize=8, zorder=7,
                  markerfacecolor="none", markeredgecolor=INK, path_effects=halo(),
                  clip_on=False)  # fmt: skip


def _draw_letters(axes: Axes, letters: Sequence[tuple[str, float, float]], frame: Frame) -> None:
    """Letters and numbers beside their places, clear of each other."""
    scale = frame.px_per_m
    places = letter_places(
        [(x_m * scale, z_m * scale) for _, x_m, z_m in letters],
        frame.wall.width_m * scale,
        frame.wall.height_m * scale,
    )
    for (mark, _, _), (u, v) in zip(letters, places, strict=True):
        axes.text(u / scale, v / scale, mark, ha="center", va="center", fontsize=frame.font_px * 0.75,
                  fontweight="bold", color=INK, path_effects=halo(), zorder=7, parse_math=False)  # fmt: skip


def _draw_scale(figure: Figure, frame: Frame, top_mm: float) -> None:
    """The colours with their millimetres, hollow to the left, proud to the right."""
    axes = figure.add_axes(frame.scale_box, facecolor="none")
    axes.imshow(BOTH_WAYS[None, :, :], extent=(-top_mm, top_mm, 0, 1), aspect="auto", interpolation="nearest")
    axes.set_xticks(*both_ways(top_mm, frame.formats), fontsize=points(frame.font_px))
    axes.set_yticks([])
    axes.tick_params(length=3, width=0.8, pad=2, color=INK)
    for spine in axes.spines.values():
        spine.set(linewidth=0.6, color=INK)
    left = frame.scale_box[0] * frame.width_px
    right = left + frame.scale_box[2] * frame.width_px
    below = frame.height_px - 2
    write(figure, left, below, frame.formats.head("hollow", "mm"), frame.font_px, up="bottom")
    write(figure, right, below, frame.formats.head("proud", "mm"), frame.font_px, across="right", up="bottom")
