"""The wedge beside something plumb: what the eye sees between a door frame or a wardrobe and the wall."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.field import Floats
from mytakeoff.charts.drawing.lettering import LINE, box_on, points
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats

EXAGGERATIONS = (1, 2, 3, 5, 10, 15, 20, 30, 50, 75, 100, 150, 200)
THING_PX = 8.0
LEADER_PX = 12.0
_SAME_MM = 0.05
_END_M = 0.15

Label = tuple[str, float, float]
"""What it is called, its height [m], its gap [mm]."""


@dataclass(frozen=True, eq=False)
class WedgeDrawing:
    """The gap between something plumb and the wall's face, along the plumb edge.

    Parameters
    ----------
    name : str
        What stands plumb: "door frame", "side of the wardrobe".
    height_m : float
        Its height, more than 0 [m].
    z_m : (n,) float
        Heights of the readings, rising, 0 to `height_m` [m].
    gap_mm : (n,) float
        0 or more, NaN where the wall is not known [mm].
    formats : Formats
        How its labels are written.

    Raises
    ------
    TakeoffError
        No height, or readings that do not fit it.
    """

    name: str
    height_m: float
    z_m: Floats
    gap_mm: Floats
    formats: Formats = HOUSE

    def __post_init__(self) -> None:
        object.__setattr__(self, "z_m", np.asarray(self.z_m, dtype=float))
        object.__setattr__(self, "gap_mm", np.asarray(self.gap_mm, dtype=float))
        check = Check(f"gap beside {self.name!r}")
        check.that(
            bool(0 < self.height_m < np.inf),
            f"height {self.height_m:g} m",
            "what stands plumb has a height above 0",
            "measure it from the floor",
        )
        check.done()
        self._check_readings(check)

    def _check_readings(self, check: Check) -> None:
        fits = self.z_m.shape == self.gap_mm.shape and self.z_m.ndim == 1 and self.z_m.size > 0
        check.that(
            fits,
            f"{self.z_m.size} heights and {self.gap_mm.size} gaps",
            "there is one gap for each height, and at least one",
            "give both lists the same length",
        )
        check.done()
        inside = (self.z_m >= -1e-9) & (self.z_m <= self.height_m + 1e-9)
        check.that(
            bool(inside.all() and (np.diff(self.z_m) > 0).all()),
            f"heights from {self.z_m[0]:g} to {self.z_m[-1]:g} m",
            f"heights rise from 0 to at most {self.height_m:g} m",
            "sort them, and leave out what lies above",
        )
        least = float(np.nanmin(self.gap_mm, initial=0.0))
        check.that(
            least >= 0 and not bool(np.isinf(self.gap_mm).any()),
            f"a gap of {least:g} mm",
            "a gap is 0 or more: the plumb edge touches the wall where it is proudest",
            "measure from the plumb edge back to the wall",
        )
        check.done()

    @property
    def widest_mm(self) -> float:
        """The greatest known gap, 0 where none is known [mm]."""
        return float(np.nanmax(self.gap_mm, initial=0.0))

    @property
    def labels(self) -> tuple[Label, ...]:
        """The gaps to name, from the top down: top, widest and bottom, or fewer where they are the same."""
        known = np.flatnonzero(~np.isnan(self.gap_mm))
        if known.size == 0:
            return ()
        gap = self.gap_mm
        bottom, top, widest = int(known[0]), int(known[-1]), int(np.nanargmax(gap))
        if widest_is_even(gap):
            middle = int(known[known.size // 2])
            return (("all along", float(self.z_m[middle]), float(gap[middle])),)
        named = {
            top: self._end("top", self.height_m - self.z_m[top], top),
            bottom: self._end("bottom", self.z_m[bottom], bottom),
        }
        same = [end for end in named if gap[widest] - gap[end] < _SAME_MM]
        if same:
            named[same[0]] += ", widest"
        else:
            named[widest] = "widest"
        return tuple((named[at], float(self.z_m[at]), float(gap[at])) for at in sorted(named, reverse=True))

    def _end(self, name: str, away_m: float, at: int) -> str:
        """What the last known gap is called: the end itself only where the survey comes close to it."""
        return (
            name
            if away_m <= _END_M
            else f"at {self.formats.length(float(self.z_m[at]), places=1, grouped=True)}"
        )


def widest_is_even(gap_mm: Floats) -> bool:
    """Whether the gap is the same all along, as a hand can tell [mm]."""
    return float(np.nanmax(gap_mm) - np.nanmin(gap_mm)) < _SAME_MM


def exaggeration_words(exaggeration: int) -> str:
    """How wide the gap is drawn.

    Examples
    --------
    >>> exaggeration_words(10), exaggeration_words(1)
    ('gap drawn 10 × wider than true', 'gap drawn at true scale')
    """
    return "gap drawn at true scale" if exaggeration == 1 else f"gap drawn {exaggeration} × wider than true"


def fitting_exaggeration(widest_mm: float, px_per_m: float, room_px: float) -> int:
    """The strongest of 1, 2, 3, 5, 10 … 200 with which a gap still fits [mm, px/m, px].

    Examples
    --------
    >>> fitting_exaggeration(12.0, px_per_m=100.0, room_px=40.0)
    30
    >>> fitting_exaggeration(0.0, px_per_m=100.0, room_px=40.0)
    1
    """
    true_px = widest_mm / 1000 * px_per_m
    if true_px <= 0:
        return 1
    fitting = [size for size in EXAGGERATIONS if true_px * size <= room_px + 1e-9]
    return max(fitting, default=1)


@dataclass(frozen=True)
class PlacedLabel:
    """A label beside the gap: its words, its place [m] and gap [mm, NaN where not known], its middle [px]."""

    words: str
    z_m: float
    gap_mm: float
    up_px: float


def labels_beside(
    wedge: WedgeDrawing,
    said: Callable[[str, float], str],
    font_px: float,
    height_px: float,
    unknown: str = "not surveyed",
) -> list[PlacedLabel]:
    """The labels of a wedge drawn `height_px` high, from the top down, clear of each other.

    Parameters
    ----------
    wedge : WedgeDrawing
    said : function of (str, float)
        The words of a label from its name and its gap [mm].
    font_px, height_px : float
        [px]
    unknown : str
        The words where nothing is surveyed.
    """
    labels = wedge.labels or ((unknown, wedge.height_m / 2, np.nan),)
    words = [name if np.isnan(gap_mm) else said(name, gap_mm) for name, _, gap_mm in labels]
    tall = [font_px * LINE * (text.count("\n") + 1) for text in words]
    places = spread([z_m / (wedge.height_m / height_px) for _, z_m, _ in labels], tall, height_px)
    return [
        PlacedLabel(text, z_m, gap_mm, place)
        for text, (_, z_m, gap_mm), place in zip(words, labels, places, strict=True)
    ]


def draw_wedge(
    figure: Figure,
    wedge: WedgeDrawing,
    box_px: tuple[float, float, float, float],
    exaggeration: int,
    font_px: float,
) -> Axes:
    """Draw the wedge into a box (left, top, width, height from the upper left [px]), labels beside it.

    The box holds the plumb thing and the gap only.
    """
    _, _, width, height = box_px
    mm_per_px = 1000 * wedge.height_m / height / exaggeration
    axes = figure.add_axes(box_on(figure, *box_px), facecolor="none")
    axes.set_axis_off()
    axes.set_xlim(-THING_PX * mm_per_px, (width - THING_PX) * mm_per_px)
    axes.set_ylim(0, wedge.height_m)
    axes.add_patch(
        Rectangle(
            (-THING_PX * mm_per_px, 0),
            THING_PX * mm_per_px,
            wedge.height_m,
            facecolor=PAPER,
            edgecolor=INK,
            linewidth=0.8,
            clip_on=False,
        )
    )
    axes.fill_betweenx(
        wedge.z_m, 0, wedge.gap_mm, facecolor="none", edgecolor=INK, hatch="////", linewidth=0, clip_on=False
    )
    axes.plot([0, 0], [0, wedge.height_m], color=INK, linewidth=1.4, clip_on=False, label="plumb edge")
    axes.plot(wedge.gap_mm, wedge.z_m, color=INK, linewidth=1.8, clip_on=False, label="face of the wall")
    _draw_labels(axes, wedge, box_px, mm_per_px, font_px)
    return axes


def _draw_labels(
    axes: Axes,
    wedge: WedgeDrawing,
    box_px: tuple[float, float, float, float],
    mm_per_px: float,
    font_px: float,
) -> None:
    """The gaps beside the wall's face, each with a thin line to its place."""
    _, _, width, height = box_px
    m_per_px = wedge.height_m / height
    beside = (width - THING_PX + LEADER_PX) * mm_per_px

    def named(name: str, gap_mm: float) -> str:
        return f"{name} {wedge.formats.mm(gap_mm)}"

    for label in labels_beside(wedge, named, font_px, height, "not\nsurveyed"):
        at_m = label.up_px * m_per_px
        if not np.isnan(label.gap_mm):
            ends = [label.gap_mm + 2 * mm_per_px, beside - 3 * mm_per_px]
            axes.plot(ends, [label.z_m, at_m], color=INK, linewidth=0.5, clip_on=False)
        axes.text(
            beside,
            at_m,
            label.words,
            fontsize=points(font_px),
            ha="left",
            va="center",
            color=INK,
            linespacing=LINE,
            parse_math=False,
        )


def spread(places_px: Sequence[float], tall_px: Sequence[float], height_px: float) -> list[float]:
    """Middles of labels, highest first, moved as little as keeps them apart and inside [px].

    Examples
    --------
    >>> spread([100.0, 95.0, 0.0], [20.0, 20.0, 20.0], 100.0)
    [90.0, 70.0, 10.0]
    """
    moved: list[float] = []
    ceiling = height_px
    for place, tall in zip(places_px, tall_px, strict=True):
        moved.append(min(place, ceiling - tall / 2))
        ceiling = moved[-1] - tall / 2
    floor = 0.0
    for index in range(len(moved) - 1, -1, -1):
        moved[index] = max(moved[index], floor + tall_px[index] / 2)
        floor = moved[index] + tall_px[index] / 2
    return moved


def describe_taper(wedge: WedgeDrawing) -> str:
    """What the drawing shows, in a sentence.

    Examples
    --------
    >>> describe_taper(WedgeDrawing("door frame", 2.0, np.array([0.0, 1.0, 2.0]), np.array([0.0, 4.0, 12.0])))
    'Gap beside the plumb door frame, 2.00 m high: top, widest 12 mm; bottom 0 mm.'
    """
    high = wedge.formats.length(wedge.height_m, places=2, grouped=True)
    head = f"Gap beside the plumb {wedge.name}, {high} high: "
    if not wedge.labels:
        return head + "the wall there is not surveyed."
    said = [_said(label, wedge.formats) for label in wedge.labels]
    return head + "; ".join(said) + "."


def _said(label: Label, formats: Formats) -> str:
    name, z_m, gap_mm = label
    place = f" at {formats.length(z_m, places=2, grouped=True)} up" if name == "widest" else ""
    return f"{name} {formats.mm(gap_mm)}{place}"
