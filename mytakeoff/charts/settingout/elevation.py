"""A wall seen from the room, to scale: rails, fixings, openings, high spots, where to look for cables."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.artist import Artist
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.transforms import Affine2D

from mytakeoff.charts.drawing.canvas import CSS_PX_PER_INCH, new_figure, own_settings
from mytakeoff.charts.drawing.lettering import width_of, write
from mytakeoff.charts.drawing.palette import INK, PAPER
from mytakeoff.formats.formats import counted
from mytakeoff.formats.inches import NBSP
from mytakeoff.settingout.fixings import Fixing
from mytakeoff.settingout.set_out import WallSetting
from mytakeoff.survey.cells import disjoint
from mytakeoff.survey.wall import Opening

PX_PER_M = CSS_PX_PER_INCH / 0.0254  # at full size
SCALES = (5, 10, 20, 25, 50, 100, 200)  # those on a scale rule
FONT_PX = 13.0
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
HEAD_PX, FOOT_PX, SIDE_PX = 26.0, 78.0, 52.0  # room for words above, below and beside the wall
DOT_PX, RING_PX, SPOT_PX, STRIPE_PX, BOX_PX = 3.0, 6.0, 6.0, 8.0, 9.0


@dataclass(frozen=True)
class Drawing:
    """Where a wall stands on a sheet.

    Parameters
    ----------
    left_px, floor_px : float
        Its lower left corner, from the sheet's upper left [px].
    px_per_m : float
        [px/m]
    height_px : float
        Height of the sheet [px].
    """

    left_px: float
    floor_px: float
    px_per_m: float
    height_px: float

    def across(self, x_m: float) -> float:
        """A place along the wall [m] from the sheet's left [px]."""
        return self.left_px + x_m * self.px_per_m

    def down(self, z_m: float) -> float:
        """A height over the floor [m] from the sheet's top [px]."""
        return self.floor_px - z_m * self.px_per_m

    def at(self, x_m: float, z_m: float) -> tuple[float, float]:
        """A place on the wall [m] from the sheet's lower left [px]."""
        return self.across(x_m), self.height_px - self.down(z_m)


def fitting_scale(width_m: float, height_m: float, room_px: tuple[float, float]) -> int:
    """The largest drawing of a wall that fits: how many times smaller than the wall it is [-].

    Parameters
    ----------
    width_m, height_m : float
        The wall [m].
    room_px : (float, float)
        Room for it on the sheet [px].

    Examples
    --------
    A wall of 4 m by 2.6 m on 180 mm by 130 mm of paper:

    >>> fitting_scale(4.0, 2.6, (0.180 * PX_PER_M, 0.130 * PX_PER_M))
    25
    """
    for scale in SCALES:
        if width_m * PX_PER_M / scale <= room_px[0] and height_m * PX_PER_M / scale <= room_px[1]:
            return scale
    return SCALES[-1]


def draw(figure: Figure, setting: WallSetting, drawing: Drawing) -> None:
    """The wall with all that is set out on it, its measures above and below."""
    wall = setting.wall.entry.wall
    _zones(figure, setting, drawing)
    for opening in (*wall.openings, *wall.fitted):
        _opening(figure, drawing, opening)
    for height in (wall.skirting_m, wall.height_m - wall.cornice_m):
        if 0 < height < wall.height_m:
            _line(figure, drawing, (0.0, height), (wall.width_m, height), 0.7)
    _box(figure, drawing, (0.0, 0.0, wall.width_m, wall.height_m), 1.6, fill=False)
    _rails(figure, setting, drawing)
    for fitting in setting.wall.entry.fittings:
        draw_fitting(figure, drawing.at(fitting.x_m, fitting.z_m), fitting.other_face)
    taken = [_ground(drawing.at(fixing.x_m, fixing.z_m), RING_PX) for fixing in setting.fixings]
    for at, letters in _spots(setting, drawing):
        draw_spot(figure, at, letters, _free_place(at, letters, taken, drawing, wall.width_m))
    for fixing in setting.fixings:
        draw_fixing(figure, drawing.at(fixing.x_m, fixing.z_m), fixing)
    _measures(figure, setting, drawing)


def _add(figure: Figure, artist: Artist) -> None:
    """On the sheet's own pixels, from its lower left."""
    artist.set_transform(Affine2D().scale(1 / CSS_PX_PER_INCH) + figure.dpi_scale_trans)
    figure.add_artist(artist)


def _box(
    figure: Figure, drawing: Drawing, place: tuple[float, float, float, float], line: float, fill: bool = True
) -> None:
    """A rectangle on the wall: x, z, width, height [m]."""
    x, z, width, height = place
    scale = drawing.px_per_m
    corner = drawing.at(x, z)
    _add(
        figure,
        Rectangle(
            corner, width * scale, height * scale, facecolor=PAPER, edgecolor=INK, linewidth=line, fill=fill
        ),
    )


def _line(
    figure: Figure, drawing: Drawing, start: tuple[float, float], end: tuple[float, float], width: float
) -> None:
    """A line between two places on the wall [m]."""
    ends = np.array([drawing.at(*start), drawing.at(*end)]).T
    _add(figure, Line2D(*ends, color=INK, linewidth=width, solid_capstyle="butt"))


def _zones(figure: Figure, setting: WallSetting, drawing: Drawing) -> None:
    """Ground where cables are to be expected, striped once however many reasons there are."""
    segments: list[np.ndarray] = []
    for ground in disjoint(zone.ground for zone in setting.zones):
        low = drawing.at(ground.x_m, ground.z_m)
        high = drawing.at(ground.x_m + ground.width_m, ground.z_m + ground.height_m)
        segments += stripes(low, high)
    if segments:
        _add(figure, LineCollection(segments, colors=INK, linewidths=0.4))


def stripes(low: tuple[float, float], high: tuple[float, float]) -> list[np.ndarray]:
    """Slanting lines over a box between two corners [px]; those of neighbouring boxes meet.

    Examples
    --------
    >>> [line.tolist() for line in stripes((0.0, 0.0), (8.0, 8.0))]
    [[[0.0, 0.0], [8.0, 8.0]]]
    """
    (left, bottom), (right, top) = low, high
    first = np.floor((bottom - right) / STRIPE_PX) + 1
    found = []
    for rise in np.arange(first, np.ceil((top - left) / STRIPE_PX)) * STRIPE_PX:
        start, end = max(left, bottom - rise), min(right, top - rise)
        if end > start:
            found.append(np.array([[start, start + rise], [end, end + rise]]))
    return found


def stripes_box(figure: Figure, at: tuple[float, float]) -> None:
    """A small striped box, for a key; `at` its middle, from the sheet's lower left [px]."""
    x, y = at
    low, high = (x - BOX_PX, y - BOX_PX * 0.8), (x + BOX_PX, y + BOX_PX * 0.8)
    _add(figure, LineCollection(stripes(low, high), colors=INK, linewidths=0.4))


def _spots(setting: WallSetting, drawing: Drawing) -> list[tuple[tuple[float, float], str]]:
    """High spots with their letters; those that would lie on another share its triangle."""
    found: list[tuple[tuple[float, float], str]] = []
    for letter, touch in zip(LETTERS, setting.touches, strict=False):
        at = drawing.at(touch.x_m, touch.z_m)
        near = (
            nth for nth, (other, _) in enumerate(found) if np.hypot(*np.subtract(at, other)) < 2.5 * SPOT_PX
        )
        nth = next(near, None)
        if nth is None:
            found.append((at, letter))
        else:
            found[nth] = (found[nth][0], found[nth][1] + letter)
    return found


def _opening(figure: Figure, drawing: Drawing, opening: Opening) -> None:
    """Its outline on bare paper, doubled, and its name."""
    place = (opening.x_m, opening.z_m, opening.width_m, opening.height_m)
    _box(figure, drawing, place, 0.9)
    inner = min(3 / drawing.px_per_m, opening.width_m / 3, opening.height_m / 3)
    x, z, width, height = place
    _box(figure, drawing, (x + inner, z + inner, width - 2 * inner, height - 2 * inner), 0.5)
    middle = drawing.across(x + width / 2), drawing.down(z + height / 2) - FONT_PX / 2
    if width_of(opening.name, FONT_PX) < width * drawing.px_per_m - 8:
        write(figure, *middle, opening.name, FONT_PX, across="center")


def _rails(figure: Figure, setting: WallSetting, drawing: Drawing) -> None:
    """Each piece at its own width and length; its name beside those of a rail that is cut."""
    wide = max(setting.rail_width_m, 2.4 / drawing.px_per_m)
    for name, rail in zip(setting.names, setting.rails, strict=True):
        _box(figure, drawing, (rail.x_m - wide / 2, rail.bottom_m, wide, rail.length_m), 0.8)
        if name[-1].isalpha():
            middle = drawing.down((rail.bottom_m + rail.top_m) / 2)
            write(figure, drawing.across(rail.x_m) + 5, middle - FONT_PX / 2, name, FONT_PX, bold=True)


def draw_fixing(figure: Figure, at: tuple[float, float], fixing: Fixing) -> None:
    """A dot, open where a cable is to be expected; ringed where the rail is started, crossed where the wall
    is too proud; `at` from the sheet's lower left [px]."""
    inside = PAPER if fixing.zones else INK
    if fixing.first:
        _add(figure, Circle(at, RING_PX, fill=False, edgecolor=INK, linewidth=1.2))
    _add(figure, Circle(at, DOT_PX, facecolor=inside, edgecolor=INK, linewidth=1.0))
    if fixing.too_proud:
        x, y = at
        for slant in (-1, 1):
            ends = [x - RING_PX, x + RING_PX], [y - slant * RING_PX, y + slant * RING_PX]
            _add(figure, Line2D(*ends, color=INK, linewidth=1.2))


def draw_fitting(figure: Figure, at: tuple[float, float], other_face: bool) -> None:
    """A socket, switch or pipe: a box with a cross, dashed on the other face; `at` from the sheet's lower
    left [px]."""
    x, y = at
    half, dash = BOX_PX / 2, "dashed" if other_face else "solid"
    corner = (x - half, y - half)
    _add(
        figure, Rectangle(corner, BOX_PX, BOX_PX, facecolor=PAPER, edgecolor=INK, linewidth=1, linestyle=dash)
    )
    for slant in (-1, 1):
        ends = [x - half, x + half], [y - slant * half, y + slant * half]
        _add(figure, Line2D(*ends, color=INK, linewidth=0.7))


def draw_spot(
    figure: Figure, at: tuple[float, float], letters: str, beside: tuple[float, float] = (SPOT_PX + 2, 0.0)
) -> None:
    """A high spot: an open triangle, its letters `beside` it; `at` from the sheet's lower left [px]."""
    x, y = at
    corners = [(x - SPOT_PX, y - SPOT_PX * 0.7), (x + SPOT_PX, y - SPOT_PX * 0.7), (x, y + SPOT_PX)]
    _add(figure, Polygon(corners, closed=True, facecolor=PAPER, edgecolor=INK, linewidth=1.3))
    height = figure.get_size_inches()[1] * CSS_PX_PER_INCH
    left, middle = x + beside[0], y + beside[1]
    wide, high = width_of(letters, FONT_PX, bold=True) + 2, FONT_PX * 1.15
    _add(figure, Rectangle((left - 1, middle - high / 2), wide, high, facecolor=PAPER, linewidth=0))
    write(figure, left, height - middle - FONT_PX / 2, letters, FONT_PX, bold=True)


Box = tuple[float, float, float, float]  # left, low, right, top [px]


def _ground(middle: tuple[float, float], half_px: float) -> Box:
    x, y = middle
    return x - half_px, y - half_px, x + half_px, y + half_px


def _free_place(
    at: tuple[float, float], letters: str, taken: list[Box], drawing: Drawing, width_m: float
) -> tuple[float, float]:
    """Where letters stand from their triangle so that they cover nothing, on the wall if they can [px]."""
    wide, half = width_of(letters, FONT_PX, bold=True), FONT_PX / 2
    sides = (SPOT_PX + 2, -SPOT_PX - 2 - wide)

    def cost(beside: tuple[float, float]) -> float:
        left, middle = at[0] + beside[0], at[1] + beside[1]
        box = left - 1, middle - half, left + wide + 1, middle + half
        off_wall = max(0.0, box[2] - drawing.across(width_m), drawing.left_px - box[0])
        return sum(_overlap(box, other) for other in taken) + 10 * off_wall

    beside = min(((side, up) for up in (0.0, FONT_PX, -FONT_PX) for side in sides), key=cost)
    left, middle = at[0] + beside[0], at[1] + beside[1]
    taken.append((left, middle - half, left + wide, middle + half))
    return beside


def _overlap(one: Box, other: Box) -> float:
    """Ground that two boxes share [px²]."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    up = min(one[3], other[3]) - max(one[1], other[1])
    return max(across, 0.0) * max(up, 0.0)


def _measures(figure: Figure, setting: WallSetting, drawing: Drawing) -> None:
    """Rail numbers above; where each rail stands, how wide the bays and the whole wall are below."""
    wall, formats = setting.wall.entry.wall, setting.formats
    ceiling, floor = drawing.down(wall.height_m), drawing.floor_px
    places = sorted({rail.x_m for rail in setting.rails})
    said = {place: formats.length(place, places=3, column=True) for place in places}
    room = max((width_of(each, FONT_PX - 1) for each in said.values()), default=0.0) + 4
    row, before = 0, -np.inf
    for number, place in enumerate(places, start=1):
        x = drawing.across(place)
        write(figure, x, ceiling - 5, str(number), FONT_PX + 1, across="center", up="bottom", bold=True)
        row = 1 - row if x - before < room else 0
        before = x
        _tick(figure, drawing, x, floor, floor + 5 + row * FONT_PX)
        write(figure, x, floor + 6 + row * FONT_PX, said[place], FONT_PX - 1, across="center")
    bays = floor + 6 + 2 * FONT_PX + 6
    for left, right in pairwise(places):
        words = formats.length(right - left, places=3, column=True)
        _dimension(figure, drawing, (drawing.across(left), drawing.across(right)), bays, words)
    ends = drawing.across(0.0), drawing.across(wall.width_m)
    _dimension(figure, drawing, ends, bays + FONT_PX + 9, formats.length(wall.width_m, places=2), beside=True)
    side = drawing.left_px - 8
    write(
        figure,
        side,
        (ceiling + floor) / 2 - FONT_PX / 2,
        formats.length(wall.height_m, places=2).replace(
            NBSP, "\n", 1
        ),  # feet over inches: the room is narrow
        FONT_PX - 1,
        across="right",
    )


def _tick(figure: Figure, drawing: Drawing, x: float, start: float, end: float) -> None:
    ends = [x, x], [drawing.height_px - start, drawing.height_px - end]
    _add(figure, Line2D(*ends, color=INK, linewidth=0.7))


def _dimension(
    figure: Figure, drawing: Drawing, ends: tuple[float, float], at: float, words: str, beside: bool = False
) -> None:
    """A measure with its figure in the middle of its line, or `beside` it where that is too short; `at` from
    the sheet's top [px]."""
    left, right = ends
    room = width_of(words, FONT_PX - 1) + 6
    y = drawing.height_px - at - FONT_PX / 2
    middle = (left + right) / 2
    if right - left > room + 6:
        for start, end in ((left, middle - room / 2), (middle + room / 2, right)):
            _add(figure, Line2D([start, end], [y, y], color=INK, linewidth=0.6))
    for end in ends:
        _add(figure, Line2D([end, end], [y - 4, y + 4], color=INK, linewidth=0.9))
    if right - left > room - 4:
        write(figure, middle, at, words, FONT_PX - 1, across="center")
    elif beside:
        write(figure, right + 6, at, words, FONT_PX - 1)


@own_settings()
def make(setting: WallSetting, width_px: float) -> Figure:
    """The elevation by itself, as wide as `width_px`, for a screen [px]."""
    wall = setting.wall.entry.wall
    scale = min((width_px - SIDE_PX - 20) / wall.width_m, 260.0)
    height = wall.height_m * scale + HEAD_PX + FOOT_PX
    figure = new_figure(width_px, height)
    draw(figure, setting, Drawing(SIDE_PX, HEAD_PX + wall.height_m * scale, scale, height))
    return figure


def describe(setting: WallSetting) -> str:
    """What the elevation shows, in sentences."""
    wall, formats = setting.wall.entry.wall, setting.formats
    size = f"Wall {wall.name}, {formats.length(wall.width_m, wall.height_m, between=' × ')}"
    if not setting.rails:
        return f"{size}. {setting.why_none}"
    places = formats.length(*setting.wall.rails_x_m, places=3, between=formats.apart)
    widths = formats.length(*(bay.width_m for bay in setting.bays), places=3, between=formats.apart)
    fixings = len(setting.fixings)
    zoned = sum(bool(fixing.zones) for fixing in setting.fixings)
    what = setting.held_by
    said = [
        f"{size}: {counted(len(setting.wall.rails_x_m), 'rail')} in "
        f"{counted(len(setting.rails), 'piece')} at {places} from the left end, {counted(fixings, what)}.",
        f"{'Bay' if len(setting.bays) == 1 else 'Bays'} of {widths}." if setting.bays else "No bay.",
    ]
    if setting.start is not None:
        start = setting.start
        said.append(
            f"Start with {what} {start.number} of rail {start.rail}, "
            f"{formats.length(start.z_m, places=3)} up."
        )
    spots = (
        f"{letter} at {formats.place(touch.x_m, touch.z_m)}"
        for letter, touch in zip(LETTERS, setting.touches, strict=False)
    )
    said.append(f"High spots that set the plane: {'; '.join(spots)}.")
    if zoned:
        stand = "stands" if zoned == 1 else "stand"
        said.append(f"{counted(zoned, what)} {stand} where a cable is to be expected: look there first.")
    return " ".join(said)
