"""What a target plane has to keep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from mytakeoff.bounds import Across, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.plane.lowest_plane import STEEPEST_MM_PER_M, Bounds
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.corner import TURN
from mytakeoff.survey.survey import Floats

ROUNDING_MM = 1e-9  # a cell that stands above the plane by less is not taken down


Thickness = Annotated[float, Within(0.0, 3000.0)]  # of finish, backing and what the readings missed together
Limit = Annotated[float, Within(0.0, STEEPEST_MM_PER_M, usual="0 for none, or leave it out")]


@dataclass(frozen=True)
class CutWorth:
    """What taking down costs, in litres filled.

    Parameters
    ----------
    litre_l : float
        A litre taken down, 0 or more [l/l].
    m2_l : float
        A square metre where anything is taken down, 0 or more [l/m²].
    near : (float, float) or None
        Turn and lean near which the plane is looked for, once they are decided; None: everywhere [mm/m].

    Examples
    --------
    100 l filled, 2 l taken down on 0.5 m², at a fifth of a litre and at 12 litres:

    >>> CutWorth(0.2, 12.0).of(100.0, 2.0, 0.5)
    106.4
    """

    litre_l: float = 0.0
    m2_l: float = 0.0
    near: tuple[float, float] | None = None

    def of(self, fill_l: float, cut_l: float, cut_m2: float) -> float:
        """Cost of litres filled [l] and taken down [l] over an area [m²], in litres filled [l]."""
        return fill_l + self.litre_l * cut_l + self.m2_l * cut_m2


@dataclass(frozen=True)
class PlaneRule:
    """What the finished plane has to keep.

    Parameters
    ----------
    least_mm : float
        Thickness kept everywhere, 0 or more [mm].
    rails_x_m : tuple of float
        Where rails stand, on the wall [m].
    rail_least_mm : float
        Thickness kept along the rails where that is more than `least_mm` [mm].
    cut_mm : float
        High spots may be taken down by at most this, 0 or more [mm].
    plumb : bool
        No lean: c = 0.
    turn_mm_per_m : float or None
        Turn of the plane square to the measured corner; None: free to turn [mm/m].
    lean_limit_mm_per_m : float or None
        Bound on the lean of a plane that is not plumb, 0 or more; None: as steep as 10 m for each metre,
        which stands for no bound [mm/m].
    turn_limit_mm_per_m : float or None
        Bound on the turn away from `turn_mm_per_m` (from 0 where that is None), 0 or more [mm/m].
    cut_worth : CutWorth or None
        The plane is the one that costs least in filling and taking down together; None: in filling alone.

    Raises
    ------
    TakeoffError
        A figure that no plane has, or a bound on the lean of a plumb plane.
    """

    least_mm: Thickness = 5.0
    rails_x_m: tuple[Across, ...] = ()
    rail_least_mm: Thickness = 0.0
    cut_mm: Thickness = 0.0
    plumb: bool = True
    turn_mm_per_m: Annotated[float, TURN] | None = None
    lean_limit_mm_per_m: Limit | None = None
    turn_limit_mm_per_m: Limit | None = None
    cut_worth: CutWorth | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "rails_x_m", tuple(self.rails_x_m))
        check = Check("rule for the plane")
        check_numbers(self, check)
        check.that(
            not (self.plumb and self.lean_limit_mm_per_m is not None),
            f"a plumb plane with {self.lean_limit_mm_per_m} mm/m of lean allowed",
            "a plumb plane does not lean",
            "leave the lean allowed out, or choose the plane that is free to lean",
        )
        check.done()

    @property
    def bounds(self) -> Bounds:
        """Slopes allowed: of turn and of lean [mm/m]."""
        turn, limit = self.turn_mm_per_m, self.turn_limit_mm_per_m
        if limit is None:
            limit = STEEPEST_MM_PER_M if turn is None else 0.0
        middle = turn or 0.0
        lean = self.lean_limit_mm_per_m
        lean = 0.0 if self.plumb else STEEPEST_MM_PER_M if lean is None else lean
        return (middle - limit, middle + limit), (-lean, lean)

    def lift_mm(self, surface: Surface) -> Floats:
        """Thickness kept in each column of cells (nx,) [mm]."""
        return self.lift_at(surface.x_m, half_cell_m(surface.x_m))

    def lift_at(self, x_m: Floats, half_m: float) -> Floats:
        """Thickness kept at places that reach `half_m` to both sides [mm]."""
        lift = np.full(x_m.shape, self.least_mm)
        for rail in self.rails_x_m:
            near = np.abs(x_m - rail) <= half_m + 1e-9
            lift[near] = max(self.least_mm, self.rail_least_mm)
        return lift


def half_cell_m(x_m: Floats) -> float:
    """Half the width of a cell [m]; a single cell is as wide as the wall."""
    return float(x_m[1] - x_m[0]) / 2 if x_m.size > 1 else float(x_m[0])
