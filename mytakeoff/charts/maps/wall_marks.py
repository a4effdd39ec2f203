"""What was found on a wall, marked on its map: told apart by shape and letter, not by colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle as Box

from mytakeoff.charts.drawing.lettering import halo
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.survey.wall import Rectangle

At = tuple[float, float]
PointKind = Literal["spot", "corner", "fitting", "other face", "stands off", "left out", "hollow", "fixed"]
# an open diamond, a cross, an open square, a square half filled, a wide open hexagon,
# an open cross on its side, an open pentagon, an open star
SHAPES: dict[PointKind, tuple[str, str, float]] = {
    "spot": ("D", "none", 6.0), "corner": ("P", "none", 7.0), "fitting": ("s", "none", 5.5),
    "other face": ("s", "left", 5.5), "stands off": ("h", "none", 14.0), "left out": ("X", "none", 8.0),
    "hollow": ("p", "none", 7.0), "fixed": ("*", "none", 10.0),
}  # fmt: skip


@dataclass(frozen=True)
class Point:
    """A place with its letter and number [m]."""

    mark: str
    kind: PointKind
    x_m: float
    z_m: float


@dataclass(frozen=True)
class EdgeMark:
    """A laid straightedge: its ends, where it touches, where its worst gap is [m]."""

    mark: str
    ends: tuple[At, At]
    touches: tuple[At, ...] = ()
    gap: At | None = None


@dataclass(frozen=True)
class Area:
    """Loose plaster, or fallen."""

    mark: str
    rectangle: Rectangle
    fallen: bool = False


@dataclass(frozen=True)
class Marks:
    """All that is marked on one wall."""

    points: tuple[Point, ...] = ()
    edges: tuple[EdgeMark, ...] = ()
    areas: tuple[Area, ...] = ()

    @property
    def letters(self) -> tuple[tuple[str, float, float], ...]:
        """Each letter and number with the place that it stands beside [m]."""
        points = ((one.mark, one.x_m, one.z_m) for one in self.points)
        edges = ((one.mark, *_between(*one.ends)) for one in self.edges)
        corners = ((one.mark, one.rectangle) for one in self.areas)
        areas = ((mark, box.x_m, box.z_m + box.height_m) for mark, box in corners)
        return (*points, *edges, *areas)


def _between(first: At, second: At) -> At:
    return (first[0] + second[0]) / 2, (first[1] + second[1]) / 2


def draw_marks(axes: Axes, marks: Marks) -> None:
    """The shapes, without their letters: loose plaster in dashes, fallen in one line."""
    for area in marks.areas:
        box = area.rectangle
        axes.add_patch(
            Box((box.x_m, box.z_m), box.width_m, box.height_m, fill=False, edgecolor=INK, linewidth=1.3,
                linestyle="solid" if area.fallen else "dashed", zorder=5, path_effects=halo())
        )  # fmt: skip
    for edge in marks.edges:
        _dots(axes, edge.ends, "|" if edge.ends[0][1] == edge.ends[1][1] else "_", 9.0, "-")
        _dots(axes, edge.touches, "o", 4.0)
        _dots(axes, (edge.gap,) if edge.gap else (), "x", 6.0)
    for point in marks.points:
        shape, filled, size = SHAPES[point.kind]
        axes.plot([point.x_m], [point.z_m], marker=shape, fillstyle=filled, markersize=size, color=INK,
                  markerfacecoloralt="none", markeredgewidth=1.2, path_effects=halo(), zorder=6.5,
                  clip_on=False)  # fmt: skip


def _dots(axes: Axes, places: Sequence[At], marker: str, size: float, line: str = "none") -> None:
    if places:
        across, up = zip(*places, strict=True)
        axes.plot(across, up, marker=marker, markersize=size, linestyle=line, linewidth=1.6, color=INK,
                  path_effects=halo(3.2), zorder=6, clip_on=False)  # fmt: skip
