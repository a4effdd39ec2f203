"""Loose, hollow and fallen plaster: which readings are of the sound face, and how far the wall falls back.

Notes
-----
Readings taken where plaster has fallen are left out of the sound face, which is then lowered by the depth
entered, so that nothing is counted twice. Loose areas grow when they are taken off (25 % of their area unless
told), fallen ones do not.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mytakeoff.bounds import ROUNDING_M
from mytakeoff.errors import Check
from mytakeoff.survey.as_taken import in_a_line
from mytakeoff.survey.cells import covered_m2, grown, inside
from mytakeoff.survey.interpolate import Readings, readings_of
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea, Rectangle, Wall

Depths = Sequence[tuple[Rectangle, float]]


def check_loose(wall: Wall, loose: Sequence[LooseArea], check: Check) -> None:
    """Note each loose area that does not lie on its wall."""
    for area in loose:
        right, top = area.x_m + area.width_m, area.z_m + area.height_m
        check.that(
            right <= wall.width_m + ROUNDING_M and top <= wall.height_m + ROUNDING_M,
            f"loose area from {area.x_m:g} to {right:g} m across, {area.z_m:g} to {top:g} m up",
            f"it lies on the wall, {wall.width_m:g} × {wall.height_m:g} m",
            "measure x from the left end, z from the floor",
            f"wall {wall.name!r}",
        )


def sound_readings(survey: Survey, loose: Sequence[LooseArea]) -> Readings:
    """The readings of the face as it was: those taken in fallen areas left out, and those of no wall."""
    sound, fallen = _outside_fallen(survey, loose), any(area.fallen for area in loose)
    check = Check(f"wall {survey.wall.name!r}")
    more = "plaster that still stands, or make the fallen areas smaller" if fallen else "wall"
    check.that(
        not in_a_line(sound.x_m, sound.z_m),
        f"{sound.x_m.size} readings{' outside the fallen areas' if fallen else ''}",
        "the sound face takes at least three, not on one straight line",
        f"measure more of the {more}",
    )
    check.done()
    return sound


def is_read(survey: Survey, loose: Sequence[LooseArea]) -> bool:
    """Whether a wall can be worked with: its readings make a plane, and so do those outside fallen areas."""
    if not survey.is_enough or not any(area.fallen for area in loose):
        return survey.is_enough
    sound = _outside_fallen(survey, loose)
    return not in_a_line(sound.x_m, sound.z_m)


def _outside_fallen(survey: Survey, loose: Sequence[LooseArea]) -> Readings:
    readings = readings_of(survey)
    dropped = np.zeros(readings.x_m.size, dtype=bool)
    for area in loose:
        if area.fallen:
            dropped |= inside(area.rectangle, readings.x_m, readings.z_m)
    return readings.without(dropped)


def lowered_areas(wall: Wall, loose: Sequence[LooseArea], growth_share: float) -> Depths:
    """Each area that the wall is lowered in and its depth [mm]: loose ones grown, fallen ones as they are."""
    return [
        (
            area.rectangle
            if area.fallen
            else grown(area.rectangle, growth_share, wall.width_m, wall.height_m),
            area.depth_mm,
        )
        for area in loose
    ]


def lowering_mm(x_edges: Floats, z_edges: Floats, area: Floats, depths: Depths, wall: Wall) -> Floats:
    """How far each cell is lowered on average over its wall part (nz, nx) [mm]; the deepest area counts."""
    lowering = np.zeros(area.shape)
    outside = covered_m2(x_edges, z_edges, wall.not_plastered)
    levels = sorted({depth for _, depth in depths}, reverse=True)
    for depth, next_depth in zip(levels, [*levels, 0.0][1:], strict=True):
        deep = [rectangle for rectangle, own in depths if own >= depth]
        share = covered_m2(x_edges, z_edges, [*deep, *wall.not_plastered]) - outside
        lowering += (depth - next_depth) * np.divide(share, area, out=np.zeros_like(area), where=area > 0)
    return lowering
