"""How the walls of a room stand to one another, as far as that was measured: corners, headings, plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from mytakeoff.corners.closing import Closed, closed
from mytakeoff.corners.measuring import MeasuredCorner, measured
from mytakeoff.corners.plan import Plan, plan_of
from mytakeoff.corners.quadrilateral import across_corners
from mytakeoff.corners.room_corner import STRAIGHT_DEG
from mytakeoff.corners.round_room import chains, closes
from mytakeoff.errors import Check
from mytakeoff.job.choices import Room
from mytakeoff.plane.outline import Outline
from mytakeoff.survey.corner import TURN
from mytakeoff.survey.survey import Survey

KEPT_ROOMS = 16


@dataclass(frozen=True)
class Standing:
    """How a wall is turned, clockwise seen from above, from the first that it hangs together with.

    Parameters
    ----------
    group : str
        That first wall: walls of one group hang together.
    planes_deg, wanted_deg : float
        Of the plane that it was measured off, and of its finished face as it shall be [°].
    """

    group: str
    planes_deg: float = 0.0
    wanted_deg: float = 0.0


@dataclass(frozen=True, eq=False)
class Joined:
    """The walls of a room as they join.

    Parameters
    ----------
    corners : tuple of MeasuredCorner
        In order round the room, closed; one at a wall that takes no part is free.
    standing : mapping of str to Standing
        Of the walls that take part.
    closing : Closed or None
        Where walls go all round.
    """

    corners: tuple[MeasuredCorner, ...]
    standing: Mapping[str, Standing]
    closing: Closed | None

    @property
    def known(self) -> tuple[MeasuredCorner, ...]:
        """The corners that are not free."""
        return tuple(each for each in self.corners if each.angle_deg is not None)

    def together(self, *names: str) -> bool:
        """Whether walls take part and hang together."""
        groups = {self.standing[name].group if name in self.standing else name for name in names}
        return len(groups) == 1 and all(name in self.standing for name in names)


@lru_cache(maxsize=KEPT_ROOMS)
def joined(room: Room, surveys: tuple[Survey, ...]) -> Joined:
    """How the walls of a room stand to one another.

    Parameters
    ----------
    room : Room
    surveys : tuple of Survey
        Of the walls that take part, each off a plumb plane.

    Raises
    ------
    TakeoffError
        Angles that do not close, or are not those wanted by far; diagonals that no room has.
    """
    read = {survey.wall.name: survey for survey in surveys}
    corners: list[MeasuredCorner] = []
    closing = None
    for chain in chains(room.corners):
        found = _measured_along(room, chain, read)
        if closes(chain, room.corners):
            closing = closed(found, f"room {room.name!r}")
            found = closing.corners
        corners += found
    _check_turns(room, corners)
    return Joined(tuple(corners), _standing(tuple(read), corners), closing)


def _check_turns(room: Room, corners: Sequence[MeasuredCorner]) -> None:
    """Refuse a corner that is far from the angle that it shall have: one of the two is wrong."""
    check = Check()
    for each in corners:
        off = each.off_mm_per_m
        check.that(
            off is None or TURN.holds(off),
            f"planes at {each.angle_deg or 0.0:.1f}°, {each.corner.angle_deg:g}° wanted",
            f"no plane is turned by more than {TURN.high:g} mm/m to bring a corner to its angle",
            "look at angle_deg and at what was measured there",
            f"room {room.name!r}, {each.corner.where}",
        )
    check.done()


def _measured_along(
    room: Room, chain: Sequence[str], surveys: Mapping[str, Survey]
) -> tuple[MeasuredCorner, ...]:
    """The corners along a chain of walls, each as it was measured."""
    at = {each.wall: each for each in room.corners}
    along = [at[name] for name in chain if name in at]
    if room.diagonals is None or room.diagonals.wall not in chain:
        return tuple(measured(each, surveys) for each in along)
    inside = {name: surveys[name] for name in chain if name in surveys}
    return across_corners(room.diagonals, along, inside, f"room {room.name!r}, diagonals")


def _standing(names: Sequence[str], corners: Sequence[MeasuredCorner]) -> dict[str, Standing]:
    """From each wall on, in their order, to those that it hangs together with."""
    found: dict[str, Standing] = {}
    for name in names:
        if name in found:
            continue
        found[name], left = Standing(name), [name]
        while left:
            here = left.pop()
            for there, standing in _beside(here, found[here], corners):
                if there not in found:
                    found[there] = standing
                    left.append(there)
    return found


def _beside(here: str, standing: Standing, corners: Sequence[MeasuredCorner]) -> list[tuple[str, Standing]]:
    """The walls at both ends of one, by the corners there that are known."""
    found = []
    for each in corners:
        corner = each.corner
        if each.angle_deg is None or here not in (corner.wall, corner.next_wall):
            continue
        there, way = (corner.next_wall, 1) if corner.wall == here else (corner.wall, -1)
        planes = standing.planes_deg + way * (STRAIGHT_DEG - each.angle_deg)
        wanted = standing.wanted_deg + way * (STRAIGHT_DEG - corner.angle_deg)
        found.append((there, Standing(standing.group, planes, wanted)))
    return found


def plans_of(room: Room, found: Joined, outlines: Mapping[str, Outline]) -> tuple[Plan, ...]:
    """The rough walls in plan, those that hang together end to end in one.

    Raises
    ------
    TakeoffError
        Walls all round that do not close.
    """
    known = [each.corner for each in found.known]
    plans = []
    for run in chains(known):
        turned = {name: found.standing[name].planes_deg + outlines[name].mean_turn_deg for name in run}
        walls = {name: (outlines[name].surface.wall.width_m, turned[name] - turned[run[0]]) for name in run}
        plans.append(plan_of(walls, closes(run, known), f"room {room.name!r}"))
    return tuple(plans)
