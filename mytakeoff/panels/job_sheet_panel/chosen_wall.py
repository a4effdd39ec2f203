"""All that is asked of one wall on the job sheet: what it is, and what stands on it or was found there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.shape import WALL_KEYS, SystemEntry
from mytakeoff.job.edits import with_walls
from mytakeoff.job.findings import findings_of, with_findings
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.panels.findings import row_kinds
from mytakeoff.panels.job_sheet_panel.asked import MUST, Question, asked_of, asked_with
from mytakeoff.panels.job_sheet_panel.entry_kind import EntryKind, but, only
from mytakeoff.panels.job_sheet_panel.parts_of_job import (
    AsTreated,
    as_treated,
    known_mixes,
    listed,
    mixes_or_none,
    names_of,
    system_made,
    treated_boxes,
    ways,
)
from mytakeoff.panels.job_sheet_panel.wall_labels import WALL_WORDS
from mytakeoff.panels.job_sheet_panel.walls import OUTLINE, WALL_BOXES, WALL_OPTIONS, reshaped
from mytakeoff.panels.parts.rows import RowKind
from mytakeoff.survey.wall import REVEAL_SIDES

BACKING_TOO = Mistake(
    "a finish or a dubbing-out mix, and no backing mix",
    "a wall has all mixes of its own or none",
    "choose its backing mix too, or none of them",
    "mixes of this wall",
)
Chosen = Callable[[], JobWall | None]

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


SINGLE = tuple(asked for asked in WALL_BOXES if "." not in asked.name)  # one figure or one word each
FIRST = (*OUTLINE, "old_plaster_mm", "old_plaster_gypsum", "strip", "sockets", "radiators")


def wall_form(chosen: Chosen) -> EntryKind:
    """What a wall is: its outline, and what has to come off it."""
    return _figures("wall.form", only(SINGLE, *FIRST), chosen)


def wall_more(chosen: Chosen) -> EntryKind:
    """Whatever else is one figure or one word of a wall."""
    return _figures("wall.more", but(SINGLE, *FIRST), chosen)


def _figures(path: str, asked: tuple[Question, ...], chosen: Chosen) -> EntryKind:
    names = [each.name for each in asked]

    def values(entry: JobWall) -> Mapping[str, Any]:
        return {name: getattr(entry if hasattr(entry, name) else entry.wall, name) for name in names}

    return EntryKind(
        path,
        JobWall,
        asked,
        _of_wall(chosen, lambda entry: (entry,)),
        _to_wall(chosen, lambda _, __, after: after[0]),
        options={name: offered for name, offered in WALL_OPTIONS.items() if name in names},
        values=values,
        make=reshaped,
    )


def wall_mixes(chosen: Chosen) -> EntryKind:
    """The wall's own mixes."""
    asked = asked_of(SystemEntry, WALL_WORDS, "wall.system")
    none = SystemEntry("")
    return EntryKind(
        "wall.system",
        SystemEntry,
        (replace(asked[0], empty=""), *asked[1:]),
        _of_wall(chosen, lambda entry: (names_of(entry.system) if entry.system else none,)),
        _to_wall(chosen, lambda job, entry, after: replace(entry, system=_system(job, after[0]))),
        options={
            "backing": lambda job: [("those of the job", ""), *listed(list(known_mixes(job)))],
            "finish": mixes_or_none,
            "dubbing": mixes_or_none,
        },
        make=system_made,
    )


def wall_treated(chosen: Chosen) -> EntryKind:
    """How this wall is treated."""
    return EntryKind(
        "wall.treatment",
        AsTreated,
        treated_boxes(WALL_WORDS, "wall.treatment"),
        _of_wall(chosen, lambda entry: (as_treated(entry.treatment),)),
        _to_wall(chosen, lambda _, entry, after: replace(entry, treatment=after[0].treatment)),
        options={"kind": lambda _: ways("as the job's walls are")},
    )


def wall_turn(chosen: Chosen) -> EntryKind:
    """The turn of the square plane, where it is known without the corner's readings."""
    asked = asked_with(
        WALL_KEYS,
        {"wall.turn_mm_per_m": row_kinds.TURN},
        "wall",
        frozenset(key for key in (f"wall.{name}" for name in WALL_KEYS) if key != "wall.turn_mm_per_m"),
    )
    return EntryKind(
        "wall.turn_mm_per_m",
        JobWall,
        (replace(asked[0], label=row_kinds.TURN),),
        _of_wall(chosen, lambda entry: (entry,)),
        _to_wall(chosen, lambda _, __, after: after[0]),
    )


# -- what stands on it ----------------------------------------------------------------------------

SIDES = [tuple(side for nth, side in enumerate(REVEAL_SIDES) if bits >> nth & 1) for bits in range(16)]
SIDES_ASKED = Question(
    "wall.opening.reveal_sides",
    "reveal_sides",
    "Plastered sides",
    "choice",
    "with a reveal, or, without one, where the plaster ends",
    empty=("left", "right", "top"),
    options=tuple((", ".join(sides) or "none", sides) for sides in reversed(SIDES)),
)


def _asked_in(kind: RowKind[Any], key: str) -> tuple[Question, ...]:
    """The boxes of a row as they are asked here."""
    nothing = {"text": "", "numbers": (), "tick": False}
    return tuple(
        Question(
            f"{key}.{box.name}",
            box.name,
            box.label,
            box.kind,
            in_unit=box.unit,
            options=box.options,
            empty=MUST if box.needed and box.kind != "tick" else nothing.get(box.kind),
        )
        for box in kind.fields
    )


def _things(
    kind: RowKind[Any],
    key: str,
    chosen: Chosen,
    read: Callable[[JobWall], Sequence[Any]],
    write: Callable[[Job, JobWall, list[Any]], JobWall],
    several: str,
    *more: Question,
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
        key,
        object,
        asked,
        _of_wall(chosen, read),
        _to_wall(chosen, write),
        kind.called,
        several,
        values=values,
        make=make,
        blank=lambda _: blank,
        most=kind.most,
        hint=row_kinds.HINTS.get(kind.name, ""),
    )


SIZES = ("x_m", "width_m", "height_m")  # of an opening: what is measured is not filled in beforehand


def _findings(name: str, entry: JobWall) -> Sequence[Any]:
    found: Sequence[Any] = getattr(findings_of(entry), name)
    return found


def _found(name: str) -> Callable[[Job, JobWall, list[Any]], JobWall]:
    def write(_: Job, entry: JobWall, things: list[Any]) -> JobWall:
        now: dict[str, Any] = {name: tuple(things)}
        if name == "corner":
            now = {name: things[0] if things else None}
        return with_findings(entry, replace(findings_of(entry), **now), entry.survey)

    return write


def _stand(name: str) -> Callable[[Job, JobWall, list[Any]], JobWall]:
    return lambda _, entry, things: reshaped(entry, {name: tuple(things)})


def on_wall(chosen: Chosen) -> Mapping[str, EntryKind]:
    """Tables of what stands on a wall and what was found on it, by their titles."""
    fitted = replace(row_kinds.OPENINGS, name="fitted", called="a fitted unit", letter="unit ")
    sides = (SIDES_ASKED, replace(SIDES_ASKED, key="wall.fitted.reveal_sides"))
    found: dict[str, tuple[RowKind[Any], str, str]] = {
        "Fittings": (row_kinds.FITTINGS, "wall.fitting", "fittings"),
        "Fixed places, for a second survey": (row_kinds.FIXED_PLACES, "wall.fixed_place", "fixed_places"),
        "Loose and fallen plaster": (row_kinds.LOOSE, "wall.loose", "loose"),
        "High spots": (row_kinds.HIGH_SPOTS, "wall.high_spot", "high_spots"),
        "Laid straightedges": (row_kinds.SWEEPS, "wall.sweep", "sweeps"),
    }
    return {
        "Openings": _things(
            row_kinds.OPENINGS,
            "wall.opening",
            chosen,
            lambda entry: entry.wall.openings,
            _stand("openings"),
            "Openings",
            sides[0],
        ),
        "Fitted units": _things(
            fitted,
            "wall.fitted",
            chosen,
            lambda entry: entry.wall.fitted,
            _stand("fitted"),
            "Fitted units",
            sides[1],
        ),
        **{
            title: _things(
                kind,
                key,
                chosen,
                partial(_findings, name),
                _found(name),
                title,
            )
            for title, (kind, key, name) in found.items()
        },
        "The square corner": _things(
            row_kinds.CORNERS,
            "wall.corner",
            chosen,
            lambda entry: (entry.corner,) if entry.corner else (),
            _found("corner"),
            "The corner's readings",
        ),
    }
