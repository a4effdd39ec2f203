"""How the walls of a room join, as the job sheet asks it: corners, clear widths, parallel, diagonals."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.diagonals import Diagonals
from mytakeoff.corners.room_corner import OffSquare, RoomCorner, Triangle
from mytakeoff.errors import TakeoffError, told
from mytakeoff.job.choices import Room
from mytakeoff.job.edits import with_rooms
from mytakeoff.job.job import Job
from mytakeoff.panels.job_sheet_panel.asked import MUST, Options, Question, asked_of, value_in, with_values
from mytakeoff.panels.job_sheet_panel.entry_kind import EntryKind
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.job_sheet_panel.parts_of_job import listed
from mytakeoff.treatment.room_planes import corners_found

Chosen = Callable[[], Room | None]
FREE, ONE_SET_UP, OFF_SQUARE, TRIANGLE = "no", "one_set_up", "off_square", "triangle"
WAYS: Options = [
    ("one laser set-up", ONE_SET_UP),
    ("a builder's square", OFF_SQUARE),
    ("a 3-4-5 triangle", TRIANGLE),
    ("not measured", FREE),
]
CLOCKWISE = (
    "Walls follow one another clockwise, seen from above: facing each from inside the room, its right end "
    "meets the left end of the next."
)
PARTS = ((OFF_SQUARE, OffSquare), (TRIANGLE, Triangle))  # ways of measuring that have figures of their own
PAIR = ("wall", "other")
FEWEST_ROUND = 3  # walls that go all round


def in_room(chosen: Chosen) -> tuple[EntryKind, ...]:
    """Tables of all that is said of how the walls of the chosen room join."""
    return _corners(chosen), _clear_widths(chosen), _parallel(chosen), _diagonals(chosen)


def _room_table(
    chosen: Chosen,
    path: str,
    cls: Any,
    asked: tuple[Question, ...],
    titles: tuple[str, str],
    read: Callable[[Room], Sequence[Any]],
    write: Callable[[Room, tuple[Any, ...]], Room],
    walls: Sequence[str],
    **more: Any,
) -> EntryKind:
    """A table of what the chosen room holds, some of its boxes a choice among the walls of that room."""

    def things(_: Job) -> Sequence[Any]:
        room = chosen()
        return () if room is None else read(room)

    def written(job: Job, pairs: Sequence[Any]) -> Job:
        room = chosen()
        assert room is not None  # without its walls no row is ever whole
        after = write(room, tuple(now for _, now in pairs))
        return with_rooms(job, [(each, after if each.name == room.name else each) for each in job.rooms])

    options = {name: lambda job: listed(_walls_in(job, chosen())) for name in walls}
    return EntryKind(path, cls, asked, things, written, *titles, options=options, **more)


def _walls_in(job: Job, room: Room | None) -> list[str]:
    return [] if room is None else [wall.name for wall in job.walls if wall.room == room.name]


# -- corners --------------------------------------------------------------------------------------


def _corners(chosen: Chosen) -> EntryKind:
    def blank(job: Job) -> Mapping[str, Any]:
        room = chosen()
        return {} if room is None else _next_pair(_walls_in(job, room), room.corners)

    def facts(job: Job, corner: RoomCorner) -> str:
        room = chosen()
        return "" if room is None else _found(job, room, corner)

    return _room_table(
        chosen,
        "room.corner",
        RoomCorner,
        CORNER_BOXES,
        ("a corner", "Corners"),
        lambda room: room.corners,
        lambda room, now: replace(room, corners=now),
        ("wall", "next_wall", "off_square.on"),
        suggest={"angle_deg": lambda _: ("90", "270")},
        values=lambda corner: {
            **{each.name: value_in(corner, each.name) for each in CORNER_BOXES if each.name != "measured"},
            "measured": way_of(corner),
        },
        make=_corner,
        named=lambda corner: corner.where,
        facts=facts,
        blank=blank,
        hint=CLOCKWISE,
    )


def _corner_boxes() -> tuple[Question, ...]:
    """The boxes of a corner; those of a way of measuring only where it is measured so."""
    ways = frozenset(f"room.corner.{way}" for _, way in WAYS)
    first = asked_of(RoomCorner, JOB_WORDS, "room.corner", without=ways)
    key = "room.corner.one_set_up"  # which the list of ways stands for
    label, _, hint = JOB_WORDS[key].partition(" | ")
    way = Question(key, "measured", label, "choice", hint, options=tuple(WAYS))
    parts = (
        replace(each, when=("measured", part))
        for part, cls in PARTS
        for each in asked_of(cls, JOB_WORDS, f"room.corner.{part}", part)
    )
    return (*first, way, *parts)


CORNER_BOXES = _corner_boxes()


def way_of(corner: RoomCorner) -> str:
    """How a corner was measured."""
    return next((way for _, way in WAYS if way != FREE and getattr(corner, way)), FREE)


def _corner(corner: RoomCorner | None, values: Mapping[str, Any]) -> RoomCorner:
    """A corner with these values, measured in the one way that is chosen."""
    way = values["measured"] if "measured" in values or corner is None else way_of(corner)
    none = {part: None for part, _ in PARTS if part != way}
    kept = {name: value for name, value in values.items() if name != "measured"}
    made: RoomCorner = with_values(RoomCorner, corner, {ONE_SET_UP: way == ONE_SET_UP, **none, **kept})
    return made


def _next_pair(names: Sequence[str], corners: Sequence[RoomCorner]) -> Mapping[str, Any]:
    """The next two walls on the way round the room that have no corner yet, in the order of the job."""
    ends, begins = {each.wall for each in corners}, {each.next_wall for each in corners}
    round_again = names[:1] if len(names) >= FEWEST_ROUND else ()
    for wall, after in zip(names, (*names[1:], *round_again), strict=False):
        if wall not in ends and after not in begins:
            return {"wall": wall, "next_wall": after}
    return {}


def _found(job: Job, room: Room, corner: RoomCorner) -> str:
    """What was measured there, or what cannot be of it."""
    try:
        found = next((each for each in corners_found(job, room) if each.corner == corner), None)
    except TakeoffError as error:
        here = [mistake for mistake in error.mistakes if corner.where in mistake.place]
        whole = [mistake for mistake in error.mistakes if "corner" not in mistake.place]
        last = corner == room.corners[-1]
        return " ".join(told(here or (whole if last else []), 1))
    if found is None or found.angle_deg is None:
        return "" if not corner.measured else "known once both walls are read off plumb planes"
    known = job.formats.slope(found.sd_mm_per_m, places=1)
    sure = f" ± {known}" if found.sd_mm_per_m else ", exact"
    return f"found {job.formats.fixed(found.angle_deg, 2)}°{sure}"


# -- what else a room says ------------------------------------------------------------------------


def _clear_widths(chosen: Chosen) -> EntryKind:
    return _room_table(
        chosen,
        "room.clear_width",
        ClearWidth,
        asked_of(ClearWidth, JOB_WORDS, "room.clear_width"),
        ("a clear width", "Clear widths"),
        lambda room: room.clear_widths,
        lambda room, now: replace(room, clear_widths=now),
        ("wall", "opposite"),
    )


def _parallel(chosen: Chosen) -> EntryKind:
    pair = tuple(
        Question("room.parallel", name, label, "choice", empty=MUST)
        for name, label in zip(PAIR, JOB_WORDS["room.parallel"].split(" | "), strict=True)
    )
    return _room_table(
        chosen,
        "room.parallel",
        tuple,
        pair,
        ("two parallel walls", "Parallel walls"),
        lambda room: room.parallel,
        lambda room, now: replace(room, parallel=now),
        PAIR,
        values=_pair,
        make=lambda walls, given: tuple({**_pair(walls or ()), **given}.values()),
        named=lambda walls: " and ".join(walls),
    )


def _pair(walls: Sequence[str]) -> dict[str, str]:
    return dict(zip(PAIR, walls, strict=False))


def _diagonals(chosen: Chosen) -> EntryKind:
    return _room_table(
        chosen,
        "room.diagonals",
        Diagonals,
        asked_of(Diagonals, JOB_WORDS, "room.diagonals"),
        ("two diagonals", "Diagonals"),
        lambda room: (room.diagonals,) if room.diagonals else (),
        lambda room, now: replace(room, diagonals=now[0] if now else None),
        ("wall",),
        named=lambda _: "the diagonals",
        most=1,
        hint="Of a room with four walls, instead of measuring its corners one by one.",
    )
