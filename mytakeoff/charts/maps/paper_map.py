"""A wall's thickness on a paper: the strip of the options, a wall by itself, ink and paper said outright."""

from __future__ import annotations

from collections.abc import Sequence

from mytakeoff.charts.drawing.svg import PAPER as PAGE
from mytakeoff.charts.drawing.svg import drawing
from mytakeoff.charts.maps.small_maps import SmallMap, describe_small_maps
from mytakeoff.charts.maps.wall_strip import drawn_wall
from mytakeoff.survey.wall import Wall

WIDEST_PX, HIGHEST_PX, EDGE_PX = 194.0, 125.0, 1.0
INK, PAPER = "#000000", "#ffffff"


def paper_scale(walls: Sequence[Wall]) -> float:
    """Pixels for a metre with which each wall fits its place [px/m].

    Examples
    --------
    >>> paper_scale([Wall("A", 3.0, 2.5), Wall("B", 1.0, 2.5)])
    50.0
    """
    return min(WIDEST_PX / max(w.width_m for w in walls), HIGHEST_PX / max(w.height_m for w in walls))


def paper_map(wall: Wall, small: SmallMap, top_mm: float, scale: float) -> str:
    """One wall as SVG for paper; `top_mm` at the dark end [mm], `scale` from `paper_scale` [px/m]."""
    across, up = wall.width_m * scale + 2 * EDGE_PX, wall.height_m * scale + 2 * EDGE_PX
    drawn = drawn_wall(wall, small, (EDGE_PX, up - EDGE_PX), scale, top_mm)
    return on_paper(drawing(drawn, across, up, describe_small_maps(wall, [small])))


def on_paper(svg: str) -> str:
    """A drawing in black on white, whatever page it stands on.

    Examples
    --------
    >>> on_paper('<svg><rect fill="var(--jp-layout-color0, #ffffff)" stroke="currentColor"/></svg>')
    '<svg><rect fill="#ffffff" stroke="#000000"/></svg>'
    """
    return svg.replace(PAGE, PAPER).replace("currentColor", INK)
