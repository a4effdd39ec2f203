"""What the live map and the picture that stands in for it have in common."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from mytakeoff.charts.drawing.field import Field
from mytakeoff.charts.drawing.frame import Frame, frame_svg, large_frame, narrow_frame, wide_frame
from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

NARROW_BELOW_PX, LARGE_FROM_PX = 500, 740


def kept_top(
    shown: tuple[Wall, float, Formats] | None, wall: Wall, field: Field, wished_mm: float | None
) -> float:
    """Top of the scale: the wished one, else the one on the screen while the wall stays, else a round one."""
    if wished_mm is not None:
        return wished_mm
    if shown is not None and shown[0] == wall:
        return shown[1]
    return ramp_top(float(field.codes.max(initial=1) - 1.0) * field.step_mm)


def frames_of(wall: Wall, top_mm: float, formats: Formats = HOUSE) -> list[dict[str, Any]]:
    """The frames for wide and narrow pages as the browser takes them, the largest first."""
    sizes: Iterable[tuple[int, Frame]] = (
        (LARGE_FROM_PX, large_frame(wall, top_mm, formats)),
        (NARROW_BELOW_PX, wide_frame(wall, top_mm, formats)),
        (0, narrow_frame(wall, top_mm, formats)),
    )
    return [
        {
            "from_px": from_px,
            "width_px": frame.width_px,
            "height_px": frame.height_px,
            "box": list(frame.box),
            "svg": frame_svg(frame),
        }
        for from_px, frame in sizes
    ]


def changed(now: Mapping[str, Any], wanted: Mapping[str, Any]) -> dict[str, Any]:
    """The entries of `wanted` that differ from `now`, so that only they travel.

    Examples
    --------
    >>> changed({"rows": 3, "columns": 4}, {"rows": 3, "columns": 5})
    {'columns': 5}
    """
    return {name: value for name, value in wanted.items() if now[name] != value}
