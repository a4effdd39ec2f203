"""A room seen from above, before and after: finished faces to scale, plaster behind them thicker than true.

The finished room is drawn as it will be, so that square looks square; the rough faces behind it show how far
they are from that. Solid line and dashed line, stripes between them: ink alone says it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, new_figure, own_settings
from mytakeoff.charts.drawing.frame import scale_bar_m
from mytakeoff.charts.drawing.lettering import LINE, level_line, width_of, wrapped, write
from mytakeoff.charts.drawing.palette import INK
from mytakeoff.charts.plan import in_words
from mytakeoff.charts.plan.in_words import degrees, remains_words
from mytakeoff.charts.plan.room_drawing import RoomDrawing, extent, height_px, scale_for
from mytakeoff.formats.formats import Formats
from mytakeoff.rooms.planes import FoundWidth, SquaredCorner
from mytakeoff.settingout.faces_in_plan import FaceLine
from mytakeoff.survey.survey import Floats

FONT_PX, SIDE_PX, PAD_PX = 12.0, 6.0, 7.0
MOST_SHARE = 1.15  # height against width of a drawing on a screen
SIDE_WIDE, SIDE_OUT_PX, THIN = 1.4, 5.0, 0.7  # of the sides of an opening, of a window
STEP_PX = 30.0
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
Box = tuple[float, float, float, float]
Pixels = tuple[float, float]
Style = Literal["-", "--", "-.", ":"]
FACE_STYLES: tuple[Style, Style] = ("--", "-")  # of a rough face, of a finished one
TRIED = 10  # places for words
NEXT_PX = 8.0  # from one place to the next where all of those are taken
ON_A_LINE = 12  # places of a line that words stay off
SHARES = (0.6, 0.5, 0.4, 0.7, 0.3, 0.8, 0.2)  # of a width, where its words may stand


# -- onto a sheet -------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Placed:
    """Where a drawing lies on a sheet: pixels from the sheet's upper left for metres of the plan."""

    drawing: RoomDrawing
    left_px: float
    top_px: float
    px_per_m: float
    corner_m: Floats
    ground: Box = (0.0, 0.0, 0.0, 0.0)  # where words may stand: left, top, right, bottom [px]

    def at(self, place_m: Floats) -> tuple[float, float]:
        """From the sheet's upper left [px]."""
        x, y = (place_m - self.corner_m) * self.px_per_m
        return self.left_px + float(x), self.top_px - float(y)


def draw(
    figure: Figure,
    drawing: RoomDrawing,
    corner_px: tuple[float, float],
    px_per_m: float,
    struck: bool = False,
) -> None:
    """The room, its upper left corner on the sheet given, and what is written in it [px, px/m].

    With `struck` the lines that are struck on the floor too, a letter where they cross; of a width its name.
    """
    left_px, top_px = corner_px
    upper, lower = extent(drawing)
    placed = Placed(drawing, left_px, top_px, px_per_m, upper)
    right_px, bottom_px = placed.at(lower)
    if len(drawing.corners) < len(
        drawing.plan.names
    ):  # nothing shuts the room off from the rest of the sheet
        right_px = max(right_px, figure.get_size_inches()[0] * CSS_PX_PER_INCH - left_px)
    placed = replace(placed, ground=(left_px, top_px, right_px, bottom_px))
    ends, behind = drawing.ends(rough=False), drawing.ends(rough=True)
    taken: list[Box] = []
    for name in drawing.plan.names:
        rough = drawing.rough(name, behind[name])
        _wall(figure, placed, name, rough, np.array(ends[name]))
        taken += [_between(placed.at(a), placed.at(b)) for a, b in drawing.across(name, rough)]
    for width in _widths(drawing):
        taken += _along(*_width_px(placed, width))
    lines = _struck(figure, placed, taken) if struck else []
    for corner in drawing.corners:  # nearer to its corner than off a line
        _corner(figure, placed, corner, taken)
    taken += lines
    for name in drawing.plan.names:
        _name(figure, placed, name, ends[name], taken)
    for width in _widths(drawing):
        words = width.asked.name if struck else width_line(width, drawing.room.formats)
        _width(figure, placed, width, words, taken)


def _along(one: Pixels, other: Pixels) -> list[Box]:
    """Boxes on a line, so that no words come to lie on it."""
    places = np.linspace(one, other, ON_A_LINE)
    return [_between((x, y), (u, v)) for (x, y), (u, v) in pairwise(places.tolist())]


def _between(one: Pixels, other: Pixels) -> Box:
    (left, right), (top, bottom) = sorted((one[0], other[0])), sorted((one[1], other[1]))
    return left - 2, top - 2, right + 2, bottom + 2


def _add(figure: Figure, artist: Artist) -> None:
    """On the sheet's own pixels, from its lower left."""
    artist.set_transform(Affine2D().scale(1 / CSS_PX_PER_INCH) + figure.dpi_scale_trans)
    figure.add_artist(artist)


def _up(figure: Figure, places: list[tuple[float, float]]) -> Floats:
    """Places from the sheet's upper left as they are from its lower left [px]."""
    height = figure.get_size_inches()[1] * CSS_PX_PER_INCH
    return np.array([(x, height - y) for x, y in places])


def _line(figure: Figure, places: list[tuple[float, float]], wide: float, style: Style = "-") -> None:
    if not places:
        return
    x, y = _up(figure, places).T
    _add(figure, Line2D(x, y, color=INK, linewidth=wide, linestyle=style, solid_capstyle="butt"))


def _struck(figure: Figure, placed: Placed, taken: list[Box]) -> list[Box]:
    """The lines on the floor, on past where they cross, and a letter there; boxes on these lines."""
    found: list[Box] = []
    drawing = placed.drawing
    lines = next(each for each in drawing.room.lines if each.lines[0].wall in drawing.plan.names)
    struck = {name: face.before(lines.off_mm) for name, face in drawing.faces.items()}
    ends = {name: [drawing.face_at(name, x) for x in (0.0, w)] for name, w in drawing.widths_m.items()}
    for corner in drawing.corners:
        at = struck[corner.wall].crosses(struck[corner.next_wall])
        ends[corner.wall][1] = ends[corner.next_wall][0] = at
    beyond = 10 / placed.px_per_m
    for name, (left, right) in ends.items():
        line, along = struck[name], struck[name].along
        feet = [line.start_m + ((end - line.start_m) @ along) * along for end in (left, right)]
        drawn = placed.at(feet[0] - beyond * along), placed.at(feet[1] + beyond * along)
        _line(figure, list(drawn), 0.7, "-.")
        found += _along(*drawn)
    for letter, corner in zip(LETTERS, drawing.corners, strict=False):
        one, other = struck[corner.wall], struck[corner.next_wall]
        into = 11 / placed.px_per_m * np.sign((one.towards + other.towards).round(3))
        x, y = placed.at(one.crosses(other) + into)
        taken.append((x - 20, y - 20, x + 9, y + 9) if into[0] > 0 else (x - 9, y - 20, x + 20, y + 9))
        write(figure, x, y - FONT_PX * LINE / 2, letter, FONT_PX, across="center", bold=True)
    return found


def _wall(figure: Figure, placed: Placed, name: str, rough: Floats, finished: Floats) -> None:
    """Both faces of a wall and the plaster between them, with gaps where its openings are."""
    drawing = placed.drawing
    runs = [drawing.beside_openings(name, line) for line in (rough, finished)]
    for behind, before in zip(*runs, strict=True):
        if behind.size and before.size:
            around = _up(figure, [placed.at(each) for each in (*behind, *before[::-1])])
            _add(figure, Polygon(around, fill=False, hatch="////", edgecolor=INK, linewidth=0.0))
        _line(figure, [placed.at(each) for each in behind], 1.1, "--")
        _line(figure, [placed.at(each) for each in before], 2.2)
    for opening in drawing.openings(name):
        sides = opening.x_m, opening.x_m + opening.width_m
        across = [drawing.between(name, line, *sides) for line in (rough, finished)]
        if any(not line.size for line in across):
            continue
        away = drawing.faces[name].towards * SIDE_OUT_PX / placed.px_per_m
        for end in (0, -1):
            _line(figure, [placed.at(at) for at in (across[0][end] - away, across[1][end])], SIDE_WIDE)
        if not in_words.walked_through(opening):
            for line, style in zip(across, FACE_STYLES, strict=True):
                _line(figure, [placed.at(each) for each in line], THIN, style)


def _onto(box: Box, ground: Box) -> Box:
    """A box pushed onto the ground that there is for words."""
    x = min(max(box[0], ground[0]), ground[2] - (box[2] - box[0])) - box[0]
    y = min(max(box[1], ground[1]), ground[3] - (box[3] - box[1])) - box[1]
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _words(
    figure: Figure, lines: Sequence[str], middles: Iterable[Pixels], taken: list[Box], ground: Box
) -> None:
    """Lines about the first place where they lie on nothing that is written, else as near to it as can be."""
    wide, high = _size(lines)
    boxes = [_onto((x - wide / 2, y - high / 2, x + wide / 2, y + high / 2), ground) for x, y in middles]
    free = (box for box in boxes if not any(_over(box, other) for other in taken))
    box = next(free, None) or _nearest(boxes[0], taken, ground)
    taken.append(box)
    for nth, line in enumerate(lines):
        write(figure, box[0] + wide / 2, box[1] + nth * FONT_PX * LINE, line, FONT_PX, across="center")


def _nearest(wanted: Box, taken: Sequence[Box], ground: Box) -> Box:
    """The box moved as little as it takes to lie on nothing; where there is no such place it stays."""
    wide, high = wanted[2] - wanted[0], wanted[3] - wanted[1]
    x, y = np.meshgrid(
        np.arange(ground[0], ground[2] - wide, NEXT_PX), np.arange(ground[1], ground[3] - high, NEXT_PX)
    )
    free = np.ones(x.shape, bool)
    for left, top, right, bottom in taken:
        free &= (x >= right) | (x + wide <= left) | (y >= bottom) | (y + high <= top)
    if not free.any():
        return wanted
    away = np.where(free, np.hypot(x - wanted[0], y - wanted[1]), np.inf)
    left, top = (float(at.flat[away.argmin()]) for at in (x, y))
    return left, top, left + wide, top + high


def _size(lines: Sequence[str]) -> tuple[float, float]:
    """Width and height of some lines [px]."""
    return max(width_of(line, FONT_PX) for line in lines), len(lines) * FONT_PX * LINE


def _away(start: Pixels, towards: Floats, aside_px: float = 0.0) -> Iterator[Pixels]:
    """Places on the way into the room from one on the sheet, then on ways beside it [px]."""
    for side in (0.0, aside_px, -aside_px):
        for nth in range(TRIED):
            x, y = nth * 9 * towards + side * np.array([-towards[1], towards[0]])
            yield start[0] + float(x), start[1] - float(y)


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
    into = one.towards + other.towards
    room = (np.array(_size(lines)) / 2 + PAD_PX) / placed.px_per_m
    start = placed.at(one.crosses(other) + np.sign(into.round(3)) * room)
    _words(figure, lines, _away(start, into), taken, placed.ground)


def _name(figure: Figure, placed: Placed, name: str, ends: tuple[Floats, Floats], taken: list[Box]) -> None:
    """A wall's name, inside along its middle."""
    towards = placed.drawing.faces[name].towards
    upper, lower = extent(placed.drawing)
    lines = list(wrapped(name, max(0.3 * float(lower[0] - upper[0]) * placed.px_per_m, 60.0), FONT_PX))
    half = np.array(_size(lines)) / 2 + PAD_PX
    middle = (ends[0] + ends[1]) / 2 + towards * float(np.abs(towards) @ half) / placed.px_per_m
    _words(figure, lines, _away(placed.at(middle), towards, float(half[0])), taken, placed.ground)


def _widths(drawing: RoomDrawing) -> Iterator[FoundWidth]:
    assert drawing.room.planes is not None
    for width in drawing.room.planes.widths:
        if {width.asked.wall, width.asked.opposite} <= set(drawing.plan.names):
            yield width


def width_line(width: FoundWidth, formats: Formats) -> str:
    """What fits there, what remains and what must."""
    return f"{width.asked.name}: {remains_words(width, formats)}"


def _width_ends(drawing: RoomDrawing, width: FoundWidth) -> tuple[Floats, Floats]:
    """From a wall straight across to the one that it faces [m]."""
    start = drawing.face_at(width.asked.wall, width.asked.x_m)
    across = FaceLine(start, drawing.faces[width.asked.wall].towards)
    return start, across.crosses(drawing.faces[width.asked.opposite])


def _width_px(placed: Placed, width: FoundWidth) -> list[Pixels]:
    return [placed.at(end) for end in _width_ends(placed.drawing, width)]


def _width(figure: Figure, placed: Placed, width: FoundWidth, words: str, taken: list[Box]) -> None:
    """A line across the room with its words beside it, and a bar at both its ends."""
    drawing, asked = placed.drawing, width.asked
    face = drawing.faces[asked.wall]
    start, end = _width_ends(drawing, width)
    _line(figure, _width_px(placed, width), 0.8, ":")
    bar = face.along * 5 / placed.px_per_m
    for at in (start, end):
        _line(figure, [placed.at(at - bar), placed.at(at + bar)], 1.4)
    upper, lower = extent(drawing)
    lines = list(wrapped(words, max(0.36 * float(lower[0] - upper[0]) * placed.px_per_m, 96.0), FONT_PX))
    half = np.array(_size(lines)) / 2 + PAD_PX
    aside = face.along * float(np.abs(face.along) @ half) / placed.px_per_m
    tried = (start + share * (end - start) + side * aside for share in SHARES for side in (1, -1))
    middles = [placed.at(each) for each in tried]
    wide, high = half - PAD_PX
    room = Path([placed.at(end) for ends in drawing.ends(rough=False).values() for end in ends])
    inside = [
        (x, y)
        for x, y in middles
        if room.contains_points([(x + a * wide, y + b * high) for a in (-1, 1) for b in (-1, 1)]).all()
    ]
    _words(figure, lines, [*inside, *middles], taken, placed.ground)


# -- by itself ----------------------------------------------------------------------------------------------


def caption(drawing: RoomDrawing, at_scale: int | None = None) -> str:
    """What is to scale and what is not."""
    scale = f"to scale, 1:{at_scale}" if at_scale else "to scale"
    thick = f"drawn {drawing.times} × as thick as it is" if drawing.times > 1 else "to scale too"
    return (
        f"Solid: finished faces, {scale}. Dashed: rough faces. Striped: plaster between them, {thick}. "
        f"Angles and widths are those of the finished room, seen from above.{_gaps(drawing)}"
    )


def _gaps(drawing: RoomDrawing) -> str:
    """What a gap means, where there is one."""
    through = {
        in_words.walked_through(each) for name in drawing.plan.names for each in drawing.openings(name)
    }
    said = " Gaps in the walls: doors, and what else goes down to the floor." if True in through else ""
    return f"{said} Thin lines across a gap: windows." if False in through else said


def caption_lines(drawing: RoomDrawing, across_px: float, at_scale: int | None = None) -> tuple[str, ...]:
    """The caption in lines as wide as there is room [px]."""
    return wrapped(caption(drawing, at_scale), across_px, FONT_PX)


@own_settings()
def make(drawing: RoomDrawing, width_px: float) -> Figure:
    """The plan by itself, as wide as `width_px`, for a screen [px]."""
    across = width_px - 2 * SIDE_PX
    px = scale_for(drawing, (across, width_px * MOST_SHARE))
    high = height_px(drawing, px)
    lines = caption_lines(drawing, across)
    figure = new_figure(width_px, SIDE_PX + high + foot_px(lines))
    draw(figure, drawing, (SIDE_PX, SIDE_PX), px)
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
