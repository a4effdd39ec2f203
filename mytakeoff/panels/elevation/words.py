"""What stands on a wall as the drawing has it, and in words that say the same."""

from __future__ import annotations

from typing import Any

from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.job.findings import ThingKind, readings_in
from mytakeoff.job.job_wall import Fitting, FixedPlace, JobWall
from mytakeoff.panels.elevation.kinds import KINDS
from mytakeoff.panels.findings.row_kinds import DIRECTIONS
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea, Opening

Shape = dict[str, Any]
MOST_SHOWN = 3000  # readings drawn as crosses: more would be a grey wall
LAID = {value: words for words, value in DIRECTIONS}
NAMES: dict[ThingKind, str] = {
    "opening": "opening", "fitted": "fitted unit", "fitting": "fitting", "loose": "loose area",
    "spot": "high spot", "sweep": "laid straightedge", "fixed": "fixed place",
}  # fmt: skip


def shape_of(kind: ThingKind, thing: Any) -> Shape:
    """How a thing is drawn: its place and size [m], and what its shape says beside its letter."""
    if isinstance(thing, tuple):
        return {"shape": "spot", "x": thing[0], "z": thing[1]}
    at = {"x": thing.x_m, "z": thing.z_m}
    if isinstance(thing, FixedPlace):
        return {"shape": kind, "name": thing.name, **at}
    if isinstance(thing, Fitting):
        return {"shape": thing.kind, "other_face": thing.other_face, "name": thing.name, **at}
    if isinstance(thing, LaidEdge):
        here = (thing.x_m, thing.z_m)
        dots = [thing.place(at_m) for at_m in thing.touches_m]
        gap = None if thing.gap_at_m is None else thing.place(thing.gap_at_m)
        return {
            "shape": "edge",
            "from": here,
            "to": thing.place(thing.length_m),
            "dots": dots,
            "gap": gap,
            **at,
        }
    size = {"w": thing.width_m, "h": thing.height_m}
    if isinstance(thing, LooseArea):
        return {"shape": "fallen" if thing.fallen else "loose", **at, **size}
    return {"shape": kind, "name": thing.name, **at, **size}


def words_of(entry: JobWall, kind: ThingKind, nth: int, thing: Any, formats: Formats) -> str:
    """One thing in words: what it is, its size and place, and what else there is to know of it."""
    said = [f"{KINDS[kind].letter}{nth + 1}, {_what(kind, thing, formats)}", _where(thing, formats)]
    more = _beside(entry, thing, formats) if isinstance(thing, Opening) else []
    return ". ".join([", ".join(said), *more]) + "."


def _what(kind: ThingKind, thing: Any, formats: Formats) -> str:
    if isinstance(thing, tuple):
        return f"high spot, {formats.depth(0.0 - thing[2])} off the line"
    if isinstance(thing, FixedPlace):
        return f"{thing.name}, fixed place, {formats.depth(0.0 - thing.proud_mm)} off the line"
    if isinstance(thing, Fitting):
        face = " on the other face of the wall" if thing.other_face else ""
        named = thing.kind if thing.name == thing.kind else f"{thing.name}, {thing.kind}"
        return f"{named}{face}"
    if isinstance(thing, LaidEdge):
        length, gap = formats.length(thing.length_m, places=2), formats.depth(thing.gap_mm)
        return f"straightedge of {length} laid {LAID[thing.direction]}, worst gap {gap}"
    size = f"{formats.length(thing.width_m, places=2)} wide, {formats.length(thing.height_m, places=2)} high"
    if isinstance(thing, LooseArea):
        fallen = "fallen plaster" if thing.fallen else "loose plaster"
        return f"{fallen}, {formats.depth(thing.depth_mm)} thick, {size}"
    named = NAMES[kind] if thing.name == NAMES[kind] else f"{thing.name}, {NAMES[kind]}"
    return f"{named}, {size}"


def _where(thing: Any, formats: Formats) -> str:
    x_m, z_m = thing[:2] if isinstance(thing, tuple) else (thing.x_m, thing.z_m)
    up = f"{formats.length(z_m, places=2)} from the floor" if z_m > 0 else "on the floor"
    return f"{formats.length(x_m, places=2)} from the left end, {up}"


def _beside(entry: JobWall, opening: Opening, formats: Formats) -> list[str]:
    """What lies over or under an opening: one over another counts once, readings under it stay."""
    wall, ground = entry.wall, opening.rectangle
    others = (each for each in (*wall.openings, *wall.fitted) if each is not opening)
    over = [each.name for each in others if each.rectangle.overlaps(ground)]
    said = [f"It lies over {in_a_row(over)}: what they share counts once"] if over else []
    inside = readings_in(entry.survey, ground)
    if inside:
        lies, counts = ("lies", "it counts") if inside == 1 else ("lie", "they count")
        said.append(f"{counted(inside, 'reading')} {lies} in it: {counts} for the wall beside it")
    if opening.reveal_mm:
        said.append(f"Reveal {formats.depth(opening.reveal_mm)} deep")
    return said


def places_read(survey: Survey) -> list[tuple[float, float, bool]]:
    """Where readings by hand were taken [m], and whether each was left out; none of a scan."""
    if survey.layout == "scan" or survey.x_m.size > MOST_SHOWN:
        return []
    out = {(one.x_m, one.z_m) for one in survey.said if one.said == "left out"}
    places = zip(survey.x_m.round(4).tolist(), survey.z_m.round(4).tolist(), strict=True)
    return [(x_m, z_m, (round(x_m, 2), round(z_m, 2)) in out) for x_m, z_m in places]


def summary(entry: JobWall, things: int, formats: Formats) -> str:
    """The whole drawing in a sentence."""
    wall, survey = entry.wall, entry.survey
    size = f"{formats.length(wall.width_m, places=2)} wide and {formats.length(wall.height_m, places=2)} high"
    strips = [
        f"{name} {formats.length(high, places=2)} high not plastered"
        for name, high in (("skirting", wall.skirting_m), ("cornice", wall.cornice_m))
        if high
    ]
    read = "a scan" if survey.layout == "scan" else counted(survey.x_m.size, "place")
    read = f"{read} read" if survey.x_m.size else "not read yet"
    there = counted(things, "thing") if things else "nothing"
    return ", ".join([f"Wall {wall.name} from the room, {size}", *strips, f"{there} on it", read]) + "."
