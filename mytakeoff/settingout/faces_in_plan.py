"""Finished faces of a room as lines in plan, from its planes and from how its rough walls lie there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.corners.measuring import MM_PER_M
from mytakeoff.corners.plan import Plan
from mytakeoff.corners.room_corner import STRAIGHT_DEG
from mytakeoff.plane.outline import Outline
from mytakeoff.plane.target_plane import TargetPlane
from mytakeoff.rooms.planes import RoomPlanes, SquaredCorner
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.wall_result import WallResult


@dataclass(frozen=True, eq=False)
class FaceLine:
    """A line in plan: x to the right along the room's first wall, y up the page [m].

    Parameters
    ----------
    start_m, along : (2,) float
        A place on it [m], and the way to the right along it, as one faces it from inside, of length 1.
    """

    start_m: Floats
    along: Floats

    @property
    def towards(self) -> Floats:
        """Into the room, of length 1."""
        return np.array([self.along[1], -self.along[0]])

    def before(self, off_mm: float) -> FaceLine:
        """The line as far before it, into the room [mm]."""
        return FaceLine(self.start_m + off_mm / MM_PER_M * self.towards, self.along)

    def crosses(self, other: FaceLine) -> Floats:
        """Where it meets another one that is not parallel to it [m].

        Examples
        --------
        >>> north = FaceLine(np.array([0.0, 0.0]), np.array([1.0, 0.0]))
        >>> east = FaceLine(np.array([4.0, 0.0]), np.array([0.0, -1.0]))
        >>> north.before(300.0).crosses(east.before(300.0)).tolist()
        [3.7, -0.3]
        """
        steps = np.linalg.solve(np.column_stack([self.along, -other.along]), other.start_m - self.start_m)
        return np.asarray(self.start_m + steps[0] * self.along)


def mean_thickness_mm(wall: WallResult, plane: TargetPlane, x_m: float) -> float:
    """From the line that a wall's rough face lies about, seen from above, to its plane, at x [m, mm]."""
    return float(plane.at(x_m, 0.0)) - _rough(wall).mean_mm_at(x_m)


def rough_turn_rad(wall: WallResult) -> float:
    """How that line is turned from the plane that the wall was measured off, clockwise [rad]."""
    return math.radians(_rough(wall).mean_turn_deg)


def _rough(wall: WallResult) -> Outline:
    return Outline.of(wall.surface, replace(wall.rule, plumb=True, lean_limit_mm_per_m=None))


def finished_lines(plan: Plan, planes: RoomPlanes, walls: Mapping[str, WallResult]) -> dict[str, FaceLine]:
    """The finished faces of walls that hang together, in order round the room.

    Each lies its mean thickness before its rough wall's middle; the corners between them are those of the
    planes, which the widths of the walls do not change.

    Parameters
    ----------
    plan : Plan
        One of those of `planes`.
    planes : RoomPlanes
    walls : mapping of str to WallResult
        Those that take part.
    """
    inside = {each.wall: each for each in corners_along(plan, planes)}
    faces: dict[str, FaceLine] = {}
    heading = 0.0
    for nth, name in enumerate(plan.names):
        plane, run = planes.walls[name], plan.right_m[nth] - plan.left_m[nth]
        if nth == 0:
            turned = math.atan(plane.b_mm_per_m / MM_PER_M)
            heading = math.atan2(run[1], run[0]) - (turned - rough_turn_rad(walls[name]))
        rough_line = FaceLine((plan.left_m[nth] + plan.right_m[nth]) / 2, run / np.hypot(*run))
        middle = rough_line.before(mean_thickness_mm(walls[name], plane, plan.width_m[nth] / 2)).start_m
        faces[name] = FaceLine(middle, np.array([math.cos(heading), math.sin(heading)]))
        corner = inside.get(name)
        if corner is not None and corner.got_deg is not None:
            heading -= math.radians(STRAIGHT_DEG - corner.got_deg)
    return faces


def corners_along(plan: Plan, planes: RoomPlanes) -> Sequence[SquaredCorner]:
    """The corner at the right end of each wall of a plan; of the last one where the walls go all round."""
    at = {each.wall: each for each in planes.corners if each.got_deg is not None}
    return [at[name] for name in plan.names if name in at and at[name].next_wall in plan.names]


def column_thickness(surface: Surface, plane: TargetPlane) -> tuple[Floats, Floats]:
    """Plaster seen from above: places from the wall's left end, and the mean of each known column [m, mm]."""
    depth = plane.at(surface.x_m[None, :], surface.z_m[:, None]) - surface.proud_mm
    known = (surface.known_area_m2 > 0) & ~np.isnan(depth)
    columns = known.any(axis=0)
    total = np.where(known, depth, 0.0).sum(axis=0)
    return surface.x_m[columns], total[columns] / known.sum(axis=0)[columns]
