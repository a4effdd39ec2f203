"""Marks made by hand on a finished wall: where a straightedge rocks, where light shows under it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check

SnagKind = Literal["hollow", "high"]
MarkKind = Literal["rocks", "light"]
SHOWS: dict[MarkKind, SnagKind] = {"light": "hollow", "rocks": "high"}
MarkGap = Annotated[
    float, Within(0.0, 100.0, usual="read it with a wedge, in millimetres; 0: nothing is seen")
]
MarkEdge = Annotated[float, Within(0.05, 10.0, usual="2 m is usual")]


@dataclass(frozen=True)
class HandMark:
    """What a straightedge showed at one place.

    Parameters
    ----------
    x_m, z_m : float
        The place, from the wall's left end and up from the floor [m].
    kind : "rocks" or "light"
        It rocks on a high spot there, or light shows under it over a hollow.
    mm : float
        How far one end lifts while the other is pressed, or the gap, 0 to 100; 0: it was laid there and
        neither rocks nor shows light [mm].
    edge_m : float
        Length of the edge, 0.05 to 10 [m].

    Raises
    ------
    TakeoffError
        A kind that is not known, or a figure out of its range.

    Examples
    --------
    >>> HandMark(1.2, 0.4, "light", 4.0).departs_mm, HandMark(1.2, 0.4, "rocks", 4.0).departs_mm
    (4.0, 2.0)
    """

    x_m: Across
    z_m: Up
    kind: MarkKind
    mm: MarkGap
    edge_m: MarkEdge = 2.0

    def __post_init__(self) -> None:
        check = Check(self.where)
        check_numbers(self, check)
        check.that(self.kind in SHOWS, f"{self.kind!r}", f"an edge {' or '.join(SHOWS)}", "write one of them")
        check.done()

    @property
    def where(self) -> str:
        """What to call it in a message."""
        return f"mark at x {self.x_m:g} m, z {self.z_m:g} m"

    @property
    def departs_mm(self) -> float:
        """How high the spot stands, or how deep the hollow is, against the edge [mm].

        An edge that is balanced on a spot of height h in its middle stands off by h at both ends, so the one
        lifts by 2 h where the other is pressed down.
        """
        return self.mm / 2.0 if self.kind == "rocks" else self.mm
