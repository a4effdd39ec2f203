"""Where the rails stand and how many fixings they take.

A straightedge rides on two neighbouring rails and reaches beyond each by its overhang, so rails stand at most
straightedge − 2 × overhang apart (common practice, no source).
"""

from __future__ import annotations

import math

from mytakeoff.choices import RailChoice
from mytakeoff.errors import Check

LEAST_BAY_M = 0.3  # closer than this, two rails are in each other's way
FUZZ = 1e-9


def greatest_bay_m(rails: RailChoice) -> float:
    """How far apart two rails may stand for the straightedge to reach beyond both [m].

    Raises
    ------
    TakeoffError
        The straightedge is not longer than twice its overhang, or a measure is out of its range.

    Examples
    --------
    >>> round(greatest_bay_m(RailChoice(straightedge_m=1.5, overhang_m=0.2)), 3)
    1.1
    """
    check = Check("rails")
    check.that(
        rails.overhang_m >= 0 and rails.straightedge_m > 2 * rails.overhang_m,
        f"straightedge {rails.straightedge_m:g} m, overhang {rails.overhang_m:g} m",
        "the straightedge is longer than twice its overhang",
        "take a longer edge; 0.15 to 0.20 m of overhang is usual",
    )
    check.that(
        rails.end_m >= 0 and rails.fixing_step_m > 0,
        f"first rail {rails.end_m:g} m from the end, fixings {rails.fixing_step_m:g} m apart",
        "the distance from the end is 0 or more, fixings stand some way apart",
        "0.15 m from the end and fixings every 0.25 to 0.30 m are usual",
    )
    check.done()
    return rails.straightedge_m - 2 * rails.overhang_m


def rail_positions(width_m: float, rails: RailChoice) -> tuple[float, ...]:
    """Where the rails stand, from the wall's left end [m].

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


def fixings_per_rail(length_m: float, rails: RailChoice) -> int:
    """Fixings (or dabs) on one rail: one at each end and no further apart than the step [-].

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
