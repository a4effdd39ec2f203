"""Measured areas of one wall: what openings take off it, and how much old plaster comes off."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy import ndimage

from mytakeoff.job.job_wall import JobWall
from mytakeoff.surface.patches import CORNERS_TOUCH
from mytakeoff.survey.cells import covered_m2, disjoint, grown
from mytakeoff.survey.wall import Opening, Rectangle, Wall

ROUNDING = 1e-6  # of a cell


def covered_area_m2(rectangles: Sequence[Rectangle], without: Sequence[Rectangle] = ()) -> float:
    """Area that rectangles cover, each place once, less what others cover [m²].

    Examples
    --------
    Two squares of 1 m that share half a square metre:

    >>> covered_area_m2([Rectangle(0, 0, 1, 1), Rectangle(0.5, 0, 1, 1)])
    1.5
    """
    both = sum(part.area_m2 for part in disjoint((*rectangles, *without)))
    return both - sum(part.area_m2 for part in disjoint(without))


def separate_patches(rectangles: Sequence[Rectangle], without: Sequence[Rectangle] = ()) -> int:
    """How many patches rectangles make, less what others cover.

    Those that meet, if only at a corner, are one.

    Notes
    -----
    The ground is cut at every side of every rectangle; what is covered of these cells is told apart.

    Examples
    --------
    A hole in the middle of a hollow area is one patch with it:

    >>> separate_patches([Rectangle(0, 0, 2, 1), Rectangle(0.5, 0.2, 1, 0.5)])
    1
    """
    sides = [*rectangles, *without]
    x = np.unique([round(side, 9) for r in sides for side in (r.x_m, r.x_m + r.width_m)])
    z = np.unique([round(side, 9) for r in sides for side in (r.z_m, r.z_m + r.height_m)])
    if min(x.size, z.size) < 2:
        return 0
    left = covered_m2(x, z, sides) - covered_m2(x, z, without)
    _, count = ndimage.label(left > ROUNDING * np.outer(np.diff(z), np.diff(x)), CORNERS_TOUCH)
    return int(count)


def loose_depths(entry: JobWall, growth_share: float, fallen: bool) -> list[tuple[Rectangle, float]]:
    """Where old plaster comes off (or has fallen) and how deep; what comes off grows [m, mm]."""
    wall = entry.wall
    return [
        (
            area.rectangle if fallen else grown(area.rectangle, growth_share, wall.width_m, wall.height_m),
            area.depth_mm,
        )
        for area in entry.loose
        if area.fallen == fallen
    ]


def hacked_off(entry: JobWall, growth_share: float) -> tuple[float, float]:
    """Area and litres of old plaster hacked off one wall, without what has fallen already [m², l]."""
    gone = [rectangle for rectangle, _ in loose_depths(entry, growth_share, fallen=True)]
    without = (*gone, *entry.wall.not_plastered)
    return _area_and_litres(loose_depths(entry, growth_share, fallen=False), without)


def fallen_plaster(entry: JobWall) -> tuple[float, float]:
    """Area and litres of old plaster that lies on the floor already [m², l]."""
    return _area_and_litres(loose_depths(entry, 0.0, fallen=True), entry.wall.not_plastered)


def hollows(entry: JobWall, growth_share: float) -> tuple[int, float, float]:
    """Patches left where old plaster came off or had fallen: how many, area and litres [-, m², l]."""
    depths = [d for fallen in (False, True) for d in loose_depths(entry, growth_share, fallen)]
    without = entry.wall.not_plastered
    count = separate_patches([rectangle for rectangle, _ in depths], without)
    return count, *_area_and_litres(depths, without)


def _area_and_litres(
    depths: Sequence[tuple[Rectangle, float]], without: Sequence[Rectangle]
) -> tuple[float, float]:
    """Area and Σ area × depth; where two overlap the deeper counts, once."""
    levels = sorted({depth for _, depth in depths}, reverse=True)
    litres = 0.0
    for depth, below in zip(levels, [*levels, 0.0][1:], strict=True):
        deep = [rectangle for rectangle, own in depths if own >= depth]
        litres += (depth - below) * covered_area_m2(deep, without)
    return covered_area_m2([rectangle for rectangle, _ in depths], without), litres


def deducted_area_m2(wall: Wall, rule: str = "net", faces: int = 1) -> float:
    """Area taken off the gross area of a wall for its openings, fitted units and strips [m²].

    Parameters
    ----------
    wall : Wall
    rule : "net" or "is1200"
        Exactly what is not plastered; or by the size of each opening as IS 1200 part 12 does.
    faces : int
        Faces of the wall with the same plaster, 1 or 2; the result is for all of them together.

    Notes
    -----
    IS 1200 part 12: an opening up to 0.5 m² is not deducted; over that and up to 3 m² it is deducted on one
    face (civiljungle.com, rate analysis of plaster, secondary); over 3 m² on both (from memory).
    Fitted units and strips are no openings and go by their exact area. Where openings overlap the ground is
    deducted once.

    Examples
    --------
    >>> wall = Wall("A", 4.0, 2.5, (Opening("hatch", 1, 1, 0.5, 1.0), Opening("door", 2, 0, 0.75, 2.0)))
    >>> deducted_area_m2(wall), deducted_area_m2(wall, "is1200")
    (2.0, 1.5)
    """
    if rule == "net":
        return faces * covered_area_m2(wall.not_plastered)
    strips = faces * covered_area_m2(wall.not_plastered, [o.rectangle for o in wall.openings])
    deducted = sorted(
        (opening for opening in wall.openings if _is1200_faces(opening, faces)),
        key=lambda opening: -opening.rectangle.area_m2,
    )
    return strips + sum(
        _is1200_faces(opening, faces)
        * covered_area_m2([opening.rectangle], [before.rectangle for before in deducted[:nth]])
        for nth, opening in enumerate(deducted)
    )


def _is1200_faces(opening: Opening, faces: int) -> int:
    """On how many faces an opening is deducted [-]."""
    area = opening.rectangle.area_m2
    if area <= 0.5 + 1e-9:
        return 0
    return 1 if area <= 3.0 + 1e-9 else faces


def measured_reveal_m(wall: Wall, rule: str = "net") -> float:
    """Reveals that labour is paid for: all, or by IS 1200 only those of openings over 3 m² [m]."""
    return sum(o.reveal_m for o in wall.openings if rule == "net" or o.rectangle.area_m2 > 3.0 + 1e-9)
