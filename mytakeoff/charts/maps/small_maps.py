"""Small thickness maps of one wall side by side, one for each option, all on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.canvas import new_figure, png_bytes
from mytakeoff.charts.drawing.field import NOT_PRICED, PRICED, Field, Floats, field_of, thin_out
from mytakeoff.charts.drawing.frame import draw_scale, draw_strips
from mytakeoff.charts.drawing.lettering import LINE, box_on, page_svg, points, wrapped, write
from mytakeoff.charts.drawing.palette import INK, PAPER, ramp_top
from mytakeoff.charts.maps.thickness_map import draw_not_priced, field_pixels
from mytakeoff.survey.wall import Wall
from mytakeoff.units import say

_EDGE_PX, _GAP_PX, _FONT_PX = 14.0, 18.0, 12.0
_LEAST_COLUMN_PX, _MOST_COLUMN_PX = 120.0, 260.0
_SCALE_PX, _SCALE_WIDTH_PX = 12.0, 300.0
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
    """

    title: str
    x_m: Floats
    z_m: Floats
    thickness_mm: Floats

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
    axes.imshow(
        np.ascontiguousarray(field_pixels(field, ramp_top_mm)),
        extent=field.extent_m,
        origin="lower",
        interpolation="nearest",
        aspect="auto",
        zorder=1,
    )
    axes.set_xlim(0, wall.width_m)
    axes.set_ylim(0, wall.height_m)
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


def one(
    wall: Wall, small: SmallMap, ramp_top_mm: float, width_px: float = 160.0, most_height_px: float = 110.0
) -> Figure:
    """One map alone, without words, for a row of a table.

    Parameters
    ----------
    wall : Wall
    small : SmallMap
    ramp_top_mm : float
        Thickness at the dark end of the scale, the same for all options: `common_top` [mm].
    width_px, most_height_px : float
        Room for it; it takes what its proportions need [CSS px].
    """
    across, up = size_px(wall, width_px - 2, most_height_px - 2)
    figure = new_figure(across + 2, up + 2)
    draw_small(figure, wall, small, ramp_top_mm, (1, 1, across, up))
    return figure


def one_png(wall: Wall, small: SmallMap, ramp_top_mm: float, width_px: float = 160.0) -> bytes:
    """One map alone as a PNG, two dots for each pixel of the screen [mm, px]."""
    return png_bytes(one(wall, small, ramp_top_mm, width_px), dpi=192.0)


def one_svg(wall: Wall, small: SmallMap, ramp_top_mm: float, width_px: float = 160.0) -> str:
    """One map alone as an SVG element for a page, its words for a screen reader with it [mm, px]."""
    label = describe_small_maps(wall, [small])
    return page_svg(one(wall, small, ramp_top_mm, width_px), salt=f"small {small.title}", label=label)


def make(
    wall: Wall, maps: Sequence[SmallMap], *, ramp_top_mm: float | None = None, width_px: float = 980.0
) -> Figure:
    """All maps side by side on one scale, for paper.

    Parameters
    ----------
    wall : Wall
    maps : sequence of SmallMap
        At least one.
    ramp_top_mm : float, optional
        Thickness at the dark end of the scale; `common_top` unless given [mm].
    width_px : float
        Width of the sheet [CSS px, 96 to the inch].

    Returns
    -------
    matplotlib.figure.Figure
        One pair of axes for each map, in metres, then the scale.
    """
    top = common_top(maps) if ramp_top_mm is None else ramp_top_mm
    inner = width_px - 2 * _EDGE_PX
    a_row = max(min(len(maps), int((inner + _GAP_PX) // (_LEAST_COLUMN_PX + _GAP_PX))), 1)
    column = min((inner - (a_row - 1) * _GAP_PX) / a_row, _MOST_COLUMN_PX)
    across, up = size_px(wall, column, column)
    titles = [wrapped(each.title, column, _FONT_PX) for each in maps]
    tallest = max((len(lines) for lines in titles), default=0) * _FONT_PX * LINE
    step = up + 6 + tallest + _GAP_PX
    rows = -(-len(maps) // a_row)
    figure = new_figure(width_px, _EDGE_PX + rows * step + _SCALE_PX + 48)
    figure.set_facecolor("white")
    for index, (small, lines) in enumerate(zip(maps, titles, strict=True)):
        left = _EDGE_PX + (index % a_row) * (column + _GAP_PX)
        above = _EDGE_PX + (index // a_row) * step
        draw_small(figure, wall, small, top, (left, above, across, up))
        write(figure, left, above + up + 6, "\n".join(lines), _FONT_PX)
    unknown = any((small_field(wall, each, across).state == NOT_PRICED).any() for each in maps)
    draw_key(figure, _EDGE_PX, _EDGE_PX + rows * step, top, unknown, inner)
    return figure


def draw_key(
    figure: Figure, left_px: float, top_px: float, ramp_top_mm: float, unknown: bool, room_px: float
) -> None:
    """The scale with its words under it, and beside it what hatched means [px, mm]."""
    width = min(_SCALE_WIDTH_PX, room_px * 0.9)
    box = box_on(figure, left_px + 4, top_px, width, _SCALE_PX)
    draw_scale(figure, box, ramp_top_mm, 6, points(_FONT_PX - 1))
    write(figure, left_px + 4, top_px + _SCALE_PX + 20, "thickness of plaster, mm", _FONT_PX - 1)
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
    said = f"plaster on {say(100 * share)} % of the priced area, thickest {say(small.thickest_mm)} mm"
    field = small_field(wall, small, 100.0)
    if (field.state == NOT_PRICED).any():
        part = (field.state == NOT_PRICED).sum() / np.isin(field.state, (PRICED, NOT_PRICED)).sum()
        said += f"; {say(100 * float(part))} % of the wall is not priced"
    return said
