"""The plane that costs least in filling and taking down together, among all that a rule allows.

By the litre it is exact (`Hinges`). A price for each square metre taken down makes the cost jump where a cell
begins to be cut, so that it has many valleys. Then turn and lean are looked for from the cheapest of some
beginnings, and for each turn and lean the height is exact (`Heights`).

Notes
-----
Beginnings are planes of a convex cost below the true one: where nothing is cut deeper than D, a price k for a
square metre is at least k / D for a litre. The planes that take the least plaster for each depth
(`best_depth`) are among them, so that none of those is cheaper than the answer.
"""

from __future__ import annotations

from itertools import product

import numpy as np

from mytakeoff.plane.cut_path import CUT_WEIGHT, CutPath
from mytakeoff.plane.depth_search import EQUAL_SHARE, best_depth
from mytakeoff.plane.hinges import Hinges
from mytakeoff.plane.rule import CutWorth
from mytakeoff.survey.survey import Floats

HALVINGS = 5  # depths at which a price per m² is made one per litre: the limit, its half, … its sixteenth
CLOSE_BELOW = 1e-7  # what the programme may be off
CLOSE_SHARE = 1e-3  # valleys are only to be found by these
AT_HAND_TIMES, AT_HAND_MM = 2.0, 1.0  # while settling only heights not much below the first are looked at
STEPS_MM = tuple(2.0**-n for n in range(6))  # by how much a try moves the plane at the wall's edge


class Heights:
    """For given turn and lean the height that costs least, exactly."""

    def __init__(self, path: CutPath, worth: CutWorth, limit_mm: float) -> None:
        self.path, self.worth, self.limit_mm = path, worth, limit_mm
        self.area_m2 = float(path.area_m2.sum())
        self.litres = float((path.area_m2 * path.height_mm).sum())
        self.found: dict[bytes, tuple[float, Floats]] = {}

    def shallow(self, plane: Floats) -> Heights:
        """The same, not many mm deeper than with a plane [mm, mm/m]: fewer heights to look at."""
        at_hand = AT_HAND_TIMES * self.path.deepest_mm(plane) + AT_HAND_MM
        return self if at_hand >= self.limit_mm else Heights(self.path, self.worth, at_hand)

    def at(self, slopes: Floats) -> tuple[float, Floats]:
        """Cost in litres filled beyond the least thickness [l], and the plane (3,) as of `CutPath`; kept."""
        key = slopes.tobytes()
        if key not in self.found:
            self.found[key] = self._at(slopes)
        return self.found[key]

    def _at(self, slopes: Floats) -> tuple[float, Floats]:
        """`at`, worked out.

        Notes
        -----
        As the plane sinks, cost is linear from each cell that begins to be cut to the next, so only the
        heights of cells and the lowest height allowed are looked at; a cell at the plane is not cut. Of
        cells equally high the first is told so, the others dearer. The highest of equal planes is taken.
        """
        path, points = self.path, self.path.clearance.points
        rest = path.height_mm - slopes[0] * path.x_m - slopes[1] * path.z_m
        read = points[:, 2] - slopes[0] * points[:, 0] - slopes[1] * points[:, 1]
        lowest = max(float(rest.max()), float(read.max(initial=-np.inf))) - self.limit_mm
        cut = np.flatnonzero(rest > lowest)
        cut = cut[np.argsort(-rest[cut])]
        tried, area = np.append(rest[cut], lowest), path.area_m2[cut]
        cut_m2 = np.concatenate([[0.0], np.cumsum(area)])
        cut_l = np.concatenate([[0.0], np.cumsum(area * rest[cut])]) - tried * cut_m2
        fill_l = self.area_m2 * tried - self.litres + cut_l
        cost = fill_l + self.worth.litre_l * cut_l + self.worth.m2_l * cut_m2
        least = int(cost.argmin())
        return float(cost[least]), np.array([tried[least], *slopes])


def settled(heights: Heights, slopes: Floats) -> tuple[float, Floats]:
    """Neighbouring turns and leans tried in ever smaller steps, until a whole round finds none cheaper.

    Turn and lean in [mm/m]. To settle again from where this ends changes nothing.
    """
    path = heights.path
    low, high = np.array(path.bounds).T
    reach_m = np.maximum([np.ptp(path.x_m) / 2, np.ptp(path.z_m) / 2], 1e-3)
    ways = [np.array(way) / reach_m for way in product((-1.0, 0.0, 1.0), repeat=2) if any(way)]
    best, before = heights.at(slopes), np.inf
    while best[0] < before:
        before, near = best[0], heights.shallow(best[1])
        for step, way in product(STEPS_MM, ways):
            best = _walked(near, best, step * way, low, high)
        best = min(best, heights.at(best[1][1:]), key=lambda one: one[0])
    return best


def _walked(
    heights: Heights, best: tuple[float, Floats], step: Floats, low: Floats, high: Floats
) -> tuple[float, Floats]:
    """As many steps one way as each costs less than the one before."""
    while True:
        slopes = np.clip(best[1][1:] + step, low, high)
        if (slopes == best[1][1:]).all():
            return best
        tried = heights.at(slopes)
        if tried[0] >= best[0] - EQUAL_SHARE * abs(best[0]):
            return best
        best = tried


def cheapest(path: CutPath, worth: CutWorth, limit_mm: float) -> Floats:
    """The plane (3,), as of `CutPath`, that costs least in filling and taking down.

    Parameters
    ----------
    path : CutPath
    worth : CutWorth
        What taking down costs.
    limit_mm : float
        Most that may be taken down [mm].
    """
    if limit_mm <= 0:
        return path.uncut
    heights, uncut = Heights(path, worth, limit_mm), worth.of(*path.moved(path.uncut))
    if worth.m2_l == 0:
        plane = Hinges(path).at(worth.litre_l, limit_mm)[0]
    elif worth.near is not None:
        plane = settled(heights, np.clip(worth.near, *np.array(path.bounds).T))[1]
    else:
        plane = settled(heights, _valley(heights))[1]
    return plane if worth.of(*path.moved(plane)) < uncut * (1 - EQUAL_SHARE) else path.uncut


def _valley(heights: Heights) -> Floats:
    """Turn and lean (2,) from which to go down: the cheapest of the beginnings."""
    path, worth, hinges = heights.path, heights.worth, Hinges(heights.path)
    found = [heights.at(path.uncut[1:])]
    for depth in heights.limit_mm * 2.0 ** -np.arange(HALVINGS):
        plane, _ = hinges.at(worth.litre_l + worth.m2_l / depth, float(depth), CLOSE_SHARE)
        found.append(heights.at(plane[1:]))
    known = min(worth.of(*path.moved(plane)) for _, plane in found)
    found.append(heights.at(best_depth(path, worth, heights.limit_mm, known).plane[1:]))
    return min(found, key=lambda one: one[0])[1][1:]


def cost_at_least(path: CutPath, worth: CutWorth, limit_mm: float) -> float:
    """No plane costs less, in litres filled beyond the least thickness [l].

    Notes
    -----
    A cell cut by u mm, at most D, costs k a square metre at least as much as k / D a litre, for u <= D: with
    ``c + k / D`` a litre the cost is convex, nowhere above the true one, and its least is exact.
    """
    by_litre = worth.litre_l + worth.m2_l / limit_mm
    return Hinges(path).at(by_litre - CUT_WEIGHT, limit_mm)[1] * (1 - CLOSE_BELOW)
