"""Marks made by hand held to their wall and to what was promised of it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from mytakeoff.acceptance.promised import Promised
from mytakeoff.errors import Check
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.survey.cells import inside
from mytakeoff.survey.wall import Wall


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
