"""A price and the band that it may lie in, on one scale for all options, as SVG."""

from __future__ import annotations

from decimal import Decimal

from mytakeoff.charts.drawing.svg import drawing, element
from mytakeoff.units import say

BAND_PX = 130.0
_HIGH_PX, _EDGE_PX = 16.0, 2.0


def band_svg(total: Decimal, low: Decimal, high: Decimal, dearest: Decimal, currency: str) -> str:
    """A line from nothing to the dearest price, a bar from `low` to `high`, a stroke at `total`.

    Parameters
    ----------
    total, low, high : Decimal
        Price with tax, and the prices that one in ten stays under and one in ten exceeds.
    dearest : Decimal
        End of the scale, more than 0, the same in every row.
    currency : str
    """
    a, b, at = (_EDGE_PX + float(each / dearest) * (BAND_PX - 2 * _EDGE_PX) for each in (low, high, total))
    middle = _HIGH_PX / 2
    parts = (
        element("line", x1=_EDGE_PX, y1=middle, x2=BAND_PX - _EDGE_PX, y2=middle, stroke="currentColor",
                stroke_width=1.0, opacity=0.35),
        element("rect", x=a, y=middle - 4, width=max(b - a, 1.0), height=8, fill="currentColor",
                opacity=0.45),
        element("line", x1=at, y1=1, x2=at, y2=_HIGH_PX - 1, stroke="currentColor", stroke_width=2.4),
    )  # fmt: skip
    said = f"Price {say(total)} {currency}, eight in ten between {say(low)} and {say(high)}"
    return drawing("".join(parts), BAND_PX, _HIGH_PX, said)
