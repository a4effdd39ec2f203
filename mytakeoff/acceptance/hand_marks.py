"""Marks made by hand on a finished wall: where a straightedge rocks, where light shows under it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from mytakeoff.acceptance.promised import Promised
from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.survey.cells import inside
from mytakeoff.survey.wall import Wall

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


def check_marks(marks: Iterable[HandMark], promised: Promised, place: str) -> None:
    """See that marks lie on the plaster of their wall, under edges that tell something of what was promised.

    Raises
    ------
    TakeoffError
        Every mark beside the wall, on an opening or a strip without plaster, or of an edge that is longer
        than the wall or than the longest that was promised.
    """
    wall, check = promised.wall, Check()
    size = f"{wall.width_m:g} × {wall.height_m:g} m"
    longest = max(each.length_m for each in promised.edges)
    for mark in marks:
        check.place, at = f"{place}, {mark.where}", f"{mark.kind} at x {mark.x_m:g} m, z {mark.z_m:g} m"
        on_wall = mark.x_m <= wall.width_m and mark.z_m <= wall.height_m
        check.that(
            on_wall,
            at,
            f"a mark is made on the wall, {size}",
            "measure x from its left end, z from the floor",
        )
        check.that(
            not on_wall or not _bare(wall, mark),
            at,
            "a mark is made on plaster, and there is an opening or a strip without it",
            "measure its place again, or take it out",
        )
        check.that(
            mark.edge_m <= max(wall.width_m, wall.height_m),
            f"an edge of {mark.edge_m:g} m",
            f"an edge lies on its wall, {size}",
            "write the length of the edge that was laid, in metres",
        )
        check.that(
            promised.gap_limit_mm(mark.edge_m) is not None,
            f"an edge of {mark.edge_m:g} m",
            f"what was promised is under {longest:g} m at most; a longer one tells nothing of it",
            f"lay one of {longest:g} m there",
        )
    check.done()


def _bare(wall: Wall, mark: HandMark) -> bool:
    """Whether there is no plaster at a mark; the rim of an opening has some."""
    at = np.array([mark.x_m]), np.array([mark.z_m])
    return any(bool(inside(each, *at, 1e-6)[0]) for each in wall.not_plastered)
