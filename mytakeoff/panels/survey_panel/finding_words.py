"""What was found on a wall, as marks for its map and in words, under the same letters as its rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.charts.maps.wall_marks import Area, EdgeMark, Marks, Point
from mytakeoff.formats.formats import Formats
from mytakeoff.job.findings import Findings
from mytakeoff.panels.parts.html import titled
from mytakeoff.survey.said import StandsOff
from mytakeoff.survey.stands_off import OnTheFace, asked_of_place, said_of_place

OFF, HOLLOW = "S", "D"  # letters of what stands off the wall, and of readings in hollows
LAID = {
    "level": "level", "upright": "upright", "rising": "rising at 45°", "falling": "falling at 45°",
}  # fmt: skip


def marks_of(found: Findings, off: Sequence[StandsOff] = (), face: Sequence[OnTheFace] = ()) -> Marks:
    """The marks of all that was found, of what stands off the wall, and of readings in hollows."""
    shown = (one for one in face if one.shown)
    hollows = (
        Point(f"{HOLLOW}{nth}", "hollow", *one.at) for nth, one in enumerate(shown, start=1) if one.hollow
    )
    stands = (
        Point(f"{OFF}{nth}", "left out" if one.left_out else "stands off", one.x_m, one.z_m)
        for nth, one in enumerate(off, start=1)
    )
    spots = (
        Point(f"H{nth}", "spot", x_m, z_m) for nth, (x_m, z_m, _) in enumerate(found.high_spots, start=1)
    )
    fittings = (
        Point(f"P{nth}", "other face" if one.other_face else "fitting", one.x_m, one.z_m)
        for nth, one in enumerate(found.fittings, start=1)
    )
    fixed = (
        Point(f"F{nth}", "fixed", one.x_m, one.z_m) for nth, one in enumerate(found.fixed_places, start=1)
    )
    corner = found.corner
    read = enumerate(corner.x_m, start=1) if corner else ()
    corners = (Point(f"Q{nth}", "corner", x_m, corner.z_m if corner else 0.0) for nth, x_m in read)
    edges = (
        EdgeMark(
            f"E{nth}",
            (one.place(0.0), one.place(one.length_m)),
            tuple(one.place(at_m) for at_m in one.touches_m),
            None if one.gap_at_m is None else one.place(one.gap_at_m),
        )
        for nth, one in enumerate(found.sweeps, start=1)
    )
    areas = (Area(f"L{nth}", one.rectangle, one.fallen) for nth, one in enumerate(found.loose, start=1))
    return Marks((*spots, *corners, *fittings, *fixed, *stands, *hollows), tuple(edges), tuple(areas))


def said(
    found: Findings, formats: Formats, off: Sequence[StandsOff] = (), face: Sequence[OnTheFace] = ()
) -> tuple[tuple[str, str], ...]:
    """Each mark with what it stands for."""
    stands = (
        (f"{OFF}{nth}", f"{where_off(one, formats)}, {'left out' if one.left_out else 'counts'}")
        for nth, one in enumerate(off, start=1)
    )
    shown = enumerate((one for one in face if one.shown), start=1)
    hollows = ((f"{HOLLOW}{nth}", in_hollow(one, formats)) for nth, one in shown)
    return (*_said(found, formats), *stands, *hollows)


def reading(one: OnTheFace, formats: Formats) -> str:
    """A reading and its place."""
    x_m, z_m = one.at
    at = formats.place(x_m, z_m)
    return f"{formats.depth(0.0 - one.proud_mm)} off the line at {at}"


def in_hollow(one: OnTheFace, formats: Formats) -> str:
    """A reading that is taken for a hollow, or was said not to be."""
    state = "in a hollow" if one.hollow else "on the sound face"
    return f"{reading(one, formats)}: {state}{', as you said' if one.said else ''}"


def where_off(place: StandsOff, formats: Formats) -> str:
    """Where a place is and how far it stands off."""
    return said_of_place(place, formats)


def asked(place: StandsOff, moves: tuple[float, float] | None, formats: Formats) -> str:
    """What a place is, what is asked or was answered, and how the litres move [l].

    Examples
    --------
    >>> asked(StandsOff(1.2, 0.85, 49.0, 0.1), (201.4, 167.2), Formats())[-79:]
    'Floated to the plane of the job the wall takes 201 l with it, 167 l without it.'
    """
    now = "is left out" if place.left_out else "counts"
    state = f"It {now}, as you said." if place.answered else f"It {now}."
    asking = "." if place.answered else f": {asked_of_place(place)}"
    litres = ""
    if moves is not None:
        kept, out = (formats.number(each) for each in moves)
        litres = f" Floated to the plane of the job the wall takes {kept} l with it, {out} l without it."
    return f"{said_of_place(place, formats)}{asking} {state}{litres}"


def _said(found: Findings, formats: Formats) -> Iterator[tuple[str, str]]:
    at = formats.place

    for nth, (x_m, z_m, proud_mm) in enumerate(found.high_spots, start=1):
        yield (
            f"H{nth}",
            f"high spot, {formats.depth(0.0 - proud_mm, places=1)} off the line, {at(x_m, z_m)}",
        )
    for nth, sweep in enumerate(found.sweeps, start=1):
        touches = formats.length(*sweep.touches_m, between=formats.apart) if sweep.touches_m else ""
        yield f"E{nth}", (
            f"straightedge {formats.length(sweep.length_m)}, {LAID[sweep.direction]} "
            f"from {at(sweep.x_m, sweep.z_m)}: worst gap {formats.depth(sweep.gap_mm, places=1)}"
            + (f", touches at {touches} along it" if touches else "")
        )  # fmt: skip
    for nth, area in enumerate(found.loose, start=1):
        yield (
            f"L{nth}",
            (
                f"{'fallen' if area.fallen else 'loose'} plaster, "
                f"{formats.depth(area.depth_mm, places=0)} thick, "
                f"{formats.length(area.width_m, area.height_m, between=' × ')} from {at(area.x_m, area.z_m)}"
            ),
        )
    corner = found.corner
    for nth, (x_m, mm) in enumerate(zip(corner.x_m, corner.off_square_mm, strict=True) if corner else (), 1):
        yield (
            f"Q{nth}",
            f"{formats.depth(mm, places=1)} off the square line, {at(x_m, corner.z_m if corner else 0.0)}",
        )
    for nth, one in enumerate(found.fittings, start=1):
        behind = ", on the other face" if one.other_face else ""
        called = "" if one.name == one.kind else f" ({one.name})"
        yield f"P{nth}", f"{one.kind}{called}, {at(one.x_m, one.z_m)}{behind}"
    for nth, place in enumerate(found.fixed_places, start=1):
        off = formats.depth(0.0 - place.proud_mm, places=1)
        yield f"F{nth}", f"fixed place ({place.name}), {off} off the line, {at(place.x_m, place.z_m)}"


def listed(found: Findings, formats: Formats) -> str:
    """All that was found as a list; nothing where nothing was. What stands off has its rows."""
    return titled("Also found on the wall", said(found, formats))
