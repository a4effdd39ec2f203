"""Every stage of one wall, as the later stages (materials, labour, cost) read it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mytakeoff.buildup import BuildUp
from mytakeoff.coats import Layer
from mytakeoff.job import JobWall
from mytakeoff.mixes import System
from mytakeoff.plane import PlaneRule, TargetPlane
from mytakeoff.surface import Surface


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
        Each stage.
    layers : tuple of Layer
        Finish, backing, dubbing out: those that exist, face first.
    allowance_mm : float
        For the high spot that the readings missed [mm].
    rails_x_m : tuple of float
        Where the rails stand, left to right; empty without rails [m].
    rail_length_m : float
        Length of each rail [m].
    notices : tuple of str
        What the user should know about this wall.
    """

    entry: JobWall
    system: System
    surface: Surface
    rule: PlaneRule
    plane: TargetPlane
    build_up: BuildUp
    layers: tuple[Layer, ...]
    allowance_mm: float
    rails_x_m: tuple[float, ...]
    rail_length_m: float
    notices: tuple[str, ...] = ()

    @property
    def allowance_l(self) -> float:
        """Litres that the allowance takes over the priced area [l]."""
        return self.allowance_mm * self.build_up.area_m2

    def with_notices(self, notices: tuple[str, ...]) -> WallResult:
        """The same wall with what the user should know."""
        return replace(self, notices=notices)
