"""A room seen from above, before and after: finished faces to scale, plaster behind them thicker than true.

The finished room is drawn as it will be, so that square looks square; the rough faces behind it show how far
they are from that. Solid line and dashed line, stripes between them: ink alone says it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.transforms import Affine2D

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, new_figure, own_settings
from mytakeoff.charts.drawing.frame import scale_bar_m
from mytakeoff.charts.drawing.lettering import LINE, level_line, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.charts.plan.in_words import degrees, remains_words
from mytakeoff.corners.plan import Plan
from mytakeoff.rooms.planes import FoundWidth, SquaredCorner
from mytakeoff.settingout.faces_in_plan import FaceLine, column_thickness, corners_along, faces_of
from mytakeoff.settingout.room_setting import RoomSetting
from mytakeoff.survey.survey import Floats

FONT_PX, SIDE_PX, PAD_PX = 12.0, 6.0, 7.0
THICKER = (1, 2, 3, 5, 10, 15, 20, 30, 50)
PLASTER_SHARE = 0.06  # of the room's smaller size, at most, for the thickest plaster as drawn
MOST_SHARE = 1.15  # height against width of a drawing on a screen
DOOR_M = 0.1  # an opening that begins no higher is walked through
STEP_PX = 30.0
Ends = dict[str, tuple[Floats, Floats]]


@dataclass(frozen=True, eq=False)
class RoomDrawing:
    """Walls of a room that hang together, ready to be drawn.

    Parameters
    ----------
    room : RoomSetting
    plan : Plan
    faces : mapping of str to FaceLine
        Finished.
    corners : tuple of SquaredCorner
        Those that are known.
    times : int
        By so much is the plaster drawn thicker than it is [-].
    """

    room: RoomSetting
    plan: Plan
    faces: Mapping[str, FaceLine]
    corners: tuple[SquaredCorner, ...]
    times: int

    def columns(self, name: str) -> tuple[Floats, Floats]:
        """Plaster along a wall, from its left end [m, mm]."""
        assert self.room.planes is not None
        assert self.room.walls is not None
        return column_thickness(self.room.walls[name].surface, self.room.planes.walls[name])

    def face_at(self, name: str, x_m: float) -> Floats:
        """A place of a finished face, from the wall's left end [m]."""
        face, width_m = self.faces[name], float(self.plan.width_m[self.plan.names.index(name)])
        return np.asarray(face.start_m + (x_m - width_m / 2) * face.along)

    def ends(self, rough: bool) -> Ends:
        """Both ends of each wall's face: where it meets its neighbour's, else where the wall ends [m]."""
        lines = {name: self._line(name, at=0 if rough else None) for name in self.plan.names}
        rights = {name: self._line(name, at=-1 if rough else None) for name in self.plan.names}
        found = {}
        for nth, name in enumerate(self.plan.names):
            back = self.faces[name].towards * self._behind_m(name)
            left, right = (
                self.face_at(name, x) - (back[end] if rough else 0.0)
                for end, x in enumerate((0.0, float(self.plan.width_m[nth])))
            )
            found[name] = left, right
        for corner in self.corners:
            at = rights[corner.wall].crosses(lines[corner.next_wall])
            found[corner.wall] = found[corner.wall][0], at
            found[corner.next_wall] = at, found[corner.next_wall][1]
        return found

    def _behind_m(self, name: str) -> Floats:
        """How far behind the finished face the rough one is drawn, at its left and right end [m]."""
        return self.columns(name)[1][[0, -1], None] * self.times / 1000

    def _line(self, name: str, at: int | None) -> FaceLine:
        """The finished face's line, or that of the rough one as it is at one end."""
        return self.faces[name].before(0.0 if at is None else -self.times * self.columns(name)[1][at])

    def rough(self, name: str, ends: tuple[Floats, Floats]) -> Floats:
        """The rough face, drawn as far behind the finished one as its columns are thick, times over [m]."""
        x, thick = self.columns(name)
        face, away = self.faces[name], self.faces[name].towards
        behind = [
            self.face_at(name, at) - self.times * mm / 1000 * away for at, mm in zip(x, thick, strict=True)
        ]
        # round an outer corner the neighbour's rough face ends this one before the finished corner
        left, right = (float((end - face.start_m) @ face.along) for end in ends)
        inside = [each for each in behind if left < float((each - face.start_m) @ face.along) < right]
        return np.vstack([ends[0], *inside, ends[1]])


def drawings(room: RoomSetting) -> tuple[RoomDrawing, ...]:
    """What is drawn of a room: one for each run of walls that hang together; none where there is none."""
    if room.planes is None or room.walls is None:
        return ()
    found = []
    for plan in room.planes.plans:
        faces, corners = faces_of(plan, room.planes, room.walls), corners_along(plan, room.planes)
        thickest = max(
            float(column_thickness(room.walls[n].surface, room.planes.walls[n])[1].max()) for n in plan.names
        )
        every = np.vstack([plan.left_m, plan.right_m])
        small_mm = 1000 * max(float(np.ptp(every, axis=0).min()), 1.0)
        times = max((t for t in THICKER if t * thickest <= PLASTER_SHARE * small_mm), default=1)
        found.append(RoomDrawing(room, plan, faces, tuple(corners), times))
    return tuple(found)


# -- onto a sheet -------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Placed:
    """Where a drawing lies on a sheet: pixels from the sheet's upper left for metres of the plan."""

    drawing: RoomDrawing
    left_px: float
    top_px: float
    px_per_m: float
    corner_m: Floats

    def at(self, place_m: Floats) -> tuple[float, float]:
        """From the sheet's upper left [px]."""
        x, y = (place_m - self.corner_m) * self.px_per_m
        return self.left_px + float(x), self.top_px - float(y)


def extent(drawing: RoomDrawing) -> tuple[Floats, Floats]:
    """Upper left and lower right of everything that is drawn [m]."""
    ends = drawing.ends(rough=True)
    every = np.vstack([drawing.rough(name, ends[name]) for name in drawing.plan.names])
    low, high = every.min(axis=0), every.max(axis=0)
    return np.array([low[0], high[1]]), np.array([high[0], low[1]])


def scale_for(drawing: RoomDrawing, room_px: tuple[float, float]) -> float:
    """Pixels for a metre with which it fits into a width and a height [px/m, px]."""
    upper, lower = extent(drawing)
    size = np.maximum(np.abs(lower - upper), 0.5)
    return float(min(room_px[0] / size[0], room_px[1] / size[1]))


def height_px(drawing: RoomDrawing, px_per_m: float) -> float:
    """Height of the room as drawn [px]."""
    upper, lower = extent(drawing)
    return float(upper[1] - lower[1]) * px_per_m


def draw(figure: Figure, drawing: RoomDrawing, left_px: float, top_px: float, px_per_m: float) -> None:
    """The room, its upper left corner on the sheet given, and what is written in it [px, px/m]."""
    placed = Placed(drawing, left_px, top_px, px_per_m, extent(drawing)[0])
    ends, behind = drawing.ends(rough=False), drawing.ends(rough=True)
    for name in drawing.plan.names:
        rough = drawing.rough(name, behind[name])
        around = [placed.at(each) for each in (*rough, *ends[name][::-1])]
        _add(figure, Polygon(_up(figure, around), fill=False, hatch="////", edgecolor=INK, linewidth=0.0))
        _line(figure, [placed.at(each) for each in rough], 1.1, "--")
        _line(figure, [placed.at(each) for each in ends[name]], 2.2)
        _doors(figure, placed, name)
    taken: list[tuple[float, float, float, float]] = []
    for corner in drawing.corners:
        _corner(figure, placed, corner, taken)
    for name in drawing.plan.names:
        _name(figure, placed, name, ends[name], taken)
    for width in _widths(drawing):
        _width(figure, placed, width, taken)


def _add(figure: Figure, artist: Artist) -> None:
    """On the sheet's own pixels, from its lower left."""
    artist.set_transform(Affine2D().scale(1 / CSS_PX_PER_INCH) + figure.dpi_scale_trans)
    figure.add_artist(artist)


def _up(figure: Figure, places: list[tuple[float, float]]) -> Floats:
    """Places from the sheet's upper left as they are from its lower left [px]."""
    height = figure.get_size_inches()[1] * CSS_PX_PER_INCH
    return np.array([(x, height - y) for x, y in places])


def _line(figure: Figure, places: list[tuple[float, float]], wide: float, style: str = "-") -> None:
    x, y = _up(figure, places).T
    _add(figure, Line2D(x, y, color=INK, linewidth=wide, linestyle=style, solid_capstyle="butt"))


def _doors(figure: Figure, placed: Placed, name: str) -> None:
    """What one walks through: two short lines across the wall at its sides."""
    drawing = placed.drawing
    assert drawing.room.walls is not None
    towards = drawing.faces[name].towards * 5 / placed.px_per_m
    for opening in drawing.room.walls[name].entry.wall.openings:
        if opening.z_m <= DOOR_M:
            for x in (opening.x_m, opening.x_m + opening.width_m):
                at = drawing.face_at(name, x)
                _line(figure, [placed.at(at - towards), placed.at(at + towards)], 1.4)


Box = tuple[float, float, float, float]


def _words(
    figure: Figure, middle: tuple[float, float], lines: list[str], away: Floats, taken: list[Box]
) -> None:
    """Lines about a place, moved on the way `away` until they lie on nothing that is written."""
    wide = max(width_of(line, FONT_PX) for line in lines)
    high = len(lines) * FONT_PX * LINE
    across, down = figure.get_size_inches() * CSS_PX_PER_INCH
    x, y = middle
    for nth in range(14):
        box = x - wide / 2, y - high / 2, x + wide / 2, y + high / 2
        inside = box[0] >= 0 and box[1] >= 0 and box[2] <= across and box[3] <= down
        if inside and not any(_over(box, other) for other in taken):
            break
        x, y = middle[0] + (nth + 1) * 9 * float(away[0]), middle[1] - (nth + 1) * 9 * float(away[1])
    taken.append(box)
    for nth, line in enumerate(lines):
        write(figure, x, y - high / 2 + nth * FONT_PX * LINE, line, FONT_PX, across="center")


def _over(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _corner(figure: Figure, placed: Placed, corner: SquaredCorner, taken: list[Box]) -> None:
    """Its angle as it will be, and as it was found."""
    drawing = placed.drawing
    one, other = drawing.faces[corner.wall], drawing.faces[corner.next_wall]
    formats, found = drawing.room.formats, drawing.room.found_deg(corner)
    if corner.got_deg is None or found is None:
        return
    lines = [degrees(formats, corner.got_deg), f"was {degrees(formats, found)}"]
    wide, high = max(width_of(line, FONT_PX) for line in lines), len(lines) * FONT_PX * LINE
    into = one.towards + other.towards
    room = np.array([wide / 2 + PAD_PX, high / 2 + PAD_PX]) / placed.px_per_m
    _words(figure, placed.at(one.crosses(other) + np.sign(into.round(3)) * room), lines, into, taken)


def _name(figure: Figure, placed: Placed, name: str, ends: tuple[Floats, Floats], taken: list[Box]) -> None:
    """A wall's name, inside along its middle."""
    towards = placed.drawing.faces[name].towards
    upper, lower = extent(placed.drawing)
    lines = list(wrapped(name, max(0.3 * float(lower[0] - upper[0]) * placed.px_per_m, 60.0), FONT_PX))
    half = (
        np.array([max(width_of(line, FONT_PX) for line in lines), len(lines) * FONT_PX * LINE]) / 2 + PAD_PX
    )
    middle = (ends[0] + ends[1]) / 2 + towards * float(np.abs(towards) @ half) / placed.px_per_m
    _words(figure, placed.at(middle), lines, towards, taken)


def _widths(drawing: RoomDrawing) -> Iterator[FoundWidth]:
    assert drawing.room.planes is not None
    for width in drawing.room.planes.widths:
        if {width.asked.wall, width.asked.opposite} <= set(drawing.plan.names):
            yield width


def _width(figure: Figure, placed: Placed, width: FoundWidth, taken: list[Box]) -> None:
    """A line across the room with what remains and what must, and a bar at both its ends."""
    drawing, asked = placed.drawing, width.asked
    face = drawing.faces[asked.wall]
    start = drawing.face_at(asked.wall, asked.x_m)
    end = FaceLine(start, face.towards).crosses(drawing.faces[asked.opposite])
    _line(figure, [placed.at(start), placed.at(end)], 0.8, ":")
    for at in (start, end):
        _line(
            figure,
            [
                placed.at(at - face.along * 5 / placed.px_per_m),
                placed.at(at + face.along * 5 / placed.px_per_m),
            ],
            1.4,
        )
    words = f"{asked.name}: {remains_words(width, drawing.room.formats)}"
    upper, lower = extent(drawing)
    lines = list(wrapped(words, max(0.36 * float(lower[0] - upper[0]) * placed.px_per_m, 96.0), FONT_PX))
    wide = max(width_of(line, FONT_PX) for line in lines) / 2 + PAD_PX
    level = abs(face.along[0]) > abs(face.along[1])  # of the wall: the line across it stands upright
    aside = np.array([wide if level else 0.0, 0.0 if level else len(lines) * FONT_PX * LINE / 2 + 3])
    at = placed.at(start + 0.62 * (end - start))
    _words(figure, (at[0] + aside[0], at[1] + aside[1]), lines, face.towards, taken)


# -- by itself ----------------------------------------------------------------------------------------------


def caption(drawing: RoomDrawing, at_scale: int | None = None) -> str:
    """What is to scale and what is not."""
    scale = f"to scale, 1:{at_scale}" if at_scale else "to scale"
    thick = f"drawn {drawing.times} × as thick as it is" if drawing.times > 1 else "to scale too"
    return (
        f"Solid: finished faces, {scale}. Dashed: rough faces. Striped: plaster between them, {thick}. "
        "Angles and widths are those of the finished room; seen from above, clockwise from the first wall."
    )


@own_settings()
def make(drawing: RoomDrawing, width_px: float) -> Figure:
    """The plan by itself, as wide as `width_px`, for a screen [px]."""
    across = width_px - 2 * SIDE_PX
    px = scale_for(drawing, (across, width_px * MOST_SHARE))
    high = height_px(drawing, px)
    lines = wrapped(caption(drawing), across, FONT_PX)
    figure = new_figure(width_px, SIDE_PX + high + foot_px(lines))
    draw(figure, drawing, SIDE_PX, SIDE_PX, px)
    draw_foot(figure, drawing, (SIDE_PX, SIDE_PX + high + 10), px, lines)
    return figure


def foot_px(lines: tuple[str, ...]) -> float:
    """Height of what stands under the room: a length to measure by, and the caption [px]."""
    return 10 + STEP_PX + len(lines) * FONT_PX * LINE + 6


def draw_foot(
    figure: Figure,
    drawing: RoomDrawing,
    corner_px: tuple[float, float],
    px_per_m: float,
    lines: tuple[str, ...],
) -> None:
    """A length to measure by, and what is to scale, their upper left corner given [px, px/m]."""
    left, top = corner_px
    bar_m = scale_bar_m(drawing.room.formats)
    level_line(figure, (left + 2, left + 2 + bar_m * px_per_m), top + 8, 1.6, marker="|", markersize=8)
    write(figure, left + bar_m * px_per_m + 12, top, drawing.room.formats.length(bar_m), FONT_PX)
    write(figure, left, top + STEP_PX, "\n".join(lines), FONT_PX)
