"""The walls of a thinned cloud: where each stands, how it leans, what stands before and behind it."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from mytakeoff.scan.cell_median import cell_statistic
from mytakeoff.scan.doubts import said_of
from mytakeoff.scan.openings import proposed_openings
from mytakeoff.scan.orientation import LEVEL, UP, CloudFaces, cloud_faces_steps, faces_of
from mytakeoff.scan.thin_cloud import ThinCloud
from mytakeoff.scan.upright_planes import UprightPlane, occupied_m2, upright_planes, usual_spacing
from mytakeoff.scan.wall_frame import Bow, Sorted, WallFrame, bow_of, frame_of, sort_points
from mytakeoff.survey.cells import cell_edges, centres
from mytakeoff.survey.stance import Stance, stance
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Opening

STANCE_M = 0.05  # cells by which a wall's stance is told
FACE_M = 0.05  # cubes that faces are judged by
ROOM_M = 2.0  # a cloud of at least this size each way is judged by room-sized lengths
NEAR_M, DEEP_M = 0.15, 3.0  # what lies so far from a wall tells its room side
FEW_SHARE = 0.05  # of a wall's own points: fewer beside it tell nothing
ORIGIN_SHARE = 0.1  # of the wall's height: an origin nearer to it than that is no place to see it from
ORIGIN_FAR = 10.0  # times the cloud's size: an origin further off is a country's, not an instrument's
GROW_M = 0.3  # that a wall may reach beyond the faces told on it
RIM_SHARE = 0.02  # of points standing off the wall: other faces meet it


@dataclass(frozen=True, eq=False)
class CloudWall:
    """One wall found in a thinned cloud.

    Parameters
    ----------
    frame : WallFrame
        Where it stands [m].
    bow : Bow
        Its smooth face.
    area_m2 : float
        Covered by points [m²].
    thinned : Sorted
        The thinned points on, before and behind it.
    scale : float
        Of all lengths that it was judged by [-].
    side_known : bool
        Whether the room side was told by something, or is a guess.
    """

    frame: WallFrame
    bow: Bow
    area_m2: float
    thinned: Sorted
    scale: float
    side_known: bool

    @cached_property
    def cells(self) -> tuple[Floats, Floats, Floats]:
        """Its points as medians of equal cells: x [m], z [m], proud [mm]."""
        on, thinned = self.thinned.where == 0, self.thinned
        size = self.frame.width_m, self.frame.height_m
        edges = [cell_edges(length, STANCE_M * self.scale) for length in size]
        x_m, z_m = (centres(each) for each in edges)
        places = thinned.x_m[on], thinned.z_m[on], thinned.proud_m[on] * 1000.0
        median_mm = cell_statistic(*places, size, (z_m.size, x_m.size)).median_mm
        row, column = np.nonzero(np.isfinite(median_mm))
        return x_m[column], z_m[row], median_mm[row, column]

    @cached_property
    def stance(self) -> Stance:
        """How it stands against a level instrument: lean and bow, and how far they may be off."""
        return stance(*self.cells)

    @property
    def roughness_mm(self) -> float:
        """How far the wall scatters about its bow, the scan's noise in it [mm]."""
        return self.bow.roughness_m * 1000.0

    @cached_property
    def doubts(self) -> tuple[str, ...]:
        """What the user should know where it may be no wall, or more than one."""
        on, thinned = self.thinned.where == 0, self.thinned
        x, z, size = thinned.x_m[on], thinned.z_m[on], (self.frame.width_m, self.frame.height_m)
        off = thinned.proud_m[on] - self.bow.at(2.0 * x / size[0] - 1.0, 2.0 * z / size[1] - 1.0)
        return said_of((x, z, off), size, usual_spacing(np.column_stack([x, z]), 0.5))

    @property
    def ends(self) -> tuple[Floats, Floats, Floats]:
        """Its left and right foot (3,) [m], and the way towards the room (3,) [-]."""
        frame = self.frame
        return frame.origin, frame.origin + frame.width_m * frame.right, frame.out

    @cached_property
    def openings(self) -> tuple[Opening, ...]:
        """Where it shows nothing, as rectangles, to be accepted."""
        on, before = self.thinned.where == 0, self.thinned.where > 0
        x, z = self.thinned.x_m, self.thinned.z_m
        size = self.frame.width_m, self.frame.height_m
        cell = max(0.05, 2.0 * usual_spacing(np.column_stack([x[on], z[on]]), 0.95))
        return proposed_openings(size, (x[on], z[on]), (x[before], z[before]), cell)


def walls_in(
    thin: ThinCloud, unit_m: float, up: str, sensors: Sequence[tuple[float, float, float]] = ()
) -> Generator[None, None, tuple[CloudWall, ...]]:
    """The upright planes of a cloud, largest first, in steps.

    Parameters
    ----------
    thin : ThinCloud
    unit_m : float
        One of the file's units [m].
    up : str
        The axis that is up: one of x, y, z, -x, -y, -z.
    sensors : sequence of (x, y, z)
        Where instruments stood; in the file's unit.
    """
    axis = np.array(UP[up])
    extent = thin.extent * unit_m
    upward = float(extent[int(np.argmax(np.abs(axis)))])
    scale = min(1.0, min(upward, float(np.sort(extent)[1])) / ROOM_M)
    coarse = thin.coarser(FACE_M * scale / unit_m)
    yield
    faces = yield from cloud_faces_steps(coarse)
    faces = CloudFaces(faces.points * unit_m, faces.normals)
    planes = yield from upright_planes(faces, axis, coarse.side * unit_m, scale)
    metric = replace(thin, points=thin.points * unit_m, side=thin.side * unit_m)
    seen_from = np.array(sensors, dtype=np.float64).reshape(-1, 3) * unit_m
    side_m = coarse.side * unit_m
    walls = []
    for plane in planes:
        walls.append((yield from _wall(plane, faces, metric, axis, side_m, scale, seen_from)))
    return tuple(sorted(walls, key=lambda wall: -wall.area_m2))


def flat_share(thin: ThinCloud, up: str) -> float:
    """The part of a cloud's faces that lie level, as floors and ceilings do [-]."""
    faces = faces_of(thin.coarser(float(np.sort(thin.extent)[1]) / 40.0))
    if len(faces.normals) == 0:
        return 0.0
    return float((np.abs(faces.normals @ np.array(UP[up])) > LEVEL).mean())


def _wall(
    plane: UprightPlane,
    faces: CloudFaces,
    thin: ThinCloud,
    up: Floats,
    side_m: float,
    scale: float,
    sensors: Floats,
) -> Generator[None, None, CloudWall]:
    """The wall of a plane, seen from the room."""
    yield
    members = faces.points[plane.members]
    sign = _room_side(plane, members, thin, up, scale, sensors)
    out = plane.normal * (sign or 1.0)
    narrow = frame_of(members, up, out, side_m)
    meets = _stands_off(narrow, thin.points, scale) > RIM_SHARE
    bow = bow_of(narrow, members, scale, meets)
    yield
    frame = _to_its_ends(narrow, bow, thin, scale, side_m)
    yield
    on_it = sort_points(frame, bow_of(frame, members, scale, meets), thin.points, scale)
    on_it = thin.points[on_it.index[on_it.where == 0]]
    yield
    bow = bow_of(frame, on_it, scale, meets)
    yield
    thinned = sort_points(frame, bow, thin.points, scale)
    on = thinned.where == 0
    area = occupied_m2(np.column_stack([thinned.x_m[on], thinned.z_m[on]]), thin.side)
    return CloudWall(frame, bow, area, thinned, scale, sign != 0.0)


def _to_its_ends(frame: WallFrame, bow: Bow, thin: ThinCloud, scale: float, side_m: float) -> WallFrame:
    """A frame as far as points follow one another on the wall: faces are not told close to corners."""
    x, z, proud = frame.places(thin.points)
    more = GROW_M * scale
    inside = (x > -more) & (x < frame.width_m + more) & (z > -more) & (z < frame.height_m + more)
    x, z, proud = x[inside], z[inside], proud[inside]
    off = np.abs(proud - bow.at(2.0 * x / frame.width_m - 1.0, 2.0 * z / frame.height_m - 1.0))
    x, z = x[off <= bow.rim_off_m], z[off <= bow.rim_off_m]
    gap = max(thin.side, 3.0 * usual_spacing(np.column_stack([x, z]), 0.5))
    left, right = _reached(x[(z > 0) & (z < frame.height_m)], frame.width_m, gap)
    low, high = _reached(z[(x > 0) & (x < frame.width_m)], frame.height_m, gap)
    left, right = min(left, side_m), max(right, frame.width_m - side_m)
    low, high = min(low, side_m), max(high, frame.height_m - side_m)
    margin = thin.side / 2.0
    origin = frame.origin + (left - margin) * frame.right + (low - margin) * frame.up
    size = right - left + 2.0 * margin, high - low + 2.0 * margin
    return replace(frame, origin=origin, width_m=float(size[0]), height_m=float(size[1]))


def _reached(places: Floats, length: float, gap: float) -> tuple[float, float]:
    """The ends of a row of places about the middle of a length, none further from the next than a gap."""
    if places.size == 0:
        return 0.0, length
    ordered = np.sort(places)
    breaks = np.flatnonzero(np.diff(ordered) > gap)
    inner = breaks[(ordered[breaks + 1] <= 0.1 * length) | (ordered[breaks] >= 0.9 * length)]
    start = inner[ordered[inner + 1] <= 0.1 * length]
    end = inner[ordered[inner] >= 0.9 * length]
    return (
        float(ordered[start[-1] + 1] if start.size else ordered[0]),
        float(ordered[end[0]] if end.size else ordered[-1]),
    )


def _stands_off(frame: WallFrame, points: Floats, scale: float) -> float:
    """Points well off a wall's plane for each one near it [-]."""
    proud = frame.places(points)[2]
    near = int((np.abs(proud) < NEAR_M * scale).sum())
    return float((np.abs(proud) > 2.0 * NEAR_M * scale).sum() / max(near, 1))


def _room_side(
    plane: UprightPlane, members: Floats, thin: ThinCloud, up: Floats, scale: float, sensors: Floats
) -> float:
    """1 if the room lies where the plane's normal points, -1 if behind, 0 if nothing tells.

    By the instruments where they all stand on one side; else by where the points before and behind the wall
    are; for a wall by itself by the origin, unless that lies on it or in another country.
    """
    near = members.mean(axis=0)
    stands = (sensors - near) @ plane.normal
    stands = stands[np.abs(stands) > NEAR_M * scale]
    if np.any(sensors != 0.0) and stands.size and np.ptp(np.sign(stands)) == 0:
        return float(np.sign(stands[0]))
    along = np.cross(up, plane.normal)
    place, depth = (thin.points - near) @ along, (thin.points - near) @ plane.normal
    ends = np.quantile((members - near) @ along, [0.02, 0.98])
    before = (place > ends[0]) & (place < ends[1])
    before &= (np.abs(depth) > NEAR_M * scale) & (np.abs(depth) < DEEP_M * scale)
    front, behind = int((depth[before] > 0).sum()), int((depth[before] < 0).sum())
    if front + behind > FEW_SHARE * len(thin.points) and front != behind:
        return 1.0 if front > behind else -1.0
    return _side_of_origin(plane, near, members, up)


def _side_of_origin(plane: UprightPlane, near: Floats, members: Floats, up: Floats) -> float:
    away = float(-near @ plane.normal)
    size = float(np.max(np.ptp(members, axis=0)))
    height = float(np.ptp(members @ up))
    if np.linalg.norm(near) > ORIGIN_FAR * size:
        return 0.0
    if abs(away) > ORIGIN_SHARE * height:
        return float(np.sign(away))
    # heights of a face measured about zero: seen from where its axis points
    return float(np.sign(plane.normal[int(np.argmax(np.abs(plane.normal)))]))


def other_side(wall: CloudWall) -> CloudWall:
    """A wall as it is seen from behind."""
    frame = wall.frame
    turned = WallFrame(
        frame.origin + frame.width_m * frame.right,
        -frame.right,
        frame.up,
        -frame.out,
        frame.width_m,
        frame.height_m,
    )
    a, b, c, d, e, f = wall.bow.terms
    old = wall.thinned
    thinned = Sorted(frame.width_m - old.x_m, old.z_m, -old.proud_m, (-old.where).astype(np.int8), old.index)
    bow = replace(wall.bow, terms=(-a, b, -c, -d, e, -f))
    return replace(wall, frame=turned, bow=bow, thinned=thinned, side_known=True)
