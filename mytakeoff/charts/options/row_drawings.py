"""The wedge beside something plumb: one in a row of a table, or all side by side at true ratio, as SVG."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mytakeoff.charts.drawing.lettering import LINE, mm_words, width_of, wrapped
from mytakeoff.charts.drawing.svg import PAPER, drawing, element, words
from mytakeoff.charts.options.wedge import WedgeDrawing, describe_taper, fitting_exaggeration, spread

ROW_HIGH_PX, ROOM_PX = 74.0, 56.0
TRUE_HIGH_PX, COLUMN_PX = 460.0, 150.0
_THING_PX, _FONT_PX, _LEADER_PX, _EDGE_PX = 8.0, 12.0, 12.0, 1.0


def row_exaggeration(wedges: Sequence[WedgeDrawing]) -> int:
    """How many times wider than true the gap is drawn in every row: the strongest with which all fit [-].

    Examples
    --------
    >>> row_exaggeration([WedgeDrawing("wardrobe", 2.4, np.array([0.0, 2.4]), np.array([0.0, 15.0]))])
    100
    """
    sizes = [
        fitting_exaggeration(each.widest_mm, ROW_HIGH_PX / each.height_m, ROOM_PX)
        for each in wedges
        if each.widest_mm > 0
    ]
    return min(sizes, default=1)


def row_taper(wedge: WedgeDrawing, exaggeration: int, salt: str) -> str:
    """The wedge of one row, its widest places named beside it.

    Parameters
    ----------
    wedge : WedgeDrawing
    exaggeration : int
        From `row_exaggeration`, said in the table's head [-].
    salt : str
        Different for each drawing on one page.
    """
    px_per_mm = ROW_HIGH_PX / wedge.height_m / 1000 * exaggeration
    labels = wedge.labels or (("not surveyed", wedge.height_m / 2, np.nan),)
    said = [name if np.isnan(gap) else f"{mm_words(gap)} {name}" for name, _, gap in labels]
    beside = _THING_PX + ROOM_PX + _LEADER_PX
    wide = beside + max(width_of(each, _FONT_PX) for each in said) + _EDGE_PX
    tall = [_FONT_PX * LINE] * len(labels)
    places = spread([z_m / wedge.height_m * ROW_HIGH_PX for _, z_m, _ in labels], tall, ROW_HIGH_PX)
    parts = [_shape(wedge, px_per_mm, _EDGE_PX, ROW_HIGH_PX, salt)]
    for text, (_, z_m, gap), place in zip(said, labels, places, strict=True):
        y = ROW_HIGH_PX - place + _EDGE_PX
        if not np.isnan(gap):
            from_x = _EDGE_PX + _THING_PX + gap * px_per_mm + 2
            from_y = ROW_HIGH_PX * (1 - z_m / wedge.height_m) + _EDGE_PX
            parts.append(_line(from_x, from_y, beside - 3, y, 0.6))
        parts.append(words(beside, y + _FONT_PX * 0.36, text, _FONT_PX))
    return drawing("".join(parts), wide, ROW_HIGH_PX + 2 * _EDGE_PX, describe_taper(wedge))


def true_tapers(named: Sequence[tuple[str, WedgeDrawing]]) -> str:
    """Every option's wedge at true ratio: the gap as wide as it is to the height of the thing.

    Parameters
    ----------
    named : sequence of (str, WedgeDrawing)
        Letter and name of each option, all beside the same thing.
    """
    parts = []
    for at, (name, wedge) in enumerate(named):
        left = at * COLUMN_PX + 4
        px_per_mm = TRUE_HIGH_PX / wedge.height_m / 1000
        parts.append(_shape(wedge, px_per_mm, left, TRUE_HIGH_PX, f"true-{at}"))
        widest = f"up to {mm_words(wedge.widest_mm)}" if wedge.labels else "not surveyed"
        for line, text in enumerate((*wrapped(name, COLUMN_PX - 14, _FONT_PX), widest)):
            parts.append(words(left, TRUE_HIGH_PX + 20 + line * _FONT_PX * LINE, text, _FONT_PX))
    label = " ".join(["At true ratio.", *(f"{name}: {describe_taper(wedge)}" for name, wedge in named)])
    return drawing("".join(parts), max(len(named), 1) * COLUMN_PX, TRUE_HIGH_PX + 66, label)


def _shape(wedge: WedgeDrawing, px_per_mm: float, left: float, high: float, salt: str) -> str:
    """The plumb thing, the hatched gap, the wall's face."""
    edge = left + _THING_PX
    thing = element(
        "rect", x=left, y=_EDGE_PX, width=_THING_PX, height=high, fill=PAPER, stroke="currentColor",
        stroke_width=0.8,
    )  # fmt: skip
    known = ~np.isnan(wedge.gap_mm)
    if not known.any():
        return thing
    x = edge + wedge.gap_mm[known] * px_per_mm
    y = high * (1 - wedge.z_m[known] / wedge.height_m) + _EDGE_PX
    face = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
    gap = f"{edge:.1f},{y[0]:.1f} {face} {edge:.1f},{y[-1]:.1f}"
    name = f"mt-hatch-{salt}"
    stroke = element("line", x1=0, y1=0, x2=0, y2=5, stroke="currentColor", stroke_width=2.0)
    hatch = element(
        "pattern", stroke, id=name, width=4, height=5, patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )  # fmt: skip
    return (
        hatch
        + thing
        + element("polygon", points=gap, fill=f"url(#{name})", stroke="none")
        + _line(edge, _EDGE_PX, edge, high + _EDGE_PX, 1.4)
        + element("polyline", points=face, fill="none", stroke="currentColor", stroke_width=1.8)
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke="currentColor", stroke_width=width)
