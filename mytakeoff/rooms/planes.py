"""What comes of bringing the walls of a room to planes together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.measuring import MM_PER_M
from mytakeoff.corners.plan import Plan
from mytakeoff.plane.target_plane import TargetPlane

KEPT_MM = 1e-6


@dataclass(frozen=True)
class SquaredCorner:
    """A corner between two finished faces.

    Parameters
    ----------
    wall, next_wall : str
    wanted_deg : float
        Inside the room [°].
    planes_deg : float or None
        Between the planes that the walls were measured off, once the room closes; None: not known [°].
    sd_mm_per_m : float
        Standard deviation of both angles, 0 where they are exact [mm/m].
    got_deg : float or None
        Between the finished faces [°].
    costs_l : float
        What would be saved if this corner alone were free. All round a room that is exactly square that is
        nothing: the others hold it [l].
    alone_l : float
        What it costs to ask for this corner and for no other [l].
    """

    wall: str
    next_wall: str
    wanted_deg: float
    planes_deg: float | None
    sd_mm_per_m: float
    got_deg: float | None
    costs_l: float = 0.0
    alone_l: float = 0.0

    @property
    def off_mm_per_m(self) -> float | None:
        """How much wider than wanted it stands finished, over a metre [mm/m]."""
        return None if self.got_deg is None else MM_PER_M * math.radians(self.got_deg - self.wanted_deg)


@dataclass(frozen=True)
class FoundWidth:
    """A clear width between finished faces.

    Parameters
    ----------
    asked : ClearWidth
    got_mm : float or None
        None where it is not known how the two walls lie to one another [mm].
    known_mm : float
        It is known to ± this [mm].
    """

    asked: ClearWidth
    got_mm: float | None
    known_mm: float

    @property
    def kept(self) -> bool | None:
        """Whether as much remains as must; None where that is not known."""
        return None if self.got_mm is None else self.got_mm >= self.asked.needs_mm - KEPT_MM


@dataclass(frozen=True, eq=False)
class RoomPlanes:
    """The walls of a room on planes that were found together.

    Parameters
    ----------
    room : str
    tolerance_mm_per_m : float
        By how much each corner may differ from its angle [mm/m].
    walls : mapping of str to TargetPlane
        Of the walls that take part, in the job's order.
    turn_mm_per_m : float
        How the square of the room lies to the plane that its first wall was measured off: the turn that this
        wall has; where corners may differ, all walls that hang together with it counted by their area [mm/m].
    volume_l, separate_l : float
        Plaster, the finish in it, on the faces as surveyed, loose plaster off: on these planes, and with each
        wall plumb and free to turn by itself [l].
    priced_corners : function
        Gives `corners`: what each costs takes longer than the planes, and most who want these ask for none.
    tied : frozenset of str
        Walls that a corner of a known angle ties to another.
    widths : tuple of FoundWidth
    notices : tuple of str
        What the user should know.
    litres : mapping of str to float
        On each wall [l].
    plans : tuple of Plan
        The walls as they stand, seen from above: those that hang together in one.
    floor_lost_m2 : float
        Floor that the plaster stands on [m²].
    """

    room: str
    tolerance_mm_per_m: float
    walls: Mapping[str, TargetPlane]
    turn_mm_per_m: float
    volume_l: float
    separate_l: float
    priced_corners: Callable[[], tuple[SquaredCorner, ...]]
    tied: frozenset[str]
    widths: tuple[FoundWidth, ...]
    notices: tuple[str, ...]
    litres: Mapping[str, float]
    plans: tuple[Plan, ...]
    floor_lost_m2: float

    @property
    def corners(self) -> tuple[SquaredCorner, ...]:
        """The corners in order round the room: angle wanted, angle got, litres that it costs."""
        return self.priced_corners()

    @property
    def squared(self) -> frozenset[str]:
        """The walls that a corner ties to another, or a width that must remain."""
        must = (each.asked for each in self.widths if each.asked.must)
        return self.tied.union(*((each.wall, each.opposite) for each in must))

    @property
    def costs_l(self) -> float:
        """What it takes more to be square than with each wall by itself [l]."""
        return self.volume_l - self.separate_l
