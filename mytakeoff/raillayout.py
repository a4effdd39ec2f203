"""Where the rails stand on a wall with openings: as few as rule all of it, clear of corners and openings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from mytakeoff.choices import RailChoice
from mytakeoff.rails import FUZZ, LEAST_BAY_M, check_cutting, greatest_bay_m, rail_positions
from mytakeoff.railspan import Band, bands, not_ruled, stands_in
from mytakeoff.survey import Floats
from mytakeoff.wall import Wall

Mask = NDArray[np.bool_]

STEP_M = 0.025  # rails are set out with a tape: places to choose from stand so far apart
TIE = 1e-3  # a rail's weight is 1; a metre away from an even pattern weighs this much


@dataclass(frozen=True, eq=False)
class Places:
    """Where rails may stand on a wall, and what any choice of them has to keep.

    Parameters
    ----------
    x_m : (n,) float
        Places, rising [m].
    need : (rows, n) bool
        At least `least` of the places of each row are taken.
    least : (rows,) float
        [-]
    beside : (rows, n) float
        For piers between openings: a rail there has another within a bay; no row is below 0.
    crowd : (rows, n) bool
        Places closer together than two rails should stand: at most one of each row.
    """

    x_m: Floats
    need: Mask
    least: Floats
    beside: Floats
    crowd: Mask


def _sides(wall: Wall) -> list[float]:
    """Sides of openings and fitted units [m]."""
    found = (*wall.openings, *wall.fitted)
    return sorted({side for o in found for side in (o.x_m, o.x_m + o.width_m)})


def candidates(wall: Wall, rails: RailChoice) -> Floats:
    """Places clear of corners and of the sides of openings, rising [m].

    Between two sides that leave no such place their middle is taken.
    """
    first, last = rails.end_m, wall.width_m - rails.end_m
    sides, clear = _sides(wall), rails.opening_clear_m
    edges = [place for side in sides for place in (side - clear, side + clear)]
    steps = np.arange(0, wall.width_m, STEP_M)
    grid = np.array([first, last, *steps, *edges])
    kept = grid[(grid >= first - FUZZ) & (grid <= last + FUZZ)]
    for side in sides:
        kept = kept[np.abs(kept - side) >= clear - FUZZ]
    ends = [0.0, *sides, wall.width_m]
    middles = [
        (left + right) / 2
        for left, right in pairwise(ends)
        if right - left > FUZZ and not ((kept > left) & (kept < right)).any()
    ]
    return np.unique(np.round([*kept, *middles], 6))


def _rows_of(band: Band, there: Mask, x: Floats, rails: RailChoice) -> list[tuple[Mask, int]]:
    """What a band needs, as (places, how many of them).

    Two neighbouring rails further apart than a bay must not have ground between them that lies further from
    both than the overhang. So from the left end, and from each place on, the next rail comes in time.
    """
    bay, over = greatest_bay_m(rails), rails.overhang_m
    rows = []
    for start in (-np.inf, *x[there]):
        first = _first_ground(band, start + over)
        if first is None:
            continue
        limit = max(start + bay, first + over)
        row = there & (x > start + FUZZ) & (x <= limit + FUZZ)
        if row.any():
            rows.append((row, 1))
        elif start == -np.inf:  # clear of the corner by more than the overhang: the edge slides to reach it
            rows.append((there & (x <= first + bay + over + FUZZ), 2))
        elif not (there & (x > start + FUZZ)).any():
            end = band.stretches[-1][1]
            rows.append((there & (x >= end - bay - over - FUZZ), 2))
    return rows


def _first_ground(band: Band, from_m: float) -> float | None:
    """The first place of a band's ground that is not left of `from_m` [m]."""
    for low, high in band.stretches:
        if high > from_m + FUZZ:
            return max(low, from_m)
    return None


@lru_cache(maxsize=64)
def places_on(wall: Wall, rails: RailChoice) -> Places:
    """Where rails may stand on a wall, and what any choice of them has to keep.

    Raises
    ------
    TakeoffError
        Measures out of their range.
    """
    check_cutting(rails)
    x, bay = candidates(wall, rails), greatest_bay_m(rails)
    rows: list[tuple[Mask, int]] = []
    beside: list[Floats] = []
    apart = np.abs(x[:, None] - x[None, :])
    for band in bands(wall):
        there = np.array([stands_in(wall, float(place), band, rails) for place in x])
        rows += _rows_of(band, there, x, rails)
        partner = (there[None, :] & (apart <= bay + FUZZ) & (apart > FUZZ)).astype(float)
        beside += [partner[at] - np.eye(len(x))[at] for at in np.flatnonzero(there)]
    need = np.array([row for row, _ in rows]).reshape(-1, len(x))
    least = np.array([count for _, count in rows], dtype=float)
    together = np.unique(np.column_stack([need, least]), axis=0) if rows else np.empty((0, len(x) + 1))
    crowd = (x[None, :] >= x[:, None]) & (x[None, :] < x[:, None] + min(LEAST_BAY_M, bay) - FUZZ)
    pairs = np.array(beside).reshape(-1, len(x))
    return Places(x, together[:, :-1].astype(bool), together[:, -1], pairs, crowd)


def fewest(
    places: Places,
    weight: Floats,
    allowed: Mask,
    spaced: bool = False,
    paired: bool = False,
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
    paired : bool
        Rails between openings have another within a bay.
    """
    need = places.need & allowed
    if (need.sum(axis=1) < places.least).any():
        return None
    rows = [LinearConstraint(csr_array(need.astype(float)), lb=places.least)]
    if spaced:
        rows.append(LinearConstraint(csr_array(places.crowd.astype(float)), ub=1.0))
    if paired:
        rows.append(LinearConstraint(csr_array(places.beside), lb=0.0))
    found = milp(
        weight,
        integrality=np.ones(len(weight), dtype=np.int64),
        bounds=Bounds(0, allowed.astype(float)),
        constraints=rows,
        options={"mip_rel_gap": 0.0},
    )
    return tuple(places.x_m[found.x > 0.5].tolist()) if found.success else None


def even_weight(x_m: Floats, wall: Wall, rails: RailChoice) -> Floats:
    """Weights that put as few rails as possible, near the places of an even pattern [-]."""
    even = np.array(rail_positions(wall.width_m, rails))
    return np.asarray(1.0 + TIE * np.abs(x_m[:, None] - even[None, :]).min(axis=1))


def clear_of_openings(wall: Wall, rails_x_m: Sequence[float], rails: RailChoice) -> bool:
    """Whether rails at those places [m] keep clear of the sides of openings."""
    clear = rails.opening_clear_m - FUZZ
    return all(abs(x - side) >= clear for x in rails_x_m for side in _sides(wall))


@lru_cache(maxsize=64)
def rails_on(wall: Wall, rails: RailChoice) -> tuple[float, ...]:
    """Where the rails stand, as few as rule all of the wall, from its left end [m].

    Parameters
    ----------
    wall : Wall
    rails : RailChoice

    Returns
    -------
    tuple of float
        The even pattern of `rail_positions` where it keeps clear of openings and rules everything; else the
        fewest rails that do, near that pattern. Ground that no rails can rule stays over (`not_ruled`).

    Raises
    ------
    TakeoffError
        Measures out of their range.

    Examples
    --------
    A door beside the middle rail of a wall of 2.7 m: the even rail at 1.35 m stands in it.

    >>> from mytakeoff.wall import Opening
    >>> doored = Wall("A", 2.7, 2.6, openings=(Opening("door", 1.3, 0.0, 0.8, 2.05),))
    >>> rails_on(doored, RailChoice())
    (0.15, 1.2, 2.25, 2.55)
    """
    if not rails.used:
        return ()
    check_cutting(rails)
    even = rail_positions(wall.width_m, rails)
    if len(even) == 1 or (clear_of_openings(wall, even, rails) and not not_ruled(wall, even, rails)):
        return even
    places = places_on(wall, rails)
    weight, all_of_them = even_weight(places.x_m, wall, rails), np.ones(len(places.x_m), dtype=bool)
    found = spaced_out(places, weight, all_of_them)
    if found is not None and not_ruled(wall, found, rails):
        found = spaced_out(places, weight, all_of_them, paired=True) or found
    return found or even


def spaced_out(
    places: Places, weight: Floats, allowed: Mask, paired: bool = False
) -> tuple[float, ...] | None:
    """The same as `fewest`, spaced where that takes no rail more."""
    plain = fewest(places, weight, allowed, paired=paired)
    if plain is None or (np.diff(plain) >= LEAST_BAY_M - FUZZ).all():
        return plain
    spaced = fewest(places, weight, allowed, spaced=True, paired=paired)
    return spaced if spaced is not None and len(spaced) == len(plain) else plain
