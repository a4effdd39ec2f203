"""Small thickness maps of one wall side by side, one for each option, all on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.field import NOT_PRICED, PRICED, Field, Floats, field_of, thin_out
from mytakeoff.charts.drawing.frame import draw_scale, draw_strips
from mytakeoff.charts.drawing.lettering import box_on, points, write
from mytakeoff.charts.drawing.palette import INK, PAPER, ramp_top
from mytakeoff.charts.maps.thickness_map import draw_cells, draw_not_priced, field_pixels
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

_FONT_PX, _SCALE_PX, _SCALE_WIDTH_PX = 12.0, 12.0, 300.0
HATCHED = "hatched: not priced, the survey does not reach it"


@dataclass(frozen=True, eq=False)
class SmallMap:
    """The thickness that one option puts on the wall.

    Parameters
    ----------
    title : str
        In words, with the option's letter: "B  patch and skim".
    x_m, z_m : (nx,), (nz,) float
        Cell centres, evenly spaced and rising [m].
    thickness_mm : (nz, nx) float
        NaN where nothing is priced [mm].
    formats : Formats
    """

    title: str
    x_m: Floats
    z_m: Floats
    thickness_mm: Floats
    formats: Formats = HOUSE

    @property
    def thickest_mm(self) -> float:
        """The greatest thickness, 0 where nothing is priced [mm]."""
        return float(np.nanmax(self.thickness_mm, initial=0.0))


def common_top(maps: Sequence[SmallMap]) -> float:
    """The round thickness at the dark end of the scale that all maps share [mm]."""
    return ramp_top(max((each.thickest_mm for each in maps), default=0.0))


def small_field(wall: Wall, small: SmallMap, width_px: float) -> Field:
    """The map's cells, thinned out to no more than two for each pixel across [px]."""
    columns = small.thickness_mm.shape[1]
    factor = max(int(-(-columns // max(2 * width_px, 1))), 1)
    thin = thin_out(np.asarray(small.thickness_mm, dtype=float), factor)
    x_m = _thinned(np.asarray(small.x_m, dtype=float), thin.shape[1], factor)
    z_m = _thinned(np.asarray(small.z_m, dtype=float), thin.shape[0], factor)
    return field_of(wall, x_m, z_m, thin)


def _thinned(centres_m: Floats, count: int, factor: int) -> Floats:
    """Centres of blocks of `factor` cells; the last block may reach beyond the last cell."""
    if factor == 1:
        return centres_m
    step = (centres_m[-1] - centres_m[0]) / (centres_m.size - 1)
    return np.asarray(centres_m[0] + step * (np.arange(count) * factor + (factor - 1) / 2))


def size_px(wall: Wall, width_px: float, most_height_px: float) -> tuple[float, float]:
    """Width and height of the wall at true proportions within this room [px].

    Examples
    --------
    >>> size_px(Wall("north", 4.0, 2.0), 200.0, 150.0), size_px(Wall("cheek", 0.5, 2.5), 200.0, 150.0)
    ((200.0, 100.0), (30.0, 150.0))
    """
    scale = min(width_px / wall.width_m, most_height_px / wall.height_m)
    return wall.width_m * scale, wall.height_m * scale


def draw_small(
    figure: Figure,
    wall: Wall,
    small: SmallMap,
    ramp_top_mm: float,
    box_px: tuple[float, float, float, float],
) -> Axes:
    """Draw one map into a box (left, top, width, height from the upper left [px]), in metres, without words.

    `ramp_top_mm` is the thickness at the dark end of the scale [mm].
    """
    axes = figure.add_axes(box_on(figure, *box_px), facecolor=PAPER)
    field = small_field(wall, small, box_px[2])
    draw_cells(axes, wall, field_pixels(field, ramp_top_mm), field.extent_m)
    axes.set_xticks([])
    axes.set_yticks([])
    draw_not_priced(axes, field)
    for part in (*wall.openings, *wall.fitted):
        corner, across, up = (part.x_m, part.z_m), part.width_m, part.height_m
        axes.add_patch(Rectangle(corner, across, up, facecolor=PAPER, edgecolor=INK, linewidth=0.6, zorder=5))
    draw_strips(axes, wall, PAPER)
    for spine in axes.spines.values():
        spine.set(linewidth=0.8, color=INK, zorder=6)
    return axes


def draw_key(
    figure: Figure,
    left_px: float,
    top_px: float,
    ramp_top_mm: float,
    unknown: bool,
    room_px: float,
    formats: Formats = HOUSE,
) -> None:
    """The scale with its words under it, and beside it what hatched means [px, mm]."""
    width = min(_SCALE_WIDTH_PX, room_px * 0.9)
    box = box_on(figure, left_px + 4, top_px, width, _SCALE_PX)
    draw_scale(figure, box, ramp_top_mm, 6, points(_FONT_PX - 1), formats)
    write(
        figure, left_px + 4, top_px + _SCALE_PX + 20, formats.head("thickness of plaster", "mm"), _FONT_PX - 1
    )
    if unknown and room_px > width + 380:
        write(figure, left_px + width + 30, top_px, HATCHED, _FONT_PX - 1)


def describe_small_maps(wall: Wall, maps: Sequence[SmallMap]) -> str:
    """What the maps show, in a sentence for each.

    Examples
    --------
    >>> cells = np.array([[0.0, 21.5]])
    >>> small = SmallMap("B patch and skim", np.array([0.5, 1.5]), np.array([0.5]), cells)
    >>> describe_small_maps(Wall("north", 2.0, 1.0), [small])
    'Wall north, B patch and skim: plaster on 50 % of the priced area, thickest 22 mm.'
    """
    return " ".join(f"Wall {wall.name}, {each.title}: {_said(wall, each)}." for each in maps)


def _said(wall: Wall, small: SmallMap) -> str:
    priced = ~np.isnan(small.thickness_mm)
    if not priced.any():
        return "nothing is priced"
    share = float((small.thickness_mm[priced] > 0).mean())
    if share == 0:
        return "no plaster"
    formats, number = small.formats, small.formats.number
    thickest = formats.depth(small.thickest_mm, places=0)
    said = f"plaster on {number(100 * share)} % of the priced area, thickest {thickest}"
    field = small_field(wall, small, 100.0)
    if (field.state == NOT_PRICED).any():
        part = (field.state == NOT_PRICED).sum() / np.isin(field.state, (PRICED, NOT_PRICED)).sum()
        said += f"; {number(100 * float(part))} % of the wall is not priced"
    return said
