"""All walls of a job side by side at one scale, each with its thickness and a sign: a row of the options."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.charts.drawing.field import NOT_PRICED, PRICED, Field
from mytakeoff.charts.drawing.palette import RAMP, ramp_colour
from mytakeoff.charts.drawing.png import png_of
from mytakeoff.charts.drawing.svg import PAPER, box, drawing, element, words
from mytakeoff.charts.maps.small_maps import SmallMap, describe_small_maps, small_field
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

STRIP_PX, MOST_HIGH_PX, KEY_PX = 470.0, 96.0, 300.0
_GAP_PX, _EDGE_PX, _UNDER_PX, _FONT_PX = 12.0, 1.0, 17.0, 13.0
_STRIPE_CELLS = 4
PASSES, FAILS, UNTOLD = "✓", "✗", "?"


@dataclass(frozen=True, eq=False)
class StripWall:
    """One wall of the strip.

    Parameters
    ----------
    number : int
        Stands under it and in the list of walls.
    wall : Wall
    small : SmallMap
        What one option puts on it.
    passes : bool
        Said by a sign under it, never by a colour.
    untold : bool
        It neither passes nor fails.
    """

    number: int
    wall: Wall
    small: SmallMap
    passes: bool
    untold: bool = False

    @property
    def sign(self) -> str:
        """Whether it passes, as a sign."""
        return PASSES if self.passes else UNTOLD if self.untold else FAILS


def strip_scale(walls: Sequence[Wall]) -> float:
    """Pixels for a metre with which all walls fit side by side [px/m].

    Examples
    --------
    >>> strip_scale([Wall("A", 4.0, 2.0), Wall("B", 5.15, 2.4)]), strip_scale([Wall("C", 22.8, 2.4)] * 2)
    (40.0, 10.0)
    """
    across = STRIP_PX - 2 * _EDGE_PX - _GAP_PX * (len(walls) - 1)
    return min(across / sum(wall.width_m for wall in walls), MOST_HIGH_PX / max(w.height_m for w in walls))


def strip_svg(walls: Sequence[StripWall], ramp_top_mm: float) -> str:
    """The strip as an SVG element for a page.

    Parameters
    ----------
    walls : sequence of StripWall
        At least one; standing on one floor, left to right.
    ramp_top_mm : float
        Thickness at the dark end of the scale, the same in every row [mm].
    """
    scale = strip_scale([each.wall for each in walls])
    floor = max(each.wall.height_m for each in walls) * scale + _EDGE_PX
    left, parts = _EDGE_PX, []
    for each in walls:
        parts.append(_wall(each, left, floor, scale, ramp_top_mm))
        left += each.wall.width_m * scale + _GAP_PX
    return drawing("".join(parts), left - _GAP_PX + _EDGE_PX, floor + _UNDER_PX, describe_strip(walls))


def _wall(each: StripWall, left: float, floor: float, scale: float, ramp_top_mm: float) -> str:
    """One wall on the floor line, number and sign under its middle."""
    across, fails = each.wall.width_m * scale, each.sign == FAILS
    drawn = drawn_wall(each.wall, each.small, (left, floor), scale, ramp_top_mm, fails)
    weight = {"font_weight": "normal" if each.passes else "bold"}
    return drawn + words(
        left + across / 2, floor + _FONT_PX + 1, f"{each.number}{each.sign}", _FONT_PX, text_anchor="middle",
        **weight,
    )  # fmt: skip


def drawn_wall(
    wall: Wall,
    small: SmallMap,
    foot_px: tuple[float, float],
    scale: float,
    ramp_top_mm: float,
    fails: bool = False,
) -> str:
    """One wall with its thickness and its openings, in a frame that is dashed where it fails.

    Parameters
    ----------
    wall : Wall
    small : SmallMap
    foot_px : (float, float)
        Where its lower left corner lies [px].
    scale : float
        Pixels for a metre [px/m].
    ramp_top_mm : float
        Thickness at the dark end of the scale [mm].
    fails : bool
    """
    left, floor = foot_px
    across, up = wall.width_m * scale, wall.height_m * scale
    field = small_field(wall, small, across)
    x0, x1, z0, z1 = field.extent_m
    image = element(
        "image",
        href=f"data:image/png;base64,{_cells(field, ramp_top_mm)}",
        x=left + x0 * scale,
        y=floor - z1 * scale,
        width=(x1 - x0) * scale,
        height=(z1 - z0) * scale,
        preserveAspectRatio="none",
    )
    holes = "".join(
        box(
            left + part.x_m * scale,
            floor - (part.z_m + part.height_m) * scale,
            part.width_m * scale,
            part.height_m * scale,
            PAPER,
            0.6,
        )
        for part in (*wall.openings, *wall.fitted)
    )
    dashed = {"stroke_dasharray": "4 2"} if fails else {}
    return image + holes + box(left, floor - up, across, up, "none", 2.0 if fails else 0.8, **dashed)


def _cells(field: Field, ramp_top_mm: float) -> str:
    """The cells as a PNG in base 64, a pixel a cell; striped where nothing is priced."""
    rgb = ramp_colour(np.nan_to_num(field.thickness_mm), ramp_top_mm)
    rows, columns = np.indices(field.codes.shape)
    stripe = (rows + columns) % _STRIPE_CELLS == 0
    rgb[field.state != PRICED] = 255
    rgb[(field.state == NOT_PRICED) & stripe] = 0
    return base64.b64encode(png_of(np.ascontiguousarray(rgb[::-1]))).decode()


def describe_strip(walls: Sequence[StripWall]) -> str:
    """What the strip shows, a sentence for each wall."""
    said = {PASSES: "ok", FAILS: "fails", UNTOLD: "not judged"}
    return " ".join(
        f"{each.number} {said[each.sign]}: {describe_small_maps(each.wall, [each.small])}" for each in walls
    )


def key_svg(ramp_top_mm: float, formats: Formats = HOUSE) -> str:
    """The scale of colours that all rows share, with round thicknesses under it [mm]."""
    stops = "".join(
        element("stop", offset=f"{share:.3f}", stop_color="#" + "".join(f"{value:02x}" for value in RAMP[at]))
        for at in range(0, 256, 15)
        for share in (at / 255,)
    )
    ramp = element("linearGradient", stops, id="mt-ramp")
    bar = element(
        "rect", x=10, y=0.5, width=KEY_PX - 20, height=12, fill="url(#mt-ramp)", stroke="currentColor"
    )
    # a fraction is too long to stand out over the end
    anchors = ("start", "middle", "end") if formats.feet_and_inches else ("middle",) * 3
    marks = "".join(
        words(
            10 + share * (KEY_PX - 20),
            25,
            formats.depth(share * ramp_top_mm, column=True),
            12,
            text_anchor=anchor,
        )
        for share, anchor in zip((0.0, 0.5, 1.0), anchors, strict=True)
    )
    said = f"Thickness of plaster, from light for 0 to dark for {formats.depth(ramp_top_mm)}"
    return drawing(ramp + bar + marks, KEY_PX, 28, said)
