"""What is drawn of a room in plan, as geometry: finished faces, and rough ones as far behind as is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from mytakeoff.bounds import ROUNDING_M
from mytakeoff.corners.plan import Plan
from mytakeoff.rooms.planes import SquaredCorner
from mytakeoff.settingout.faces_in_plan import FaceLine, column_thickness, corners_along, finished_lines
from mytakeoff.settingout.room_setting import RoomSetting
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Opening

THICKER = (1, 2, 3, 5, 10, 15, 20, 30, 50)
PLASTER_SHARE = 0.06  # of the room's smaller size, at most, for the thickest plaster as drawn
OPEN_M = 0.9  # of floor below walls that do not go all round: for words and lines before the last of them
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
        face = self.faces[name]
        return np.asarray(face.start_m + (x_m - self.widths_m[name] / 2) * face.along)

    @property
    def widths_m(self) -> dict[str, float]:
        """Width of each wall [m]."""
        return dict(zip(self.plan.names, self.plan.width_m.tolist(), strict=True))

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

    def openings(self, name: str) -> tuple[Opening, ...]:
        """What is no wall, of a wall."""
        assert self.room.walls is not None
        return self.room.walls[name].entry.wall.openings

    def beside_openings(self, name: str, line: Floats) -> list[Floats]:
        """A line along a face in parts, from one opening to the next; one without length is empty [m]."""
        sides = [-np.inf]
        for opening in sorted(self.openings(name), key=lambda each: each.x_m):
            sides += [opening.x_m, opening.x_m + opening.width_m]
        sides = [*np.maximum.accumulate(sides), np.inf]
        return [self.between(name, line, *run) for run in zip(sides[::2], sides[1::2], strict=True)]

    def between(self, name: str, line: Floats, left_m: float, right_m: float) -> Floats:
        """The part of a line along a face between two places of the wall, from its left end [m]."""
        face = self.faces[name]
        x = (line - face.start_m) @ face.along + self.widths_m[name] / 2
        ends = np.clip([left_m, right_m], x[0], x[-1])
        if ends[1] - ends[0] < ROUNDING_M:
            return line[:0]
        left, right = np.column_stack([np.interp(ends, x, line[:, axis]) for axis in (0, 1)])
        return np.vstack([left, line[(x > ends[0]) & (x < ends[1])], right])

    def across(self, name: str, rough: Floats) -> list[tuple[Floats, Floats]]:
        """From places of a rough face as it is drawn straight to the finished one [m]."""
        face = self.faces[name]
        return [(at, at - face.towards * float((at - face.start_m) @ face.towards)) for at in rough]


def drawings(room: RoomSetting) -> tuple[RoomDrawing, ...]:
    """What is drawn of a room: one for each run of walls that hang together; none where there is none."""
    if room.planes is None or room.walls is None:
        return ()
    found = []
    for plan in room.planes.plans:
        faces = _longest_on_top(finished_lines(plan, room.planes, room.walls), plan)
        corners = corners_along(plan, room.planes)
        thickest = max(
            float(column_thickness(room.walls[n].surface, room.planes.walls[n])[1].max()) for n in plan.names
        )
        every = np.vstack([plan.left_m, plan.right_m])
        small_mm = 1000 * max(float(np.ptp(every, axis=0).min()), 1.0)
        times = max((t for t in THICKER if t * thickest <= PLASTER_SHARE * small_mm), default=1)
        found.append(RoomDrawing(room, plan, faces, tuple(corners), times))
    return tuple(found)


def _longest_on_top(faces: Mapping[str, FaceLine], plan: Plan) -> dict[str, FaceLine]:
    """The faces turned so that the longest wall runs across the page, the room below it."""
    across = faces[plan.names[int(plan.width_m.argmax())]]
    turned = np.vstack([across.along, -across.towards])
    return {name: FaceLine(turned @ face.start_m, turned @ face.along) for name, face in faces.items()}


def extent(drawing: RoomDrawing) -> tuple[Floats, Floats]:
    """Upper left and lower right of everything that is drawn [m]."""
    ends = drawing.ends(rough=True)
    every = np.vstack([drawing.rough(name, ends[name]) for name in drawing.plan.names])
    low, high = every.min(axis=0), every.max(axis=0)
    if len(drawing.corners) < len(drawing.plan.names):
        low[1] -= OPEN_M
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
