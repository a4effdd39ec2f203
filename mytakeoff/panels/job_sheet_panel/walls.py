"""Rooms and walls on the job sheet, and all that is asked of one wall."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats import counted
from mytakeoff.io.job.shape import WALL_KEYS, SystemEntry
from mytakeoff.job.backgrounds import BACKGROUND_NAMES
from mytakeoff.job.choices import Room, floor_between
from mytakeoff.job.edits import with_priced, with_rooms, with_walls
from mytakeoff.job.findings import findings_of, with_findings
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.panels.findings import row_kinds
from mytakeoff.panels.job_sheet_panel.asked import MUST, Asked, asked_of, asked_with
from mytakeoff.panels.job_sheet_panel.entries import DOWN, OUT, UP, EntryKind, but, only
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.job_sheet_panel.parts_of_job import (
    AsTreated,
    as_treated,
    known_mixes,
    listed,
    mixes_or_none,
    names_of,
    rooms_in,
    system_made,
    treated_boxes,
    ways,
)
from mytakeoff.panels.job_sheet_panel.wall_labels import WALL_WORDS
from mytakeoff.panels.parts.rows import RowKind
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import REVEAL_SIDES, Wall

ORDER = (
    "Walls stand in the order in which you walk round the room, from the door to the left. Each is seen from inside "
    "the room, its left end on your left."
)
COPY, SHOW = ("copy", "Copy"), ("show", "Show")
BACKING_TOO = Mistake("a finish or a dubbing-out mix, and no backing mix", "a wall has all mixes of its own or none",
                      "choose its backing mix too, or none of them", "mixes of this wall")  # fmt: skip
Chosen = Callable[[], JobWall | None]

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
    "room", Room, only(asked_of(Room, JOB_WORDS, "room"), "name", "storey", "floor_area_m2"),
    lambda job: job.rooms, with_rooms, "a room", "Rooms",
    facts=_room_facts, actions=(("floor", "Take the floor from its walls"), UP, DOWN, OUT),
    cannot=lambda job, room: ["floor"] if floor_of(job, room.name) in (None, room.floor_area_m2) else [],
)  # fmt: skip


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
                "a floor is told by four walls in order round the room, those that face each other alike to 5 cm",
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
    return {"name": wall.name, "room": entry.room, "width_m": wall.width_m, "height_m": wall.height_m,
            "background": entry.background, "priced": thing.priced}  # fmt: skip


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


WALL_BOXES = asked_with(WALL_KEYS, WALL_WORDS, "wall", frozenset({"wall.survey", "wall.corner", "wall.turn_mm_per_m"}))
OUTLINE = ("name", "room", "width_m", "height_m", "background")
PRICED = Asked("only", "priced", "Priced", "tick", "a wall that is not priced stays in the job", empty=True)
WALL_OPTIONS = {"room": rooms_in, "background": lambda _: listed(list(BACKGROUND_NAMES))}


def _blank(job: Job) -> Mapping[str, Any]:
    """A new wall stands in the room of the last one and is made of the same; its size is measured."""
    if job.walls:
        return {"room": job.walls[-1].room, "background": job.walls[-1].background}
    return {"room": job.rooms[0].name} if job.rooms else {}


WALLS = EntryKind(
    "wall", Listed, (*only(WALL_BOXES, *OUTLINE), PRICED), _walls, _write, "a wall", "Walls",
    options=WALL_OPTIONS, values=_values, make=_made, facts=_wall_facts,
    actions=(SHOW, COPY, UP, DOWN, OUT), blank=_blank, hint=ORDER,
)  # fmt: skip


# -- the chosen wall ------------------------------------------------------------------------------


def _of_wall(chosen: Chosen, read: Callable[[JobWall], Sequence[Any]]) -> Callable[[Job], Sequence[Any]]:
    def things(_: Job) -> Sequence[Any]:
        entry = chosen()
        return () if entry is None else read(entry)

    return things


def _to_wall(
    chosen: Chosen, write: Callable[[Job, JobWall, list[Any]], JobWall]
) -> Callable[[Job, Sequence[Any]], Job]:
    """Writes to the wall that is chosen, which may come by another name."""

    def written(job: Job, pairs: Sequence[Any]) -> Job:
        entry = chosen()
        assert entry is not None  # there is nothing to write otherwise
        after = write(job, entry, [now for _, now in pairs])
        return with_walls(job, [(each, after if each.name == entry.name else each) for each in job.walls])

    return written


def _system(job: Job, names: SystemEntry) -> System | None:
    known = known_mixes(job)
    if not names.backing and (names.finish or names.dubbing):
        raise TakeoffError(BACKING_TOO)
    if not names.backing:
        return None
    finish, dubbing = (known[name] if name else None for name in (names.finish, names.dubbing))
    return System(known[names.backing], finish, names.finish_mm, dubbing)


def wall_form(chosen: Chosen) -> EntryKind:
    """What a wall is: its outline and whatever is one figure or one word of it."""
    single = tuple(asked for asked in WALL_BOXES if "." not in asked.name)
    asked = (*only(single, *OUTLINE), *but(single, *OUTLINE))
    names = [each.name for each in asked]

    def values(entry: JobWall) -> Mapping[str, Any]:
        return {name: getattr(entry if hasattr(entry, name) else entry.wall, name) for name in names}

    return EntryKind(
        "wall.form", JobWall, asked, _of_wall(chosen, lambda entry: (entry,)),
        _to_wall(chosen, lambda _, __, after: after[0]),  # type: ignore[arg-type,return-value]
        options=WALL_OPTIONS, values=values, make=reshaped,
    )  # fmt: skip


def wall_mixes(chosen: Chosen) -> EntryKind:
    """The wall's own mixes."""
    asked = asked_of(SystemEntry, WALL_WORDS, "wall.system")
    none = SystemEntry("")
    return EntryKind(
        "wall.system", SystemEntry, (replace(asked[0], empty=""), *asked[1:]),
        _of_wall(chosen, lambda entry: (names_of(entry.system) if entry.system else none,)),
        _to_wall(chosen, lambda job, entry, after: replace(entry, system=_system(job, after[0]))),
        options={"backing": lambda job: [("those of the job", ""), *listed(list(known_mixes(job)))],
                 "finish": mixes_or_none, "dubbing": mixes_or_none},
        make=system_made,
    )  # fmt: skip


def wall_treated(chosen: Chosen) -> EntryKind:
    """How this wall is treated."""
    return EntryKind(
        "wall.treatment", AsTreated, treated_boxes(WALL_WORDS, "wall.treatment"),
        _of_wall(chosen, lambda entry: (as_treated(entry.treatment),)),
        _to_wall(chosen, lambda _, entry, after: replace(entry, treatment=after[0].treatment)),
        options={"kind": lambda _: ways("as the job's walls are")},
    )  # fmt: skip


def wall_turn(chosen: Chosen) -> EntryKind:
    """The turn of the square plane, where it is known without the corner's readings."""
    asked = asked_with(WALL_KEYS, {"wall.turn_mm_per_m": row_kinds.TURN}, "wall", frozenset(
        key for key in (f"wall.{name}" for name in WALL_KEYS) if key != "wall.turn_mm_per_m"))  # fmt: skip
    return EntryKind(
        "wall.turn_mm_per_m", JobWall, (replace(asked[0], label=row_kinds.TURN),),
        _of_wall(chosen, lambda entry: (entry,)),
        _to_wall(chosen, lambda _, __, after: after[0]),  # type: ignore[arg-type,return-value]
    )  # fmt: skip


# -- what stands on it ----------------------------------------------------------------------------

SIDES = [tuple(side for nth, side in enumerate(REVEAL_SIDES) if bits >> nth & 1) for bits in range(16)]
SIDES_ASKED = Asked(
    "wall.opening.reveal_sides", "reveal_sides", "Plastered sides", "choice",
    "with a reveal, or, without one, where the plaster ends", empty=("left", "right", "top"),
    options=tuple((", ".join(sides) or "none", sides) for sides in reversed(SIDES)),
)  # fmt: skip


def _asked_in(kind: RowKind[Any], key: str) -> tuple[Asked, ...]:
    """The boxes of a row as they are asked here."""
    nothing = {"text": "", "numbers": (), "tick": False}
    return tuple(
        Asked(f"{key}.{box.name}", box.name, box.label, box.kind, in_unit=box.unit, options=box.options,
              empty=MUST if box.needed and box.kind != "tick" else nothing.get(box.kind))
        for box in kind.fields
    )  # fmt: skip


def _things(
    kind: RowKind[Any],
    key: str,
    chosen: Chosen,
    read: Callable[[JobWall], Sequence[Any]],
    write: Callable[[Job, JobWall, list[Any]], JobWall],
    several: str,
    *more: Asked,
) -> EntryKind:
    asked = (*_asked_in(kind, key), *more)

    def values(thing: Any) -> Mapping[str, Any]:
        of = kind.read(thing)
        sides = tuple(side for side in REVEAL_SIDES if side in of.get("reveal_sides", ()))
        return {**of, "reveal_sides": sides} if more else of

    def make(thing: Any, given: Mapping[str, Any]) -> Any:
        return kind.make(**{**({} if thing is None else kind.read(thing)), **given})

    blank = {name: value for name, value in kind.blank.items() if value is not None and name not in SIZES}
    return EntryKind(
        key, object, asked, _of_wall(chosen, read), _to_wall(chosen, write), kind.called, several,
        values=values, make=make, blank=lambda _: blank, most=kind.most,
        hint=row_kinds.HINTS.get(kind.name, ""),
    )  # fmt: skip


SIZES = ("x_m", "width_m", "height_m")  # of an opening: what is measured is not filled in beforehand


def _found(name: str) -> Callable[[Job, JobWall, list[Any]], JobWall]:
    def write(_: Job, entry: JobWall, things: list[Any]) -> JobWall:
        value = (things[0] if things else None) if name == "corner" else tuple(things)
        return with_findings(entry, replace(findings_of(entry), **{name: value}), entry.survey)

    return write


def _stand(name: str) -> Callable[[Job, JobWall, list[Any]], JobWall]:
    return lambda _, entry, things: reshaped(entry, {name: tuple(things)})


def on_wall(chosen: Chosen) -> Mapping[str, EntryKind]:
    """Tables of what stands on a wall and what was found on it, by their titles."""
    fitted = replace(row_kinds.OPENINGS, name="fitted", called="a fitted unit", letter="unit ")
    sides = (SIDES_ASKED, replace(SIDES_ASKED, key="wall.fitted.reveal_sides"))
    found = {
        "Fittings": (row_kinds.FITTINGS, "wall.fitting", "fittings"),
        "Loose and fallen plaster": (row_kinds.LOOSE, "wall.loose", "loose"),
        "High spots": (row_kinds.HIGH_SPOTS, "wall.high_spot", "high_spots"),
        "Laid straightedges": (row_kinds.SWEEPS, "wall.sweep", "sweeps"),
    }
    return {
        "Openings": _things(row_kinds.OPENINGS, "wall.opening", chosen, lambda entry: entry.wall.openings,
                            _stand("openings"), "Openings", sides[0]),
        "Fitted units": _things(fitted, "wall.fitted", chosen, lambda entry: entry.wall.fitted, _stand("fitted"),
                                "Fitted units", sides[1]),
        **{
            title: _things(kind, key, chosen, lambda entry, name=name: getattr(findings_of(entry), name), _found(name),
                           title)
            for title, (kind, key, name) in found.items()
        },
        "The square corner": _things(
            row_kinds.CORNERS, "wall.corner", chosen,
            lambda entry: (entry.corner,) if entry.corner else (), _found("corner"),
            "The corner's readings",
        ),
    }  # fmt: skip
