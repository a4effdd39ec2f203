"""A wall seen from above: all that a plumb plane has to clear, whatever its turn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mytakeoff.plane.clearance import Clearance
from mytakeoff.plane.lowest_plane import BINDS_MM
from mytakeoff.plane.rule import PlaneRule
from mytakeoff.plane.target_plane import TargetPlane, check_rails, placed
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

MM_PER_M = 1000.0


def upper_hull(x: Sequence[float], high: Sequence[float]) -> NDArray[np.intp]:
    """Which points carry a straight edge laid over all of them, left to right.

    Parameters
    ----------
    x, high : sequence of float
        One point or more.

    References
    ----------
    A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing
    Letters 9 (1979) 216-219. From memory.

    Examples
    --------
    >>> upper_hull([0.0, 1.0, 2.0, 2.0], [1.0, 1.5, 3.0, 0.0]).tolist()
    [0, 2]
    """
    kept: list[int] = []
    for nth in np.lexsort((high, x)).tolist():
        while kept and x[kept[-1]] == x[nth]:
            kept.pop()
        while len(kept) > 1 and _under(x, high, kept[-2], kept[-1], nth):
            kept.pop()
        kept.append(nth)
    return np.array(kept, dtype=np.intp)


def _under(x: Sequence[float], high: Sequence[float], left: int, middle: int, right: int) -> bool:
    """Whether the middle one of three points lies on or under the line of the others."""
    rise = (high[right] - high[left]) * (x[middle] - x[left])
    return (high[middle] - high[left]) * (x[right] - x[left]) <= rise


@dataclass(frozen=True, eq=False)
class Outline:
    """What plumb planes of a wall have to clear, and what they cost.

    Parameters
    ----------
    surface : Surface
    rule : PlaneRule
        Plumb. Its `cut_mm` is taken off what has to be cleared.
    points : (k, 3) float
        The corners of the upper hull, left to right: place from the centroid of the known area, where a
        plane's height is its mean, and the height to clear there [m, m, mm].

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> surface = Surface.from_grid(Wall("A", 2.0, 1.0), [0.5, 1.5], [0.25, 0.75], [[0.0, 4.0], [2.0, 1.0]])
    >>> outline = Outline.of(surface, PlaneRule(least_mm=5.0))
    >>> outline.points.tolist(), outline.height_mm(0.0), outline.litres(9.0)
    ([[-0.5, 0.25, 7.0], [0.5, -0.25, 9.0]], 9.0, 14.5)
    """

    surface: Surface
    rule: PlaneRule
    points: Floats

    @classmethod
    def of(cls, surface: Surface, rule: PlaneRule) -> Outline:
        """Of a wall and what is kept over it.

        Raises
        ------
        TakeoffError
            A rail that does not stand on the wall.
        """
        check_rails(surface, rule)
        clears = Clearance(surface, rule)
        columns = np.flatnonzero(~np.isnan(clears.column_mm))
        x = np.concatenate([clears.x_m[columns], clears.points[:, 0]])
        high = np.concatenate([clears.column_mm[columns], clears.points[:, 2]])
        corners = upper_hull(x.tolist(), high.tolist())
        cells, read = columns[corners[corners < columns.size]], corners[corners >= columns.size]
        rows = np.nanargmax(clears.proud_mm[:, cells], axis=0)
        tops = np.column_stack([clears.x_m[cells], clears.z_m[rows], clears.column_mm[cells]])
        points = np.vstack([tops, clears.points[read - columns.size]])
        return cls(surface, rule, points[np.argsort(points[:, 0], kind="stable")])

    @cached_property
    def _column_l(self) -> Floats:
        """What each column of cells stands before the plane measured off [l]."""
        stands = self.surface.proud_mm * self.surface.known_area_m2
        return np.asarray(np.add.reduce(stands, axis=0, where=~np.isnan(stands)))

    @cached_property
    def mean_mm(self) -> float:
        """Mean of the wall's face [mm]."""
        return float(self._column_l.sum()) / self.surface.net_area_m2

    @cached_property
    def mean_turn_deg(self) -> float:
        """How the face is turned, clockwise seen from above: of the line that its columns lie about [°]."""
        across_m2 = self.surface.known_area_m2.sum(axis=0)
        from_mean = self._column_l - across_m2 * self.mean_mm
        x = self.surface.x_m - self.surface.centroid_m[0]
        spread = float(across_m2 @ x**2)
        return math.degrees(math.atan(float(x @ from_mean) / spread / MM_PER_M)) if spread > 0 else 0.0

    def mean_mm_at(self, x_m: float) -> float:
        """Height of that line at a place from the wall's left end [mm]."""
        turn_mm_per_m = MM_PER_M * math.tan(math.radians(self.mean_turn_deg))
        return self.mean_mm + turn_mm_per_m * (x_m - self.surface.centroid_m[0])

    def height_mm(self, turn_mm_per_m: float) -> float:
        """Height at the centroid of the lowest plumb plane of a turn [mm]."""
        return float((self.points[:, 2] - turn_mm_per_m * self.points[:, 0]).max())

    def litres(self, height_mm: float) -> float:
        """Plaster under a plane of some height at the centroid that clears the wall [l]."""
        return self.surface.net_area_m2 * (height_mm - self.mean_mm)

    @cached_property
    def by_itself_l(self) -> float:
        """Plaster under the plumb plane that takes least, turned as the rule lets it [l].

        The lowest plane rests on two corners of the hull, or turns as far as it may.
        """
        low, high = self.rule.bounds[0]
        edges = np.diff(self.points, axis=0)
        turns = np.clip(np.concatenate([edges[:, 2] / edges[:, 0], [low, high]]), low, high)
        heights = self.points[:, 2] - turns[:, None] * self.points[:, 0]
        return self.litres(float(heights.max(axis=1).min()))

    def plane(self, turn_mm_per_m: float) -> TargetPlane:
        """The lowest plumb plane of a turn."""
        height = self.height_mm(turn_mm_per_m)
        rests = height + turn_mm_per_m * self.points[:, 0] - self.points[:, 2] <= BINDS_MM
        return placed(self.surface, self.rule, np.array([height, turn_mm_per_m, 0.0]), self.points[rests])
