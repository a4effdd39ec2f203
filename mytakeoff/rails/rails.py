"""Where rails may stand and how they are cut: how far apart, in what pieces, with how many fixings.

A straightedge rides on two neighbouring rails and reaches beyond each by its overhang, so rails stand at most
straightedge − 2 × overhang apart (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mytakeoff.errors import Check
from mytakeoff.job.choices import RailChoice
from mytakeoff.survey.wall import Rectangle, Wall

LEAST_BAY_M = 0.3  # closer than this, two rails are in each other's way
LEAST_PIECE_M = 0.1  # a lower strip is ruled off upright, without a rail
FUZZ = 1e-9


@dataclass(frozen=True)
class RailPiece:
    """A rail from end to end, as it is cut.

    Parameters
    ----------
    x_m : float
        Its middle, from the wall's left end [m].
    bottom_m, top_m : float
        Its ends, from the floor [m].
    """

    x_m: float
    bottom_m: float
    top_m: float

    @property
    def length_m(self) -> float:
        """As it is cut [m]."""
        return self.top_m - self.bottom_m


def greatest_bay_m(rails: RailChoice) -> float:
    """How far apart two rails may stand for the straightedge to reach beyond both [m].

    Raises
    ------
    TakeoffError
        The straightedge is not longer than twice its overhang by 0.1 m at least.

    Examples
    --------
    >>> round(greatest_bay_m(RailChoice(straightedge_m=1.5, overhang_m=0.2)), 3)
    1.1
    """
    check = Check("rails")
    check.that(
        rails.straightedge_m >= 2 * rails.overhang_m + LEAST_PIECE_M - FUZZ,
        f"straightedge {rails.straightedge_m:g} m, overhang {rails.overhang_m:g} m",
        f"the straightedge is longer than twice its overhang, by {LEAST_PIECE_M:g} m at least",
        "take a longer edge; 0.15 to 0.20 m of overhang is usual",
    )
    check.done()
    return rails.straightedge_m - 2 * rails.overhang_m


def check_cutting(rails: RailChoice) -> None:
    """See that rails which keep clear of openings let the edge reach them.

    Raises
    ------
    TakeoffError
        They keep further away than the edge overhangs.
    """
    check = Check("rails")
    check.that(
        rails.opening_clear_m <= rails.overhang_m,
        f"rails {rails.opening_clear_m:g} m clear of openings, overhang {rails.overhang_m:g} m",
        "the edge reaches beyond the last rail to the opening, so the clearance is 0 to the overhang",
        "keep rails closer to openings, or let the edge overhang more",
    )
    check.done()


def rail_positions(width_m: float, rails: RailChoice) -> tuple[float, ...]:
    """Where rails stand on a wall without openings, from its left end [m].

    Parameters
    ----------
    width_m : float
        Width of the wall, more than 0 [m].
    rails : RailChoice

    Returns
    -------
    tuple of float
        First and last `end_m` from the wall's ends, bays equal and no wider than `greatest_bay_m`. One rail
        in the middle where two would stand within 0.3 m; none where no rails are used.

    Raises
    ------
    TakeoffError
        As `greatest_bay_m`.

    Examples
    --------
    A wall of 3.9 m with a 1.5 m edge: 3.6 m between the outer rails makes three bays of 1.2 m.

    >>> [round(x, 2) for x in rail_positions(3.9, RailChoice())]
    [0.15, 1.35, 2.55, 3.75]
    """
    if not rails.used:
        return ()
    bay = greatest_bay_m(rails)
    span = width_m - 2 * rails.end_m
    if span < min(LEAST_BAY_M, bay):
        return (width_m / 2,)
    bays = math.ceil(span / bay - FUZZ)
    last = width_m - rails.end_m  # rounding must not carry a rail off the wall
    return tuple(min(rails.end_m + span * k / bays, last) for k in range(bays + 1))


def free_heights(rectangles: Iterable[Rectangle], height_m: float) -> tuple[tuple[float, float], ...]:
    """What rectangles one above the other leave of a height: (from, to), lowest first [m].

    Examples
    --------
    >>> free_heights([Rectangle(0, 0.9, 1, 1.2)], 2.5)
    ((0.0, 0.9), (2.1, 2.5))
    """
    free, low = [], 0.0
    for bottom, top in sorted((r.z_m, r.z_m + r.height_m) for r in rectangles):
        if bottom > low + FUZZ:
            free.append((low, bottom))
        low = max(low, top)
    if low < height_m - FUZZ:
        free.append((low, height_m))
    return tuple(free)


def heights_at(wall: Wall, x_m: float, half_m: float = 0.0) -> tuple[tuple[float, float], ...]:
    """Heights at which a rail fits at a place, without the strips too low for one: (from, to) [m].

    Parameters
    ----------
    wall : Wall
    x_m : float
        Middle of the rail [m].
    half_m : float
        Half its width [m].
    """
    over = (
        r
        for r in wall.not_plastered
        if r.x_m - half_m + FUZZ < x_m < r.x_m + r.width_m + half_m - FUZZ and r.width_m > 0
    )
    return tuple((low, top) for low, top in free_heights(over, wall.height_m) if top - low >= LEAST_PIECE_M)


def rail_pieces(wall: Wall, rails_x_m: Sequence[float], rails: RailChoice) -> tuple[RailPiece, ...]:
    """The rails of a wall in pieces, cut at openings and short of floor and ceiling.

    Parameters
    ----------
    wall : Wall
    rails_x_m : sequence of float
        Where they stand, rising [m].
    rails : RailChoice

    Returns
    -------
    tuple of RailPiece
        Left to right, and at each place from the floor up.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Opening
    >>> wall = Wall("A", 3.0, 2.6, openings=(Opening("door", 1.0, 0.0, 0.9, 2.05),))
    >>> [(p.x_m, round(p.length_m, 2)) for p in rail_pieces(wall, [0.15, 1.4], RailChoice())]
    [(0.15, 2.58), (1.4, 0.53)]
    """
    half_m, play = rails.width_mm / 2000, rails.free_play_m
    return tuple(
        RailPiece(x, round(low + play, 9), round(top - play, 9))
        for x in sorted(rails_x_m)
        for low, top in heights_at(wall, x, half_m)
    )


def rail_names(rails: tuple[RailPiece, ...]) -> tuple[str, ...]:
    """Number of each piece of rail from the left, with a letter from the floor up where it is cut.

    Examples
    --------
    >>> rail_names((RailPiece(0.2, 0, 2.6), RailPiece(1.4, 0, 0.9), RailPiece(1.4, 2.1, 2.6)))
    ('1', '2a', '2b')
    """
    places = sorted({rail.x_m for rail in rails})
    names = []
    for rail in rails:
        column = [other for other in rails if other.x_m == rail.x_m]
        letter = chr(ord("a") + column.index(rail)) if len(column) > 1 else ""
        names.append(f"{places.index(rail.x_m) + 1}{letter}")
    return tuple(names)


def fixing_heights(piece: RailPiece, rails: RailChoice) -> tuple[float, ...]:
    """Where a piece of rail is fixed: near its ends and no further apart than the step, from the floor [m].

    One fixing in the middle of a piece on which two would stand within `fixing_end_m`.

    Examples
    --------
    >>> [round(z, 2) for z in fixing_heights(RailPiece(1.0, 0.0, 1.0), RailChoice(fixing_step_m=0.3))]
    [0.05, 0.35, 0.65, 0.95]
    """
    span = piece.length_m - 2 * rails.fixing_end_m
    if span < max(rails.fixing_end_m, FUZZ):
        return ((piece.bottom_m + piece.top_m) / 2,)
    steps = fixings_per_rail(span, rails) - 1
    first = piece.bottom_m + rails.fixing_end_m
    return tuple(round(first + span * k / steps, 9) for k in range(steps + 1))


def fixings_per_rail(length_m: float, rails: RailChoice) -> int:
    """Fixings (or dabs) on a length: one at each end and no further apart than the step [-].

    Examples
    --------
    >>> fixings_per_rail(2.4, RailChoice(fixing_step_m=0.3))
    9
    """
    return max(1, math.ceil(length_m / rails.fixing_step_m - FUZZ)) + 1


def rail_least_mm(rails: RailChoice) -> float:
    """Thickness that a rail needs over the wall: its depth and the room for the screw head behind it [mm].

    Examples
    --------
    >>> rail_least_mm(RailChoice(depth_mm=6, head_clearance_mm=2))
    8
    """
    return rails.depth_mm + rails.head_clearance_mm


def strips(wall: Wall) -> tuple[Rectangle, ...]:
    """Plastered ground as upright rectangles between the sides of openings, those high enough for a rail."""
    found = {side for r in wall.not_plastered for side in (r.x_m, r.x_m + r.width_m)}
    sides = sorted({0.0, wall.width_m, *(min(max(side, 0.0), wall.width_m) for side in found)})
    return tuple(
        Rectangle(left, low, right - left, top - low)
        for left, right in pairwise(sides)
        if right - left > FUZZ
        for low, top in heights_at(wall, (left + right) / 2)
    )
