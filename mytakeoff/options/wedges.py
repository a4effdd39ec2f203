"""What stands beside a face: plumb things that show its lean."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Check
from mytakeoff.plane.lowest_plane import STEEPEST_MM_PER_M, TIGHT_MM, lowest_plane
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

Numbers = NDArray[np.intp]


@dataclass(frozen=True)
class Wedge:
    """The gap between a face and something plumb that is pushed against it.

    The thing is plumb and straight over its width, and turns in plan until it lies on the face. The gap at a
    height is the wider of those at its two sides.

    Parameters
    ----------
    x_m, width_m : float
        Where the thing stands: from `x_m` to `x_m + width_m` [m].
    widest_mm : float
        The greatest gap anywhere [mm].
    z_m, gap_mm : tuple of float
        The whole taper, from the floor up, to draw [m, mm].
    """

    x_m: float
    width_m: float
    widest_mm: float
    z_m: tuple[float, ...]
    gap_mm: tuple[float, ...]


def wedge_beside(surface: Surface, x_m: float, width_m: float) -> Wedge:
    """The gap beside something plumb that is pushed against a face.

    Parameters
    ----------
    surface : Surface
    x_m, width_m : float
        It stands from `x_m` to `x_m + width_m`; width more than 0 [m].

    Raises
    ------
    TakeoffError
        No known wall behind it.

    Examples
    --------
    A face that leans 4 mm into the room between its lower and upper cell:

    >>> from mytakeoff.survey.wall import Wall
    >>> leaning = Surface.from_grid(Wall("A", 1.0, 2.0), [0.5], [0.5, 1.5], [[0.0], [4.0]])
    >>> wedge = wedge_beside(leaning, 0.4, 0.1)
    >>> wedge.gap_mm
    (4.0, 0.0)
    """
    columns = _behind(surface, x_m, width_m)
    strip = surface.proud_mm[:, columns]
    x, z = surface.x_m[columns] - (x_m + width_m / 2), surface.z_m
    gap = _pushed_against(x, strip) - strip
    seen = ~np.isnan(gap)
    gap, seen, z = gap[seen.any(axis=1)], seen[seen.any(axis=1)], z[seen.any(axis=1)]
    each = np.arange(len(gap))
    sides = np.maximum(
        gap[each, seen.argmax(axis=1)], gap[each, gap.shape[1] - 1 - seen[:, ::-1].argmax(axis=1)]
    )
    return Wedge(x_m, width_m, float(sides.max()), tuple(z.tolist()), tuple(sides.tolist()))


def _behind(surface: Surface, x_m: float, width_m: float) -> Numbers:
    """Numbers of the columns of cells behind a thing; at least the one it stands in."""
    half = surface.wall.width_m / surface.x_m.size / 2
    columns = np.flatnonzero(np.abs(surface.x_m - (x_m + width_m / 2)) <= max(width_m / 2, half) + 1e-9)
    check = Check(f"wall {surface.wall.name!r}")
    check.that(
        width_m > 0 and bool(np.isfinite(surface.proud_mm[:, columns]).any()),
        f"something plumb from {x_m:g} to {x_m + width_m:g} m",
        "it has a width and stands against wall that was measured",
        f"give a place between 0 and {surface.wall.width_m:g} m, beside the openings",
    )
    check.done()
    return columns


def _pushed_against(x_m: Floats, strip_mm: Floats) -> Floats:
    """Where the back of a thing stands in each column (nx,), pushed at its middle, x = 0 [mm]."""
    known = np.isfinite(strip_mm).any(axis=0)
    high = np.nanmax(strip_mm[:, known], axis=0)
    points = np.column_stack([x_m[known], np.zeros(high.size), high])

    def above(a: float, b: float, c: float) -> Floats:
        over = points[:, 2] - a - b * points[:, 0]
        worst = int(over.argmax())
        return np.asarray(points[[worst]] if over[worst] > TIGHT_MM else points[:0])

    # a thing reaches beyond its outer cells; where the wall is known on one side only it does not turn
    one_sided = points[:, 0].min() >= 0 or points[:, 0].max() <= 0
    limit = 0.0 if one_sided else STEEPEST_MM_PER_M
    a, b, _, _ = lowest_plane(above, points[[int(high.argmax())]], ((-limit, limit), (0.0, 0.0)))
    return np.asarray(a + b * x_m)
