"""A straightedge laid on the wall: where, how long, the worst gap under it, where it touched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mytakeoff.errors import Check

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

    Examples
    --------
    >>> LaidEdge(0.5, 1.0, 2.0, 4.0, touches_m=(0.25, 1.5)).place(1.5)
    (2.0, 1.0)
    """

    x_m: float
    z_m: float
    length_m: float
    gap_mm: float
    direction: Direction = "level"
    touches_m: tuple[float, ...] = ()
    gap_at_m: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "touches_m", tuple(self.touches_m))
        check = Check(self.where)
        check.that(
            self.length_m > 0 and self.gap_mm >= 0 and self.direction in STEPS,
            f"{self.direction!r}, {self.length_m:g} m long, worst gap {self.gap_mm:g} mm",
            f"a straightedge is laid {', '.join(STEPS)}; it has a length, and a gap of 0 or more under it",
            "measure it again",
        )
        along = (*self.touches_m, *([] if self.gap_at_m is None else [self.gap_at_m]))
        for at_m in along:
            check.that(
                0 <= at_m <= self.length_m + 1e-9,
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
