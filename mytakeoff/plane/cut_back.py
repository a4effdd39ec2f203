"""What a plane costs when high spots are taken down: convex, so that linear bounds tell it from below.

References
----------
J. E. Kelley, "The cutting-plane method for solving convex programs", J. SIAM 8 (1960) 703-712.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from mytakeoff.plane.lowest_plane import Bounds
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

# Cutting is never free, so of planes that take equal plaster the one that cuts least is right. A weight
# this small decides between equals and nothing else: a litre cut counts as a microlitre of plaster.
CUT_WEIGHT = 1e-6


@dataclass(frozen=True, eq=False)
class Overfill:
    """Litres that a plane takes beyond the least thickness, as a function of its three numbers.

    ``Σ A·max(p - h, 0)`` with ``h = d + least``, plus the slight weight on what is cut,
    ``Σ A·max(h - p, 0)``.
    """

    x_m: Floats
    z_m: Floats
    height_mm: Floats  # NaN unknown
    area_m2: Floats

    def at(self, plane: Floats) -> tuple[float, Floats]:
        """Value [l] and a slope (3,) at a plane (a, b, c)."""
        a, b, c = plane
        over = (a + b * self.x_m)[None, :] + (c * self.z_m)[:, None] - self.height_mm
        weight = np.where(over > 0, self.area_m2, -CUT_WEIGHT * self.area_m2)
        weight[np.isnan(over)] = 0.0
        across = weight.sum(axis=0)
        slope = np.array([across.sum(), across @ self.x_m, weight.sum(axis=1) @ self.z_m])
        return float(np.nansum(weight * over)), slope


def raised(plane: Floats, points: Floats) -> Floats:
    """The plane (a [mm], b, c [mm/m]) raised until it clears the points (k, 3) [m, m, mm]."""
    if not len(points):
        return plane
    short = (points[:, 2] - plane[0] - points[:, :2] @ plane[1:]).max()
    return np.asarray(plane + np.array([max(short, 0.0), 0.0, 0.0]))


def lowest_bound(pieces: list[tuple[float, Floats]], points: Floats, bounds: Bounds) -> tuple[float, Floats]:
    """The plane at which the greatest of the linear bounds is least, and that bound [l]."""
    slopes = np.array([slope for _, slope in pieces])
    under = np.column_stack([-np.ones(len(pieces)), slopes])
    clear = np.column_stack([np.zeros(len(points)), -np.ones(len(points)), -points[:, :2]])
    answer = linprog(
        [1.0, 0.0, 0.0, 0.0],
        A_ub=np.vstack([under, clear]),
        b_ub=np.concatenate([[-value for value, _ in pieces], -points[:, 2]]),
        bounds=[(0.0, None), (-1e6, 1e6), *bounds],
        method="highs",
    )
    if answer.x is None:
        raise RuntimeError(f"the search for the cheapest plane failed: {answer.message}")
    return float(answer.x[0]), np.asarray(answer.x[1:])


def overfill(surface: Surface, x_m: Floats, z_m: Floats, lift_mm: Floats) -> Overfill:
    """The cost of planes on a surface; places from its centroid [m], thickness kept in each column [mm]."""
    return Overfill(x_m, z_m, surface.proud_mm + lift_mm, surface.known_area_m2)
