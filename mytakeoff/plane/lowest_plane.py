"""The lowest plane over points: a linear programme in three unknowns, exact, by constraint generation.

Lowest means lowest at the origin, so the caller puts the origin at the area's centroid, where the height of
a plane is its mean over the area.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

Bounds = tuple[tuple[float, float], tuple[float, float]]
Oracle = Callable[[float, float, float], Floats]

STEEPEST_MM_PER_M = 1e4  # stands for "unbounded": steeper than any wall
TIGHT_MM = 1e-9
BINDS_MM = 1e-7
MOST_ROUNDS = 500


def _height(points: Floats, slopes: Floats) -> Floats:
    """Height at the origin of the lowest planes of given slopes (n, 2) over points (k, 3) [mm]."""
    under = points[None, :, 2] - slopes @ points[:, :2].T
    return np.asarray(under.max(axis=1))


def _meet(rows: Floats, values: Floats) -> Floats:
    """Where pairs of lines ``rows · s = values`` meet: (m, 2, 2), (m, 2) → those that do (j, 2)."""
    det = rows[:, 0, 0] * rows[:, 1, 1] - rows[:, 0, 1] * rows[:, 1, 0]
    size = np.abs(rows).max(axis=(1, 2), initial=0.0) ** 2
    cross = np.abs(det) > 1e-12 * np.maximum(size, 1e-300)
    rows, values, det = rows[cross], values[cross], det[cross]
    b = (values[:, 0] * rows[:, 1, 1] - values[:, 1] * rows[:, 0, 1]) / det
    c = (values[:, 1] * rows[:, 0, 0] - values[:, 0] * rows[:, 1, 0]) / det
    return np.column_stack([b, c])


@lru_cache(maxsize=128)
def _pairs(count: int) -> NDArray[np.intp]:
    return np.array(list(combinations(range(count), 2)), dtype=np.intp).reshape(-1, 2)


def _bound_lines(bounds: Bounds) -> tuple[Floats, Floats]:
    """The four sides of the box of slopes, as lines ``row · s = value``."""
    rows = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.0, 1.0]])
    return rows, np.array([*bounds[0], *bounds[1]])


def _corners(lines: Floats, values: Floats, bounds: Bounds) -> Floats:
    """Where the lines meet one another or the sides of the box, kept in the box."""
    sides, limits = _bound_lines(bounds)
    rows, values = np.vstack([lines, sides]), np.concatenate([values, limits])
    pairs = _pairs(len(rows))
    return _in_box(_meet(rows[pairs], values[pairs]), bounds)


def _in_box(slopes: Floats, bounds: Bounds) -> Floats:
    low, high = np.array(bounds).T
    slack = 1e-12 * (1.0 + np.abs(low) + np.abs(high))
    kept = ((slopes >= low - slack) & (slopes <= high + slack)).all(axis=1)
    return np.asarray(np.clip(slopes[kept], low, high))


def _lowest_corner(points: Floats, bounds: Bounds) -> tuple[float, Floats]:
    """Least height at the origin over all slopes in the box [mm], and slopes where it is reached.

    That is where ridges between points meet one another or the sides of the box.
    """
    pairs = _pairs(len(points))
    ridges = points[pairs[:, 0]] - points[pairs[:, 1]]
    slopes = _corners(ridges[:, :2], ridges[:, 2], bounds)
    heights = _height(points, slopes)
    least = int(heights.argmin())
    return float(heights[least]), slopes[least]


def _calmest(points: Floats, height: float, bounds: Bounds) -> Floats:
    """Of the slopes that keep the height, those with the least b² + c²."""
    rows, values = points[:, :2], points[:, 2] - height
    length = (rows**2).sum(axis=1)
    usable = length > 0
    feet = rows[usable] * (values[usable] / length[usable])[:, None]
    sides, limits = _bound_lines(bounds)
    none = np.clip(np.zeros(2), *np.array(bounds).T)[None, :]
    slopes = np.vstack(
        [
            none,
            _in_box(np.vstack([feet, sides * limits[:, None]]), bounds),
            _corners(rows[usable], values[usable], bounds),
        ]
    )
    slack = TIGHT_MM / 10 * (1.0 + abs(height) * 1e-3)
    slopes = slopes[_height(points, slopes) <= height + slack]
    return np.asarray(slopes[np.argmin((slopes**2).sum(axis=1))])


def lowest_over_few(points: Floats, bounds: Bounds, calm: bool = True) -> tuple[float, float, float]:
    """Lowest plane over a handful of points.

    Parameters
    ----------
    points : (k, 3) float
        x, z from the centroid [m] and the height to clear [mm].
    bounds : ((b_low, b_high), (c_low, c_high))
        Slopes allowed [mm/m].
    calm : bool
        Among equal heights take the least b² + c²; else any of them, which is quicker.

    Returns
    -------
    a, b, c : float
        Height at the origin [mm] and slopes [mm/m].

    Examples
    --------
    A plane over three corners, the origin between them, lies on all three.

    >>> corners = np.array([[-1.0, -1.0, 0.0], [1.0, -1.0, 2.0], [0.0, 1.0, 1.0]])
    >>> a, b, c = lowest_over_few(corners, ((-9, 9), (-9, 9)))
    >>> a, b, abs(c)
    (1.0, 1.0, 0.0)
    """
    points = np.unique(points, axis=0)
    height, slopes = _lowest_corner(points, bounds)
    b, c = _calmest(points, height, bounds) if calm else slopes
    return float(_height(points, np.array([[b, c]]))[0]), float(b), float(c)


def lowest_plane(oracle: Oracle, start: Floats, bounds: Bounds) -> tuple[float, float, float, Floats]:
    """Lowest plane over many points, of which only the worst violated are ever looked at together.

    Solve on a few points, ask for the worst violated, add them, drop those that do not bind, repeat: each
    round raises the plane, so it ends, and what it ends with is the answer over all points. Once a round
    raises it no more, the calmest of equal planes is asked for, which no two rounds share either.

    Parameters
    ----------
    oracle : function of (a, b, c)
        Points (k, 3) that stand above that plane, the worst among them; none when all are cleared.
    start : (k, 3) float
        Any points, at least one: x, z from the centroid [m] and the height to clear [mm].
    bounds
        As in `lowest_over_few`.

    Returns
    -------
    a, b, c, binding : float, float, float, (k, 3) float
        The plane and the points that it touches.

    Raises
    ------
    RuntimeError
        It did not end, which would be a fault of this program.
    """
    points, calm, below = start, False, -np.inf
    for _ in range(MOST_ROUNDS):
        a, b, c = lowest_over_few(points, bounds, calm)
        above = oracle(a, b, c)
        gap = a + points[:, :2] @ np.array([b, c]) - points[:, 2]
        points = points[gap <= BINDS_MM]
        if calm and not len(above):
            return a, b, c, points
        points = np.vstack([points, above]) if len(above) else points
        calm, below = calm or not len(above) or a <= below + TIGHT_MM, a
    raise RuntimeError("the search for the lowest plane did not end")
