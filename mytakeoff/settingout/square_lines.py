"""Square lines to strike on the floor: a line before each finished face of a room, and how to find it.

A line is struck by itself, from its wall's own rough face, so that what is not known of the room's size moves
none. What is measured from line to line only checks them. Where, how far off and how near they have to agree
is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.corners.measuring import MM_PER_M
from mytakeoff.corners.room_corner import STRAIGHT_DEG
from mytakeoff.rooms.asked import BY_WIDTHS_MM
from mytakeoff.rooms.planes import RoomPlanes, SquaredCorner
from mytakeoff.settingout.faces_in_plan import FaceLine, corners_along, finished_lines
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import to_metres

if TYPE_CHECKING:
    import pandas as pd

OFF_MM = (300.0, 200.0, 100.0)
OFF_FOOT_MM = tuple(MM_PER_M * to_metres(inches, "in") for inches in (12.0, 8.0, 4.0))
LEAST_SIDE_M = 0.2  # a line shorter than that is not struck so far off
FROM_END_M, APART_M = 0.15, 1.2  # places to measure at: from the corners, and between them at most
ASIDE_M = 0.05  # of an opening
UNITS_M = (1.0, 0.75, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.1)  # of 3-4-5
AGREE_MM = 3.0
FOUR = 4


@dataclass(frozen=True)
class LinePlace:
    """Where a line is measured from its wall.

    Parameters
    ----------
    x_m, z_m : float
        Along the wall from its left end, and over the floor [m].
    from_face_mm : float
        From the rough face, its loose plaster off, square to the line [mm].
    """

    x_m: float
    z_m: float
    from_face_mm: float


@dataclass(frozen=True)
class SquareLine:
    """A line parallel to a finished face.

    Parameters
    ----------
    wall : str
    places : tuple of LinePlace
        Left to right: the outer two lay the line down, those between check it.
    """

    wall: str
    places: tuple[LinePlace, ...]


@dataclass(frozen=True)
class Crossing:
    """Where the lines of two walls cross, and a triangle that checks their angle.

    Parameters
    ----------
    wall, next_wall : str
    leg_mm, next_leg_mm : float
        From the crossing back along the line of `wall`, and along that of `next_wall` [mm].
    across_mm : float
        From end to end of the two [mm].
    outer : bool
        Round an outer corner: the second goes away from `next_wall`, on into the room.
    """

    wall: str
    next_wall: str
    leg_mm: float
    next_leg_mm: float
    across_mm: float
    outer: bool = False


@dataclass(frozen=True)
class Taped:
    """From one crossing to another: a side along the line of `wall`, or a diagonal.

    Parameters
    ----------
    wall : str
        Of a diagonal the wall whose crossing with the next it begins at.
    to : str
        "" along the line; of a diagonal the wall whose crossing with the next it ends at.
    mm : float
        As it comes of the walls' widths, so to ± 10 mm [mm].
    """

    wall: str
    to: str
    mm: float


@dataclass(frozen=True)
class SquareLines:
    """The lines of walls that hang together.

    Parameters
    ----------
    room : str
    off_mm : float
        From each finished face to its line [mm].
    lines : tuple of SquareLine
        In order round the room.
    crossings : tuple of Crossing
    between : tuple of Taped
        Sides, then, of four lines all round, the two diagonals.
    """

    room: str
    off_mm: float
    lines: tuple[SquareLine, ...]
    crossings: tuple[Crossing, ...]
    between: tuple[Taped, ...]

    @property
    def known_mm(self) -> float:
        """What sides and diagonals are known to, ± [mm]."""
        return BY_WIDTHS_MM


COLUMNS = ("room", "line_before", "what", "x_m", "z_m", "mm")
AS_ROW = tuple[str, str, str, float | None, float | None, int]


def rows_of(lines: SquareLines) -> list[AS_ROW]:
    """What is measured, a row each, as `COLUMNS` has them; whole millimetres."""
    found: list[AS_ROW] = []
    for line in lines.lines:
        found += [
            (lines.room, line.wall, "from the rough face", each.x_m, each.z_m, round(each.from_face_mm))
            for each in line.places
        ]
    for each in lines.crossings:
        where = f"crossing with {each.next_wall}"
        taped = {"along this line": each.leg_mm, "along that": each.next_leg_mm, "across": each.across_mm}
        for what, mm in taped.items():
            found.append((lines.room, each.wall, f"{where}: {what}", None, None, round(mm)))
    for side in lines.between:
        what = f"diagonal to the crossing after {side.to}" if side.to else "crossing to crossing"
        found.append((lines.room, side.wall, f"{what}, ± {lines.known_mm:g}", None, None, round(side.mm)))
    return found


def lines_frame(lines: Iterable[SquareLines]) -> pd.DataFrame:
    """A row for each measure of some lines, for the file: see `COLUMNS`, and shown_to."""
    import pandas as pd

    rows = [row for each in lines for row in rows_of(each)]
    return pd.DataFrame(rows, columns=list(COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})


def square_lines(
    planes: RoomPlanes, walls: Mapping[str, WallResult], feet: bool = False
) -> tuple[SquareLines, ...]:
    """The lines of a room, those that hang together in one.

    Parameters
    ----------
    planes : RoomPlanes
    walls : mapping of str to WallResult
        Those that take part, on those planes.
    feet : bool
        Off the finished face by inches that are on a tape.
    """
    found = []
    for plan in planes.plans:
        faces = finished_lines(plan, planes, walls)
        corners = corners_along(plan, planes)
        off_mm = _off_mm(faces, corners, feet)
        struck = {name: face.before(off_mm) for name, face in faces.items()}
        lines = tuple(SquareLine(name, _places(planes, walls[name], off_mm)) for name in plan.names)
        found.append(
            SquareLines(
                planes.room, off_mm, lines,
                tuple(_crossings(struck, corners)), tuple(_between(struck, corners)),
            )
        )  # fmt: skip
    return tuple(found)


def _off_mm(faces: Mapping[str, FaceLine], corners: Sequence[SquaredCorner], feet: bool) -> float:
    """The furthest off at which no line is too short to strike [mm]."""
    offs = OFF_FOOT_MM if feet else OFF_MM
    for off_mm in offs:
        sides = _sides_m({name: face.before(off_mm) for name, face in faces.items()}, corners)
        if all(side >= LEAST_SIDE_M for side in sides.values()):
            return off_mm
    return offs[-1]


def _at(struck: Mapping[str, FaceLine], corner: SquaredCorner) -> Floats:
    return struck[corner.wall].crosses(struck[corner.next_wall])


def _sides_m(struck: Mapping[str, FaceLine], corners: Sequence[SquaredCorner]) -> dict[str, float]:
    """Each line that crosses another at both its ends: how far it runs from left to right [m]."""
    ends = {each.next_wall: _at(struck, each) for each in corners}
    return {
        each.wall: float((_at(struck, each) - ends[each.wall]) @ struck[each.wall].along)
        for each in corners
        if each.wall in ends
    }


def _between(struck: Mapping[str, FaceLine], corners: Sequence[SquaredCorner]) -> Iterator[Taped]:
    sides = _sides_m(struck, corners)
    for name, side in sides.items():
        yield Taped(name, "", MM_PER_M * side)
    if len(corners) == len(sides) == FOUR:
        for one, other in ((0, 2), (1, 3)):
            away = np.subtract(_at(struck, corners[other]), _at(struck, corners[one]))
            yield Taped(corners[one].wall, corners[other].wall, MM_PER_M * float(np.hypot(*away)))


def _crossings(struck: Mapping[str, FaceLine], corners: Sequence[SquaredCorner]) -> Iterator[Crossing]:
    """Legs of 3 and 4 units, the longer along the longer line."""
    sides = _sides_m(struck, corners)
    for each in corners:
        assert each.got_deg is not None
        rooms = [sides.get(name, math.inf) for name in (each.wall, each.next_wall)]
        unit = _unit_m(min(rooms), max(rooms))
        legs = (4 * unit, 3 * unit) if rooms[0] >= rooms[1] else (3 * unit, 4 * unit)
        outer = each.got_deg > STRAIGHT_DEG
        angle = math.radians(each.got_deg - STRAIGHT_DEG if outer else each.got_deg)
        across = math.sqrt(legs[0] ** 2 + legs[1] ** 2 - 2 * legs[0] * legs[1] * math.cos(angle))
        leg, after, mm = (MM_PER_M * length for length in (*legs, across))
        yield Crossing(each.wall, each.next_wall, leg, after, mm, outer)


def _unit_m(short_m: float, long_m: float) -> float:
    """The longest unit of 3-4-5 that has room on both lines [m].

    Examples
    --------
    >>> _unit_m(2.4, 3.6)
    0.75
    """
    fitting = (unit for unit in UNITS_M if 3 * unit <= short_m and 4 * unit <= max(long_m, short_m))
    return next(fitting, UNITS_M[-1])


def _places(planes: RoomPlanes, wall: WallResult, off_mm: float) -> tuple[LinePlace, ...]:
    """From the lowest height that anybody read: both ends, and between them where wall is."""
    surface, plane = wall.surface, planes.walls[wall.entry.name]
    known = (surface.known_area_m2 > 0) & ~np.isnan(surface.proud_mm)
    lowest = float(surface.points.z_m.min()) if surface.points.z_m.size else 0.0
    rows = np.flatnonzero((surface.z_m >= lowest) & known.any(axis=1))
    row = int(rows[0]) if rows.size else int(np.flatnonzero(known.any(axis=1))[-1])
    columns, z_m = np.flatnonzero(known[row]), round(float(surface.z_m[row]), 3)
    x, face_mm = surface.x_m[columns], surface.proud_mm[row, columns]
    turned = math.cos(math.atan(plane.b_mm_per_m / MM_PER_M))
    found = []
    for at in _beside_holes(_spread(x, surface.wall.width_m), z_m, surface.wall):
        thick = float(plane.at(at, z_m)) - float(np.interp(at, x, face_mm))
        found.append(LinePlace(at, z_m, off_mm + turned * thick))
    return tuple(found)


def _beside_holes(places_m: Sequence[float], z_m: float, wall: Wall) -> list[float]:
    """Places of which none lies in an opening or behind a fitted unit: beside its nearer side instead [m]."""
    moved = list(places_m)
    for hole in (*wall.openings, *wall.fitted):
        left, right = hole.x_m - ASIDE_M, hole.x_m + hole.width_m + ASIDE_M
        if hole.z_m <= z_m <= hole.z_m + hole.height_m:
            sides = [side for side in (left, right) if 0 <= side <= wall.width_m]
            moved = [_nearest(at, sides) if left < at < right and sides else at for at in moved]
    return sorted({round(at, 3) for at in moved})


def _nearest(at: float, places: Sequence[float]) -> float:
    return places[int(np.abs(np.subtract(places, at)).argmin())]


def _spread(known_m: Floats, width_m: float) -> list[float]:
    """Places to measure at, to the centimetre; where none is known beside one, the nearest known [m]."""
    step = float(np.diff(known_m).min()) if known_m.size > 1 else 0.0
    end = min(FROM_END_M, width_m / 4)
    wanted = np.linspace(end, width_m - end, max(2, math.ceil((width_m - 2 * end) / APART_M) + 1)).round(2)
    found = []
    for at in wanted.tolist():
        nearest = float(known_m[np.abs(known_m - at).argmin()])
        found.append(at if abs(nearest - at) <= step else round(nearest, 3))
    return found
