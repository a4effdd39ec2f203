"""Closing round a room: 180° less each angle inside comes to 360°, and what is over is spread.

Sources
-------
Spread over measured angles by their variances, as a traverse is adjusted by least squares: angles of one
precision take equal parts, exact ones none. C. D. Ghilani and P. R. Wolf, "Elementary Surveying", 13th
edition (2012), chapter 10; E. M. Mikhail and F. Ackermann, "Observations and Least Squares" (1976),
adjustment by conditions. Both from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from mytakeoff.corners.measuring import MM_PER_M, MeasuredCorner
from mytakeoff.corners.room_corner import STRAIGHT_DEG
from mytakeoff.corners.round_room import ROUND_DEG
from mytakeoff.errors import Mistake, TakeoffError

MOST_SD = 2.5  # what is over by more standard deviations is a mistake: once in 80 rooms it is none
FEW_DEG = 1e-9


@dataclass(frozen=True)
class Closed:
    """Corners round a room that close.

    Parameters
    ----------
    corners : tuple of MeasuredCorner
        In order round the room.
    over_mm_per_m : float or None
        By how much the angles were over before that was spread; None: nothing told whether they close [mm/m].
    sd_mm_per_m : float
        Standard deviation of that [mm/m].
    followed : MeasuredCorner or None
        The one that was free and follows from the others.
    """

    corners: tuple[MeasuredCorner, ...]
    over_mm_per_m: float | None = None
    sd_mm_per_m: float = 0.0
    followed: MeasuredCorner | None = None


def closed(corners: Sequence[MeasuredCorner], place: str = "") -> Closed:
    """Corners all round a room with what they are over spread over them, or the one that is free found.

    Parameters
    ----------
    corners : sequence of MeasuredCorner
        Every corner of a room whose walls go all round it.
    place : str
        For the message.

    Raises
    ------
    TakeoffError
        Angles that close by more than 2.5 standard deviations too much or too little.

    Examples
    --------
    Four angles 4 mm/m too wide together; the one that is known four times as surely takes a sixteenth of what
    the others take, and so does none that is exact.

    >>> from mytakeoff.corners.room_corner import RoomCorner
    >>> names = "NESWN"
    >>> sds = (2.0, 2.0, 0.5, 0.0)
    >>> found = [MeasuredCorner(RoomCorner(names[n], names[n + 1]), 90.0, sd) for n, sd in enumerate(sds)]
    >>> found[0] = replace(found[0], angle_deg=90.0 + math.degrees(0.004))
    >>> [round(each.off_mm_per_m, 3) for each in closed(found).corners]
    [2.061, -1.939, -0.121, 0.0]
    """
    free = [nth for nth, each in enumerate(corners) if each.angle_deg is None]
    if len(free) > 1:
        return Closed(tuple(corners))
    turned = sum(STRAIGHT_DEG - each.angle_deg for each in corners if each.angle_deg is not None)
    sd = math.sqrt(sum(each.sd_mm_per_m**2 for each in corners))
    if free:
        found = replace(corners[free[0]], angle_deg=STRAIGHT_DEG - (ROUND_DEG - turned), sd_mm_per_m=sd)
        around = [found if nth == free[0] else each for nth, each in enumerate(corners)]
        return Closed(tuple(around), followed=found)
    over_deg = ROUND_DEG - turned
    over = MM_PER_M * math.radians(over_deg)
    if abs(over) > MOST_SD * sd and abs(over_deg) > FEW_DEG:
        raise TakeoffError(_not_closed(corners, over_deg, over, sd, place))
    return Closed(tuple(_spread(each, over_deg, sd) for each in corners), over, sd)


def _spread(each: MeasuredCorner, over_deg: float, sd: float) -> MeasuredCorner:
    """A corner without its part of what the angles are over."""
    if each.sd_mm_per_m == 0 or each.angle_deg is None:
        return each
    share = (each.sd_mm_per_m / sd) ** 2
    return replace(
        each,
        angle_deg=each.angle_deg - share * over_deg,
        sd_mm_per_m=each.sd_mm_per_m * math.sqrt(1.0 - share),
    )


def _not_closed(
    corners: Sequence[MeasuredCorner], over_deg: float, over: float, sd: float, place: str
) -> Mistake:
    off = [each for each in corners if each.sd_mm_per_m > 0] or list(corners)
    named = ", ".join(f"{one.corner.wall!r} – {one.corner.next_wall!r} {one.angle_deg:.2f}°" for one in off)
    return Mistake(
        f"angles that are {abs(over_deg):.2f}° ({abs(over):.1f} mm/m) too {'wide' if over > 0 else 'narrow'} "
        f"all round: {named}",
        f"all round they close to {MOST_SD:g} standard deviations, {MOST_SD * sd:.1f} mm/m",
        "measure one of these corners again, or leave the one that you trust least unmeasured: it follows "
        "from the others",
        place,
    )
