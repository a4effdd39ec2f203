"""Openings proposed where a scanned wall shows nothing: rectangles, for the user to accept.

Each is called what it can be by place and size; what can be neither door nor window is a gap.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.cells import cell_edges
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Opening

LEAST_SIDE_M = 0.35  # a smaller hole is a shadow, or a socket
FULL_SHARE = 0.85  # of its rectangle that a hole fills
HIDDEN_SHARE = 0.35  # of a hole before which something stands: then that hides the wall
DOOR_FOOT_M = 0.15  # a hole that starts lower than this reaches the floor
# Clear sizes, common practice, no source.
DOOR_WIDE_M, DOOR_HIGH_M = (0.55, 2.6), 1.8  # from a narrow leaf to two with a side light; least height
WINDOW_M, WINDOW_HIGH_M = 4.0, 2.4  # greatest width and height
RIM_M = 0.05  # a hole that comes so close to a wall's end or top runs out of what was seen
GAP = "gap"


def proposed_openings(
    size_m: tuple[float, float],
    on_wall: tuple[Floats, Floats],
    before: tuple[Floats, Floats],
    cell_m: float,
) -> tuple[Opening, ...]:
    """Holes in a wall's points that could be its doors and windows.

    Parameters
    ----------
    size_m : (width, height)
        Of the wall [m].
    on_wall, before : (x, z) of (n,) float
        Places of the points on the wall, and of those of things that stand before it [m].
    cell_m : float
        At least twice the distance of neighbouring points [m].

    Returns
    -------
    tuple of Opening
        From left to right, to the centimetre, named "door 1", "window 2" or "gap 3, nothing seen"; a hole
        in the shadow of furniture is none.
    """
    width, height = size_m
    x_edges, z_edges = cell_edges(width, cell_m), cell_edges(height, cell_m)
    filled = _occupied(on_wall, x_edges, z_edges)
    hidden = _occupied(before, x_edges, z_edges)
    holes = []
    for rows, columns in _regions(~filled):
        low, high, left, right = rows.min(), rows.max() + 1, columns.min(), columns.max() + 1
        box = (high - low) * (right - left)
        if rows.size < FULL_SHARE * box or hidden[rows, columns].mean() > HIDDEN_SHARE:
            continue
        sides = x_edges[left], x_edges[right], z_edges[low], z_edges[high]
        if sides[1] - sides[0] >= LEAST_SIDE_M and sides[3] - sides[2] >= LEAST_SIDE_M:
            holes.append(_to_the_points(sides, size_m, on_wall, cell_m))
    return tuple(
        Opening(_name(what_it_can_be(hole, size_m), nth), *hole)
        for nth, hole in enumerate(sorted(holes), start=1)
    )


def what_it_can_be(hole: tuple[float, float, float, float], size_m: tuple[float, float]) -> str:
    """What a hole can be: "door", "window" or "gap".

    Parameters
    ----------
    hole : (left, foot, width, height)
        From the wall's lower left corner [m].
    size_m : (width, height)
        Of the wall [m].

    Examples
    --------
    >>> wall = (4.0, 2.6)
    >>> what_it_can_be((1.0, 0.0, 0.9, 2.0), wall), what_it_can_be((1.0, 0.9, 1.2, 1.2), wall)
    ('door', 'window')
    >>> what_it_can_be((1.0, 0.0, 0.75, 0.42), wall), what_it_can_be((1.0, 0.9, 1.2, 1.7), wall)
    ('gap', 'gap')
    """
    left, foot, wide, high = hole
    inside = left > RIM_M and left + wide < size_m[0] - RIM_M
    if foot == 0:
        door = DOOR_WIDE_M[0] <= wide <= DOOR_WIDE_M[1] and high >= DOOR_HIGH_M
        return "door" if door else GAP
    inside = inside and foot + high < size_m[1] - RIM_M
    return "window" if inside and wide <= WINDOW_M and high <= WINDOW_HIGH_M else GAP


def _name(what: str, nth: int) -> str:
    return f"{what} {nth}, nothing seen" if what == GAP else f"{what} {nth}"


def is_gap(opening: Opening) -> bool:
    """Whether a proposed opening can be neither door nor window."""
    return opening.name.startswith(GAP)


def _occupied(places: tuple[Floats, Floats], x_edges: Floats, z_edges: Floats) -> NDArray[np.bool_]:
    return np.asarray(np.histogram2d(places[1], places[0], bins=[z_edges, x_edges])[0] > 0)


def _regions(empty: NDArray[np.bool_]) -> list[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Connected parts, by side, as their rows and columns; threads of empty cells bridge nothing."""
    from scipy.ndimage import binary_opening, label  # only those who scan need it

    solid = binary_opening(np.pad(empty, 1, mode="edge"), np.ones((3, 3), dtype=bool))[1:-1, 1:-1]
    numbered, count = label(solid)
    places = (np.nonzero(numbered == nth) for nth in range(1, count + 1))
    return [(rows, columns) for rows, columns in places]


def _to_the_points(
    sides: tuple[float, ...], size_m: tuple[float, float], on_wall: tuple[Floats, Floats], cell_m: float
) -> tuple[float, float, float, float]:
    """A hole of whole cells drawn out to the nearest points beside it, to the centimetre."""
    left, right, low, high = sides
    x, z = on_wall
    beside = (z > low + cell_m) & (z < high - cell_m)
    across = (x > left + cell_m) & (x < right - cell_m)
    left = _nearest(x[beside & (x <= left + cell_m)], 0.0, np.max)
    right = _nearest(x[beside & (x >= right - cell_m)], size_m[0], np.min)
    low = _nearest(z[across & (z <= low + cell_m)], 0.0, np.max)
    high = _nearest(z[across & (z >= high - cell_m)], size_m[1], np.min)
    low = 0.0 if low < DOOR_FOOT_M else low
    left, right, low, high = (round(float(side), 2) for side in (left, right, low, high))
    right, high = min(right, size_m[0]), min(high, size_m[1])
    return left, low, round(right - left, 3), round(high - low, 3)


def _nearest(places: Floats, end: float, pick: object) -> float:
    return float(pick(places)) if places.size else end  # type: ignore[operator]
