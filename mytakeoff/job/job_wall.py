"""One wall of a job as it was entered, and what is fixed to it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from operator import attrgetter
from typing import Annotated, Literal

from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.job import choices
from mytakeoff.job.backgrounds import check_known
from mytakeoff.job.confidence import NibHeight, Nibs
from mytakeoff.job.mixes import System
from mytakeoff.job.treatments import Treatment
from mytakeoff.survey.as_taken import MOST_OFF_MM
from mytakeoff.survey.corner import SAME_MM_PER_M, TURN, Corner, check_corner, corner_turn
from mytakeoff.survey.loose_plaster import is_read
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea, Wall

FittingKind = Literal["socket", "switch", "light", "pipe", "radiator", "other"]
MissedSpot = Annotated[float, Within(0.0, 300.0, usual="4 mm is usual")]
Metres = Annotated[float, Within(0.0, 1000.0, usual="measure them again")]
CABLED: tuple[FittingKind, ...] = ("socket", "switch", "light")


@dataclass(frozen=True)
class Fitting:
    """Something fixed to a wall, at its middle.

    Parameters
    ----------
    name : str
        As it is called on site.
    kind : "socket", "switch", "light", "pipe", "radiator" or "other"
    x_m, z_m : float
        Its middle, from the left end of the wall that it is entered on and the floor [m].
    other_face : bool
        True: it sits on the other face of this wall; x_m is still measured on this face.

    Examples
    --------
    >>> Fitting("double socket", "socket", 1.2, 0.45).cabled
    True
    """

    name: str
    kind: FittingKind
    x_m: Across
    z_m: Up
    other_face: bool = False

    def __post_init__(self) -> None:
        check = Check(f"fitting {self.name!r}")
        check_numbers(self, check)
        check.done()

    @property
    def cabled(self) -> bool:
        """Whether a cable may run from it."""
        return self.kind in CABLED


@dataclass(frozen=True)
class FixedPlace:
    """A place that plastering does not move: a door frame's edge, a socket box, a screw head, a floor mark.

    Read in the first survey, so that a second one of the finished wall can be tied to it.

    Parameters
    ----------
    name : str
        As it is called on site.
    x_m, z_m : float
        From the wall's left end and the floor [m].
    proud_mm : float
        Towards the room from the plane that the survey was read off; off the line it is the same, negative
        [mm].

    Raises
    ------
    TakeoffError
        A place on no wall, or a reading that nobody takes.
    """

    name: str
    x_m: Across
    z_m: Up
    proud_mm: Annotated[float, Within(-MOST_OFF_MM, MOST_OFF_MM)]

    def __post_init__(self) -> None:
        check = Check(f"fixed place {self.name!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class JobWall:
    """One wall of the job: what it is, how it was measured, what it is made of.

    Parameters
    ----------
    wall : Wall
    room : str
        Name of one of the job's rooms.
    survey : Survey
        `Survey.none` where it is not read yet.
    background : str
        A name from the background table ("brick", "sound old plaster" …).
    loose : tuple of LooseArea
        Old plaster that comes off first.
    turn_mm_per_m : float or None
        Turn of the square plane where it is known as such; else `corner` says it [mm/m].
    corner : Corner or None
        Two readings off a square line; neither this nor `turn_mm_per_m`: no corner was measured.
    missed_high_spot_mm : float or None
        Allowance for the high spot that the readings missed; None: the job's default [mm].
    angle_bead_m, stop_bead_m : float
        Beads beyond those of the reveals [m].
    sockets : int
        Sockets and switches to bring forward; those among the fittings are not counted twice [-].
    edge_bead : "", "stop bead" or "angle bead"
        Round openings and fitted units where no reveal is plastered; "": plaster runs up to the lining, and
        an architrave covers the joint (common practice, no source).
    skirting_off_m : float
        Skirting and architrave taken off and put back, 0 where that is not in the price [m].
    strip : "", "paper" or "paint"
        What is stripped off it before anything else; "": nothing, or somebody else does it.
    radiators : int
        Radiators taken off and hung again; those among the fittings are not counted twice [-].
    system : System or None
        None: the job's own.
    old_plaster_mm : float or None
        Depth of the old plaster that stays, where it was measured: what may be taken down [mm].
    old_plaster_gypsum : bool
        What comes off holds gypsum, so it is kept apart from other rubble.
    treatment : Treatment or None
        How this wall is treated; None: as the job's walls are.
    fittings : tuple of Fitting
        What is fixed to it, on either face.
    nibs_per_m2, nib_mm : float or None
        Small high spots that no reading finds, on a square metre, and their usual height; None: as on its
        background [1/m², mm].
    fixed_places : tuple of FixedPlace
        What the plaster will not move, for a second survey; nothing of the takeoff hangs on it.
    rails_x_m : tuple of float
        Where the user has the rails stand; empty: where the straightedge and the openings want them [m].
    """

    wall: Wall
    room: str
    survey: Survey
    background: str
    loose: tuple[LooseArea, ...] = ()
    turn_mm_per_m: Annotated[float, TURN] | None = None
    missed_high_spot_mm: MissedSpot | None = None
    angle_bead_m: Metres = 0.0
    stop_bead_m: Metres = 0.0
    sockets: Annotated[int, Within(0, 1000, usual="count them again")] = 0
    radiators: Annotated[int, Within(0, 1000, usual="count them again")] = 0
    system: System | None = None
    old_plaster_mm: choices.Depth | None = None
    old_plaster_gypsum: bool = False
    treatment: Treatment | None = None
    fittings: tuple[Fitting, ...] = ()
    rails_x_m: tuple[Across, ...] = ()
    nibs_per_m2: Nibs | None = None
    nib_mm: NibHeight | None = None
    corner: Corner | None = None
    edge_bead: Literal["", "stop bead", "angle bead"] = ""
    skirting_off_m: Metres = 0.0
    strip: Literal["", "paper", "paint"] = ""
    fixed_places: tuple[FixedPlace, ...] = ()

    def __post_init__(self) -> None:
        check = Check(f"wall {self.wall.name!r}")
        check_numbers(self, check)
        check_known(self.background, check)
        for fitting in self.fittings:
            self._check_on_wall("fitting", fitting, check)
        for place in self.fixed_places:
            self._check_on_wall("fixed place", place, check)
        for rail in self.rails_x_m:
            check.that(
                0 < rail < self.wall.width_m,
                f"a rail at {rail:g} m",
                f"rails stand on the wall, between 0 and {self.wall.width_m:g} m",
                "measure from its left end, or leave rails_x_m out",
            )
        choices.check_round_wall(check, self.strip, self.edge_bead)
        self._check_corner(check)
        check.done()

    def _check_on_wall(self, what: str, each: Fitting | FixedPlace, check: Check) -> None:
        check.that(
            each.x_m <= self.wall.width_m and each.z_m <= self.wall.height_m,
            f"{each.name!r} at x {each.x_m:g}, z {each.z_m:g} m",
            f"a {what} is on the wall, {self.wall.width_m:g} × {self.wall.height_m:g} m",
            "measure it from the wall's left end and the floor",
        )

    def __hash__(self) -> int:
        """Worked out once: every step of a slider looks every wall up at every stage."""
        found: int | None = self.__dict__.get("_hash")
        if found is None:
            found = hash(_entered(self))
            object.__setattr__(self, "_hash", found)
        return found

    def _check_corner(self, check: Check) -> None:
        if self.corner is None:
            return
        if not self.survey.is_enough:
            check_corner(self.wall, self.corner, check)
            return
        measured, said = corner_turn(self.survey, self.corner), self.turn_mm_per_m
        check.that(
            said is None or abs(measured - said) <= SAME_MM_PER_M,
            f"turn_mm_per_m {said or 0:g}, but {measured:.1f} mm/m from the corner's readings",
            f"the two agree within {SAME_MM_PER_M:g} mm/m",
            "take turn_mm_per_m out, or measure the corner again",
        )

    @property
    def name(self) -> str:
        """The wall's name."""
        return self.wall.name

    @cached_property
    def is_read(self) -> bool:
        """Whether enough was read on it to be worked out; until then it is not priced."""
        return is_read(self.survey, self.loose)

    @cached_property
    def square_turn_mm_per_m(self) -> float | None:
        """Turn of the plane that is square to the measured corner; None where none was measured [mm/m]."""
        if self.corner is None or not self.survey.is_enough:
            return self.turn_mm_per_m
        return corner_turn(self.survey, self.corner)

    @property
    def sockets_to_move(self) -> int:
        """Sockets and switches to bring forward: the greater of those counted and those placed [-]."""
        return max(self.sockets, self._placed("socket", "switch"))

    @property
    def radiators_to_move(self) -> int:
        """Radiators to take off and hang again: the greater of those counted and those placed [-]."""
        return max(self.radiators, self._placed("radiator"))

    def _placed(self, *kinds: str) -> int:
        return sum(fitting.kind in kinds and not fitting.other_face for fitting in self.fittings)


_entered = attrgetter(*(entry.name for entry in fields(JobWall)))
