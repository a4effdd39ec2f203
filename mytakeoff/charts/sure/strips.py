"""Bands, scales and bars as wide as the page lets them be; what they say stands in words beside them.

Ink alone tells them apart: a pale bar, a gap in it, a heavy stroke.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.ticker import MaxNLocator

from mytakeoff.charts.drawing.svg import PAPER, across, element, stretched, words
from mytakeoff.formats.formats import Formats

HIGH_PX, SCALE_PX = 20.0, 18.0
PALE, FAINT, FULL = 0.4, 0.2, 0.85  # of the ink
_FONT_PX, _BAR_PX, _STROKE_PX = 12.0, 10.0, 3.0
_EDGE = 0.02  # of the width, so that strokes at the ends are whole
_MOST_MARKS = 5


@dataclass(frozen=True)
class BandRow:
    """A range with the figure that is priced, all in one unit.

    Parameters
    ----------
    low, middle, high : float
        What one case in ten, half, and nine in ten stay within [-].
    priced : float
        [-]
    """

    low: float
    middle: float
    high: float
    priced: float

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the most that has to be shown [-]."""
        return min(self.low, self.priced), max(self.high, self.priced)


@dataclass(frozen=True)
class Scale:
    """From where to where some bands are drawn, with round marks in between, in their unit [-]."""

    start: float
    end: float

    @classmethod
    def over(cls, rows: Sequence[BandRow], *also: float) -> Scale:
        """The scale that all rows are seen on, and some figures besides [-].

        Examples
        --------
        >>> Scale.over([BandRow(-1.0, 4.0, 12.0, 6.0)], 0.0)
        Scale(start=-1.0, end=12.0)
        """
        shown = [*also, *(end for row in rows for end in row.ends)]
        least, most = min(shown), max(shown)
        return cls(least, most) if most > least else cls(least - 1.0, most + 1.0)

    @property
    def marks(self) -> tuple[float, ...]:
        """Round figures on it [-].

        Examples
        --------
        >>> Scale(-1.0, 12.0).marks
        (0.0, 5.0, 10.0)
        """
        found = MaxNLocator(_MOST_MARKS, steps=[1, 2, 5, 10]).tick_values(self.start, self.end)
        return tuple(float(mark) for mark in found if self.start <= mark <= self.end)

    def at(self, value: float) -> float:
        """How far across a value stands, as a share of the width [-].

        Examples
        --------
        >>> Scale(0.0, 10.0).at(5.0)
        0.5
        """
        return _EDGE + (1 - 2 * _EDGE) * (value - self.start) / (self.end - self.start)


def scale_strip(scale: Scale, formats: Formats) -> str:
    """The round figures of a scale, each over its mark."""
    return stretched(
        "".join(
            words(across(scale.at(mark)), _FONT_PX, _figure(mark, formats), _FONT_PX, text_anchor=_side(at))
            for mark in scale.marks
            for at in (scale.at(mark),)
        ),
        SCALE_PX,
    )


def _figure(mark: float, formats: Formats) -> str:
    return formats.number(mark) if mark == round(mark) else formats.short(mark)


def _side(at: float) -> str:
    """Where words begin so that none are cut off at the ends."""
    return "start" if at < 0.03 else "end" if at > 0.97 else "middle"


def band_strip(row: BandRow, scale: Scale) -> str:
    """A bar over the range, a gap in it at the middle, a stroke at what is priced; faint marks behind."""
    middle, top = HIGH_PX / 2, (HIGH_PX - _BAR_PX) / 2
    marks = "".join(_upright(scale.at(mark), 0, HIGH_PX, 1.0, FAINT) for mark in scale.marks)
    low, high = scale.at(row.low), scale.at(row.high)
    bar = element(
        "rect", x=across(low), y=top, width=across(high - low), height=_BAR_PX, fill="currentColor",
        opacity=PALE,
    )  # fmt: skip
    line = element(
        "line", x1=across(low), x2=across(high), y1=middle, y2=middle, stroke="currentColor",
        stroke_width=1.5,
    )  # fmt: skip
    at = across(scale.at(row.middle))
    gap = element("line", x1=at, x2=at, y1=top, y2=top + _BAR_PX, stroke=PAPER, stroke_width=3.0)
    return stretched(
        marks + bar + line + gap + _upright(scale.at(row.priced), 0, HIGH_PX, _STROKE_PX), HIGH_PX
    )


def _upright(at: float, top: float, bottom: float, wide: float, opacity: float = 1.0) -> str:
    return element(
        "line", x1=across(at), x2=across(at), y1=top, y2=bottom, stroke="currentColor", stroke_width=wide,
        opacity=opacity,
    )  # fmt: skip


def share_strip(share: float, *, marked: bool = False) -> str:
    """A bar for a share of 1 in a frame for the whole; the marked one full of ink [-]."""
    frame = element(
        "rect", x=0, y=3, width="100%", height=_BAR_PX, fill="none", stroke="currentColor", opacity=FAINT
    )
    bar = element(
        "rect", x=0, y=3, width=across(share), height=_BAR_PX, fill="currentColor",
        opacity=FULL if marked else PALE,
    )  # fmt: skip
    return stretched(frame + bar, _BAR_PX + 6)
