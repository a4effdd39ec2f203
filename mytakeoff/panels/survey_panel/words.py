"""What the survey panel says of a wall: lean and turn, its high and low places, its profiles."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mytakeoff.audience import ESTIMATOR, headed
from mytakeoff.formats.formats import HOUSE, Formats, way
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import element, listed, titled
from mytakeoff.surface.deviation import Against, Deviation, HeightProfile, MeanPlane, Place
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.stance import Stance
from mytakeoff.survey.wall import Opening, Wall

PLUMB_WITHIN_MM = 1.0
AGAINST: dict[str, Against] = {
    "its own flat face, leaning as it leans": "true",
    "a plumb face through its middle": "plumb",
    "the line it was measured from": "measured",
}
MAP_WORDS = {
    "The map": "shows what stands proud (brown) and lies hollow (violet) of what you compare the wall with: "
    "its own flat face, a plumb face through its middle, or the line it was measured from. High and low "
    "places are marked and listed.",
    "The two profiles": "follow an upright and a level line; lean and turn are said in words.",
}
HIGH, LOW = "ABC", "123"


def lean(plane: MeanPlane, height_m: float, plumb: bool, formats: Formats = HOUSE) -> str:
    """How a wall leans, over its height [m].

    Examples
    --------
    >>> lean(MeanPlane(0.0, 0.0, 4.23), 2.6, True)
    'Leans 11 mm into the room over its 2.6 m.'
    >>> lean(MeanPlane(0.0, 0.0, -0.1), 2.6, True)
    'Stands plumb over its 2.6 m.'
    """
    said = formats.lean(plane.c_mm_per_m * height_m if plumb else None, height_m)
    return f"{said[0].upper()}{said[1:]}."


def turn(
    plane: MeanPlane,
    width_m: float,
    square_mm_per_m: float | None,
    formats: Formats = HOUSE,
    scanned: bool = False,
) -> str:
    """How a wall turns from left to right, against its square corner or the line measured from [m, mm/m].

    A scan is measured from no line: without a corner nothing is known of its turn.

    Examples
    --------
    >>> turn(MeanPlane(0.0, -2.0, 0.0), 4.0, None)
    'Turns 8 mm back from left to right over 4 m, against the line it was measured from.'
    >>> turn(MeanPlane(0.0, 3.0, 0.0), 4.0, 3.1)
    'Square to its corner within 1 mm over 4 m.'
    """
    mm = (plane.b_mm_per_m - (square_mm_per_m or 0.0)) * width_m
    square = square_mm_per_m is not None
    if scanned and not square:
        return "A scan of a wall by itself does not tell how it turns."
    if abs(mm) < PLUMB_WITHIN_MM:
        what = "Square to its corner" if square else "Parallel to the line it was measured from"
        return f"{what} within {formats.depth(PLUMB_WITHIN_MM)} over {formats.length(width_m)}."
    against = "its square corner" if square else "the line it was measured from"
    by, over = formats.depth(abs(mm), places=0), formats.length(width_m)
    return f"Turns {by} {way(mm)} from left to right over {over}, against {against}."


def give_or_take(off_mm_per_m: float, over_m: float, formats: Formats = HOUSE) -> str:
    """How far lean or turn of a scanned wall may be off over its length: twice the standard deviation.

    Examples
    --------
    >>> give_or_take(1.2, 2.5)
    'Give or take 6 mm: another station, or another part of it, may show so much more or less.'
    """
    if not math.isfinite(off_mm_per_m):
        return "Too little of it was seen to tell how far that may be off."
    off = formats.depth(max(2.0 * off_mm_per_m * over_m, 1.0), places=0)  # nobody levels finer than that
    return f"Give or take {off}: another station, or another part of it, may show so much more or less."


def headline(entry: JobWall, stands: Stance, formats: Formats) -> str:
    """The wall's name and how it stands; a scanned wall is its own line, and turns only against a corner."""
    wall, square = entry.wall, entry.square_turn_mm_per_m
    plane = MeanPlane(stands.a_mm, stands.b_mm_per_m, stands.c_mm_per_m)
    leans = lean(plane, wall.height_m, entry.survey.plumb, formats)
    scanned = entry.survey.layout == "scan"
    turns = turn(plane, wall.width_m, square, formats, scanned)
    said = [leans, turns]
    if scanned:
        leans_off = give_or_take(stands.lean_off_mm_per_m, wall.height_m, formats)
        turns_off = give_or_take(stands.turn_off_mm_per_m, wall.width_m, formats)
        said = [leans, *([leans_off] if entry.survey.plumb else [])]
        said += [turns, turns_off] if square is not None else [turns]
        said.append(f"Bows by {formats.mm(stands.bow_mm)} from its hollowest to its proudest place.")
    size = f"{formats.length(wall.width_m, wall.height_m, between=' × ')}."
    return html.headline(wall.name, " ".join((size, *said)), headed(ESTIMATOR, "the wall as it stands"))


def size(wall: Wall, formats: Formats) -> str:
    """Width and height of a wall [m]."""
    return formats.length(wall.width_m, wall.height_m, places=2, grouped=True, between=" × ")


def gap(opening: Opening, formats: Formats) -> str:
    """A gap in a scan, where it is [m] and how large.

    Examples
    --------
    >>> gap(Opening("gap 1, nothing seen", 2.1, 0.0, 0.75, 0.42), HOUSE)
    'gap 1, nothing seen, 0.75 × 0.42 m at x 2.10 m, z 0.00 m'
    """
    size = formats.length(opening.width_m, opening.height_m, places=2, grouped=True, between=" × ")
    at = formats.place(opening.x_m, opening.z_m)
    return f"{opening.name}, {size} at {at}"


def places(held: Deviation, formats: Formats) -> str:
    """The high and low places as lists."""
    lists = _listed("Stands proud", held.high, HIGH, formats) + _listed("Lies hollow", held.low, LOW, formats)
    return lists or element("p", f"It is nowhere more than {formats.depth(1.0)} off that face.")


def _listed(title: str, found: Sequence[Place], marks: str, formats: Formats) -> str:
    return titled(
        title,
        ((mark, _place(place, formats)) for mark, place in zip(marks, found, strict=False)),
    )


def _place(place: Place, formats: Formats) -> str:
    at = formats.place(place.x_m, place.z_m)
    return f"{formats.depth(abs(place.mm), places=1)} at {at}"


def described(held: Deviation, name: str, formats: Formats, marked: Sequence[tuple[str, str]] = ()) -> str:
    """What the map shows, for somebody who does not see it.

    Parameters
    ----------
    held : Deviation
    name : str
        The wall's.
    formats : Formats
    marked : sequence of (mark, words)
        What else is marked on it.
    """
    wall = held.surface.wall
    against = next(words for words, key in AGAINST.items() if key == held.against)
    size = formats.length(wall.width_m, wall.height_m, between=" by ")
    said = [f"Wall {name}, {size}, beside {against}."]
    for side, found, marks in (("Proud", held.high, HIGH), ("Hollow", held.low, LOW)):
        there = (f"{mark} {_place(place, formats)}" for mark, place in zip(marks, found, strict=False))
        said += [f"{side}: {'; '.join(there)}."] if found else []
    said += [f"{mark}: {words}." for mark, words in marked]
    return " ".join(said)


def line_name(line: HeightProfile, formats: Formats) -> str:
    """Which line a profile runs along."""
    at = formats.length(line.at_m, places=2)
    return f"Upright at x {at}" if line.upright else f"Level at z {at}"


def along(line: HeightProfile, plumb: bool, formats: Formats, square_mm_per_m: float | None = None) -> str:
    """A profile in words: lean and turn always against the same, whatever the picture is held to.

    Parameters
    ----------
    line : HeightProfile
    plumb : bool
        Whether the line measured from was plumb.
    formats : Formats
    square_mm_per_m : float or None
        Turn of the square corner, where it is known [mm/m].
    """
    where = line_name(line, formats)
    known = line.known
    if known.size < 2:
        return f"{where}: nothing is known there."
    ends = formats.length(known[0], known[-1], places=2)
    bow, at = line.bow
    off = f"straight within {formats.depth(1.0)}" if abs(bow) < 1.0 else (
        f"furthest from straight {formats.depth(abs(bow), places=1)} {'proud' if bow > 0 else 'hollow'} at "
        f"{'z' if line.upright else 'x'} {formats.length(at, places=2)}"
    )  # fmt: skip
    if line.upright:
        moved = formats.lean(line.lean_mm if plumb else None, round(float(known[-1] - known[0]), 2))
        return f"{where}, {ends}: {moved}; {off}."
    rise = line.lean_mm - (square_mm_per_m or 0.0) * float(known[-1] - known[0])
    turned = abs(rise) >= 0.5
    moved = (
        f"turns {formats.depth(abs(rise), places=0)} {way(rise)}"
        if turned
        else f"turns less than {formats.depth(1.0)}"
    )
    return f"{where}, {ends}: {moved}; {off}."


def understood(facts: Sequence[str], surface: Surface, elsewhere: Sequence[str] = ()) -> str:
    """What the file was taken for, and what the surface has to say of it that is said nowhere else."""
    more = [notice for notice in surface.notices if notice not in (*facts, *elsewhere)]
    return listed([*facts, *more])
