"""Where the rails stand on a wall with openings: as few as rule all of it, clear of corners and openings.

Notes
-----
The even pattern stays where it keeps clear of openings and rules everything. Else a small whole-number
programme over places 25 mm apart takes the fewest that do, with one switch for each opening and height: the
edge is laid across it or ends at it. An edge slides, but never beyond a rail by more than twice its overhang.
What no two rails reach is said, and a rail of the user's own that leaves such ground stops the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from mytakeoff.job.choices import RailChoice
from mytakeoff.rails.rails import FUZZ, check_cutting, greatest_bay_m, rail_positions
from mytakeoff.rails.span import ROCKS, RuledBand, bands, not_ruled, stands_in
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Wall

Mask = NDArray[np.bool_]

STEP_M = 0.025  # rails are set out with a tape: places to choose from stand so far apart
MOST_PLACES = 800  # 20 m of them; on longer walls they stand further apart, or the search takes minutes
TAPE_M = 0.005  # and no place is finer than this: what is said and what is worked out are one
CROWDED_M = 0.2  # on a pier two rails may stand closer than on a whole wall, but not closer than this
TIE = 1e-3  # a rail's weight is 1; a metre away from an even pattern weighs this much


@dataclass(frozen=True, eq=False)
class Places:
    """Where rails may stand on a wall, and what any choice of them has to keep.

    Parameters
    ----------
    x_m : (n,) float
        Places, rising [m].
    rows : (k, n + m) float
        A choice (1 where a rail stands) and m switches, each whether the edge is laid across one opening at
        one height, times these gives at least `least` [-].
    least : (k,) float
        [-]
    bare_least : (k,) float
        The same where the ends of a pier too narrow for two rails do with one [-].
    crowd : (n, n) float
        Places closer together than two rails should stand: at most one of each row [-].
    """

    x_m: Floats
    rows: Floats
    least: Floats
    bare_least: Floats
    crowd: Floats


def _sides(wall: Wall) -> list[float]:
    """Sides of openings and fitted units [m]."""
    found = (*wall.openings, *wall.fitted)
    return sorted({side for o in found for side in (o.x_m, o.x_m + o.width_m)})


def _on_tape(place_m: float, way: float = 0.0) -> float:
    """A place on whole steps of a tape [m]: the nearest, or with `way` 1 or -1 the next up or down."""
    steps = place_m / TAPE_M - way * 1e-6  # a place that is one already stays
    whole = round(steps) if way == 0 else math.ceil(steps) if way > 0 else math.floor(steps)
    return round(whole * TAPE_M, 3)


def candidates(wall: Wall, rails: RailChoice) -> Floats:
    """Places clear of corners and of the sides of openings, on whole steps of a tape, rising [m].

    Between two sides that leave no such place their middle is taken.
    """
    first, last = _on_tape(rails.end_m, 1), _on_tape(wall.width_m - rails.end_m, -1)
    sides, clear = _sides(wall), rails.opening_clear_m
    edges = [place for side in sides for place in (_on_tape(side - clear, -1), _on_tape(side + clear, 1))]
    steps = np.arange(0, wall.width_m, max(STEP_M, _on_tape(wall.width_m / MOST_PLACES, 1)))
    grid = np.array([first, last, *steps, *edges])
    kept = grid[(grid >= first - FUZZ) & (grid <= last + FUZZ)]
    for side in sides:
        kept = kept[np.abs(kept - side) >= clear - FUZZ]
    ends = [0.0, *sides, wall.width_m]
    middles = [
        _on_tape((left + right) / 2) if right - left > 2 * TAPE_M else (left + right) / 2
        for left, right in pairwise(ends)
        if right - left > FUZZ and not ((kept > left) & (kept < right)).any()
    ]
    return np.unique(np.round([*kept, *middles], 6))


class _Rows:
    """Rows under way: (places counted, switch or None, its weight, least, least for a bare pier)."""

    def __init__(self, x_m: Floats, rails: RailChoice) -> None:
        self.x_m, self.bay = x_m, greatest_bay_m(rails)
        self.reach, self.rocks = rails.straightedge_m - rails.overhang_m, ROCKS * rails.overhang_m
        self.found: list[tuple[Mask, int | None, float, float, float]] = []
        self.switches = 0

    def band(self, band: RuledBand, there: Mask) -> None:
        """What one height needs of the rails that stand there."""
        self._left_end(there, band.stretches[0][0], None)
        for (low, high), following in zip(band.stretches, (*band.stretches[1:], None), strict=True):
            self._inside(there, low, high)
            if following is None:
                self._right_end(there, high, None)
                continue
            switch, self.switches = self.switches, self.switches + 1
            self._right_end(there, high, switch)
            self._left_end(there, following[0], switch)
            self._across(there, high, following[0], switch)

    def _between(self, there: Mask, low: float, high: float) -> Mask:
        """Places that stand there from one place to another [m]."""
        return np.asarray(there & (self.x_m >= low - FUZZ) & (self.x_m <= high + FUZZ))

    def _left_end(self, there: Mask, at: float, switch: int | None) -> None:
        self._end(there, at, at + self.reach, switch)
        self.found.append((self._between(there, at, at + self.rocks), switch, 1.0, 1.0, 1.0))

    def _right_end(self, there: Mask, at: float, switch: int | None) -> None:
        self._end(there, at - self.reach, at, switch)
        self.found.append((self._between(there, at - self.rocks, at), switch, 1.0, 1.0, 1.0))

    def _end(self, there: Mask, low: float, high: float, switch: int | None) -> None:
        """At an end of ground the edge reaches it from two rails, unless it is laid across the opening."""
        counted = self._between(there, low, high)
        places = self.x_m[counted]
        roomy = places.size > 1 and places[-1] - places[0] >= CROWDED_M - FUZZ
        self.found.append((counted, switch, 2.0, 2.0, 2.0 if roomy else min(1.0, places.size)))

    def _inside(self, there: Mask, low: float, high: float) -> None:
        """No gap wider than a bay on one stretch of ground."""
        for start in (low, *self.x_m[self._between(there, low, high)]):
            if start + self.bay < high - FUZZ:
                row = self._between(there, start, start + self.bay) & (self.x_m > start + FUZZ)
                self.found.append((row, None, 0.0, 1.0, min(1.0, row.sum())))

    def _across(self, there: Mask, left: float, right: float, switch: int) -> None:
        """With the edge laid across an opening, no gap wider than a bay over it."""
        for start in self.x_m[self._between(there, right - self.bay, left)]:
            row = self._between(there, start, start + self.bay) & (self.x_m > start + FUZZ)
            self.found.append((row, switch, -1.0, 0.0, 0.0))
        if right - left > self.bay:
            self.found.append((np.zeros(self.x_m.size, dtype=bool), switch, -1.0, 0.0, 0.0))
        before = self._between(there, left - self.bay, left)
        self.found.append((before, switch, -1.0, 0.0, 0.0))

    def matrix(self) -> tuple[Floats, Floats, Floats]:
        """Each row once."""
        made = np.zeros((len(self.found), self.x_m.size + self.switches + 2))
        for row, (counted, switch, weight, least, bare) in zip(made, self.found, strict=True):
            row[: self.x_m.size] = counted
            if switch is not None:
                row[self.x_m.size + switch] = weight
            row[-2:] = least, bare
        once = np.unique(made, axis=0)
        return once[:, :-2], once[:, -2], once[:, -1]


def layout_of(rails: RailChoice) -> RailChoice:
    """What of the choice decides where rails stand; the rest as it is by default, so that another screw or
    another laser moves none and costs no search."""
    return RailChoice(
        used=rails.used,
        straightedge_m=rails.straightedge_m,
        overhang_m=rails.overhang_m,
        end_m=rails.end_m,
        opening_clear_m=rails.opening_clear_m,
        width_mm=rails.width_mm,
    )


def places_on(wall: Wall, rails: RailChoice) -> Places:
    """Where rails may stand on a wall, and what any choice of them has to keep.

    Raises
    ------
    TakeoffError
        Measures out of their range.
    """
    check_cutting(rails)
    return _places(wall, layout_of(rails))


@lru_cache(maxsize=64)
def _places(wall: Wall, rails: RailChoice) -> Places:
    x = candidates(wall, rails)
    rows = _Rows(x, rails)
    for band in bands(wall):
        rows.band(band, np.array([stands_in(wall, float(place), band, rails) for place in x]))
    apart = min(CROWDED_M, rows.bay) - FUZZ
    crowd = (x[None, :] >= x[:, None]) & (x[None, :] < x[:, None] + apart)
    return Places(x, *rows.matrix(), crowd.astype(float))


def fewest(
    places: Places, weight: Floats, allowed: Mask, spaced: bool = False, bare: bool = False
) -> tuple[float, ...] | None:
    """The choice of least weight among the places allowed; None if no choice keeps what it has to.

    Parameters
    ----------
    places : Places
    weight : (n,) float
        Of each place, around 1 [-].
    allowed : (n,) bool
    spaced : bool
        No two rails stand in each other's way.
    bare : bool
        Piers too narrow for two rails do with one, from which nobody can rule.
    """
    n, switches = len(places.x_m), places.rows.shape[1] - len(places.x_m)
    least = places.bare_least if bare else places.least
    free = np.concatenate([allowed, np.ones(switches)]).astype(float)
    if (np.maximum(places.rows, 0.0) @ free < least).any():
        return None
    limits = [LinearConstraint(csr_array(places.rows), lb=least)]
    if spaced:
        limits.append(LinearConstraint(csr_array(np.pad(places.crowd, ((0, 0), (0, switches)))), ub=1.0))
    found = milp(
        np.concatenate([weight, np.zeros(switches)]),
        integrality=np.ones(n + switches, dtype=np.int64),
        bounds=Bounds(0, free),
        constraints=limits,
        options={"mip_rel_gap": 0.0},
    )
    return tuple(places.x_m[found.x[:n] > 0.5].tolist()) if found.success else None


def even_weight(x_m: Floats, wall: Wall, rails: RailChoice) -> Floats:
    """Weights that put as few rails as possible, near the places of an even pattern [-]."""
    even = np.array(rail_positions(wall.width_m, rails))
    return np.asarray(1.0 + TIE * np.abs(x_m[:, None] - even[None, :]).min(axis=1))


def clear_of_openings(wall: Wall, rails_x_m: Sequence[float], rails: RailChoice) -> bool:
    """Whether rails at those places [m] keep clear of the sides of openings."""
    clear = rails.opening_clear_m - FUZZ
    return all(abs(x - side) >= clear for x in rails_x_m for side in _sides(wall))


def rails_on(wall: Wall, rails: RailChoice) -> tuple[float, ...]:
    """Where the rails stand, as few as rule all of the wall, from its left end [m].

    Parameters
    ----------
    wall : Wall
    rails : RailChoice

    Returns
    -------
    tuple of float
        On whole steps of a tape, 5 mm: the even pattern of `rail_positions` where it keeps clear of openings
        and rules everything; else the fewest rails that do, near that pattern. Ground that no rails can rule
        stays over (`not_ruled`).

    Raises
    ------
    TakeoffError
        Measures out of their range.

    Examples
    --------
    A door beside the middle rail of a wall of 2.7 m: the even rail at 1.35 m stands too near its side.

    >>> rails_on(Wall("A", 3.943, 2.6), RailChoice())
    (0.15, 1.06, 1.97, 2.88, 3.79)
    >>> from mytakeoff.survey.wall import Opening
    >>> doored = Wall("A", 2.7, 2.6, openings=(Opening("door", 1.3, 0.0, 0.8, 2.05),))
    >>> rails_on(doored, RailChoice())
    (0.15, 1.2, 2.35, 2.55)
    """
    if not rails.used:
        return ()
    check_cutting(rails)
    return _rails(wall, layout_of(rails))


@lru_cache(maxsize=64)
def _rails(wall: Wall, rails: RailChoice) -> tuple[float, ...]:
    even = rail_positions(wall.width_m, rails)
    if len(even) == 1:
        return (_on_tape(even[0]),) if wall.width_m > 2 * TAPE_M else even
    near, over = (
        (_on_tape(even[0], 1), *(_on_tape(place, way) for place in even[1:-1]), _on_tape(even[-1], -1))
        for way in (0.0, 1.0)
    )
    for places in (near, over, even):  # finer than a tape only where the edge reaches no further
        if clear_of_openings(wall, places, rails) and not not_ruled(wall, places, rails):
            return places
    choice = places_on(wall, rails)
    weight, everywhere = even_weight(choice.x_m, wall, rails), np.ones(len(choice.x_m), dtype=bool)
    for spaced, bare in ((True, False), (True, True), (False, True)):
        found = fewest(choice, weight, everywhere, spaced, bare)
        if found is not None:
            return found
    return even
