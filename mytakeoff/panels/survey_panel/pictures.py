"""The survey panel's pictures: the deviation map in two widths, and the two profiles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mytakeoff.charts.drawing.frame import Frame
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.maps import deviation_map as deviationmap
from mytakeoff.charts.maps import left_out_map as leftoutmap
from mytakeoff.charts.maps import profile as profilechart
from mytakeoff.job.findings import Findings
from mytakeoff.panels.parts.html import Html, element
from mytakeoff.panels.survey_panel import finding_words as findingwords
from mytakeoff.panels.survey_panel import words as surveywords
from mytakeoff.surface.deviation import Deviation, HeightProfile

if TYPE_CHECKING:
    from mytakeoff.io.scan.find_walls import FoundWall


def maps(held: Deviation, name: str, x_m: float, z_m: float, found: Findings) -> str:
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
    """
    surface = held.surface
    top_mm = deviationmap.scale_top(held.greatest_mm)
    spots = [
        *(
            deviationmap.Spot(m, p.x_m, p.z_m, True)
            for m, p in zip(surveywords.HIGH, held.high, strict=False)
        ),
        *(deviationmap.Spot(m, p.x_m, p.z_m, False) for m, p in zip(surveywords.LOW, held.low, strict=False)),
    ]
    label = surveywords.described(held, name, findingwords.said(found))
    marks = findingwords.marks_of(found)
    drawn = []
    for css, width_px in (("mt-broad", 640.0), ("mt-slim", 360.0)):
        figure = deviationmap.make(
            surface.wall, surface.x_m, surface.z_m, held.mm, top_mm=top_mm, spots=spots,
            lines=deviationmap.Lines(x_m, z_m), marks=marks,
            frame=Frame(surface.wall, top_mm, width_px, 420.0),
        )  # fmt: skip
        drawn.append(element("div", Html(page_svg(figure, css, label)), css=css))
    return "".join(drawn)


def profiles(held: Deviation, lines: tuple[HeightProfile, HeightProfile], plumb: bool) -> str:
    """The upright and the level profile, each with its words under it."""
    top_mm = deviationmap.scale_top(held.greatest_mm)
    wall = held.surface.wall
    parts = []
    for line in lines:
        words = surveywords.along(line, plumb)
        title = words.split(",")[0].split(":")[0]
        drawn = profilechart.ProfileLine(
            line.along_m,
            line.mm,
            profilechart.chord_of(line.along_m, line.mm, line.chord_mm),
            wall.height_m if line.upright else wall.width_m,
            line.upright,
            title,
        )
        picture = page_svg(profilechart.make(drawn, top_mm), f"profile {line.upright}", words)
        parts.append(_figure(picture, words))
    return element("div", *parts, css="mt-profiles")


def left_out(found: FoundWall) -> str:
    """What of a scan was taken for furniture, people and the like, with its words."""
    words = leftoutmap.describe(found.dropped)
    if not found.dropped[0].size:
        return element("p", words)
    figure = leftoutmap.make(found.wall, found.kept[:2], found.dropped, 370.0)
    return _figure(page_svg(figure, "left out", words), words)


def _figure(svg: str, words: str) -> Html:
    return element("figure", Html(svg), element("figcaption", words))
