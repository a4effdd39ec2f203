"""The plumb planes of several walls that take the least plaster together: exact, a linear programme.

Unknown are each wall's height at the centroid of its area, where it is the mean, and its turn. Each plane
clears its wall (`Outline`), turns hang together where walls join, and faces that look at one another keep
their distance.

Notes
-----
Of a wall only the upper hull of its columns counts for plumb planes, some dozens of points however many
cells there are, so the whole programme is given at once: generating constraints would save nothing.

Angles hang together, and a plane has the tangent of its angle. Each round sets the tangents to the last
answer and solves again; the error is squared each time, so two or three are exact. Where many turns cost the
same, tangents make one or the other cheaper by turns: from then on each round goes half as far as the last.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from mytakeoff.plane.outline import MM_PER_M, Outline
from mytakeoff.survey.survey import Floats

SAME_MM_PER_M = 1e-6
FREE_ROUNDS, MOST_ROUNDS = 3, 40
CALM_L = 1e-9  # so much more may be used by the calmest of equal answers
CALMER_MM_PER_M = 1e-4  # what is calmer by less is rounding
Span = tuple[float | None, float | None]


@dataclass(frozen=True)
class Tie:
    """How much further clockwise one wall's face is turned than another's, from the planes measured off.

    Parameters
    ----------
    wall, other : int
        Which walls.
    apart_mm_per_m : float
        The angle from the first to the other, 1000 times its radians [mm/m].
    within_mm_per_m : float
        By how much it may differ, 0 or more [mm/m].
    """

    wall: int
    other: int
    apart_mm_per_m: float
    within_mm_per_m: float = 0.0


@dataclass(frozen=True)
class Between:
    """What two faces that look at one another may stand out together, at one place.

    Parameters
    ----------
    wall, other : int
        Which walls.
    x_m, other_x_m : float
        The place, from each wall's left end [m].
    most_mm : float
        Most that both faces may stand before the planes measured off, there [mm].
    share : float
        What a millimetre of the other face takes of the distance, 1 where they are parallel [-].
    """

    wall: int
    other: int
    x_m: float
    other_x_m: float
    most_mm: float
    share: float = 1.0

    def row(self, outlines: Sequence[Outline]) -> Floats:
        """What heights and turns, one after the other, take of the distance (2n,)."""
        n, row = len(outlines), np.zeros(2 * len(outlines))
        for nth, x, share in ((self.wall, self.x_m, 1.0), (self.other, self.other_x_m, self.share)):
            row[nth] += share
            row[n + nth] += share * (x - outlines[nth].surface.centroid_m[0])
        return row


def lowest_together(
    outlines: Sequence[Outline], ties: Sequence[Tie] = (), betweens: Sequence[Between] = ()
) -> Floats | None:
    """The turns of the plumb planes that take the least plaster together.

    Parameters
    ----------
    outlines : sequence of Outline
    ties : sequence of Tie
    betweens : sequence of Between

    Returns
    -------
    (n,) float or None
        Of equal answers one whose turns come to the least together [mm/m]. None where no planes keep all of
        it.

    Raises
    ------
    RuntimeError
        It did not end, which would be a fault of this program.

    Examples
    --------
    One wall comes forward by 4 mm to its right end, the other goes back by as much. Each by itself would turn
    with its face; square to one another, on planes that are square, neither does.

    >>> from mytakeoff.plane.rule import PlaneRule
    >>> from mytakeoff.surface.surface import Surface
    >>> from mytakeoff.survey.wall import Wall
    >>> faces = [[[0.0, 1.0, 2.0, 3.0]], [[3.0, 2.0, 1.0, 0.0]]]
    >>> across = [0.5, 1.5, 2.5, 3.5]
    >>> walls = [Surface.from_grid(Wall("A", 4.0, 1.0), across, [0.5], face) for face in faces]
    >>> outlines = [Outline.of(wall, PlaneRule()) for wall in walls]
    >>> lowest_together(outlines).tolist(), lowest_together(outlines, [Tie(0, 1, 0.0)]).tolist()
    ([1.0, -1.0], [0.0, 0.0])
    """
    turns, reach = np.zeros(len(outlines)), math.inf
    for nth in range(MOST_ROUNDS):
        found = _Programme(outlines, ties, betweens, turns, reach).turns(calm=nth > 0)
        if found is None:
            return None
        moved, turns = float(np.abs(found - turns).max()), found + 0.0  # no minus nought
        if nth > 0 and _off(ties, turns) <= SAME_MM_PER_M:
            return turns
        reach = moved / 2 if nth >= FREE_ROUNDS else math.inf
    raise RuntimeError("the search for the lowest planes of a room did not end")


def least_litres(
    outlines: Sequence[Outline], ties: Sequence[Tie], betweens: Sequence[Between], near: Floats
) -> float:
    """What such planes take together, for turns near given ones [mm/m]; infinite where there are none [l]."""
    found = _Programme(outlines, ties, betweens, near).turns()
    return math.inf if found is None else litres_of(outlines, found)


def litres_of(outlines: Sequence[Outline], turns: Floats) -> float:
    """Plaster under the lowest planes of these turns [mm/m] together [l]."""
    return sum(each.litres(each.height_mm(turn)) for each, turn in zip(outlines, turns.tolist(), strict=True))


def short_mm(outlines: Sequence[Outline], ties: Sequence[Tie], betweens: Sequence[Between]) -> Floats | None:
    """By how much distances fall short, where no planes keep all of them: the least together (k,) [mm].

    None where turns cannot hang together as they shall, whatever the distances.
    """
    near = lowest_together(outlines, ties)
    return None if near is None else _Programme(outlines, ties, betweens, near).short()


def _off(ties: Sequence[Tie], turns: Floats) -> float:
    """By how much angles differ from what they shall, the worst [mm/m]."""
    angle = MM_PER_M * np.arctan(turns / MM_PER_M)
    over = (
        abs(angle[tie.other] - angle[tie.wall] - tie.apart_mm_per_m) - tie.within_mm_per_m for tie in ties
    )
    return float(max(over, default=0.0))


class _Programme:
    """The linear programme in heights and turns, angles by their tangents at given turns [mm/m]."""

    def __init__(
        self,
        outlines: Sequence[Outline],
        ties: Sequence[Tie],
        betweens: Sequence[Between],
        turns: Floats,
        reach_mm_per_m: float = math.inf,
    ) -> None:
        n = len(outlines)
        self.area_m2 = np.array([each.surface.net_area_m2 for each in outlines])
        rows, most = [_clearing(outlines)], [-np.concatenate([each.points[:, 2] for each in outlines])]
        slope = 1.0 / (1.0 + (turns / MM_PER_M) ** 2)
        angle = MM_PER_M * np.arctan(turns / MM_PER_M)
        for tie in ties:
            row, at = np.zeros(2 * n), [tie.other, tie.wall]
            row[[n + tie.other, n + tie.wall]] = slope[at] * [1.0, -1.0]
            apart = tie.apart_mm_per_m + float(np.array([1.0, -1.0]) @ (slope * turns - angle)[at])
            rows += [row[None, :], -row[None, :]]
            most += [np.array([apart + tie.within_mm_per_m]), np.array([tie.within_mm_per_m - apart])]
        rows += [each.row(outlines)[None, :] for each in betweens]
        most += [np.array([each.most_mm for each in betweens])]
        self.rows, self.most, self.betweens = np.vstack(rows), np.concatenate(most), len(betweens)
        spans = (each.rule.bounds[0] for each in outlines)
        near = [
            (max(low, turn - reach_mm_per_m), min(high, turn + reach_mm_per_m))
            for (low, high), turn in zip(spans, turns.tolist(), strict=True)
        ]
        self.bounds: list[Span] = [(None, None)] * n + near

    def turns(self, calm: bool = False) -> Floats | None:
        """Turns of the planes that take least, of equal ones the calmest if that is asked for."""
        n = self.area_m2.size
        cost = np.concatenate([self.area_m2, np.zeros(n)])
        found = _solved(cost, self.rows, self.most, self.bounds)
        if found is None or not calm:
            return None if found is None else found[n:]
        calmest = self._calmest(cost, float(cost @ found))
        turned = [np.abs(each).sum() for each in (found[n:], calmest)]
        return found[n:] if turned[1] > turned[0] - CALMER_MM_PER_M else calmest

    def _calmest(self, cost: Floats, least: float) -> Floats:
        """Turns of the planes that cost no more and turn least."""
        n = self.area_m2.size
        none, one = np.zeros((n, n)), np.eye(n)
        rows = np.vstack([
            np.hstack([self.rows, np.zeros((len(self.rows), n))]),
            np.concatenate([cost, np.zeros(n)])[None, :],
            np.hstack([none, one, -one]),
            np.hstack([none, -one, -one]),
        ])  # fmt: skip
        most = np.concatenate([self.most, [least + CALM_L * max(1.0, abs(least))], np.zeros(2 * n)])
        turned = np.concatenate([np.zeros(2 * n), np.ones(n)])
        found = _solved(turned, rows, most, [*self.bounds, *[(0.0, None)] * n])
        return np.full(n, np.inf) if found is None else found[n : 2 * n]

    def short(self) -> Floats:
        """The least that distances have to fall short by together [mm]."""
        k = self.betweens
        slack = np.zeros((len(self.rows), k))
        slack[len(self.rows) - k :] = -np.eye(k)
        cost = np.concatenate([np.zeros(self.rows.shape[1]), np.ones(k)])
        found = _solved(cost, np.hstack([self.rows, slack]), self.most, [*self.bounds, *[(0.0, None)] * k])
        return np.zeros(k) if found is None else found[-k:]


def _clearing(outlines: Sequence[Outline]) -> Floats:
    """Each point of each wall kept under its plane: rows over heights and turns."""
    n, rows = len(outlines), []
    for nth, each in enumerate(outlines):
        row = np.zeros((len(each.points), 2 * n))
        row[:, nth], row[:, n + nth] = -1.0, -each.points[:, 0]
        rows.append(row)
    return np.vstack(rows)


def _solved(cost: Floats, rows: Floats, most: Floats, bounds: Sequence[Span]) -> Floats | None:
    answer = linprog(
        cost,
        rows,
        most,
        bounds=bounds,
        method="highs",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    return np.asarray(answer.x) if answer.success else None
