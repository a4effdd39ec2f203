"""The target plane and its litres over many drawn faces of one wall.

Notes
-----
Each face gets its own exact plane, those of some dozen faces at once; with high spots taken down one by one.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.plane.cut_path import CutPath
from mytakeoff.plane.lowest_planes import lowest_planes
from mytakeoff.plane.price_search import cheapest
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats, read_only
from mytakeoff.threads import steps_on_one_thread

AT_ONCE, CUT_AT_ONCE = 50, 10  # faces in a step
SOME = 100  # faces of a plane that is free to lean, or with high spots taken down


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

    def spread_by(self, ratio: float) -> Drawn:
        """The same faces with litres so many times as far from their mean [-].

        Examples
        --------
        >>> Drawn(np.array([2.0, 6.0]), np.full(2, 0.5)).spread_by(1.5).litres.tolist()
        [1.0, 7.0]
        """
        if ratio == 1.0:
            return self
        mean = float((self.litres * self.weights).sum())
        return Drawn(mean + ratio * (self.litres - mean), self.weights)


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


def drawn_steps(drawn_faces: DrawnFaces, rule: PlaneRule) -> Generator[None, None, Drawn]:
    """The litres of each drawn face under the rule, step by step: one after each few faces.

    Parameters
    ----------
    drawn_faces : DrawnFaces
    rule : PlaneRule

    Returns
    -------
    Drawn
        Exact planes; over a part of the faces where the plane may lean or high spots are taken down.
    """
    over, faces, weights = drawn_faces.over_mm, drawn_faces.proud_mm, drawn_faces.weights
    if rule.cut_mm > 0 or rule.bounds[1] != (0.0, 0.0):
        some = np.unique(np.linspace(0, len(faces) - 1, SOME).round().astype(int))
        over, faces, weights = over[some], faces[some], weights[some] / weights[some].sum()
    return Drawn((yield from litres_steps(drawn_faces.surface, over, faces, rule)), weights)


@steps_on_one_thread
def litres_steps(
    surface: Surface, over_mm: Floats, faces_mm: Floats, rule: PlaneRule
) -> Generator[None, None, Floats]:
    """Litres of faces, each with its own exact plane (n,), step by step [l].

    Parameters
    ----------
    surface : Surface
        Their cells.
    over_mm, faces_mm : (n, nz, nx) float
        What planes have to clear, and what litres count from [mm].
    rule : PlaneRule
    """
    litres, at_once = np.empty(len(faces_mm)), AT_ONCE if rule.cut_mm == 0 else CUT_AT_ONCE
    for start in range(0, len(litres), at_once):
        few = slice(start, start + at_once)
        litres[few] = _litres_of(surface, over_mm[few], faces_mm[few], rule)
        yield
    return litres


def _litres_of(surface: Surface, over_mm: Floats, faces_mm: Floats, rule: PlaneRule) -> Floats:
    """Litres between planes over `over_mm` and faces (n, nz, nx) [mm], for each of them (n,) [l]."""
    area = surface.known_area_m2
    high_mm = np.where(area > 0, over_mm, -np.inf) + rule.lift_mm(surface)
    x0_m, z0_m = surface.centroid_m
    x_m, z_m = np.meshgrid(surface.x_m - x0_m, surface.z_m - z0_m)
    used = area > 0
    if rule.bounds[1] == (0.0, 0.0):  # of a plumb plane the highest place of each column tells
        high_mm, used = high_mm.max(axis=1, keepdims=True), area.sum(axis=0, keepdims=True) > 0
        x_m, z_m = x_m[:1], 0.0 * z_m[:1]
    planes = lowest_planes(x_m[used], z_m[used], high_mm[:, used], rule.bounds)
    litres = planes[:, 0] * area.sum() - np.tensordot(np.where(area > 0, faces_mm, 0.0), area, axes=2)
    if rule.cut_mm > 0:
        litres -= [_less_litres(surface, *each, rule) for each in zip(over_mm, planes, strict=True)]
    return np.asarray(litres)


def _less_litres(surface: Surface, over_mm: Floats, uncut_plane: Floats, rule: PlaneRule) -> float:
    """What it saves on one face that high spots are taken down [l]."""
    none = read_only([])
    field = np.where(np.isnan(surface.proud_mm), np.nan, over_mm.astype(np.float64))
    path = CutPath(replace(surface, proud_mm=field, points=Readings(none, none, none)), rule, uncut_plane)
    plane = path.at(rule.cut_mm) if rule.cut_worth is None else cheapest(path, rule.cut_worth, rule.cut_mm)
    return path.moved(uncut_plane)[0] - path.moved(plane)[0]


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
