"""Fittings on a wall, as points: they say where cables run, what has to move, where plaster stays open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mytakeoff.errors import Check

FittingKind = Literal["socket", "switch", "light", "pipe", "radiator", "other"]
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
    x_m: float
    z_m: float
    other_face: bool = False

    def __post_init__(self) -> None:
        check = Check(f"fitting {self.name!r}")
        check.that(
            self.x_m >= 0 and self.z_m >= 0,
            f"x_m {self.x_m:g}, z_m {self.z_m:g}",
            "a fitting is measured from the wall's left end and the floor, both 0 or more",
            "measure it again",
        )
        check.done()

    @property
    def cabled(self) -> bool:
        """Whether a cable may run from it."""
        return self.kind in CABLED
