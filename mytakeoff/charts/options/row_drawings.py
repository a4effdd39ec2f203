"""What stands in a row of the options as SVG: the wedge beside something plumb, the price and its band."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import numpy as np

from mytakeoff.charts.drawing.lettering import LINE, width_of, wrapped
from mytakeoff.charts.drawing.svg import PAPER, box, drawing, element, line, words
from mytakeoff.charts.options.wedge import (
    LEADER_PX,
    THING_PX,
    WedgeDrawing,
    describe_taper,
    fitting_exaggeration,
    labels_beside,
)
from mytakeoff.formats.formats import Formats

ROW_HIGH_PX, ROOM_PX = 74.0, 56.0
TRUE_HIGH_PX, COLUMN_PX = 460.0, 150.0
BAND_PX = 130.0
_FONT_PX, _EDGE_PX = 12.0, 1.0
_BAND_HIGH_PX, _BAND_EDGE_PX = 16.0, 2.0


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
    labels = labels_beside(wedge, lambda name, mm: f"{wedge.formats.mm(mm)} {name}", _FONT_PX, ROW_HIGH_PX)
    beside = THING_PX + ROOM_PX + LEADER_PX
    wide = beside + max(width_of(each.words, _FONT_PX) for each in labels) + _EDGE_PX
    parts = [_shape(wedge, px_per_mm, _EDGE_PX, ROW_HIGH_PX, salt)]
    for each in labels:
        y = ROW_HIGH_PX - each.up_px + _EDGE_PX
        if not np.isnan(each.gap_mm):
            from_x = _EDGE_PX + THING_PX + each.gap_mm * px_per_mm + 2
            from_y = ROW_HIGH_PX * (1 - each.z_m / wedge.height_m) + _EDGE_PX
            parts.append(line(from_x, from_y, beside - 3, y, 0.6))
        parts.append(words(beside, y + _FONT_PX * 0.36, each.words, _FONT_PX))
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
        gap = wedge.formats.mm(wedge.widest_mm)
        widest = (
            ("no gap" if gap == wedge.formats.mm(0.0) else f"up to {gap}") if wedge.labels else "not surveyed"
        )
        for nth, text in enumerate((*wrapped(name, COLUMN_PX - 14, _FONT_PX), widest)):
            parts.append(words(left, TRUE_HIGH_PX + 20 + nth * _FONT_PX * LINE, text, _FONT_PX))
    label = " ".join(["At true ratio.", *(f"{name}: {describe_taper(wedge)}" for name, wedge in named)])
    return drawing("".join(parts), max(len(named), 1) * COLUMN_PX, TRUE_HIGH_PX + 66, label)


def _shape(wedge: WedgeDrawing, px_per_mm: float, left: float, high: float, salt: str) -> str:
    """The plumb thing, the hatched gap, the wall's face."""
    edge = left + THING_PX
    thing = box(left, _EDGE_PX, THING_PX, high, PAPER, 0.8)
    known = ~np.isnan(wedge.gap_mm)
    if not known.any():
        return thing
    x = edge + wedge.gap_mm[known] * px_per_mm
    y = high * (1 - wedge.z_m[known] / wedge.height_m) + _EDGE_PX
    face = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
    gap = f"{edge:.1f},{y[0]:.1f} {face} {edge:.1f},{y[-1]:.1f}"
    name = f"mt-hatch-{salt}"
    hatch = element(
        "pattern", line(0, 0, 0, 5, 2.0), id=name, width=4, height=5, patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )  # fmt: skip
    return (
        hatch
        + thing
        + element("polygon", points=gap, fill=f"url(#{name})", stroke="none")
        + line(edge, _EDGE_PX, edge, high + _EDGE_PX, 1.4)
        + element("polyline", points=face, fill="none", stroke="currentColor", stroke_width=1.8)
    )


def band_svg(total: Decimal, low: Decimal, high: Decimal, dearest: Decimal, formats: Formats) -> str:
    """A line from nothing to the dearest price, a bar from `low` to `high`, a stroke at `total`.

    Parameters
    ----------
    total, low, high : Decimal
        Price with tax, and the prices that one in ten stays under and one in ten exceeds.
    dearest : Decimal
        End of the scale, more than 0, the same in every row.
    formats : Formats
    """
    a, b, at = (
        _BAND_EDGE_PX + float(each / dearest) * (BAND_PX - 2 * _BAND_EDGE_PX) for each in (low, high, total)
    )
    middle = _BAND_HIGH_PX / 2
    parts = (
        line(_BAND_EDGE_PX, middle, BAND_PX - _BAND_EDGE_PX, middle, 1.0, opacity=0.35),
        element("rect", x=a, y=middle - 4, width=max(b - a, 1.0), height=8, fill="currentColor",
                opacity=0.45),
        line(at, 1, at, _BAND_HIGH_PX - 1, 2.4),
    )  # fmt: skip
    ends = f"{formats.number(low)} and {formats.number(high)}"
    said = f"Price {formats.amount(total, 0)}, eight in ten between {ends}"
    return drawing("".join(parts), BAND_PX, _BAND_HIGH_PX, said)
