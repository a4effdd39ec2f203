"""A job's edits over what others changed in its file meanwhile: as `three_way` has it, and of walls more.

A wall is known again under another name by all else that it says, or by its survey. One side's new name goes
with the other side's edits, in everything that names the wall. Refused in words, because either way would be
nonsense or lose somebody's wall: a wall that one side took out and the other changed; two walls that come to
have one name; another survey on one side and, on the other, what was read off the old one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from mytakeoff.errors import Check
from mytakeoff.io.files.three_way import Clash, Level, Table, but, known_again, reconciled
from mytakeoff.io.files.toml_fields import as_toml
from mytakeoff.io.job.shape import JOB_FILE
from mytakeoff.job.treatments import Edit

Tables = dict[str, Any]
OFF_PLANE = ("high_spot", "said", "turn_mm_per_m")  # what goes with a survey's readings
NAMES_A_WALL = ("wall", "next_wall", "on", "opposite", "parallel")  # of what is said of a room
OUT_HERE = "go back to the saved job to keep it, or take it out of the file too and save again"
OUT_THERE = "go back to the saved job to go on without it, or save into a new folder to keep yours"


@dataclass(frozen=True)
class Merged:
    """What is to be written to a job file.

    Parameters
    ----------
    tables : plain tables
    names : mapping of str to str
        What the walls of the file are called from now on.
    clashes : tuple of Clash
        What both sides changed: the job's is written.
    from_file : bool
        The file held something that the job did not know of.
    """

    tables: Tables
    names: Mapping[str, str]
    clashes: tuple[Clash, ...] = ()
    from_file: bool = False


def merged(opened: Tables | None, now: Tables, file: Tables, renamed: Mapping[str, str]) -> Merged:
    """The tables of a job file with the edits of both sides.

    Parameters
    ----------
    opened, now, file : plain tables
        Of the job as it was opened, if that is known, as it is now, and of its file.
    renamed : mapping of str to str
        New names of walls, where they are known.

    Raises
    ------
    TakeoffError
        Edits of walls that do not go together: all of them.
    """
    if opened is None or file == opened:
        return Merged(now, _names(file["wall"], now["wall"], renamed))
    check, clashes = Check(JOB_FILE), list[Clash]()
    here, there = _names(opened["wall"], now["wall"], renamed), _names(opened["wall"], file["wall"], {})
    last = _last_names([wall["name"] for wall in opened["wall"]], here, there, check, clashes)
    stale = set(there) - set(there.values())  # renamed by hand, and named so elsewhere still
    names = {theirs: last[name] for name, theirs in there.items()}
    opened = renamed_in(opened, last)
    now = renamed_in(now, {mine: last[name] for name, mine in here.items()})
    file = renamed_in(file, {**{name: last[name] for name in stale}, **names})
    _check_names(now["wall"], check)
    _check_names(file["wall"], check)
    check.done()
    walls = _walls(opened["wall"], now["wall"], file["wall"], check, clashes)
    _check_names(walls, check)
    check.done()
    rest = reconciled({**opened, "wall": []}, {**now, "wall": []}, {**file, "wall": []}, clashes)
    return Merged({**rest, "wall": walls}, names, tuple(clashes), True)


# -- names of walls ----------------------------------------------------------------------------------


def _survey_of(wall: Table) -> Hashable:
    """What a wall was measured by; None where nothing was read."""
    survey = wall["survey"] or {}
    return tuple(survey[key] for key in ("file", "found", "other_side")) if survey.get("file") else None


def _file_of(wall: Table) -> str:
    return (wall["survey"] or {}).get("file", "")  # type: ignore[no-any-return]


def _name_of(wall: Table) -> Hashable:
    return wall["name"]  # type: ignore[no-any-return]


SAME_WALL: tuple[Level, ...] = (but(), but("name"), _name_of, _survey_of, but("name", "survey"))


def _names(before: list[Table], after: list[Table], renamed: Mapping[str, str]) -> dict[str, str]:
    """What each wall that is still there is called after."""
    told = [{**wall, "name": renamed.get(wall["name"], wall["name"])} for wall in before]
    found = enumerate(known_again(told, after, SAME_WALL))
    return {before[was]["name"]: after[nth]["name"] for nth, was in found if was is not None}


def _last_names(
    names: Iterable[str],
    here: Mapping[str, str],
    there: Mapping[str, str],
    check: Check,
    clashes: list[Clash],
) -> dict[str, str]:
    """What each wall is called in the end."""
    last = {}
    for name in names:
        mine, theirs = here.get(name), there.get(name)
        place = f"wall {name!r}"
        if mine is None or theirs is None:
            last[name] = name
            if mine not in (name, None):
                _refuse_gone(check, place, f"called {mine!r} here", OUT_THERE)
            if theirs not in (name, None):
                _refuse_gone(check, place, f"called {theirs!r} in {JOB_FILE} by now", OUT_HERE)
            continue
        last[name] = theirs if mine == name else mine
        if name != mine != theirs != name:
            clashes.append(Clash((place, "name"), mine, theirs))
    return last


def _refuse_gone(check: Check, place: str, changed: str, remedy: str) -> None:
    """Note a wall that one side took out and the other one changed."""
    taken = f"taken out of {JOB_FILE} by now" if remedy == OUT_THERE else "taken out here"
    check.that(False, f"{changed}, and {taken}", "a wall is in the job or it is not", remedy, place)


def renamed_in(tables: Tables, names: Mapping[str, str]) -> Tables:
    """The tables with walls called otherwise, by everything that names them."""
    compare = tables["compare"]
    beside = [{**thing, "wall": names.get(thing["wall"], thing["wall"])} for thing in compare["beside"]]
    return {
        **tables,
        "scenario": [_scenario_renamed(scenario, names) for scenario in tables["scenario"]],
        "room": [_room_renamed(room, names) for room in tables["room"]],
        "wall": [{**wall, "name": names.get(wall["name"], wall["name"])} for wall in tables["wall"]],
        "only": [names.get(name, name) for name in tables["only"]],
        "compare": {**compare, "beside": beside},
    }


def _room_renamed(room: Table, names: Mapping[str, str]) -> Tables:
    """A room's table with walls called otherwise, wherever it names them."""

    def renamed(value: Any, key: str = "") -> Any:
        if isinstance(value, Mapping):
            return {name: renamed(one, name) for name, one in value.items()}
        if isinstance(value, list):
            return [renamed(one, key) for one in value]
        return names.get(value, value) if key in NAMES_A_WALL else value

    return {key: renamed(value, key) for key, value in room.items()}


def _scenario_renamed(scenario: Table, names: Mapping[str, str]) -> Tables:
    """A scenario's table with walls called otherwise."""
    edits = (Edit(table["change"], table["to"]).with_wall_names(names) for table in scenario["edit"])
    return {**scenario, "edit": [as_toml(edit) for edit in edits]}


def _check_names(walls: Iterable[Table], check: Check) -> None:
    """Note names that two walls have."""
    for name, times in Counter(wall["name"] for wall in walls).items():
        check.that(
            times == 1,
            f"two walls called {name!r}, one of them from {JOB_FILE} by now",
            "each wall has its own name",
            "give yours another name and save again",
        )


# -- what walls say ----------------------------------------------------------------------------------


def _walls(
    opened: list[Table], now: list[Table], file: list[Table], check: Check, clashes: list[Clash]
) -> list[Table]:
    """The walls of both sides, each under one name."""
    found: list[Clash] = []
    walls: list[Table] = reconciled(opened, now, file, found, ("wall",))
    for clash in found:
        if len(clash.place) > 1:
            clashes.append(clash)
        elif clash.here is None:
            _refuse_gone(check, clash.place[0], f"changed in {JOB_FILE} by now", OUT_HERE)
        elif clash.there is None:
            _refuse_gone(check, clash.place[0], "changed here", OUT_THERE)
        else:
            _check_names([clash.here, clash.there], check)
    before, mine, theirs = ({wall["name"]: wall for wall in side} for side in (opened, now, file))
    for name in before:
        if name in mine and name in theirs:
            _check_plane(before[name], mine[name], theirs[name], check)
    return walls


def _check_plane(opened: Table, now: Table, file: Table, check: Check) -> None:
    """Note another survey on one side where the other one changed what was read off the old one."""
    by_now = f"in {JOB_FILE} by now"
    for one, other, where, elsewhere in ((now, file, "here", by_now), (file, now, by_now, "here")):
        newer = _file_of(one) != _file_of(opened) and other["survey"] != one["survey"]
        off = [key for key in OFF_PLANE if other[key] not in (opened[key], one[key])]
        check.that(
            not (newer and off),
            f"another survey {where}, and another {', '.join(off)} {elsewhere}",
            "what was read off one plane goes with its readings",
            "go back to the saved job and enter yours for that survey, or save into a new folder",
            f"wall {opened['name']!r}",
        )
