"""The two diagonals of a room with four walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Up, Width, Within, check_numbers
from mytakeoff.corners.room_corner import TapeSd
from mytakeoff.errors import Check

SIDES = 4
Taped = Annotated[float, Within(0.001, 200.0, usual="measure it again")]


@dataclass(frozen=True)
class Diagonals:
    """Two diagonals by tape, rough corner to rough corner.

    Parameters
    ----------
    wall : str
        The wall that they begin at.
    from_left_m, from_right_m : float
        From its left end to the corner opposite, and from its right end [m].
    z_m : float
        At which height they were taped [m].
    sides_m : tuple of float
        From corner to corner along the walls, clockwise from `wall`; empty: the walls' widths, which are
        known to ± 10 mm [m].
    sd_mm : float
        Standard deviation of a length by tape (common practice, no source) [mm].
    """

    wall: str
    from_left_m: Taped
    from_right_m: Taped
    z_m: Up
    sides_m: tuple[Width, ...] = ()
    sd_mm: TapeSd = 2.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "sides_m", tuple(self.sides_m))
        check = Check("diagonals")
        check_numbers(self, check)
        check.that(
            len(self.sides_m) in (0, SIDES),
            f"{len(self.sides_m)} sides",
            "a room whose diagonals say how it stands has four walls",
            "give the four lengths clockwise, or leave sides_m out",
        )
        check.done()
