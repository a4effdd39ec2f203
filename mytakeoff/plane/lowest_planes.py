"""The lowest planes over many faces, of all faces at once: exact, by the dual simplex method.

Each plane rests on three points of its face, or on fewer and on bounds of its slopes. The point that stands
furthest above it takes the place of one of them, so that the plane rises, until nothing stands above it.

References
----------
C. E. Lemke, "The dual method of solving the linear programming problem", Naval Research Logistics Quarterly 1
(1954) 36-47. From memory.
"""

from __future__ import annotations

import numpy as np

from mytakeoff.plane.lowest_plane import MOST_ROUNDS, TIGHT_MM, Bounds
from mytakeoff.survey.survey import Floats

# The origin a nanometre aside, so that it lies on no line between cells: there a plane would change its rests
# without rising.
ORIGIN = np.array([1.0, 1.3e-9, 0.7e-9])
NO_SHARE = 1e-10


def lowest_planes(x_m: Floats, z_m: Floats, high_mm: Floats, bounds: Bounds) -> Floats:
    """The planes over points that are lowest at the origin, many sets of heights at once.

    Parameters
    ----------
    x_m, z_m : (k,) float
        Places from the origin [m].
    high_mm : (n, k) float
        Heights to clear there [mm].
    bounds
        Slopes allowed, as `PlaneRule.bounds` has them [mm/m].

    Returns
    -------
    (n, 3) float
        Height at the origin [mm], turn and lean [mm/m]: of equally low planes any.

    Raises
    ------
    RuntimeError
        It did not end, which would be a fault of this program.

    Examples
    --------
    >>> x, z = np.array([-1.0, 1.0, 0.0]), np.array([-1.0, -1.0, 1.0])
    >>> high = np.array([[0.0, 2.0, 1.0], [0.0, 4.0, 8.0]])
    >>> lowest_planes(x, z, high, ((-9, 9), (-9, 9))).round(6).tolist()
    [[1.0, 1.0, 0.0], [5.0, 2.0, 3.0]]
    """
    places, sides = np.vstack([np.ones_like(x_m), x_m, z_m]), _sides(bounds)
    rests = _first_rests(places, high_mm, sides)
    found, left = np.empty((len(high_mm), 3)), np.arange(len(high_mm))
    for _ in range(MOST_ROUNDS):
        inverse = np.linalg.inv(rests[..., :3])
        planes = (inverse @ rests[..., 3:])[..., 0]
        worst = _worst(places, high_mm, sides, planes)
        short = worst[:, 3] - (worst[:, :3] * planes).sum(axis=1) > TIGHT_MM
        found[left[~short]] = planes[~short]
        if not short.any():
            return found
        left, high_mm = left[short], high_mm[short]
        rests = _exchanged(rests[short], inverse[short], worst[short])
    raise RuntimeError("the search for the lowest planes did not end")


def _sides(bounds: Bounds) -> Floats:
    """The bounds of turn and lean, as rests: (1 or 0, x, z, height), so that ``row · plane >= height``."""
    (turn, most_turn), (lean, most_lean) = bounds
    return np.array([[0, 1, 0, turn], [0, -1, 0, -most_turn], [0, 0, 1, lean], [0, 0, -1, -most_lean]], float)


def _first_rests(places: Floats, high_mm: Floats, sides: Floats) -> Floats:
    """Each plane on its face's highest point, as steep as it may be towards the origin (n, 3, 4)."""
    top = high_mm.argmax(axis=1)
    rests = np.empty((len(top), 3, 4))
    rests[:, 0] = _rests_at(places, high_mm, top)
    for slope in (1, 2):
        rising = rests[:, 0, slope] > ORIGIN[slope]
        rests[:, slope] = sides[2 * slope - 2 + rising]
    return rests


def _rests_at(places: Floats, high_mm: Floats, at: Floats) -> Floats:
    """A point of each face as a rest (n, 4)."""
    return np.column_stack([places[:, at].T, high_mm[np.arange(len(at)), at]])


def _worst(places: Floats, high_mm: Floats, sides: Floats, planes: Floats) -> Floats:
    """What each plane breaks most: a point of its face, or a bound (n, 4)."""
    over, beyond = high_mm - planes @ places, sides[:, 3] - planes @ sides[:, :3].T
    steep = beyond.max(axis=1) > over.max(axis=1)
    return np.where(
        steep[:, None], sides[beyond.argmax(axis=1)], _rests_at(places, high_mm, over.argmax(axis=1))
    )


def _exchanged(rests: Floats, inverse: Floats, worst: Floats) -> Floats:
    """The new rest in the place of that one without which the plane is still carried over the origin."""
    carried, taken = ORIGIN @ inverse, (worst[:, None, :3] @ inverse)[:, 0]
    share = np.where(taken > NO_SHARE, carried / np.maximum(taken, NO_SHARE), np.inf)
    rests[np.arange(len(rests)), share.argmin(axis=1)] = worst
    return rests
