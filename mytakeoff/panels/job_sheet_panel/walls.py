"""Rooms and walls on the job sheet, and all that is asked of one wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import counted
from mytakeoff.io.job.shape import WALL_KEYS
from mytakeoff.job.backgrounds import BACKGROUND_NAMES
from mytakeoff.job.choices import Room, floor_between
from mytakeoff.job.edits import with_priced, with_rooms, with_walls
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.job_sheet_panel.asked import Question, asked_of, asked_with
from mytakeoff.panels.job_sheet_panel.entry_kind import DOWN, OUT, UP, EntryKind, only
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.job_sheet_panel.parts_of_job import (
    listed,
    rooms_in,
)
from mytakeoff.panels.job_sheet_panel.wall_labels import WALL_WORDS
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

ORDER = (
    "Walls stand in the order in which you walk round the room, from the door to the left. Each is seen from "
    "inside the room, its left end on your left."
)
COPY, SHOW = ("copy", "Copy"), ("show", "Show")

# -- rooms ----------------------------------------------------------------------------------------


def floor_of(job: Job, room: str) -> float | None:
    """The floor of a room between its walls, where they close round it [m²]."""
    return floor_between([entry.wall.width_m for entry in job.walls if entry.room == room])


def _room_facts(job: Job, room: Room) -> str:
    walls = sum(wall.room == room.name for wall in job.walls)
    floor_m2 = floor_of(job, room.name)
    offered = f"; its walls close round {job.formats.number(floor_m2, 1)} m²" if floor_m2 else ""
    return f"{counted(walls, 'wall')}{offered}"


ROOMS = EntryKind(
    "room",
    Room,
    only(asked_of(Room, JOB_WORDS, "room"), "name", "storey", "floor_area_m2"),
    lambda job: job.rooms,
    with_rooms,
    "a room",
    "Rooms",
    facts=_room_facts,
    actions=(("floor", "Take the floor from its walls"), UP, DOWN, OUT),
    cannot=lambda job, room: ["floor"] if floor_of(job, room.name) in (None, room.floor_area_m2) else [],
)


def with_floor(job: Job, room: Room) -> Job:
    """The job with a room's floor as its walls have it.

    Raises
    ------
    TakeoffError
        They do not close round it.
    """
    floor_m2 = floor_of(job, room.name)
    if floor_m2 is None:
        raise TakeoffError(
            Mistake(
                f"{counted(sum(wall.room == room.name for wall in job.walls), 'wall')} in {room.name!r}",
                "a floor is told by four walls in order round the room, facing ones alike to 5 cm",
                "type the floor that is to be protected",
                f"room {room.name!r}",
            )
        )
    rooms = tuple(replace(each, floor_area_m2=floor_m2) if each == room else each for each in job.rooms)
    return replace(job, rooms=rooms)


# -- walls ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Listed:
    """A wall in the list, and whether it is in the price."""

    entry: JobWall
    priced: bool


def reshaped(entry: JobWall, values: Mapping[str, Any]) -> JobWall:
    """A wall with other fields, those of its outline among them."""
    outline = {name: value for name, value in values.items() if name in Wall.__dataclass_fields__}
    rest = {name: value for name, value in values.items() if name not in outline}
    wall = replace(entry.wall, **outline)
    return replace(entry, wall=wall, survey=replace(entry.survey, wall=wall), **rest)


def new_wall(name: str, width_m: float, height_m: float, room: str, background: str) -> JobWall:
    """A wall that nobody has read yet."""
    wall = Wall(name, width_m, height_m)
    return JobWall(wall, room, Survey.none(wall), background)


def copied(job: Job, entry: JobWall) -> Job:
    """The job with a wall once more, behind it, under a name of its own and without its readings."""
    names = {wall.name for wall in job.walls}
    name = next(f"{entry.name} {nth}" for nth in count(2) if f"{entry.name} {nth}" not in names)
    wall = replace(entry.wall, name=name)
    again = replace(entry, wall=wall, survey=Survey.none(wall), corner=None, turn_mm_per_m=None)
    pairs = [(each, each) for each in job.walls]
    pairs.insert(job.walls.index(entry) + 1, (None, again))  # type: ignore[arg-type]
    made = with_walls(job, pairs)
    return replace(made, only=(*made.only, name)) if job.only else made


def _values(thing: Listed) -> Mapping[str, Any]:
    entry, wall = thing.entry, thing.entry.wall
    return {
        "name": wall.name,
        "room": entry.room,
        "width_m": wall.width_m,
        "height_m": wall.height_m,
        "background": entry.background,
        "priced": thing.priced,
    }


def _made(thing: Listed | None, values: Mapping[str, Any]) -> Listed:
    own = {name: value for name, value in values.items() if name != "priced"}
    if thing is None:
        return Listed(new_wall(**own), bool(values.get("priced", True)))
    return Listed(reshaped(thing.entry, own), bool(values.get("priced", thing.priced)))


def _write(job: Job, pairs: Sequence[tuple[Listed | None, Listed]]) -> Job:
    made = with_walls(job, [(before.entry if before else None, after.entry) for before, after in pairs])
    return with_priced(made, [after.entry.name for _, after in pairs if after.priced])


def _walls(job: Job) -> tuple[Listed, ...]:
    return tuple(Listed(entry, not job.only or entry.name in job.only) for entry in job.walls)


def _wall_facts(job: Job, thing: Listed) -> str:
    read = thing.entry.survey.x_m.size
    return f"{job.formats.number(read)} readings" if read else "no readings yet"


WALL_BOXES = asked_with(
    WALL_KEYS, WALL_WORDS, "wall", frozenset({"wall.survey", "wall.corner", "wall.turn_mm_per_m"})
)
OUTLINE = ("name", "room", "width_m", "height_m", "background")
PRICED = Question(
    "only", "priced", "Priced", "tick", "a wall that is not priced stays in the job", empty=True
)
WALL_OPTIONS = {"room": rooms_in, "background": lambda _: listed(list(BACKGROUND_NAMES))}


def _blank(job: Job) -> Mapping[str, Any]:
    """A new wall stands in the room of the last one and is made of the same; its size is measured."""
    if job.walls:
        return {"room": job.walls[-1].room, "background": job.walls[-1].background}
    return {"room": job.rooms[0].name} if job.rooms else {}


WALLS = EntryKind(
    "wall",
    Listed,
    (*only(WALL_BOXES, *OUTLINE), PRICED),
    _walls,
    _write,
    "a wall",
    "Walls",
    options=WALL_OPTIONS,
    values=_values,
    make=_made,
    facts=_wall_facts,
    actions=(SHOW, COPY, UP, DOWN, OUT),
    blank=_blank,
    hint=ORDER,
)
