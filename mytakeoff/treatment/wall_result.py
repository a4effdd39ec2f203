"""Every stage of one wall, as the later stages (materials, labour, cost) read it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.coats import EvenCoat, Layer
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.treatments import Treatment
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, deepest_cut_mm
from mytakeoff.rails.rails import RailPiece
from mytakeoff.surface.patches import Patch
from mytakeoff.surface.surface import Surface


@dataclass(frozen=True)
class MixPart:
    """Litres of a mix in its role on a wall [l]."""

    mix: Mix
    role: str
    litres: float


@dataclass(frozen=True, eq=False)
class WallResult:
    """One wall, computed.

    Parameters
    ----------
    entry : JobWall
        What the user entered.
    system : System
        The mixes that go on it.
    surface, rule, plane, build_up
        Each stage. Of a wall that is not brought to a plane, `plane` is the mean plane of its finished face.
    layers : tuple of Layer
        Finish, backing, dubbing out, patches: those that exist, face first.
    rails : tuple of RailPiece
        As they are cut, left to right and from the floor up; empty without rails.
    notices : tuple of str
        What the user should know about this wall.
    treatment : Treatment or None
        Where the wall is not brought to a plane: what is done instead.
    patches : tuple of Patch
        Filled areas of such a wall, without the skim.
    skim : tuple of EvenCoat
        Even coats over all of such a wall, face first; none where it is left or patched bare.
    allowance : tuple of MixPart
        Priced on top for what lies between the readings; shared out over the job's walls once all of them are
        there.
    left_open : LeftOpen or None
        What it comes of; None where millimetres were entered for it, or before it is shared out.
    held : bool
        It stands for what is still to be worked out.
    """

    entry: JobWall
    system: System
    surface: Surface
    rule: PlaneRule
    plane: TargetPlane
    build_up: BuildUp
    layers: tuple[Layer, ...]
    rails: tuple[RailPiece, ...]
    notices: tuple[str, ...] = ()
    treatment: Treatment | None = None
    patches: tuple[Patch, ...] = ()
    skim: tuple[EvenCoat, ...] = ()
    allowance: tuple[MixPart, ...] = ()
    left_open: LeftOpen | None = None
    held: bool = False

    @property
    def floated(self) -> bool:
        """Whether the whole wall is brought to a plane."""
        return self.treatment is None

    @property
    def rails_x_m(self) -> tuple[float, ...]:
        """Where the rails stand, left to right [m]."""
        return tuple(sorted({rail.x_m for rail in self.rails}))

    @property
    def rail_m(self) -> float:
        """Length of all rails as they are cut [m]."""
        return sum(rail.length_m for rail in self.rails)

    @property
    def deepest_cut_mm(self) -> float:
        """Most that is taken down at any place, read or between readings [mm]."""
        if not self.floated or self.build_up.cut_l == 0:
            return self.build_up.deepest_cut_mm
        return deepest_cut_mm(self.surface, self.rule, self.plane)

    @property
    def covered(self) -> bool:
        """Whether a coat goes over the whole wall."""
        return self.floated or bool(self.skim)

    @property
    def built_up(self) -> bool:
        """Whether a backing goes over the whole wall, so that beads are set and sockets come forward."""
        return self.floated or any(coat.role == "backing" for coat in self.skim)

    @property
    def worked(self) -> bool:
        """Whether anything is done to it at all."""
        return self.build_up.covered_area_m2 > 0 or self.build_up.cut_l > 0

    @property
    def first_mix(self) -> Mix:
        """The mix that meets the background."""
        if not self.floated and self.layers:
            return self.layers[-1].mix
        return self.system.dubbing or self.system.backing

    @property
    def allowance_l(self) -> float:
        """Litres on top of those through the readings [l]."""
        return sum(part.litres for part in self.allowance)

    @property
    def allowance_mm(self) -> float:
        """What the allowance comes to over the priced area [mm]."""
        return self.allowance_l / self.build_up.area_m2 if self.build_up.area_m2 else 0.0

    def with_notices(self, notices: tuple[str, ...]) -> WallResult:
        """The same wall with what the user should know."""
        return replace(self, notices=notices)
