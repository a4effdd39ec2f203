"""Walls in plan, seen from above, from their widths and how they are turned.

What the walls all round a room do not close by is spread over them by their widths (compass rule: N.
Bowditch, in C. D. Ghilani and P. R. Wolf, "Elementary Surveying", 13th edition (2012), chapter 10, from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.survey.survey import Floats

# Widths may miss closing by so much for each wall: beyond it one of them is wrong, or their order. Common
# practice, no source.
GAP_PER_WALL_M = 0.025
NOT_FACING_DEG = 45.0


@dataclass(frozen=True, eq=False)
class Across:
    """Where a wall lies that another one faces.

    Parameters
    ----------
    x_m : float
        The place opposite, from that wall's own left end [m].
    away_m : float
        How far it is, the way that one walks [m].
    """

    x_m: float
    away_m: float


@dataclass(frozen=True, eq=False)
class Plan:
    """Walls in plan: x to the right along the first, y up the page, the room below it [m].

    Parameters
    ----------
    names : tuple of str
        In order round the room.
    width_m : (n,) float
        Of each wall, as it was taped; in the plan it is as much longer or shorter as closing takes [m].
    left_m, right_m : (n, 2) float
        The ends of each wall, as one has them who faces it from inside [m].
    gap_m : float
        By how much the walls all round missed closing, before that was spread; 0 where they do not go all
        round [m].
    """

    names: tuple[str, ...]
    width_m: Floats
    left_m: Floats
    right_m: Floats
    gap_m: float = 0.0

    def across(self, wall: str, x_m: float, opposite: str, aside_deg: float = 0.0) -> Across | None:
        """What one comes to who walks straight away from a wall, from a place along it, to another's line.

        Parameters
        ----------
        wall : str
        x_m : float
            Where, from its left end [m].
        opposite : str
        aside_deg : float
            How far from square to the wall, clockwise [°].

        Returns
        -------
        Across or None
            None where that wall does not face it.

        Examples
        --------
        >>> plan = plan_of({"N": (4.0, 0.0), "E": (3.0, 90.0), "S": (4.0, 180.0)})
        >>> seen = plan.across("N", 1.0, "S")
        >>> round(seen.x_m, 9), round(seen.away_m, 9)
        (3.0, 3.0)
        """
        here, there = self.names.index(wall), self.names.index(opposite)
        along, beyond = (self.right_m[nth] - self.left_m[nth] for nth in (here, there))
        square = np.array([along[1], -along[0]]) / np.hypot(*along)
        sine, cosine = math.sin(math.radians(aside_deg)), math.cos(math.radians(aside_deg))
        away = np.array([[cosine, sine], [-sine, cosine]]) @ square
        start = self.left_m[here] + x_m / self.width_m[here] * along
        askew = math.degrees(math.atan2(-(beyond @ square) * np.hypot(*along), -(beyond @ along)))
        if abs(askew) > NOT_FACING_DEG:
            return None
        distance, share = np.linalg.solve(np.column_stack([away, -beyond]), self.left_m[there] - start)
        if distance <= 0 or not 0 <= round(float(share), 6) <= 1:
            return None
        return Across(float(share * self.width_m[there]), float(distance))

    @property
    def area_m2(self) -> float:
        """Floor between walls that go all round [m²]."""
        x, y = self.left_m.T
        return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def plan_of(walls: Mapping[str, tuple[float, float]], closes: bool = False, place: str = "") -> Plan:
    """Walls joined end to end.

    Parameters
    ----------
    walls : mapping of str to (float, float)
        In order round the room, clockwise: width [m], and how far each is turned, clockwise from the first
        [°].
    closes : bool
        The last meets the first.
    place : str
        For the message.

    Raises
    ------
    TakeoffError
        Walls all round that do not close.
    """
    width, turned = (np.array(column) for column in zip(*walls.values(), strict=True))
    heading = np.radians(turned)
    runs = width[:, None] * np.column_stack([np.cos(heading), -np.sin(heading)])
    gap = runs.sum(axis=0) if closes else np.zeros(2)
    gap_m = float(np.hypot(*gap))
    if gap_m > GAP_PER_WALL_M * len(walls):
        raise TakeoffError(_open(tuple(walls), gap_m, place))
    runs -= gap * (width / width.sum())[:, None]
    right = runs.cumsum(axis=0)
    return Plan(tuple(walls), width, right - runs, right, gap_m)


def _open(names: Sequence[str], gap_m: float, place: str) -> Mistake:
    return Mistake(
        f"walls that miss closing by {gap_m * 1000:.0f} mm: {', '.join(map(repr, names))}",
        f"all round they close to {GAP_PER_WALL_M * 1000:g} mm a wall",
        "look at the widths and the angles, and whether each wall's right end meets the next one's left end",
        place,
    )
