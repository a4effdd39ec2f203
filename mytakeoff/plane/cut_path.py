"""How the target plane moves as more of the high spots may be taken down, and what each depth moves.

What a plane costs then is convex, so linear bounds tell it from below.

Notes
-----
With high spots taken down the problem is convex but no longer small: Newton's steps for the smooth sum of
many cells, then Kelley's cutting planes, which say when it is near enough.

References
----------
J. E. Kelley, "The cutting-plane method for solving convex programs", J. SIAM 8 (1960) 703-712.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linprog, nnls

from mytakeoff.plane.clearance import Clearance
from mytakeoff.plane.lowest_plane import Bounds, lowest_plane
from mytakeoff.plane.rule import ROUNDING_MM, PlaneRule
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

CLOSE_SHARE = 1e-7  # of the litres, where many cells together cost smoothly and Newton's steps are exact
CLOSE_SHARE_FEW, FEW_CELLS = 1e-10, 500  # with few cells the cost has edges, and its plane lies in a corner
MOST_ROUNDS = 60  # in a region where planes take equal plaster to a millilitre, more rounds buy nothing
KEPT_PIECES = 200
MOST_STEPS = 8
TOUCHES_MM = 1e-6
NEAR_SHARE = 0.02  # cells this near the plane tell how its cost bends


class CutPath:
    """Target planes of one wall and rule for many depths of taking down.

    What a plane costs does not depend on the depth, only which planes are allowed does, so each linear bound
    and each high spot found for one depth serves all others. Planes are (3,) arrays: height at the middle
    of the area [mm], turn and lean [mm/m]. The one where nothing is taken down is worked out where it is not
    given.
    """

    def __init__(self, surface: Surface, rule: PlaneRule, uncut_plane: Floats | None = None) -> None:
        uncut = replace(rule, cut_mm=0.0)
        self.clearance = Clearance(surface, uncut)
        self.cost: Overfill = overfill(
            surface, self.clearance.x_m, self.clearance.z_m, uncut.lift_mm(surface)
        )
        self.bounds = uncut.bounds
        self.points = np.zeros((0, 3))
        if uncut_plane is None:
            a, b, c, self.points = lowest_plane(self.clearance.above, self.clearance.highest(), self.bounds)
            uncut_plane = np.array([a, b, c])
        self.uncut: Floats = uncut_plane
        self.pieces: list[tuple[float, Floats]] = []
        self._add_piece(self.uncut)
        known = surface.known_area_m2 > 0
        row, column = np.nonzero(known)
        self.x_m, self.z_m = self.clearance.x_m[column], self.clearance.z_m[row]
        self.height_mm, self.area_m2 = self.cost.height_mm[known], surface.known_area_m2[known]
        self.wall_mm = surface.proud_mm[known]
        self.close_share = CLOSE_SHARE if row.size > FEW_CELLS else CLOSE_SHARE_FEW

    def _add_piece(self, plane: Floats) -> float:
        """Take over the linear bound at a plane; what the plane costs [l]."""
        value, slope = self.cost.at(plane)
        self.pieces = [*self.pieces[-KEPT_PIECES:], (value - float(slope @ plane), slope)]
        return value

    def _cleared(self, plane: Floats, depth_mm: float) -> Floats:
        """The plane raised until it cuts nothing deeper than the depth."""
        while True:
            above = self.clearance.above(plane[0] + depth_mm, plane[1], plane[2])
            if not len(above):
                return plane
            self.points = np.unique(np.vstack([self.points, above]), axis=0)
            plane = raised(plane, above - [0.0, 0.0, depth_mm])

    def at(self, depth_mm: float, start: Floats | None = None) -> Floats:
        """The target plane for a depth [mm], by cutting planes as in `cutback`.

        Parameters
        ----------
        depth_mm : float
            0 or more [mm].
        start : (3,) float, optional
            A plane near the answer; between those of two other depths is a good one.
        """
        if depth_mm <= 0:
            return self.uncut
        best = self._cleared(self.uncut - [depth_mm, 0.0, 0.0] if start is None else start, depth_mm)
        best, least = self._nearer(best, depth_mm)
        for _ in range(MOST_ROUNDS):
            bound, plane = lowest_bound(self.pieces, self.points - [0.0, 0.0, depth_mm], self.bounds)
            if least - bound <= self.close_share * max(1.0, least):
                break
            self._add_piece(plane)
            cleared = self._cleared(plane, depth_mm)
            value = self._add_piece(cleared) if cleared is not plane else self.cost.at(plane)[0]
            if value < least:
                best, least = cleared, value
        return best

    def deepest_mm(self, plane: Floats) -> float:
        """Most that a plane cuts off a cell or a reading, 0 where it clears them [mm]."""
        read = self.clearance.points
        over = read[:, 2] - plane[0] - plane[1] * read[:, 0] - plane[2] * read[:, 1]
        return max(float(self.over_mm(plane).max()), float(over.max(initial=0.0)), 0.0)

    def binding(self, plane: Floats, depth_mm: float) -> Floats:
        """Points (k, 3) [m, m, mm] that a plane touches when they are taken down by a depth [mm].

        Of those known to have bound a plane, and the ones that stand furthest above this one.
        """
        proudest = self.clearance.above(plane[0] + depth_mm - TOUCHES_MM / 2, plane[1], plane[2])
        points = np.vstack([self.points, proudest]) - [0.0, 0.0, depth_mm]
        gap = plane[0] + points[:, :2] @ plane[1:] - points[:, 2]
        return np.asarray(np.unique(points[np.abs(gap) <= TOUCHES_MM], axis=0))

    def _nearer(self, plane: Floats, depth_mm: float) -> tuple[Floats, float]:
        """A plane near the answer and what it costs: Newton's steps, as long as they help."""
        least = self._add_piece(plane)
        for _ in range(MOST_STEPS):
            step = self._step(plane, depth_mm)
            tried = self._cleared(plane + step, depth_mm)
            value = self._add_piece(tried)
            if value >= least:
                tried = self._cleared(plane + step / 4, depth_mm)
                value = self._add_piece(tried)
            if value >= least:
                break
            plane, least = tried, value
        return plane, least

    def _step(self, plane: Floats, depth_mm: float) -> Floats:
        """Newton's step (3,) under the high spots found so far: many cells together cost smoothly."""
        over = self.over_mm(plane)
        free = np.array([True, *(low < high for low, high in self.bounds)])
        area = self.area_m2
        near = max(float(np.quantile(np.abs(over), NEAR_SHARE)), 1e-6)
        close = np.abs(over) <= near
        place = np.column_stack([np.ones(int(close.sum())), self.x_m[close], self.z_m[close]])[:, free]
        bend = (place * area[close, None]).T @ place / (2 * near)
        bend += np.eye(len(bend)) * 1e-6 * max(float(np.trace(bend)), 1e-9)
        weight = np.where(over < 0, area, -CUT_WEIGHT * area)
        slope = np.array([weight.sum(), (weight * self.x_m).sum(), (weight * self.z_m).sum()])[free]
        rows = np.column_stack([np.ones(len(self.points)), self.points[:, :2]])
        short = self.points[:, 2] - depth_mm - rows @ plane
        sides = np.array([[0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], dtype=np.float64)
        limits = np.array(
            [sign * value for pair in self.bounds for sign, value in zip((1, -1), pair, strict=True)]
        )
        rows, short = np.vstack([rows, sides]), np.concatenate([short, limits - sides @ plane])
        used = rows[:, free].any(axis=1)
        step = np.zeros(3)
        step[free] = _least_quadratic(bend, slope, rows[used][:, free], short[used])
        return step

    @property
    def least_l(self) -> float:
        """Litres of the least thickness over the known area [l]."""
        return float((self.area_m2 * (self.height_mm - self.wall_mm)).sum())

    def over_mm(self, plane: Floats) -> Floats:
        """How far each known cell with its least thickness stands above a plane (n,), negative below [mm]."""
        return np.asarray(self.height_mm - self._face_mm(plane))

    def _face_mm(self, plane: Floats) -> Floats:
        """Height of a plane at each known cell (n,) [mm]; no matrix product, which would wake threads."""
        return np.asarray(plane[0] + plane[1] * self.x_m + plane[2] * self.z_m)

    def moved(self, plane: Floats) -> tuple[float, float, float]:
        """Litres filled [l], litres taken down [l] and area taken down [m²] with a plane."""
        over = self.over_mm(plane)
        cut = np.where(over > ROUNDING_MM, over, 0.0)
        cut_l = float((cut * self.area_m2).sum())
        fill_l = float(((self._face_mm(plane) - self.wall_mm) * self.area_m2).sum()) + cut_l
        return fill_l, cut_l, float(self.area_m2[cut > 0].sum())


def _least_quadratic(bend: Floats, slope: Floats, rows: Floats, least: Floats) -> Floats:
    """The step s of least ``slope · s + s · bend · s / 2`` with ``rows · s >= least``.

    References
    ----------
    C. L. Lawson and R. J. Hanson, "Solving Least Squares Problems" (1974), chapter 23, least distance
    programming.
    """
    root = np.linalg.cholesky(bend).T
    back = np.linalg.inv(root)
    free = -back @ (back.T @ slope)
    if not least.size:
        return np.asarray(free)
    lines, right = rows @ back, least - rows @ free
    size = np.maximum(np.abs(lines).max(axis=1), 1e-300)
    lines, right = lines / size[:, None], right / size
    scale = max(float(np.abs(right).max()), 1e-300)
    system = np.vstack([lines.T, right / scale])
    target = np.zeros(len(system))
    target[-1] = 1.0
    try:
        weights, _ = nnls(system, target)
    except RuntimeError:  # too many rounds; any step will do, the caller clears the high spots and checks
        return free
    rest = system @ weights - target
    if abs(rest[-1]) < 1e-14:
        return free
    return np.asarray(free - back @ (rest[:-1] / rest[-1]) * scale)


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
