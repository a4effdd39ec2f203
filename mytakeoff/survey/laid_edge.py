"""A straightedge laid on the wall: where, how long, the worst gap under it, where it touched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from mytakeoff.bounds import ROUNDING_M, Across, Up, Within, check_numbers
from mytakeoff.errors import Check

MeasuredAlong = Annotated[float, Within(-ROUNDING_M, 10.0, usual="measure along the edge, from its left end")]
Direction = Literal["level", "upright", "rising", "falling"]
STEPS: dict[str, tuple[float, float]] = {
    "level": (1.0, 0.0),
    "upright": (0.0, 1.0),
    "rising": (0.5**0.5, 0.5**0.5),
    "falling": (0.5**0.5, -(0.5**0.5)),
}


@dataclass(frozen=True)
class LaidEdge:
    """One placing of a straightedge. It rests on the wall, so it is no plane to measure off.

    Parameters
    ----------
    x_m, z_m : float
        Its left end, the lower end where it is upright [m].
    length_m : float
        More than 0 [m].
    gap_mm : float
        The worst gap found anywhere under it, 0 or more [mm].
    direction : "level", "upright", "rising" or "falling"
        The last two at 45°, seen from left to right.
    touches_m : tuple of float
        Where it touches, from that end along it [m].
    gap_at_m : float or None
        Where the worst gap is, from that end, if that was noted [m].

    Raises
    ------
    TakeoffError
        Every figure that no edge has, or a place beyond its end.

    Examples
    --------
    >>> LaidEdge(0.5, 1.0, 2.0, 4.0, touches_m=(0.25, 1.5)).place(1.5)
    (2.0, 1.0)
    """

    x_m: Across
    z_m: Up
    length_m: Annotated[float, Within(0.0, 10.0, above=True, usual="2 m is usual")]
    gap_mm: Annotated[float, Within(0.0, 1000.0, usual="measure it again")]
    direction: Direction = "level"
    touches_m: tuple[MeasuredAlong, ...] = ()
    gap_at_m: MeasuredAlong | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "touches_m", tuple(self.touches_m))
        check = Check(self.where)
        check_numbers(self, check)
        check.that(
            self.direction in STEPS,
            f"laid {self.direction!r}",
            f"a straightedge is laid {', '.join(STEPS)}",
            "write one of them",
        )
        check.done()
        along = (*self.touches_m, *([] if self.gap_at_m is None else [self.gap_at_m]))
        for at_m in along:
            check.that(
                at_m <= self.length_m + ROUNDING_M,
                f"{at_m:g} m along an edge of {self.length_m:g} m",
                "a place under the edge is measured along it",
                "measure from its left end, from its lower end where it is upright",
            )
        check.done()

    @property
    def where(self) -> str:
        """What to call it in a message."""
        return f"sweep at x {self.x_m:g} m, z {self.z_m:g} m"

    def place(self, at_m: float) -> tuple[float, float]:
        """Where on the wall a distance along the edge is, x and z [m]."""
        across, up = STEPS[self.direction]
        return self.x_m + across * at_m, self.z_m + up * at_m
