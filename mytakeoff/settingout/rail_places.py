"""Rails where they let the plane sit lowest: the search, and what its answer saves.

Along a rail the plane has to clear the wall by the rail's depth and the room for its heads; elsewhere by the
least thickness only. So a rail that stands off the proudest ground saves plaster over the whole wall.

Notes
-----
For a plane of given slopes the least highest need is found by halving; then the plane for those rails is
found, and so on. The exact plane judges. There are never more rails than in the even pattern.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from mytakeoff.chain import evaluate
from mytakeoff.coats.build_up import full_coat
from mytakeoff.job.choices import RailChoice
from mytakeoff.job.edits import with_rail_places
from mytakeoff.job.job import Job
from mytakeoff.plane.target_plane import Clearance, PlaneRule, target_plane
from mytakeoff.rails.layout import CROWDED_M, Places, fewest, places_on, rails_on
from mytakeoff.rails.span import not_ruled
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.wall_result import WallResult

TURNS = 3  # turns of the plane to start from, besides those of the planes found
WORTH_L = 1e-6
MOVED_M = 0.1
FINE_MM = 0.05  # needs closer together than this are taken as one
MOST_ROUNDS = 4


@dataclass(frozen=True)
class RailPlan:
    """Where a wall's rails stand best, and what that is against the even pattern.

    Parameters
    ----------
    wall : str
    even_x_m, best_x_m : tuple of float
        Rails as they would stand without a choice, and as chosen [m].
    even_l, best_l : float
        Plaster that the wall takes with them [l].
    least_l : float
        What it would take if rails needed no room at all: no choice of rails is below that [l].
    """

    wall: str
    even_x_m: tuple[float, ...]
    best_x_m: tuple[float, ...]
    even_l: float
    best_l: float
    least_l: float

    @property
    def saved_l(self) -> float:
        """[l]"""
        return self.even_l - self.best_l

    @property
    def best_possible(self) -> bool:
        """Whether the rails cost no plaster at all where they stand."""
        return self.best_l <= self.least_l + 1e-3


class RailSearch:
    """The search on one wall: the exact plane is the judge of every choice."""

    def __init__(
        self,
        surface: Surface,
        rule: PlaneRule,
        rails: RailChoice,
        even: tuple[float, ...],
        places: Places,
    ) -> None:
        self.surface, self.rule, self.rails = surface, rule, rails
        self.even, self.best, self.places = even, even, places
        self._litres: dict[tuple[float, ...], float] = {}

    def litres(self, rails_x_m: tuple[float, ...]) -> float:
        """Plaster on the wall with rails at those places [m], in litres [l]."""
        if rails_x_m not in self._litres:
            rule = replace(self.rule, rails_x_m=rails_x_m)
            made = full_coat(self.surface, target_plane(self.surface, rule), rule)
            self._litres[rails_x_m] = made.volume_l
        return self._litres[rails_x_m]

    def slopes(self, rails_x_m: tuple[float, ...]) -> tuple[float, float]:
        """Turn and lean of the plane with rails at those places [m], in [mm/m]."""
        plane = target_plane(self.surface, replace(self.rule, rails_x_m=rails_x_m))
        return plane.b_mm_per_m, plane.c_mm_per_m

    def heights(self, b: float, c: float) -> Floats:
        """How high a plane of those slopes [mm/m] has to be at x = 0 for a rail at each place (n,) [mm]."""
        clear = Clearance(self.surface, replace(self.rule, rails_x_m=(), least_mm=0.0, cut_mm=0.0))
        cells = clear.proud_mm - (c * clear.z_m)[:, None]
        columns = np.where(
            np.isnan(cells).all(axis=0), -np.inf, np.nanmax(np.nan_to_num(cells, nan=-1e9), axis=0)
        )
        columns = columns - b * clear.x_m
        half = float(self.surface.x_m[1] - self.surface.x_m[0]) / 2 if self.surface.x_m.size > 1 else 1e9
        near = np.abs(self.surface.x_m[None, :] - self.places.x_m[:, None]) <= half + 1e-9
        high = np.where(near, columns[None, :], -np.inf).max(axis=1)
        for x, z, proud in clear.points:
            at = np.abs(self.places.x_m - x - clear.x0_m) <= half + 1e-9
            high[at] = np.maximum(high[at], proud - b * x - c * z)
        return np.asarray(high)

    def unruled_m2(self, rails_x_m: tuple[float, ...]) -> float:
        """Ground that no straightedge on those rails [m] reaches [m²]."""
        missed = not_ruled(self.surface.wall, rails_x_m, self.rails)
        return sum(rectangle.area_m2 for rectangle in missed)

    def lowest_for(self, b: float, c: float) -> tuple[float, ...] | None:
        """No more rails than the even ones, whose highest need under a plane of those slopes [mm/m] is least.

        The needs are sorted, and the least is found by halving at which a choice still rules the wall.
        """
        high = self.heights(b, c)
        levels = np.unique(np.ceil(high / FINE_MM) * FINE_MM)
        low, top, best = 0, len(levels) - 1, None
        while low <= top:
            middle = (low + top) // 2
            found = fewest(self.places, np.ones_like(high), high <= levels[middle] + 1e-9, spaced=True)
            if found is not None and self._as_good_as_even(found):
                best, top = found, middle - 1
            else:
                low = middle + 1
        return best

    def _as_good_as_even(self, rails_x_m: tuple[float, ...]) -> bool:
        few = len(rails_x_m) <= len(self.even)
        return few and self.unruled_m2(rails_x_m) <= self.unruled_m2(self.even) + 1e-9

    def starts(self) -> list[tuple[float, float]]:
        """Slopes to start from: of the plane without rails, with the even ones, and turned either way."""
        bare = self.slopes(())
        (low, high), _ = self.rule.bounds
        most = 2 * max(self.rule.rail_least_mm - self.rule.least_mm, 0.0) / self.surface.wall.width_m
        turned = [
            (float(np.clip(bare[0] + turn, low, high)), bare[1]) for turn in np.linspace(-most, most, TURNS)
        ]
        return list(dict.fromkeys([bare, self.slopes(self.even), *turned]))

    def steps(self) -> Iterator[tuple[float, ...]]:
        """The best rails found so far, again and again until no better ones are found."""
        self.best = self.even
        yield self.best
        for found in self._tries():
            if self.litres(self.best) <= self.litres(()) + WORTH_L:
                return
            if self.litres(found) < self.litres(self.best) - WORTH_L:
                self.best = found
            yield self.best

    def _tries(self) -> Iterator[tuple[float, ...]]:
        """Choices worth judging: from each start the rails for a plane, the plane for those rails, and on."""
        if len(self.even) == 1:
            yield from ((float(place),) for place in self.places.x_m)
            return
        for slopes in self.starts():
            before = np.inf
            for _ in range(MOST_ROUNDS):
                found = self.lowest_for(*slopes)
                if found is None or self.litres(found) >= before - WORTH_L:
                    break
                before, slopes = self.litres(found), self.slopes(found)
                yield found
        yield from self._moves()

    def _moves(self) -> Iterator[tuple[float, ...]]:
        """The best choice with one rail moved a little, each in turn."""
        for nth in range(len(self.even)):
            rails = self.best
            if nth >= len(rails):
                return
            others = np.array(rails[:nth] + rails[nth + 1 :])
            near = self.places.x_m[np.abs(self.places.x_m - rails[nth]) <= MOVED_M + 1e-9]
            apart = near[np.abs(near[:, None] - others).min(axis=1) >= CROWDED_M]
            for place in apart.tolist():
                moved = tuple(sorted((*others.tolist(), place)))
                if self._as_good_as_even(moved):
                    yield moved


def search_of(job: Job, wall: WallResult) -> RailSearch | None:
    """The search on one wall of a job; None where rails do not move the plane.

    Parameters
    ----------
    job : Job
    wall : WallResult
    """
    if not wall.rails:
        return None
    ground, rails = wall.entry.wall, job.rails
    return RailSearch(wall.surface, wall.rule, rails, rails_on(ground, rails), places_on(ground, rails))


def plan_steps(job: Job, wall: WallResult) -> Iterator[RailPlan]:
    """The best plan found so far, step by step; nothing for a wall without rails.

    Parameters
    ----------
    job : Job
    wall : WallResult
    """
    search = search_of(job, wall)
    if search is None:
        return
    even = search.even
    for best in search.steps():
        even_l, best_l = search.litres(even), search.litres(best)
        # where prices weigh the cutting too, the plane without rails may fill a little more and cut less
        yield RailPlan(wall.entry.name, even, best, even_l, best_l, min(search.litres(()), best_l))


def best_rails(job: Job, wall: WallResult) -> RailPlan | None:
    """Where a wall's rails stand best; None for a wall without rails.

    Parameters
    ----------
    job : Job
    wall : WallResult

    Notes
    -----
    Never worse than the even pattern and never more rails. Of a plane whose slopes are fixed (plumb and
    square) it is the best choice among places 25 mm apart; of one that is free to turn the best that going
    to and fro between plane and rails finds from several turns, each rail moved a little at the end.
    """
    plan = None
    for plan in plan_steps(job, wall):  # noqa: B007
        pass
    return plan


def saved_money(job: Job, plan: RailPlan) -> Decimal:
    """What a plan takes off the job's total against the even pattern; bags are whole."""
    even, best = (evaluate(with_rail_places(job, plan.wall, places)) for places in ((), plan.best_x_m))
    return even.cost.total - best.cost.total
