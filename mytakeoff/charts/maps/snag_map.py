"""Snags on their wall: what is filled and taken down in colour, each place with its number and shape."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle as Box

from mytakeoff.acceptance.in_words import snag_words, snags_words
from mytakeoff.acceptance.snags import CHECKED, Snag, SnagList
from mytakeoff.charts.drawing.canvas import new_figure, own_settings
from mytakeoff.charts.drawing.frame import Frame, FrameOnSheet, draw_wall
from mytakeoff.charts.drawing.lettering import LINE, halo, points, wrapped, write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.charts.maps.deviation_map import colours, scale_top
from mytakeoff.charts.maps.thickness_map import draw_cells, letter_places
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.survey import Floats

LEGEND = "▽ hollow, to fill; △ high spot, to take down; dashed: an edge showed it, no reading did."
LEGEND_CHECKED = "Thin, with ✓: touched up and checked."
EDGE_PX, NARROW_PX = 8.0, 24.0


@own_settings()
def make(snags: SnagList, formats: Formats = HOUSE, width_px: float = 640.0) -> Figure:
    """The map of a wall's snags as a picture of its own; those that are checked in thin lines.

    Parameters
    ----------
    snags : SnagList
    formats : Formats
        Of the metres.
    width_px : float
        Of the picture [CSS px].
    """
    frame = FrameOnSheet(snags.promised.wall, 1.0, width_px, formats=formats, room_px=width_px)
    legend = " ".join([LEGEND, *([LEGEND_CHECKED] if _checked(snags) else [])])
    lines = wrapped(legend, width_px - 2 * EDGE_PX, frame.font_px)
    height = frame.taken_px + EDGE_PX + len(lines) * LINE * frame.font_px
    frame = replace(frame, sheet_px=(width_px, height))
    figure = new_figure(*frame.sheet_px)
    draw_snags(figure, frame, snags, checked=True)
    write(figure, EDGE_PX, frame.taken_px, "\n".join(lines), frame.font_px)
    return figure


def draw_snags(figure: Figure, frame: Frame, snags: SnagList, *, checked: bool = False) -> None:
    """The wall on a figure, with its snags that are not checked yet, and those that are where asked."""
    axes = draw_wall(figure, frame)
    mm = _taken_down_mm(snags)
    if snags.surface is not None and mm is not None:
        wall = snags.promised.wall
        top_mm = scale_top(float(np.nanmax(np.abs(mm), initial=0.0)))
        draw_cells(axes, wall, colours(mm, top_mm), (0.0, wall.width_m, 0.0, wall.height_m))
    _draw_places(axes, snags.to_do)
    over = _checked(snags) if checked else ()
    for snag in over:
        box = snag.place
        axes.add_patch(Box((box.x_m, box.z_m), box.width_m, box.height_m, fill=False, edgecolor=INK,
                           linewidth=0.5, zorder=5.5))  # fmt: skip
    _draw_numbers(axes, frame, (*snags.to_do, *over))


def _checked(snags: SnagList) -> tuple[Snag, ...]:
    return tuple(snag for snag in snags.snags if snag.state == CHECKED)


def _taken_down_mm(snags: SnagList) -> Floats | None:
    """What is taken down, negative what is filled [mm]; NaN off the plaster."""
    if snags.repair is None:
        return None
    net = snags.repair.cut_mm - snags.repair.thickness_mm
    return np.where(snags.repair.surface.cell_area_m2 > 0, net, np.nan)


def _draw_places(axes: Axes, snags: tuple[Snag, ...]) -> None:
    for snag in snags:
        box, by_readings = snag.place, "readings" in snag.seen_by
        axes.add_patch(
            Box((box.x_m, box.z_m), box.width_m, box.height_m, fill=False, edgecolor=INK, linewidth=1.2,
                linestyle="solid" if by_readings else "dashed", zorder=5.6, path_effects=halo())
        )  # fmt: skip
        axes.plot([snag.x_m], [snag.z_m], marker="^" if snag.kind == "high" else "v", markersize=7, zorder=7,
                  markerfacecolor="none", markeredgecolor=INK, path_effects=halo(),
                  clip_on=False)  # fmt: skip


def _draw_numbers(axes: Axes, frame: Frame, snags: tuple[Snag, ...]) -> None:
    """The number of each beside it, clear of the others."""
    scale, wall = frame.px_per_m, frame.wall
    beside = [snag.place.width_m * scale / 2 for snag in snags]  # out of a place that is too narrow for it
    spots = [
        (snag.x_m * scale + (half if half < NARROW_PX else 0.0), snag.z_m * scale)
        for snag, half in zip(snags, beside, strict=True)
    ]
    places = letter_places(spots, wall.width_m * scale, wall.height_m * scale)
    for snag, (u, v) in zip(snags, places, strict=True):
        said = f"{snag.number} ✓" if snag.state == CHECKED else str(snag.number)
        axes.text(u / scale, v / scale, said, ha="center", va="center",
                  fontsize=points(frame.font_px), fontweight="bold", color=INK, path_effects=halo(),
                  zorder=7.5, parse_math=False)  # fmt: skip


def describe_snags(snags: SnagList, formats: Formats = HOUSE) -> str:
    """What the map shows, in words for somebody who cannot see it."""
    listed = (f"{snag.number}: {snag_words(snag, formats)}" for snag in snags.to_do)
    return " ".join([snags_words(snags, formats), *(f"{each}." for each in listed)])
