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


def guess_up(faces: CloudFaces, thin: ThinCloud) -> str:
    """The axis that is likely up: "z", or "y" or "-y" as cameras and some programs have it.

    Faces stand along or across the axis that is up; where y does no better than z, z it is. A cloud seen by
    one camera, all of it in front of the origin within its opening, has y pointing down, or up where it lies
    on the negative side.
    """
    if len(faces.normals) == 0:
        return "z"
    slope = np.abs(faces.normals)
    along = (slope < SQUARE) | (slope > np.sqrt(1.0 - SQUARE**2))
    upright = (slope < UPRIGHT).mean(axis=0)
    y_fits_better = along[:, 1].mean() > along[:, 2].mean() + 0.15
    if upright[2] >= FEW_SHARE and not (y_fits_better and upright[1] >= FEW_SHARE):
        return "z"
    if upright[1] < FEW_SHARE or not (y_fits_better or _seen_from_the_front(thin)):
        return "z"
    return "-y" if _camera_side(thin) > 0 else "y"


def _camera_side(thin: ThinCloud) -> int:
    """1 or -1 where the whole cloud lies before a camera at the origin that looks along z, else 0."""
    depth = thin.points[:, 2]
    side = int(np.sign(np.median(depth)))
    depth = depth * side
    if side == 0 or np.quantile(depth, FEW_SHARE / 100) <= 0:
        return 0
    near = depth > 0
    slopes = thin.points[near, :2] / depth[near, None]
    low, high = np.quantile(slopes, [0.01, 0.99], axis=0)
    inside = (np.abs([low, high]) < CAMERA_TAN).all() and (low < 0).all() and (high > 0).all()
    return side if inside else 0


def _seen_from_the_front(thin: ThinCloud) -> bool:
    """Whether z is a depth: before a camera, or heights of a face measured about zero."""
    depth = thin.points[:, 2]
    low, high = np.quantile(depth, [0.01, 0.99])
    return _camera_side(thin) != 0 or (low < 0.0 < high)


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

    def odd(unit: str) -> float:
        high = np.log(max(height * float(METRES[unit]), 1e-9) / USUAL_HEIGHT_M)
        long = np.log(max(length * float(METRES[unit]), 1e-9) / USUAL_LENGTH_M)
        return float((-LOW_WEIGHT * high if high < 0 else high) + 0.5 * abs(long))

    return min(METRES, key=odd)


def extent_up_and_across(thin: ThinCloud, up: str) -> tuple[float, float]:
    """Size of a cloud along an axis, and the greater one across it [the file's unit]."""
    axis = int(np.argmax(np.abs(UP[up])))
    extent = thin.extent
    return float(extent[axis]), float(np.delete(extent, axis).max())
