"""Cells of the height field, and the exact part of each that rectangles leave over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, sqrt

import numpy as np

from mytakeoff.bounds import Within, check_number
from mytakeoff.errors import Check
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Rectangle, Wall

CELL = Within(0.0001, 100.0, usual="0.025 m is usual")
REACH = Within(0.0, 100.0, usual="0.5 m is usual")
GROWTH = Within(0.0, 3.0, usual="0.25 is usual")  # of loose plaster, as a share of its area
MOST_CELLS = 2_000_000  # a hall's wall of 60 × 20 m at the usual size: seconds for each step


def check_cells(wall: Wall, cell_m: float, check: Check) -> None:
    """Note cells of a size [m] that none has, or that are too many for a wall to be worked out.

    Examples
    --------
    >>> check = Check()
    >>> check_cells(Wall("north", 30.0, 20.0), 0.01, check)
    >>> print(check.mistakes[0])
    wall 'north': cell_m 0.01 makes 6000000 cells; one of 30 × 20 m has 2000000 at most; write 0.018 or more
    """
    if not check_number(check, CELL, cell_m=cell_m):
        return
    count = ceil(wall.width_m / cell_m) * ceil(wall.height_m / cell_m)
    enough_m = ceil(1000 * sqrt(wall.width_m * wall.height_m / MOST_CELLS)) / 1000
    check.that(
        count <= MOST_CELLS,
        f"cell_m {cell_m:g} makes {count} cells",
        f"one of {wall.width_m:g} × {wall.height_m:g} m has {MOST_CELLS} at most",
        f"write {enough_m:g} or more",
        f"wall {wall.name!r}",
    )


def cell_edges(length_m: float, cell_m: float) -> Floats:
    """Edges of equal cells that fill a length exactly.

    Parameters
    ----------
    length_m : float
        More than 0 [m].
    cell_m : float
        Greatest cell size, more than 0 [m].

    Returns
    -------
    (n + 1,) float
        ``n = ceil(length / cell)`` cells, shrunk to fit [m].

    Examples
    --------
    >>> cell_edges(1.0, 0.3).round(2).tolist()
    [0.0, 0.25, 0.5, 0.75, 1.0]
    """
    count = max(1, int(np.ceil(length_m / cell_m - 1e-9)))
    return np.asarray(np.linspace(0.0, length_m, count + 1))


def centres(edges: Floats) -> Floats:
    """Middles of the cells between edges [m]."""
    return (edges[:-1] + edges[1:]) / 2


def edges_around(middles: Floats, length_m: float) -> Floats:
    """Cell edges for given cell centres: half-way between them, the outer ones at 0 and `length_m` [m]."""
    return np.concatenate([[0.0], (middles[:-1] + middles[1:]) / 2, [length_m]])


def disjoint(rectangles: Iterable[Rectangle]) -> tuple[Rectangle, ...]:
    """Rectangles that cover the same ground without overlapping.

    Cut into strips at every left and right side; in each strip the heights are merged.

    Examples
    --------
    >>> parts = disjoint([Rectangle(0, 0, 2, 1), Rectangle(1, 0, 2, 1)])
    >>> sum(part.area_m2 for part in parts)
    3
    """
    rectangles = [r for r in rectangles if r.width_m > 0 and r.height_m > 0]
    sides = sorted({side for r in rectangles for side in (r.x_m, r.x_m + r.width_m)})
    parts = []
    for left, right in pairwise(sides):
        middle = (left + right) / 2
        spans = sorted((r.z_m, r.z_m + r.height_m) for r in rectangles if r.x_m < middle < r.x_m + r.width_m)
        parts += [Rectangle(left, low, right - left, high - low) for low, high in _merged(spans)]
    return tuple(parts)


def _merged(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Sorted intervals with those that touch joined."""
    merged: list[tuple[float, float]] = []
    for low, high in spans:
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return merged


def _overlap_m(edges: Floats, low_m: float, high_m: float) -> Floats:
    """Length of each cell that lies between two places [m]."""
    return np.asarray(np.clip(np.minimum(edges[1:], high_m) - np.maximum(edges[:-1], low_m), 0.0, None))


def covered_m2(x_edges: Floats, z_edges: Floats, rectangles: Iterable[Rectangle]) -> Floats:
    """Area of each cell under any of the rectangles, overlaps counted once.

    Parameters
    ----------
    x_edges : (nx + 1,) float
    z_edges : (nz + 1,) float
        Cell edges [m].
    rectangles : iterable of Rectangle

    Returns
    -------
    (nz, nx) float
        [m²]
    """
    area = np.zeros((z_edges.size - 1, x_edges.size - 1))
    for r in disjoint(rectangles):
        across = _overlap_m(x_edges, r.x_m, r.x_m + r.width_m)
        up = _overlap_m(z_edges, r.z_m, r.z_m + r.height_m)
        area += np.outer(up, across)
    return area


def free_m2(x_edges: Floats, z_edges: Floats, rectangles: Iterable[Rectangle]) -> Floats:
    """Area of each cell that the rectangles leave over (nz, nx) [m²]."""
    whole = np.outer(np.diff(z_edges), np.diff(x_edges))
    left = whole - covered_m2(x_edges, z_edges, rectangles)
    left[left < 1e-9 * whole] = 0.0  # rounding, not wall
    return left


def inside(rectangle: Rectangle, x_m: Floats, z_m: Floats, margin_m: float = 0.0) -> np.ndarray:
    """Which places lie in a rectangle, its rim drawn in by `margin_m` [m]."""
    return (
        (x_m >= rectangle.x_m + margin_m)
        & (x_m <= rectangle.x_m + rectangle.width_m - margin_m)
        & (z_m >= rectangle.z_m + margin_m)
        & (z_m <= rectangle.z_m + rectangle.height_m - margin_m)
    )


def grown(rectangle: Rectangle, share: float, width_m: float, height_m: float) -> Rectangle:
    """A rectangle whose area grew by a share about its middle, kept on a wall of the given size.

    Examples
    --------
    >>> grown(Rectangle(1, 1, 1, 1), 0.21, 4, 3)
    Rectangle(x_m=0.95, z_m=0.95, width_m=1.1, height_m=1.1)
    """
    factor = float(np.sqrt(1.0 + share))
    spread_x, spread_z = (size * (factor - 1.0) / 2 for size in (rectangle.width_m, rectangle.height_m))
    left, low = max(0.0, rectangle.x_m - spread_x), max(0.0, rectangle.z_m - spread_z)
    right = min(width_m, rectangle.x_m + rectangle.width_m + spread_x)
    top = min(height_m, rectangle.z_m + rectangle.height_m + spread_z)
    return Rectangle(*(round(value, 12) for value in (left, low, right - left, top - low)))
