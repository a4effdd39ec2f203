"""What is asked of finished faces that look at one another: parallel, and so far apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from mytakeoff.corners.clear_width import BY_TAPE_MM, ClearWidth
from mytakeoff.corners.measuring import MM_PER_M
from mytakeoff.corners.plan import Across, Plan
from mytakeoff.corners.room_corner import STRAIGHT_DEG
from mytakeoff.corners.round_room import ROUND_DEG
from mytakeoff.errors import Check
from mytakeoff.job.choices import Room
from mytakeoff.plane.outline import Outline
from mytakeoff.plane.planes_together import Between, Tie
from mytakeoff.rooms.joined import Joined

BY_WIDTHS_MM = 10.0  # what a distance is known to by the walls between; common practice, no source
SAME_DEG = 1e-6


@dataclass(frozen=True)
class Distance:
    """How far apart the planes stand that two walls were measured off, at the place of a clear width.

    Parameters
    ----------
    asked : ClearWidth
    across : Across or None
        What lies opposite; None: it is not known how the walls lie to one another.
    planes_mm : float
        Between the planes, there, square to that of the wall [mm].
    known_mm : float
        It is known to ± this [mm].
    share : float
        What a millimetre before the other plane takes of it [-].
    """

    asked: ClearWidth
    across: Across | None = None
    planes_mm: float = math.nan
    known_mm: float = BY_WIDTHS_MM
    share: float = 1.0

    def between(self, names: Sequence[str]) -> Between:
        """What the two faces may stand before their planes together, for walls in this order."""
        assert self.across is not None
        asked = self.asked
        walls = names.index(asked.wall), names.index(asked.opposite)
        return Between(*walls, asked.x_m, self.across.x_m, self.planes_mm - asked.needs_mm, self.share)


def distances(
    room: Room, found: Joined, outlines: Mapping[str, Outline], plans: Sequence[Plan]
) -> tuple[Distance, ...]:
    """The distance at each clear width.

    Raises
    ------
    TakeoffError
        Walls that do not face one another there, or one that must remain where the distance is not known.
    """
    check = Check()
    distances = []
    for asked in room.clear_widths:
        check.place = f"room {room.name!r}, clear width {asked.name!r}"
        distances.append(_distance(asked, found, outlines, plans, check))
        check.that(
            distances[-1].across is not None or not asked.must,
            f"no distance known between {asked.wall!r} and {asked.opposite!r}",
            "a width that must remain is kept between walls whose planes have a known distance",
            "read both off plumb planes and enter between_planes_mm, or measure the corners between them",
        )
    check.done()
    return tuple(distances)


def _distance(
    asked: ClearWidth, found: Joined, outlines: Mapping[str, Outline], plans: Sequence[Plan], check: Check
) -> Distance:
    if not {asked.wall, asked.opposite} <= set(outlines):
        return Distance(asked)
    here, there = outlines[asked.wall], outlines[asked.opposite]
    plan = next((each for each in plans if {asked.wall, asked.opposite} <= set(each.names)), None)
    if plan is None:
        if asked.between_planes_mm is None:
            return Distance(asked)
        width_m = there.surface.wall.width_m  # as if the walls faced one another from end to end
        across: Across | None = Across(min(max(width_m - asked.x_m, 0.0), width_m), 0.0)
    else:
        across = plan.across(asked.wall, asked.x_m, asked.opposite, -here.mean_turn_deg)
    check.that(
        across is not None,
        f"nothing of {asked.opposite!r} opposite {asked.wall!r} at {asked.x_m:g} m",
        "a clear width lies between walls that face one another",
        "choose the wall that is opposite there, or another place along the wall",
    )
    if across is None:
        return Distance(asked, Across(0.0, 0.0))
    share = 1.0
    if plan is not None:
        turned = found.standing[asked.opposite].planes_deg - found.standing[asked.wall].planes_deg
        share = -1.0 / math.cos(math.radians(turned))
    if asked.between_planes_mm is not None:
        return Distance(asked, across, asked.between_planes_mm, BY_TAPE_MM, share)
    rough_mm = here.mean_mm_at(asked.x_m) + share * there.mean_mm_at(across.x_m)
    return Distance(asked, across, MM_PER_M * across.away_m + rough_mm, BY_WIDTHS_MM, share)


def parallels(room: Room, found: Joined, names: Sequence[str], tolerance_mm_per_m: float) -> Iterator[Tie]:
    """The ties of walls that shall be parallel, as far as it is known how they lie to one another.

    Raises
    ------
    TakeoffError
        Walls that the corners between them turn otherwise.
    """
    check = Check(f"room {room.name!r}, parallel")
    for wall, other in room.parallel:
        if not found.together(wall, other):
            continue
        here, there = found.standing[wall], found.standing[other]
        turned = there.wanted_deg - here.wanted_deg
        check.that(
            abs(turned % STRAIGHT_DEG) < SAME_DEG or abs(turned % STRAIGHT_DEG - STRAIGHT_DEG) < SAME_DEG,
            f"{wall!r} and {other!r}, turned by {turned % ROUND_DEG:g}° at the corners between them",
            "walls are parallel where the corners between them turn by 180°",
            "name two that face one another, or look at the angles of those corners",
        )
        check.done()
        apart = turned - (there.planes_deg - here.planes_deg)
        yield Tie(names.index(wall), names.index(other), MM_PER_M * math.radians(apart), tolerance_mm_per_m)
