"""The panel's sentences: what to do first, the headline, what a wall comes to, cautions, as HTML."""

from __future__ import annotations

from mytakeoff.audience import ESTIMATOR, Audience
from mytakeoff.figures.in_words import NOTHING_PRICED, facts, first_step, to_know
from mytakeoff.formats.formats import Formats
from mytakeoff.job.job import Job
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import Html, element, joined, listed, table
from mytakeoff.result import Result, more_litres
from mytakeoff.treatment.cautions import cautions_for
from mytakeoff.treatment.wall_result import WallResult

BY_LINE = "Measured from a plumb line or a plumb laser"
SWEPT = "Swept all over with a straightedge, high spots entered"
TICK_WORDS = {
    "Plumb": "is what was measured from a plumb line or a plumb laser, or by a scanner that was level. "
    "Without that, plumb and leaning mean nothing, and they are refused.",
    "Swept": "is a wall that a straightedge went over everywhere, its high spots entered below: little is "
    "left to be allowed for between the readings.",
}


def first_line(job: Job) -> Html:
    """That sentence as HTML; nothing where there is none."""
    said = first_step(job)
    return element("p", said, css="mt-first", role="status") if said else Html()


def headline(result: Result, audience: Audience = ESTIMATOR) -> str:
    """Total with tax, then days, bags, thickness; each named, so that the page can mark what changes.

    Under them what goes with it.
    """
    spots = {name: element("span", text, data_fact=name) for name, text in facts(result, audience).items()}
    line = joined((spot for name, spot in spots.items() if name != "total"), " · ")
    said = result.job.titled(audience)
    if not result.walls:
        return html.headline(NOTHING_PRICED, "", said)
    more = joined(element("div", text, css="mt-facts") for text in to_know(result, audience))
    return html.headline(spots["total"], line, said) + more


def letter(index: int) -> str:
    """Name of the high spot of that place in the list: A, B … Z, A2 …"""
    return chr(ord("A") + index % 26) + (str(index // 26 + 1) if index >= 26 else "")


def _done(wall: WallResult) -> str:
    """What is done to the wall, as it follows its square metres."""
    if wall.treatment is None:
        return " to a plane"
    patches = len(wall.patches)
    return f", {wall.treatment.kind}, {patches} {'patch' if patches == 1 else 'patches'}"


def _between(wall: WallResult, formats: Formats) -> str:
    """Litres of a wall for what lies between its readings, as they follow those that were measured."""
    more = more_litres(wall.build_up.volume_l, wall.allowance_l, formats)
    return f" and {more} for what lies between its readings" if more else ""


def wall_for_client(wall: WallResult, formats: Formats) -> str:
    """One wall as a client reads it under its map: how thick the plaster is, and whether it leans."""
    build_up = wall.build_up
    return (
        f"{wall.entry.name}: plaster of {formats.depth(build_up.mean_mm, places=0)} on average, at most "
        f"{formats.depth(build_up.max_mm, places=0)}. {_lean_words(wall, formats)}"
    )


def _lean_words(wall: WallResult, formats: Formats) -> str:
    height_m, face = wall.entry.wall.height_m, "plane" if wall.floated else "face"
    lean = wall.plane.c_mm_per_m * height_m if wall.entry.survey.plumb else None
    return f"The {face} {formats.lean(lean, height_m)}."


def wall_in_words(wall: WallResult, formats: Formats, square_l: float | None = None) -> str:
    """One wall's thickness and high spots, as its map shows them; what the square plane takes beside it."""
    number, build_up, plane = formats.number, wall.build_up, wall.plane
    spots = "; ".join(
        f"{letter(index)} at x {formats.length(touch.x_m, places=2)}, z {formats.length(touch.z_m, places=2)}"
        for index, touch in enumerate(plane.touches)
    )
    sentences = [
        f"{wall.entry.name}: {number(build_up.area_m2, 1)} m²{_done(wall)}, "
        f"{number(build_up.volume_l)} litres{_between(wall, formats)}, "
        f"mean {formats.depth(build_up.mean_mm, places=1)}, "
        f"thickest {formats.depth(build_up.max_mm, places=0)}.",
        _lean_words(wall, formats),
        f"High spots that set it: {spots}." if spots else "",
        f"Square to the measured corner its readings would take {number(square_l)} litres."
        if wall.floated and square_l is not None and wall.rule.turn_mm_per_m is None
        else "",
    ]
    if build_up.cut_l >= 0.05:
        sentences.append(
            f"High spots are taken down on {number(build_up.cut_area_m2, 2)} m², "
            f"up to {formats.depth(wall.deepest_cut_mm, places=1)}, {number(build_up.cut_l, 1)} litres."
        )
    unknown = wall.surface.unknown_area_m2
    if unknown >= 0.005:
        sentences.append(f"Hatched: {number(unknown, 2)} m² that the survey does not reach; not priced.")
    return " ".join(sentence for sentence in sentences if sentence)


def coats(wall: WallResult, formats: Formats) -> str:
    """Area, litres and deepest place of every coat of a wall, face first."""
    rows = [
        (
            f"{layer.role}, {layer.mix.name}"
            + (f", coat {number} from the face" if len(layer.coats) > 1 else ""),
            f"{formats.number(coat.area_m2, 1)} m²",
            f"{formats.number(coat.volume_l)} l",
            formats.depth(coat.max_mm, places=1),
        )
        for layer in wall.layers
        for number, coat in enumerate(layer.coats, start=1)
    ]
    return table((wall.entry.name, "area", "litres", "deepest"), rows, "mt-coats")


def cautions(result: Result) -> str:
    """What the work can do to those who do it."""
    return listed(str(caution) for caution in cautions_for(result.job, result.walls))
