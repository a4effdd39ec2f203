"""From a cloud's axes to the wall frame: x from the left end, z up, proud towards the room."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

FRONT_M, BEHIND_M = 1.0, 0.5  # what stands so far before or behind a wall is shown as dropped
RIM_M = 0.04  # along a wall's ends, floor and ceiling the faces that meet it are mixed in
RIM_LEAST_M = 0.015  # what may stand off the wall there


@dataclass(frozen=True, eq=False)
class WallFrame:
    """Where a wall stands in a cloud.

    Parameters
    ----------
    origin : (3,) float
        Its lower left corner on its mean plane [m].
    right, up, out : (3,) float
        Unit vectors along it, up it, and towards the room [-].
    width_m, height_m : float
        [m]
    """

    origin: Floats
    right: Floats
    up: Floats
    out: Floats
    width_m: float
    height_m: float

    def places(self, points_m: Floats) -> tuple[Floats, Floats, Floats]:
        """Distance, height and how far proud each point stands, all (n,) [m].

        Parameters
        ----------
        points_m : (n, 3) float
            In the cloud's axes [m].
        """
        # column by column: quicker than a product of a long matrix with a tiny one
        east, north, height = (points_m[:, axis] - self.origin[axis] for axis in range(3))
        x, z, proud = (east * a + north * b + height * c for a, b, c in (self.right, self.up, self.out))
        return x, z, proud


@dataclass(frozen=True)
class Bow:
    """The smooth face that a wall's points are held against: a plane and how it is bowed.

    Parameters
    ----------
    terms : tuple of 6 float
        Of 1, x, z, x², x z, z² with x and z as shares of the wall's size, from -1 to 1 [m].
    most_off_m : float
        What stands further off it is no part of the wall [m].
    rim_off_m : float
        The same along the wall's rim [m].
    roughness_m : float
        Standard deviation of the wall about it, from the middle half [m].
    """

    terms: tuple[float, ...]
    most_off_m: float
    rim_off_m: float
    roughness_m: float

    def at(self, x_share: Floats, z_share: Floats) -> Floats:
        """Its height at places given as shares of the wall's size, -1 to 1 [m]."""
        a, b, c, d, e, f = self.terms
        return a + x_share * (b + d * x_share + e * z_share) + z_share * (c + f * z_share)


def bow_of(frame: WallFrame, points_m: Floats, scale: float, rim: bool) -> Bow:
    """The smooth face of a wall's members by a robust fit, and what may stand off it.

    Parameters
    ----------
    frame : WallFrame
    points_m : (n, 3) float
        On the wall, strays among them [m].
    scale : float
        Of all lengths; 1 for a room [-].
    rim : bool
        Whether other faces meet the wall, so that its rim is held more closely.
    """
    x, z, proud = frame.places(points_m)
    u, v = _shares(frame, x, z)
    columns = np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])
    terms: Floats = np.zeros(6)
    spread = float(np.median(np.abs(proud - np.median(proud)))) / 0.6745
    off: Floats = proud - np.median(proud)
    for _ in range(6):
        limit = max(6.0 * spread, 1e-9)
        weight = np.clip(1.0 - (off / limit) ** 2, 0.0, None)
        terms = np.asarray(np.linalg.lstsq(columns * weight[:, None], proud * weight, rcond=None)[0], float)
        off = proud - columns @ terms
        spread = float(np.median(np.abs(off))) / 0.6745
    most = max(0.06 * scale, 8.0 * spread)
    close = max(RIM_LEAST_M * scale, 5.0 * spread) if rim else most
    return Bow(tuple(float(term) for term in terms), most, min(close, most), spread)


def _shares(frame: WallFrame, x: Floats, z: Floats) -> tuple[Floats, Floats]:
    return 2.0 * x / frame.width_m - 1.0, 2.0 * z / frame.height_m - 1.0


@dataclass(frozen=True, eq=False)
class Sorted:
    """The points of a cloud that lie before, on or behind a wall.

    Parameters
    ----------
    x_m, z_m, proud_m : (n,) float
        Those within the wall's outline, its surroundings in depth included [m].
    where : (n,) int
        0 on the wall, 1 before it (furniture, people), -1 behind (reveals, the next room).
    index : (n,) int
        Which points of those given they are.
    """

    x_m: Floats
    z_m: Floats
    proud_m: Floats
    where: NDArray[np.int8]
    index: NDArray[np.intp]


def sort_points(frame: WallFrame, bow: Bow, points_m: Floats, scale: float) -> Sorted:
    """Tell a wall's points from what stands before and behind it.

    Parameters
    ----------
    frame : WallFrame
    bow : Bow
    points_m : (n, 3) float
        [m]
    scale : float
        Of all lengths; 1 for a room [-].
    """
    x, z, proud = frame.places(points_m)
    inside = (x >= 0.0) & (x <= frame.width_m) & (z >= 0.0) & (z <= frame.height_m)
    inside &= (proud < FRONT_M * scale) & (proud > -BEHIND_M * scale)
    index = np.flatnonzero(inside)
    x, z, proud = x[index], z[index], proud[index]
    off = proud - bow.at(*_shares(frame, x, z))
    to_rim = np.minimum(np.minimum(x, frame.width_m - x), np.minimum(z, frame.height_m - z))
    most = np.where(to_rim < RIM_M * scale, bow.rim_off_m, bow.most_off_m)
    where = np.where(np.abs(off) <= most, 0, np.sign(off)).astype(np.int8)
    return Sorted(x, z, proud, where, index)


def frame_of(points_m: Floats, up: Floats, out: Floats, margin_m: float) -> WallFrame:
    """The frame that a wall's members span, a margin about them included.

    Parameters
    ----------
    points_m : (n, 3) float
        On the wall [m].
    up, out : (3,) float
        Unit vectors at right angles [-].
    margin_m : float
        By which thinned points may fall short of the wall's ends [m].
    """
    right = np.cross(up, out)
    along, height, depth = points_m @ right, points_m @ up, points_m @ out
    low = np.array([along.min() - margin_m, height.min() - margin_m])
    high = np.array([along.max() + margin_m, height.max() + margin_m])
    origin = low[0] * right + low[1] * up + float(np.median(depth)) * out
    return WallFrame(origin, right, up, out, float(high[0] - low[0]), float(high[1] - low[1]))
