"""Upright planes among the faces of a cloud, the one with the largest area first."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from mytakeoff.scan.orientation import UPRIGHT, CloudFaces
from mytakeoff.survey.survey import Floats

TURNS = 90  # steps of direction in half a turn: 2 degrees each
NEAR_TURN = np.radians(15.0)  # faces turned less from a plane belong to it
ROUNDS = 8  # of the robust fit
BAND_M = 0.15  # a bowed wall of room size stays within so much of its plane
OFFSET_M = 0.03  # steps in which the distances of planes are counted
LEAST_AREA_M2 = 0.5
LEAST_SIDE_M = 0.4
MOST_WALLS = 40
GAP_M = 0.6  # two parts of a plane further apart than a doorway is wide are two walls


@dataclass(frozen=True, eq=False)
class UprightPlane:
    """An upright plane and the faces on it.

    Parameters
    ----------
    normal : (3,) float
        Level unit vector across it, either way round [-].
    lean : float
        How far it rises along the normal for each metre up [m/m].
    members : (n,) int
        Which of the faces lie on it.
    area_m2 : float
        That they cover [m²].
    """

    normal: Floats
    lean: float
    members: NDArray[np.intp]
    area_m2: float


def upright_planes(
    faces: CloudFaces, up: Floats, side_m: float, scale: float = 1.0
) -> Generator[None, None, tuple[UprightPlane, ...]]:
    """Upright planes, largest first, one after the other in steps.

    Parameters
    ----------
    faces : CloudFaces
        In metres.
    up : (3,) float
        Unit vector [-].
    side_m : float
        Of the cubes that each face stands for [m].
    scale : float
        Of all lengths that a plane is judged by; 1 for a room, less for something smaller [-].

    Notes
    -----
    Directions of the faces are counted in steps of two degrees, distances along the commonest direction in
    steps of 30 mm; the fullest step starts a robust fit (Tukey's biweight), whose members leave the pool.
    """
    rise = faces.normals @ up
    pool = np.flatnonzero(np.abs(rise) < UPRIGHT)
    across = faces.normals - rise[:, None] * up
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-12)
    east, north = _level_axes(up)
    turn = np.arctan2(across @ north, across @ east) % np.pi
    found: list[UprightPlane] = []
    tries = 0
    while pool.size >= 12 and len(found) < MOST_WALLS and tries < 3 * MOST_WALLS:
        tries += 1
        yield
        seed = _fullest(faces.points[pool], turn[pool], east, north, scale)
        if seed is None:
            break
        normal, lean, inside = _fitted(faces.points[pool], turn[pool], seed, (east, north, up), scale)
        if inside.sum() < 6:
            pool = np.delete(pool, _around(faces.points[pool], turn[pool], seed, east, north, scale))
            continue
        members = pool[inside]
        pool = pool[~inside]
        for part in _apart(faces.points[members], np.cross(up, normal), up, side_m, scale):
            plane = _plane(faces, members[part], normal, lean, up, side_m, scale)
            found += [plane] if plane else []
    return tuple(sorted(found, key=lambda plane: -plane.area_m2))


def _level_axes(up: Floats) -> tuple[Floats, Floats]:
    """Two level unit vectors at right angles."""
    start = np.eye(3)[int(np.argmin(np.abs(up)))]
    east = start - (start @ up) * up
    east /= np.linalg.norm(east)
    return east, np.cross(up, east)


def _apart_in_turn(turn: Floats, other: float) -> Floats:
    """Angle between directions that have no sign, 0 to a quarter turn."""
    return np.asarray(np.abs((turn - other + np.pi / 2) % np.pi - np.pi / 2))


def _fullest(
    points: Floats, turn: Floats, east: Floats, north: Floats, scale: float
) -> tuple[float, float] | None:
    """Direction and distance that most faces have in common."""
    counts = np.bincount((turn / np.pi * TURNS).astype(int) % TURNS, minlength=TURNS)
    smooth = sum(np.roll(counts, shift) for shift in (-1, 0, 1))
    best = (int(np.argmax(smooth)) + 0.5) * np.pi / TURNS
    near = _apart_in_turn(turn, best) < NEAR_TURN
    distance = points[near] @ (np.cos(best) * east + np.sin(best) * north)
    if distance.size < 6:
        return None
    step = OFFSET_M * scale
    number = ((distance - distance.min()) / step).astype(int)
    if number.max() > 1_000_000:
        return None
    fullness = np.convolve(np.bincount(number), np.ones(5), mode="same")
    return best, float(distance.min() + (np.argmax(fullness) + 0.5) * step)


def _around(
    points: Floats, turn: Floats, seed: tuple[float, float], east: Floats, north: Floats, scale: float
) -> NDArray[np.intp]:
    """Faces near a seed that led to no plane."""
    normal = np.cos(seed[0]) * east + np.sin(seed[0]) * north
    near = (_apart_in_turn(turn, seed[0]) < NEAR_TURN) & (np.abs(points @ normal - seed[1]) < BAND_M * scale)
    return np.flatnonzero(near)


def _fitted(
    points: Floats, turn: Floats, seed: tuple[float, float], axes: tuple[Floats, Floats, Floats], scale: float
) -> tuple[Floats, float, NDArray[np.bool_]]:
    """Normal and lean of the plane about a seed, and its members."""
    east, north, up = axes
    angle, offset, lean = seed[0], seed[1], 0.0
    band = BAND_M * scale
    height = points @ up
    middle = float(np.median(height))
    for _ in range(ROUNDS):
        normal, along = (
            np.cos(angle) * east + np.sin(angle) * north,
            -np.sin(angle) * east + np.cos(angle) * north,
        )
        off = points @ normal - offset - lean * (height - middle)
        inside = (np.abs(off) < band) & (_apart_in_turn(turn, angle) < NEAR_TURN)
        if inside.sum() < 6:
            break
        weight = (1.0 - (off[inside] / band) ** 2) ** 2
        place, rise = points[inside] @ along, height[inside] - middle
        centre = float(np.average(place, weights=weight))
        columns = np.column_stack([np.ones(place.size), place - centre, rise]) * np.sqrt(weight)[:, None]
        change, turned, leaned = np.linalg.lstsq(columns, off[inside] * np.sqrt(weight), rcond=None)[0]
        on_it = offset * normal + centre * along + change * normal
        angle -= float(np.arctan(turned))
        normal = np.cos(angle) * east + np.sin(angle) * north
        offset, lean = float(on_it @ normal), lean + float(leaned)
    off = points @ normal - offset - lean * (height - middle)
    inside = (np.abs(off) < band) & (_apart_in_turn(turn, angle) < NEAR_TURN)
    return normal, lean, inside


def _apart(points: Floats, along: Floats, up: Floats, side_m: float, scale: float) -> list[NDArray[np.intp]]:
    """Members of a plane by the parts that it falls into across its width."""
    place = points @ along
    order = np.argsort(place)
    cuts = np.flatnonzero(np.diff(place[order]) > max(GAP_M * scale, 3 * side_m)) + 1
    return list(np.split(order, cuts))


def occupied_m2(places_m: Floats, side_m: float) -> float:
    """Area that some places (n, 2) cover, in square cells of a side or of four times their spacing [m²]."""
    cell = max(side_m, 4.0 * usual_spacing(places_m, 0.5))  # of scattered places hardly one cell stays empty
    return len(np.unique(np.floor(places_m / cell), axis=0)) * cell**2 if cell > 0 else 0.0


def usual_spacing(places_m: Floats, share: float) -> float:
    """Distance to the nearest neighbour that a share of some places stays within [m]."""
    if len(places_m) < 2:
        return 0.0
    away = np.asarray(cKDTree(places_m).query(places_m, k=2)[0])
    return float(np.quantile(away[:, 1], share))


def _plane(
    faces: CloudFaces, members: NDArray[np.intp], normal: Floats, lean: float, up: Floats, side_m: float,
    scale: float,
) -> UprightPlane | None:  # fmt: skip
    """The plane of some faces, if it is large enough for a wall."""
    points = faces.points[members]
    if len(points) < 6:
        return None
    across, height = points @ np.cross(up, normal), points @ up
    area = occupied_m2(np.column_stack([across, height]), side_m)
    small = min(np.ptp(across), np.ptp(height)) < LEAST_SIDE_M * scale
    if area < LEAST_AREA_M2 * scale**2 or small:
        return None
    return UprightPlane(normal, lean, members, float(area))
