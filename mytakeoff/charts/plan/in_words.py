"""A room seen from above in words: equal to its drawing, for the page beside it and for who cannot see it."""

from __future__ import annotations

from collections.abc import Iterator

from mytakeoff.formats.formats import Formats
from mytakeoff.rooms.planes import FoundWidth, SquaredCorner
from mytakeoff.settingout.faces_in_plan import column_thickness
from mytakeoff.settingout.room_setting import RoomSetting
from mytakeoff.survey.wall import Opening

DOOR_M = 0.1  # an opening that begins no higher is walked through
PLACES = 2  # of an angle: a hundredth of a degree is 0.2 mm a metre


def degrees(formats: Formats, angle: float) -> str:
    """An angle as it is read, a hundredth of a degree being 0.2 mm a metre [°].

    Examples
    --------
    >>> degrees(Formats(), 90.0), degrees(Formats(), 89.647)
    ('90°', '89.65°')
    """
    said = formats.fixed(angle, PLACES)
    return f"{formats.fixed(angle)}°" if round(angle, PLACES) == round(angle) else f"{said}°"


def corner_words(room: RoomSetting, corner: SquaredCorner) -> str:
    """A corner before and after, and what is wanted."""
    formats, found = room.formats, room.found_deg(corner)
    where = f"{corner.wall} and {corner.next_wall}"
    wanted = degrees(formats, corner.wanted_deg)
    if corner.got_deg is None or found is None:
        return f"{where}: not measured, {wanted} wanted."
    return f"{where}: {degrees(formats, corner.got_deg)}, {wanted} wanted, {degrees(formats, found)} found."


def remains_words(width: FoundWidth, formats: Formats) -> str:
    """What remains of a width against what must, and whether it does."""
    needs = formats.depth(width.asked.needs_mm, places=0, grouped=False)
    if width.got_mm is None:
        return f"not known, needs {needs}"
    got = formats.depth(width.got_mm, places=0, grouped=False)
    if width.kept:
        return f"{got}, needs {needs}: fits"
    short = formats.depth(width.asked.needs_mm - width.got_mm, places=0, grouped=False)
    return f"{got}, needs {needs}: {short} short"


def width_words(width: FoundWidth, formats: Formats) -> str:
    """A clear width, between which walls, and how surely it is known."""
    known = formats.depth(width.known_mm, places=0)
    sure = "" if width.got_mm is None else f" (± {known})"
    asked = width.asked
    where = f"between {asked.wall} at {formats.length(asked.x_m, places=2)} and {asked.opposite}"
    return f"{asked.name}, {where}: {remains_words(width, formats)}{sure}."


def walked_through(opening: Opening) -> bool:
    """Whether it goes down to the floor."""
    return opening.z_m <= DOOR_M


def opening_words(opening: Opening, formats: Formats) -> str:
    """An opening as it stands in its wall, seen from above."""
    wide, at = (formats.length(m, places=2) for m in (opening.width_m, opening.x_m))
    drawn = "a gap" if walked_through(opening) else "thin lines across a gap"
    return f"{opening.name}, {drawn} {wide} wide, {at} from its left end"


def described(room: RoomSetting) -> tuple[str, ...]:
    """What the drawing shows, a sentence for each thing on it; neither mixes nor litres."""
    return tuple(_described(room))


def _described(room: RoomSetting) -> Iterator[str]:
    if room.planes is None or room.walls is None:
        yield f"{room.name}: {room.why}"
        return
    state = "brought square" if room.squared else "as it would stand if it were brought square"
    yield f"{room.name} from above, {state}."
    drawn = {name for plan in room.planes.plans for name in plan.names}
    for corner in room.planes.corners:
        yield corner_words(room, corner)
    for name, (least, most) in thickness_mm(room).items():
        thick = room.formats.depth(least, most, places=0, grouped=False)
        yield f"{name}: {thick} of plaster, seen from above."
        openings = room.walls[name].entry.wall.openings
        if openings and name in drawn:
            yield f"{name}: {'; '.join(opening_words(each, room.formats) for each in openings)}."
    for width in room.planes.widths:
        yield width_words(width, room.formats)
    for name in room.planes.walls:
        if name not in drawn:
            yield f"{name} is not drawn: no corner of it was measured."


def thickness_mm(room: RoomSetting) -> dict[str, tuple[float, float]]:
    """Of each wall: the mean of the columns of its cells, from the thinnest to the thickest [mm]."""
    assert room.planes is not None
    assert room.walls is not None
    found = {}
    for name, plane in room.planes.walls.items():
        columns = column_thickness(room.walls[name].surface, plane)[1]
        found[name] = float(columns.min()), float(columns.max())
    return found
