"""The plane that costs least in filling and in taking down by the litre, exactly.

On each cell cost is a hinge: it rises with the plane's height above the cell, and with its depth below. Their
sum is convex and piecewise linear in the plane's three numbers, so the cheapest plane is a linear programme
with a variable a cell.

Notes
-----
Cells are gathered in groups. A group's mean costs no more than its cells do, and as much where none of them
lies across the plane from the others (Jensen): a programme over groups tells the cost from below. Groups that
its plane divides are split there and it is solved again, until none is. Some hundred groups do for ten
thousand cells; they do not depend on prices or limit, so the next question begins where this one ended.

References
----------
S. Portnoy and R. Koenker, "The Gaussian hare and the Laplacian tortoise", Statistical Science 12 (1997)
279-300, gather the observations on either side of the fit in the same way. From memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from mytakeoff.plane.cut_path import CUT_WEIGHT, CutPath
from mytakeoff.survey.survey import Floats

FIRST_GROUPS = 300
EXACT_SHARE = 1e-9  # a rest that groups divided by the plane leave open, of the cost
CALM_SHARE = 1e-8  # of planes that cost the same the one that turns and leans least: weight of a turn
TIGHT = 1e-10


class Hinges:
    """The cells of a wall and rule, gathered in groups that grow finer with each question."""

    def __init__(self, path: CutPath) -> None:
        self.path, self.points = path, path.points
        self.group = np.arange(path.area_m2.size)
        if path.area_m2.size > FIRST_GROUPS:
            side_m = np.sqrt(path.area_m2.sum() / FIRST_GROUPS)
            across, up = (np.floor((at - at.min()) / side_m).astype(int) for at in (path.x_m, path.z_m))
            self.group = np.unique(across + (across.max() + 1) * up, return_inverse=True)[1].ravel()

    def at(self, cut_worth: float, limit_mm: float, close_share: float = EXACT_SHARE) -> tuple[Floats, float]:
        """The cheapest plane and what planes cost at least.

        Parameters
        ----------
        cut_worth : float
            What a litre taken down costs, in litres filled, 0 or more [l/l].
        limit_mm : float
            Most that may be taken down [mm].
        close_share : float
            The search ends when the plane costs no more than this share above the least [-].

        Returns
        -------
        plane : (3,) float
            As of `CutPath`.
        least_l : float
            No plane costs less, in litres filled beyond the least thickness [l].
        """
        worth = cut_worth + CUT_WEIGHT
        while True:
            plane, least = self._over_groups(worth, limit_mm)
            over = self.path.over_mm(plane) * self.path.area_m2
            above, below = (self._sums(np.maximum(sign * over, 0.0)) for sign in (1.0, -1.0))
            rest = (1.0 + worth) * np.minimum(above, below)
            proud = self.path.clearance.above(plane[0] + limit_mm, plane[1], plane[2])
            close = rest.sum() <= close_share * max(1.0, least)
            if close and not len(proud):
                return plane, least
            self.points = np.vstack([self.points, proud]) if len(proud) else self.points
            if not close:
                self._split(rest > close_share * rest.sum(), over > 0)

    def _sums(self, values: Floats) -> Floats:
        return np.asarray(np.bincount(self.group, values), dtype=np.float64)

    def _split(self, groups: NDArray[np.bool_], part: NDArray[np.bool_]) -> None:
        """Part each of the groups in two: its cells that lie in `part` become a group of their own."""
        new = groups.size + np.cumsum(groups) - 1
        self.group = np.where(groups[self.group] & part, new[self.group], self.group)

    def _over_groups(self, worth: float, limit_mm: float) -> tuple[Floats, float]:
        """The cheapest plane over the groups' means, and its cost, by the dual programme.

        A cell's share in the plane's weight lies between none and all that it costs to cross it; the
        plane's three numbers are the prices of the three balances.
        """
        path, area = self.path, self._sums(self.path.area_m2)
        means = [self._sums(path.area_m2 * each) / area for each in (path.x_m, path.z_m, path.height_mm)]
        share, net_m2 = area / area.sum(), float(area.sum())
        place = np.vstack([np.ones(area.size), *means[:2]])
        clear, clear_mm = self._clearing(limit_mm)
        calm = clear[:, -4:]  # a little weight that no turn and no lean need to carry
        most = np.concatenate([(1.0 + worth) * share, np.full(clear_mm.size, np.inf), np.full(4, CALM_SHARE)])
        answer = linprog(
            -np.concatenate([means[2], clear_mm, np.zeros(4)]),
            A_eq=np.hstack([place, clear, calm]),
            b_eq=place @ share,
            bounds=[(0.0, float(each)) for each in most],
            method="highs-ds",
            options={"primal_feasibility_tolerance": TIGHT, "dual_feasibility_tolerance": TIGHT},
        )
        if answer.x is None or answer.fun is None:
            raise RuntimeError(f"the search for the cheapest plane failed: {answer.message}")
        plane = -np.asarray(answer.eqlin.marginals)
        off = 2 * CALM_SHARE * float(np.abs(plane[1:]).sum())  # what calm may have put on top
        return plane, net_m2 * float(-answer.fun - share @ means[2] - off)

    def _clearing(self, limit_mm: float) -> tuple[Floats, Floats]:
        """What a plane has to clear (3, k) and how high that is (k,) [mm]; last the bounds of its slopes."""
        points, (b, c) = self.points, self.path.bounds
        sides = np.array([[0.0] * 4, [1.0, -1.0, 0.0, 0.0], [0.0, 0.0, 1.0, -1.0]])
        clear = np.hstack([np.vstack([np.ones(len(points)), points[:, :2].T]), sides])
        return clear, np.concatenate([points[:, 2] - limit_mm, [b[0], -b[1], c[0], -c[1]]])
