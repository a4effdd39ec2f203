"""The survey panel's pictures: the deviation map in two widths, and the two profiles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mytakeoff.charts.drawing.frame import Frame
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.maps import deviation_map, left_out_map, profile
from mytakeoff.formats.formats import Formats
from mytakeoff.job.findings import Findings
from mytakeoff.panels.parts.html import Html, element
from mytakeoff.panels.survey_panel import finding_words, words
from mytakeoff.surface.deviation import Deviation, HeightProfile
from mytakeoff.survey.said import StandsOff
from mytakeoff.survey.stands_off import OnTheFace

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall


def maps(
    held: Deviation,
    name: str,
    x_m: float,
    z_m: float,
    found: Findings,
    formats: Formats,
    off: Sequence[StandsOff] = (),
    face: Sequence[OnTheFace] = (),
) -> str:
    """The map for a column of a screen and for a phone; the page shows the one that fits.

    Parameters
    ----------
    held : Deviation
    name : str
        The wall's.
    x_m, z_m : float
        Where the profiles run [m].
    found : Findings
        Marked on it.
    formats : Formats
    off : sequence of StandsOff
    face : sequence of OnTheFace
        Marked too.
    """
    surface = held.surface
    top_mm = deviation_map.scale_top(held.greatest_mm)
    spots = [
        *(deviation_map.Spot(m, p.x_m, p.z_m, True) for m, p in zip(words.HIGH, held.high, strict=False)),
        *(deviation_map.Spot(m, p.x_m, p.z_m, False) for m, p in zip(words.LOW, held.low, strict=False)),
    ]
    label = words.described(held, name, formats, finding_words.said(found, formats, off, face))
    marks = finding_words.marks_of(found, off, face)
    drawn = []
    for css, width_px in (("mt-broad", 640.0), ("mt-slim", 360.0)):
        figure = deviation_map.make(
            surface.wall, surface.x_m, surface.z_m, held.mm, top_mm=top_mm, spots=spots,
            lines=deviation_map.Lines(x_m, z_m), marks=marks,
            frame=Frame(surface.wall, top_mm, width_px, 420.0, formats=formats),
        )  # fmt: skip
        drawn.append(element("div", Html(page_svg(figure, css, label)), css=css))
    return "".join(drawn)


def profiles(
    held: Deviation,
    lines: tuple[HeightProfile, HeightProfile],
    plumb: bool,
    square_mm_per_m: float | None,
    formats: Formats,
) -> str:
    """The upright and the level profile, each with its words under it."""
    top_mm = deviation_map.scale_top(held.greatest_mm)
    wall = held.surface.wall
    parts = []
    for line in lines:
        text = words.along(line, plumb, formats, square_mm_per_m)
        title = words.line_name(line, formats)
        drawn = profile.ProfileLine(
            line.along_m,
            line.mm,
            profile.chord_of(line.along_m, line.mm, line.chord_mm),
            wall.height_m if line.upright else wall.width_m,
            line.upright,
            title,
            formats,
        )
        picture = page_svg(profile.make(drawn, top_mm), f"profile {line.upright}", text)
        parts.append(_figure(picture, text))
    return element("div", *parts, css="mt-profiles")


def left_out(found: FoundWall, formats: Formats) -> str:
    """What of a scan was taken for furniture, people and the like, with its words."""
    text = left_out_map.describe(found.dropped, formats)
    if not found.dropped[0].size:
        return element("p", text)
    figure = left_out_map.make(found.wall, found.kept[:2], found.dropped, 370.0, formats)
    return _figure(page_svg(figure, "left out", text), text)


def ways_up(walls: Sequence[FoundWall], formats: Formats) -> str:
    """One wall in each way that its scan may stand, for the user to pick the one that stands as it does."""
    if not walls:
        return ""
    drawn = []
    for found in walls:
        text = f"{found.up} up: {words.size(found.wall, formats)}"
        figure = left_out_map.make(found.wall, found.kept[:2], found.dropped, 240.0, formats, False)
        svg = Html(page_svg(figure, f"up {found.up}", text))
        drawn.append(element("figure", element("figcaption", text), svg))
    said = "Nothing in the scan tells which way is up. Pick the one that stands as the wall does:"
    return element("div", element("p", said, css="mt-hint"), *drawn, css="mt-ways")


def _figure(svg: str, text: str) -> Html:
    return element("figure", Html(svg), element("figcaption", text))
