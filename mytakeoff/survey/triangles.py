"""Straight lines between single readings, drawn the same way whoever lists them.

Readings on one circle, the four corners of a rectangle say, can be joined to triangles in several ways, and
which of them a triangulation finds is chance. Here their heights choose: of two diagonals the one that stands
prouder where they cross, until none is left to change, which is the upper hull of the cell's readings. So the
order of the rows, the end that x is measured from and the unit leave the face as it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay

from mytakeoff.survey.survey import Floats
from mytakeoff.threads import on_one_thread

Numbers = NDArray[np.intp]
ONE_CIRCLE_M = 0.001003  # a millimetre, and a hair, so that places given in millimetres are not just at it
LEVEL_MM = 1e-9  # diagonals nearer than this are one
INWARD = 2e-7  # share of the way to the middle by which a place is looked up, so that the rim is inside


@dataclass(frozen=True, eq=False)
class _Diagonals:
    """Edges a–b between two triangles, whose third corners are c and d; (n,) each."""

    first: Numbers
    second: Numbers
    a: Numbers
    b: Numbers
    c: Numbers
    d: Numbers

    @classmethod
    def of(cls, corners: Numbers) -> _Diagonals:
        """All that triangles (n, 3) share."""
        edges = np.sort(np.concatenate([corners[:, [1, 2]], corners[:, [2, 0]], corners[:, [0, 1]]]), axis=1)
        order = np.lexsort(edges.T)
        shared = np.flatnonzero((edges[order[1:]] == edges[order[:-1]]).all(axis=1))
        one, other = order[shared], order[shared + 1]
        count, third = len(corners), corners.T.ravel()
        a, b = edges[one].T
        return cls(one % count, other % count, a, b, third[one], third[other])


def _cross(first: Floats, second: Floats) -> Floats:
    return np.asarray(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])


def _off_circle_m(a: Floats, b: Floats, c: Floats, d: Floats) -> Floats:
    """How far d lies off the circle through a, b and c, all (n, 2) [m]; not finite if these are in line."""
    to_b, to_c = b - a, c - a
    square_b, square_c = ((side**2).sum(axis=1, keepdims=True) for side in (to_b, to_c))
    towards = square_b * to_c - square_c * to_b
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        middle = np.column_stack([towards[:, 1], -towards[:, 0]]) / (2 * _cross(to_b, to_c)[:, None])
        return np.asarray(np.abs(np.linalg.norm(d - a - middle, axis=1) - np.linalg.norm(middle, axis=1)))


def _cells(places_m: Floats, corners: Numbers) -> Numbers:
    """The cell that each triangle is part of: triangles side by side with all corners on one circle."""
    at = _Diagonals.of(corners)
    a, b, c, d = (places_m[end] for end in (at.a, at.b, at.c, at.d))
    one = (_off_circle_m(a, b, c, d) <= ONE_CIRCLE_M) & (_off_circle_m(a, b, d, c) <= ONE_CIRCLE_M)
    joined = coo_array((np.ones(int(one.sum())), (at.first[one], at.second[one])), shape=2 * (len(corners),))
    return np.asarray(connected_components(joined, directed=False)[1], dtype=np.intp)


def _gain_mm(at: _Diagonals, places_m: Floats, proud_mm: Floats) -> Floats:
    """How much prouder c–d stands than a–b where they cross [mm]; nothing where they do not."""
    along, across = places_m[at.b] - places_m[at.a], places_m[at.d] - places_m[at.c]
    between = places_m[at.c] - places_m[at.a]
    with np.errstate(divide="ignore", invalid="ignore"):
        share, part = (_cross(between, side) / _cross(along, across) for side in (across, along))
    met = (np.minimum(share, part) > INWARD) & (np.maximum(share, part) < 1 - INWARD)
    low = proud_mm[at.a] + share * (proud_mm[at.b] - proud_mm[at.a])
    return np.where(met, proud_mm[at.c] + part * (proud_mm[at.d] - proud_mm[at.c]) - low, 0.0)


def _prouder(places_m: Floats, proud_mm: Floats, corners: Numbers, cell: Numbers) -> Numbers:
    """The triangles with every cell's diagonals drawn where they stand prouder, in each the best first."""
    corners = corners.copy()
    rows = np.flatnonzero(np.bincount(cell)[cell] > 1)
    while rows.size:
        at = _Diagonals.of(corners[rows])
        inside = cell[rows[at.first]]
        gain = np.where(inside == cell[rows[at.second]], _gain_mm(at, places_m, proud_mm), 0.0)
        order = np.lexsort((-gain, inside))
        best = order[np.unique(inside[order], return_index=True)[1]]
        best = best[gain[best] > LEVEL_MM]
        corners[rows[at.first[best]]] = np.column_stack([at.c[best], at.d[best], at.a[best]])
        corners[rows[at.second[best]]] = np.column_stack([at.c[best], at.d[best], at.b[best]])
        rows = rows[np.isin(cell[rows], inside[best])]
    return corners


def _shares(corners_m: Floats, at_m: Floats) -> Floats:
    """What each corner (n, 3, 2) counts at a place (n, 2); negative beyond the opposite side (n, 3) [-]."""
    to_b, to_c, to_place = (end - corners_m[:, 0] for end in (corners_m[:, 1], corners_m[:, 2], at_m))
    with np.errstate(divide="ignore", invalid="ignore"):
        b, c = (part / _cross(to_b, to_c) for part in (_cross(to_place, to_c), _cross(to_b, to_place)))
    return np.column_stack([1 - b - c, b, c])


def _holding(at_m: Floats, found: Numbers, corners_m: Floats, cell: Numbers) -> Numbers:
    """Which triangle of its cell holds each place (k, 2), found in one of the same cell (k,)."""
    order, count = np.argsort(cell, kind="stable"), np.bincount(cell)
    first, home = (np.cumsum(count) - count)[cell[found]], cell[found]
    holding, deepest = found.copy(), np.full(found.size, -np.inf)
    for number in range(int(count.max())):
        rows = np.flatnonzero((count[home] > 1) & (count[home] > number))
        triangle = order[first[rows] + number]
        depth = _shares(corners_m[triangle], at_m[rows]).min(axis=1)
        deeper = depth > deepest[rows]
        deepest[rows[deeper]], holding[rows[deeper]] = depth[deeper], triangle[deeper]
    return holding


@on_one_thread
def between_readings(places_m: Floats, proud_mm: Floats, at_m: Floats) -> Floats:
    """Height of the triangles' face at places (k, 2), not a number beyond them (k,) [mm].

    Parameters
    ----------
    places_m, proud_mm : (n, 2) and (n,) float
        The readings, at least three, not in line [m], [mm].
    at_m : (k, 2) float
        Where it is asked for [m].

    Examples
    --------
    A proud corner reaches to the middle of its cell by neither diagonal that misses it:

    >>> corners = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    >>> between_readings(corners, np.array([0.0, 0.0, 0.0, 10.0]), np.array([[0.5, 0.5]])).tolist()
    [5.0]
    """
    found = Delaunay(places_m)
    start = np.asarray(found.simplices, dtype=np.intp)
    cell = _cells(places_m, start)
    corners = _prouder(places_m, proud_mm, start, cell)
    looked_up = at_m + INWARD * (places_m.mean(axis=0) - at_m)
    simplex = found.find_simplex(looked_up)
    inside = np.flatnonzero(simplex >= 0)
    height = np.full(len(at_m), np.nan)
    triangle = corners[_holding(looked_up[inside], simplex[inside], places_m[corners], cell)]
    height[inside] = (_shares(places_m[triangle], at_m[inside]) * proud_mm[triangle]).sum(axis=1)
    return height
