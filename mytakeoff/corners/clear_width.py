"""What must remain between the finished faces of two walls that face each other."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from mytakeoff.bounds import Across, Within, check_numbers
from mytakeoff.errors import Check

BY_TAPE_MM = 2.0  # what a distance across a room is known to; common practice, no source
Between = Annotated[float, Within(100.0, 100_000.0, usual="measure it again, in millimetres")]


@dataclass(frozen=True)
class ClearWidth:
    """A width that something has to fit into.

    Parameters
    ----------
    name : str
        What fits there: a wardrobe, a bath, a door leaf.
    wall, opposite : str
        The walls whose finished faces it stands between.
    needs_mm : float
        What must remain [mm].
    x_m : float
        Where along `wall`, from its left end [m].
    must : bool
        True: the planes keep it, whatever it costs; False: it is told where they do not.
    between_planes_mm : float or None
        Between the two planes that the walls were measured off, there, square to that of `wall`; None: worked
        out from the widths of the walls between, to ± 10 mm [mm].
    """

    name: str
    wall: str
    opposite: str
    needs_mm: Between
    x_m: Across
    must: bool = False
    between_planes_mm: Between | None = None

    def __post_init__(self) -> None:
        check = Check(f"clear width {self.name!r}")
        check_numbers(self, check)
        check.that(
            bool(self.name.strip()), "no name", "a clear width has a name", "write what is to fit there"
        )
        check.that(
            self.wall != self.opposite,
            f"wall {self.wall!r} twice",
            "it lies between two walls",
            "name the wall that it faces as opposite",
        )
        check.done()

    def with_wall_name(self, name: str, new: str) -> ClearWidth:
        """The clear width with a wall called otherwise."""
        if name not in (self.wall, self.opposite):
            return self
        wall, opposite = (new if each == name else each for each in (self.wall, self.opposite))
        return replace(self, wall=wall, opposite=opposite)
