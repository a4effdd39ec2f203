"""Which way is up in a cloud and which unit it is in: guesses, to be shown and confirmed."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from mytakeoff.scan.thin_cloud import ThinCloud
from mytakeoff.steps import run
from mytakeoff.survey.survey import Floats
from mytakeoff.units import METRES

NEIGHBOURS = 30
FACES_AT_ONCE = 20_000  # points told in one step
FLAT_SHARE = 0.12  # of a neighbourhood's next larger spread that its smallest may have, to be part of a face
UP = {
    "z": (0.0, 0.0, 1.0), "y": (0.0, 1.0, 0.0), "x": (1.0, 0.0, 0.0),
    "-z": (0.0, 0.0, -1.0), "-y": (0.0, -1.0, 0.0), "-x": (-1.0, 0.0, 0.0),
}  # fmt: skip
UPRIGHT = np.sin(np.radians(20.0))  # a face whose normal rises less is upright
LEVEL = np.cos(np.radians(20.0))
SQUARE = np.sin(np.radians(6.0))  # a face counts for an axis if it stands along or across it so closely
FEW_SHARE = 0.2  # of the faces: fewer upright ones, and the axis is not up
CAMERA_TAN = 0.8  # half the opening of a depth camera, as a slope
USUAL_HEIGHT_M, USUAL_LENGTH_M = 2.7, 5.0  # common practice, no source: of a room
LOW_WEIGHT = 2.0  # rooms are seldom lower than usual, and often higher
PART_WEIGHT = 0.5  # the same of what a camera sees, which is often a part of the height
# How odd x, y, z are as up, by custom of scans and programs where z may be up, or not; no source.
CUSTOM_BY_Z, CUSTOM_BESIDE_Z = (0.8, 0.5, 0.0), (0.3, 0.0, 0.0)
NEAR = 0.5  # axes by so much odder than the likeliest are ways up as well
SEEN_WHOLE_M = 2.4  # a camera that sees so much of a wall's height sees its floor or ceiling; no source
UNSEEN_ODD = 0.5  # how odd it is that it sees neither
FLOOR_SHARE = 0.02  # of the faces, that tell a floor or a ceiling
SMALL_SHARE = 0.3  # of its distance that a cloud before a camera is large at least


@dataclass(frozen=True, eq=False)
class CloudFaces:
    """The points of a thinned cloud that lie on some face.

    Parameters
    ----------
    points, normals : (n, 3) float
        Places [the file's unit] and unit normals, either way round [-].
    """

    points: Floats
    normals: Floats


def faces_of(thin: ThinCloud) -> CloudFaces:
    """The points whose neighbours lie in a plane with them, by the spread of each neighbourhood."""
    return run(cloud_faces_steps(thin))


def cloud_faces_steps(thin: ThinCloud) -> Generator[None, None, CloudFaces]:
    """The same in steps."""
    count = min(NEIGHBOURS, len(thin.points))
    none = np.empty((0, 3))
    if count < 4:
        return CloudFaces(none, none)
    tree = cKDTree(thin.points)
    found = [(none, none)]
    for start in range(0, len(thin.points), FACES_AT_ONCE):
        yield
        found.append(_faces_among(thin.points, tree, thin.points[start : start + FACES_AT_ONCE], count))
    points, normals = (np.concatenate(part) for part in zip(*found, strict=True))
    return CloudFaces(points, normals)


def _faces_among(points: Floats, tree: cKDTree, some: Floats, count: int) -> tuple[Floats, Floats]:
    """Which of some points lie on a face, and its normal there."""
    _, index = tree.query(some, k=count)
    around = points[index]
    around = around - around.mean(axis=1, keepdims=True)
    spread, axes = np.linalg.eigh(np.einsum("nki,nkj->nij", around, around))
    flat = (spread[:, 0] <= FLAT_SHARE * spread[:, 1]) & (spread[:, 1] > 0.01 * spread[:, 2])
    return some[flat], axes[flat, :, 0]


def ways_up(faces: CloudFaces, thin: ThinCloud) -> tuple[str, ...]:
    """The axes that may be up, likeliest first: more than one where nothing tells them apart.

    Parameters
    ----------
    faces : CloudFaces
        Of the cloud.
    thin : ThinCloud
        Thinned.

    Notes
    -----
    Faces stand along or across what is up, and some of them upright. What a camera at the origin looks along
    is level. Of what is left the axis counts by custom (z, else y; a camera's y points down), by how like a
    room's its height and length are, and before a camera by its floor and ceiling: it sees one of them on
    any wall that reaches higher than a room's doors. Others that come near are ways up as well.
    """
    if len(faces.normals) == 0:
        return ("z",)
    slope = np.abs(faces.normals)
    upright = (slope < UPRIGHT).mean(axis=0)
    depth, side = _camera(thin)
    stands = [axis for axis in range(3) if upright[axis] >= FEW_SHARE and axis != depth]
    if not stands or (depth < 0 and upright[2] < FEW_SHARE and not _about_zero(thin)):
        return ("z",)
    custom = CUSTOM_BY_Z if 2 in stands else CUSTOM_BESIDE_Z
    odd = {
        axis: custom[axis] + _odd_axis(thin, faces, axis, depth >= 0) + _askew(slope, axis, depth >= 0)
        for axis in stands
    }
    near = [axis for axis in sorted(stands, key=lambda one: odd[one]) if odd[axis] < min(odd.values()) + NEAR]
    return tuple(way for axis in near for way in _ways_of(axis, faces, thin, side if depth == 2 else 0))


def or_else(thin: ThinCloud, ways: tuple[str, ...]) -> str:
    """Which axes but the first may be up, and how high and long a cloud is then; empty where none may be."""
    if len(ways) < 2:
        return ""
    others = " or ".join(ways[1:])
    sizes = [f" Nothing in it tells that from {others}: so it is {_size(thin, ways[0])}"]
    beside = [way for way in ways if way[-1] != ways[0][-1]][:1]
    sizes += [f"with {way} up {_size(thin, way)}" for way in beside]
    return f"{', '.join(sizes)}. Say which (up={ways[0]!r}, say)."


def _size(thin: ThinCloud, up: str) -> str:
    high, long = extent_up_and_across(thin, up)
    return f"{high:.3g} high and {long:.3g} long"


def _odd_axis(thin: ThinCloud, faces: CloudFaces, axis: int, camera: bool) -> float:
    """How unlike a room a cloud is, were an axis up [-]."""
    height, length = extent_up_and_across(thin, "xyz"[axis])
    unit = guess_unit(height, length)
    tall = height * float(METRES[unit]) > SEEN_WHOLE_M
    unseen = camera and tall and (np.abs(faces.normals[:, axis]) > LEVEL).mean() < FLOOR_SHARE
    return _odd(height, length, unit, PART_WEIGHT if camera else LOW_WEIGHT) + (UNSEEN_ODD if unseen else 0.0)


def _askew(slope: Floats, axis: int, camera: bool) -> float:
    """How many faces stand neither along nor across an axis; hands hold a camera askew [-]."""
    along = ((slope < SQUARE) | (slope > np.sqrt(1.0 - SQUARE**2))).mean(axis=0)
    return float((0.25 if camera else 2.0) * (along.max() - along[axis]))


def _ways_of(axis: int, faces: CloudFaces, thin: ThinCloud, side: int) -> tuple[str, ...]:
    """An axis with its sign: that of custom, or both where there is none and no floor tells."""
    name = "xyz"[axis]
    if axis == 2:
        return (name,)
    if axis == 1:
        return (f"-{name}",) if side > 0 else (name,)
    level = faces.points[np.abs(faces.normals[:, axis]) > LEVEL, axis]
    low, high = np.quantile(thin.points[:, axis], [0.01, 0.99])
    near = 0.1 * (high - low)
    foot, top = (level < low + near).sum(), (level > high - near).sum()
    few = FLOOR_SHARE * len(faces.points)
    if max(foot, top) < few or 4 * min(foot, top) > max(foot, top):
        return (name, f"-{name}")
    return (name,) if foot > top else (f"-{name}",)


def _camera(thin: ThinCloud) -> tuple[int, int]:
    """The axis that a camera at the origin looks along and its sense, 1 or -1; -1 and 0 where there is none.

    The whole cloud lies before it, within its opening, and is not small beside its distance.
    """
    size = float(thin.extent.max())
    for axis in (2, 1, 0):
        depth = thin.points[:, axis]
        side = int(np.sign(np.median(depth)))
        depth = depth * side
        if side == 0 or np.quantile(depth, FEW_SHARE / 100) <= 0 or size < SMALL_SHARE * np.median(depth):
            continue
        near = depth > 0
        slopes = np.delete(thin.points[near], axis, axis=1) / depth[near, None]
        low, high = np.quantile(slopes, [0.01, 0.99], axis=0)
        across = (low < 0) & (high > 0)
        if (np.abs([low, high]) < CAMERA_TAN).all() and across.any():
            return axis, side
    return -1, 0


def _about_zero(thin: ThinCloud) -> bool:
    """Whether z is the height of a face, measured about zero."""
    low, high = np.quantile(thin.points[:, 2], [0.01, 0.99])
    return bool(low < 0.0 < high)


def guess_unit(height: float, length: float) -> str:
    """The unit in which a cloud is most like a room: m, cm, mm, in or ft.

    Parameters
    ----------
    height, length : float
        Extent along the axis that is up, and the greater one across [the file's unit].

    Examples
    --------
    >>> guess_unit(2.6, 4.2), guess_unit(2600, 8100), guess_unit(8.5, 14)
    ('m', 'mm', 'ft')
    """
    return min(METRES, key=lambda unit: _odd(height, length, unit))


def _odd(height: float, length: float, unit: str, low_weight: float = LOW_WEIGHT) -> float:
    """How unlike a room's a height and a length in a unit are [-]."""
    high = np.log(max(height * float(METRES[unit]), 1e-9) / USUAL_HEIGHT_M)
    long = np.log(max(length * float(METRES[unit]), 1e-9) / USUAL_LENGTH_M)
    return float((-low_weight * high if high < 0 else high) + 0.5 * abs(long))


def extent_up_and_across(thin: ThinCloud, up: str) -> tuple[float, float]:
    """Size of a cloud along an axis, and the greater one across it [the file's unit]."""
    axis = int(np.argmax(np.abs(UP[up])))
    extent = thin.extent
    return float(extent[axis]), float(np.delete(extent, axis).max())
