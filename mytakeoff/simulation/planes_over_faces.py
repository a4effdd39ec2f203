"""The target plane and its litres over many drawn faces of one wall.

Notes
-----
Each face gets its own exact plane. Plumb planes of all 300 faces are solved at once from column maxima;
leaning or cut ones one by one, of 100.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.coats.build_up import full_coat
from mytakeoff.plane.lowest_plane import Bounds
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats, read_only
from mytakeoff.threads import steps_on_one_thread

AT_ONCE = 10  # faces in a step
ONE_BY_ONE = 100  # faces whose plane has to be solved one by one: free to lean, or with high spots taken down


@dataclass(frozen=True, eq=False)
class Drawn:
    """What a wall takes for each of its drawn faces.

    Parameters
    ----------
    litres : (n,) float
        Of plaster, by the rule [l].
    weights : (n,) float
        Of each face, adding up to 1 [-].
    """

    litres: Floats
    weights: Floats

    def at(self, share: float) -> float:
        """The litres [l] that a share [-] of the faces stay within."""
        return quantile(self.litres, self.weights, share)


def quantile(values: Floats, weights: Floats, share: float) -> float:
    """The value that a share [-] of the weight lies at or below; between values, straight.

    Examples
    --------
    >>> quantile(np.array([3.0, 1.0, 2.0]), np.full(3, 1 / 3), 0.5)
    2.0
    """
    order = np.argsort(values)
    middle = np.cumsum(weights[order]) - weights[order] / 2
    return float(np.interp(share, middle, values[order]))


@steps_on_one_thread
def drawn_steps(drawn_faces: DrawnFaces, rule: PlaneRule) -> Generator[None, None, Drawn]:
    """The litres of each drawn face under the rule, step by step: one after each few faces.

    Parameters
    ----------
    drawn_faces : DrawnFaces
    rule : PlaneRule

    Returns
    -------
    Drawn
        Exact planes: all faces at once for a plumb one; one by one, over a part of them, where the plane may
        lean or high spots are taken down.
    """
    over, faces, weights = drawn_faces.over_mm, drawn_faces.proud_mm, drawn_faces.weights
    if _at_once(rule):
        return Drawn(litres_of(drawn_faces.surface, over, faces, rule), weights)
    some = np.unique(np.linspace(0, len(faces) - 1, ONE_BY_ONE).round().astype(int))
    litres = []
    for few in np.array_split(some, max(some.size // AT_ONCE, 1)):
        litres.append(litres_of(drawn_faces.surface, over[few], faces[few], rule))
        yield
    return Drawn(np.concatenate(litres), weights[some] / weights[some].sum())


def _at_once(rule: PlaneRule) -> bool:
    """Whether planes of many faces are solved at once: plumb, nothing taken down."""
    return rule.cut_mm == 0 and rule.bounds[1] == (0.0, 0.0)


def litres_of(surface: Surface, over_mm: Floats, faces_mm: Floats, rule: PlaneRule) -> Floats:
    """Litres between planes over `over_mm` and faces (n, nz, nx) [mm], each with its own plane (n,) [l]."""
    if _at_once(rule):
        return plumb_litres(surface, over_mm, faces_mm, rule)
    return np.array([_litres_of(surface, *each, rule) for each in zip(over_mm, faces_mm, strict=True)])


def plumb_litres(surface: Surface, over_mm: Floats, faces_mm: Floats, rule: PlaneRule) -> Floats:
    """Litres between plumb planes over `over_mm` and faces (n, nz, nx) [mm], for each of them (n,) [l]."""
    area = surface.known_area_m2
    highest = np.where(area > 0, over_mm, -np.inf).max(axis=1)
    used = area.sum(axis=0) > 0
    lift = rule.lift_mm(surface)[used]
    x = surface.x_m[used] - surface.centroid_m[0]
    tops = lowest_lines(x, highest[:, used].astype(np.float64) + lift, rule.bounds)
    total = float(area.sum())
    return np.asarray(tops * total - np.tensordot(np.where(area > 0, faces_mm, 0.0), area, axes=2))


def lowest_lines(x_m: Floats, high_mm: Floats, bounds: Bounds) -> Floats:
    """Heights at the origin of the lowest lines over points, many sets of them at once.

    Parameters
    ----------
    x_m : (k,) float
        Places from the origin [m].
    high_mm : (n, k) float
        Heights to clear there [mm].
    bounds
        Slopes allowed, as `PlaneRule.bounds` has them [mm/m].

    Returns
    -------
    (n,) float
        [mm]

    Notes
    -----
    Free to turn, the lowest line is as high over the origin as the highest chord there. The height that a
    line needs is a convex function of its slope, least from the slope to the highest point on the right on;
    so within bounds it is the slope nearest to that one.

    Examples
    --------
    >>> lowest_lines(np.array([-1.0, 1.0]), np.array([[0.0, 4.0]]), ((-9, 9), (0, 0))).tolist()
    [2.0]
    """
    left, right = np.flatnonzero(x_m <= 0), np.flatnonzero(x_m > 0)
    (low, high), _ = bounds
    if not left.size or not right.size:
        end = right if right.size else left
        slope = np.full(len(high_mm), high if right.size else low)
        return np.asarray((high_mm[:, end] - slope[:, None] * x_m[end]).max(axis=1))
    share = x_m[left][:, None] / (x_m[left][:, None] - x_m[right])
    over = np.array([_over_origin(heights[left], heights[right], share) for heights in high_mm])
    slopes = np.clip(((high_mm[:, right] - over[:, None]) / x_m[right]).max(axis=1), low, high)
    return np.asarray((high_mm - slopes[:, None] * x_m).max(axis=1))


def _over_origin(left_mm: Floats, right_mm: Floats, share: Floats) -> float:
    """Height over the origin of the highest chord, by the share that its right end has in it [mm], [-]."""
    return float((left_mm[:, None] * (1 - share) + right_mm * share).max())


def _litres_of(surface: Surface, over_mm: Floats, face_mm: Floats, rule: PlaneRule) -> float:
    """Litres of one face whose plane clears `over_mm` [l]."""
    none = read_only([])
    field = np.where(np.isnan(surface.proud_mm), np.nan, over_mm.astype(np.float64))
    upper = replace(surface, proud_mm=field, points=Readings(none, none, none))
    build_up = full_coat(upper, target_plane(upper, rule), rule)
    hidden = np.where(np.isnan(field), 0.0, over_mm - face_mm)
    return build_up.volume_l + float((hidden * surface.known_area_m2).sum())


def proudest_mm(drawn_faces: DrawnFaces, plane: TargetPlane) -> Floats:
    """How far the highest place of each drawn face stands before a plane (n,); negative behind it [mm]."""
    surface = drawn_faces.surface
    room = plane.at(surface.x_m[None, :], surface.z_m[:, None]).astype(np.float32)
    over = drawn_faces.over_mm - room
    return np.asarray(np.where(surface.known_area_m2 > 0, over, -np.inf).max(axis=(1, 2)), dtype=np.float64)


def chance_over(drawn_faces: DrawnFaces, plane: TargetPlane, thickness_mm: float) -> float:
    """Chance that the plaster is thinner than `thickness_mm` somewhere under a plane [-]; 0 mm: proud of it.

    Parameters
    ----------
    drawn_faces : DrawnFaces
    plane : TargetPlane
    thickness_mm : float
        [mm]
    """
    return float(drawn_faces.weights @ (proudest_mm(drawn_faces, plane) > -thickness_mm))
