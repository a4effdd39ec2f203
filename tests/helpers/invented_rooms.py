"""Rooms invented in the plane, seen from above, so that every angle is known before anything is measured.

Walls go clockwise. Each rough wall goes from corner to corner; the plane that it is measured off stands
before it, askew to it by a tilt of its own. All is done with points and vectors: no angle of the package is
used.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from demo import coarse_demo

import mytakeoff as mt

HEIGHT_M, AT_M = 2.4, 1.2  # of walls, and where corners are measured
RECTANGLE = ((0.0, 0.0), (4.2, 0.0), (4.2, -3.1), (0.0, -3.1))
# With a chimney breast's corner cut out of it: five inner corners and an outer one.
L_SHAPE = ((0.0, 0.0), (5.0, 0.0), (5.0, -2.2), (3.0, -2.2), (3.0, -4.0), (0.0, -4.0))


@dataclass(frozen=True)
class InventedWall:
    """A rough wall from corner to corner (x, y) [m], and how its face stands to the plane measured off."""

    name: str
    left: tuple[float, float]
    right: tuple[float, float]
    tilt_mm_per_m: float = 0.0
    behind_mm: float = 40.0
    seed: int = 0
    rough_mm: float = 4.0

    @property
    def along(self) -> np.ndarray:
        """To the right along the plane measured off, as one has it who faces the wall."""
        run = np.subtract(self.right, self.left)
        run = run / np.hypot(*run)
        towards = np.array([run[1], -run[0]])
        # The face comes forward to the right by the tilt, so the plane goes back from it by as much.
        plane = run - self.tilt_mm_per_m / 1000 * towards
        return plane / np.hypot(*plane)

    @property
    def towards(self) -> np.ndarray:
        """Into the room, square to the plane measured off."""
        return np.array([self.along[1], -self.along[0]])

    @property
    def width_m(self) -> float:
        """Along the plane measured off."""
        return float(np.subtract(self.right, self.left) @ self.along)

    def point(self, x_m: float, proud_mm: float) -> np.ndarray:
        """Where in plan a place stands."""
        begin = np.array(self.left) + self.behind_mm / 1000 * self.towards
        return begin + x_m * self.along + proud_mm / 1000 * self.towards

    def proud_mm(self, x_m, z_m) -> np.ndarray:
        """The rough face; at both ends, where corners are measured, it is at the corner."""
        rng = np.random.default_rng(self.seed)
        x, up = np.asarray(x_m, dtype=float), np.asarray(z_m, dtype=float) - AT_M
        face = -self.behind_mm + self.tilt_mm_per_m * x + rng.normal(0, 4) * up
        for k in range(1, 5):
            fade = rng.normal(0, self.rough_mm) * np.cos(rng.uniform(0, 3) * up)
            face = face + fade * np.sin(k * math.pi * x / self.width_m)
        return face

    def survey(self, noise_mm: float = 0.0, rng=None, across: int = 9) -> mt.Survey:
        """Readings on a grid, both ends and the height of measuring among it."""
        x, z = np.meshgrid(np.linspace(0, self.width_m, across), (0.1, 0.6, AT_M, 1.8, 2.3))
        proud = self.proud_mm(x, z)
        if rng is not None:
            proud = proud + rng.normal(0, noise_mm, proud.shape)
        return mt.Survey.from_readings(
            mt.Wall(self.name, self.width_m, HEIGHT_M), x.ravel(), z.ravel(), proud.ravel()
        )

    def finished(self, plane: mt.TargetPlane) -> tuple[np.ndarray, np.ndarray]:
        """Two points in plan of a plumb plane over it."""
        assert plane.c_mm_per_m == 0
        return tuple(self.point(x, float(plane.at(x, 0.0))) for x in (0.0, self.width_m))


def invented(
    corners: Sequence[tuple[float, float]] = RECTANGLE, seed: int = 0, tilt_mm_per_m: float = 6.0
) -> list[InventedWall]:
    """Walls from corner to corner, each askew to its plane by a tilt of its own."""
    rng = np.random.default_rng(seed)
    ends = zip(corners, [*corners[1:], corners[0]], strict=True)
    return [
        InventedWall(f"wall {nth}", left, right, float(rng.normal(0, tilt_mm_per_m)), seed=1000 * seed + nth)
        for nth, (left, right) in enumerate(ends)
    ]


def read_off_one_set_up(walls: Sequence[InventedWall], askew_mm_per_m: float = 3.0) -> list[InventedWall]:
    """The same walls with their planes square to one another: off lines askew to the first wall."""
    first = np.subtract(walls[0].right, walls[0].left)
    zero = math.atan2(first[1], first[0]) + askew_mm_per_m / 1000
    made = []
    for wall in walls:
        run = np.subtract(wall.right, wall.left)
        heading = math.atan2(run[1], run[0])
        line = zero + round((heading - zero) / (math.pi / 2)) * math.pi / 2
        made.append(replace(wall, tilt_mm_per_m=1000 * math.tan(line - heading)))
    return made


def inside_deg(first: Sequence[np.ndarray], second: Sequence[np.ndarray]) -> float:
    """The angle inside a room between a line and the next, each by two points, left and right."""
    back, on = np.subtract(first[0], first[1]), np.subtract(second[1], second[0])
    cross = on[0] * back[1] - on[1] * back[0]
    return math.degrees(math.atan2(-cross, float(on @ back)) % (2 * math.pi))


def planes_deg(wall: InventedWall, after: InventedWall) -> float:
    """The angle inside between the planes that two walls are measured off."""
    return inside_deg(*((each.point(0.0, 0.0), each.point(1.0, 0.0)) for each in (wall, after)))


def job_of(
    walls: Sequence[InventedWall], room: mt.Room, surveys: Sequence[mt.Survey] = (), rails: bool = True
) -> mt.Job:
    """A job of these walls in one room, with the demo's mixes and prices."""
    surveys = surveys or [wall.survey() for wall in walls]
    entries = tuple(mt.JobWall(survey.wall, room.name, survey, "sound old plaster") for survey in surveys)
    return replace(
        coarse_demo(),
        title="an invented room",
        rooms=(room,),
        walls=entries,
        only=(),
        extras=(),
        compare=mt.Compare(),
        rails=mt.RailChoice(used=rails),
        scenarios=(),
        folder="",
    )


def corner_of(walls: Sequence[InventedWall], nth: int, **measured) -> mt.RoomCorner:
    """The corner of a wall and the next round the room; wanted at 90 or 270 degrees."""
    wall, after = walls[nth], walls[(nth + 1) % len(walls)]
    wide = inside_deg((wall.left, wall.right), (after.left, after.right)) > 180
    return mt.RoomCorner(wall.name, after.name, 270.0 if wide else 90.0, **measured)


def laid_square(
    wall: InventedWall, after: InventedWall, wide: bool, rng=None, noise_mm: float = 0.0, on_wall: bool = True
) -> mt.OffSquare:
    """A square along the face of one wall, near the corner, and the other wall read off its other leg."""
    laid, other = (wall, after) if on_wall else (after, wall)
    at, read = (_near(each, each is wall) for each in (laid, other))
    touched = [laid.point(x, float(laid.proud_mm(x, AT_M))) for x in at]
    run = np.subtract(touched[1], touched[0])
    leg = np.array([run[1], -run[0]])  # square to it; where it stands makes no odds
    corner = np.array(wall.right) + 0.05 * laid.towards
    off = []
    for x in read:
        face_mm = float(other.proud_mm(x, AT_M))
        foot = other.point(x, face_mm)
        _, away = np.linalg.solve(np.column_stack([leg, -other.towards]), foot - corner)
        off.append(1000 * away + (0.0 if rng is None else rng.normal(0, noise_mm)))
    assert wide or max(off) > -3000
    return mt.OffSquare(laid.name, at, read, tuple(off), AT_M, noise_mm or 1.0)


def _near(wall: InventedWall, at_right: bool) -> tuple[float, float]:
    """Two places of a wall that are read by its survey, near one of its ends."""
    nodes = np.linspace(0, wall.width_m, 9)
    return tuple(nodes[[5, 8]].tolist()) if at_right else tuple(nodes[[0, 3]].tolist())


def taped_triangle(wall: InventedWall, after: InventedWall, rng=None, sd_mm: float = 2.0) -> mt.Triangle:
    """Marks on both walls where they are read, and the three lengths by tape."""
    noise = np.zeros(3) if rng is None else rng.normal(0, sd_mm / 1000, 3)
    x, y = np.linspace(0, wall.width_m, 9)[4], np.linspace(0, after.width_m, 9)[4]
    one, two = (each.point(at, float(each.proud_mm(at, AT_M))) for each, at in ((wall, x), (after, y)))
    corner = np.array(wall.right)
    lengths = [np.hypot(*np.subtract(a, b)) for a, b in ((one, corner), (two, corner), (one, two))]
    return mt.Triangle(*(float(each + off) for each, off in zip(lengths, noise, strict=True)), AT_M, sd_mm)
