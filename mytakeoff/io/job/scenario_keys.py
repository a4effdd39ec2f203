"""What an edit of a scenario may change, by the keys of ``job.toml``, and which of them there are."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from types import NoneType
from typing import Any, get_args

from mytakeoff.bounds import Money
from mytakeoff.errors import Check
from mytakeoff.io.files.toml_fields import Key, as_toml, convert, keys_of
from mytakeoff.io.job.shape import JOB_KEYS, WALL_KEYS, key_kind
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.packs import Pack
from mytakeoff.job.treatments import QUOTED, Edit, Scenario, quoted

Keys = Mapping[str, Key]
STEP = re.compile(rf"([a-z][a-z0-9_]*)(?: ({QUOTED}))?(?:\.|$)")
MIX, WALL, PRICE, PACK = "mix", "wall", "price", "pack"
NAMES = ("name", "item")
# What a job is, and how it is written: a scenario changes what is chosen and what things cost.
OF_THE_JOB = (
    *(
        "title",
        "room",
        "notes",
        "currency",
        "money_places",
        "decimal_comma",
        "feet_and_inches",
        "locale",
        "built_year",
    ),
    *("cell_m", "reach_m", "scenario", "range", "option", "quotation", "state", "learnt"),
)
WALL_CHOICES = (
    *("treatment", "system", "rails_x_m", "angle_bead_m", "stop_bead_m", "sockets", "radiators"),
    *("edge_bead", "skirting_off_m", "strip", "missed_high_spot_mm", "nibs_per_m2", "nib_mm"),
)
UNTOUCHED = "a scenario changes choices and prices; no readings, no rooms, no walls added or taken out"
EXAMPLES = 'waste_share, plane.kind, price "primer", wall "north".treatment.kind'
PRICED = Key(PRICE, PRICE, Money, 0.0)
SEVERAL = {MIX: Mix, WALL: JobWall, PRICE: Pack, PACK: Pack}
SCENARIO_KEYS: Keys = {
    **{name: key for name, key in JOB_KEYS.items() if name not in OF_THE_JOB},
    **{name: Key(name, name, tuple[cls, ...], ()) for name, cls in SEVERAL.items()},  # type: ignore[valid-type]
}
INSIDE: Mapping[str, Keys] = {
    WALL: {name: WALL_KEYS[name] for name in WALL_CHOICES},
    PRICE: {},
    PACK: {PRICE: PRICED},
}
INSIDE_OF = tuple(SCENARIO_KEYS[name] for name in INSIDE)


@dataclass(frozen=True)
class PathStep:
    """One step of what an edit changes: a key, and which table of several."""

    key: str
    name: str | None = None

    def __str__(self) -> str:
        return self.key if self.name is None else f"{self.key} {quoted(self.name)}"


def steps_of(change: str) -> tuple[PathStep, ...]:
    """What an edit changes, step by step; empty where it is not written so.

    Examples
    --------
    >>> [str(step) for step in steps_of('wall "party wall".treatment.kind')]
    ['wall "party wall"', 'treatment', 'kind']
    >>> steps_of("waste share")
    ()
    """
    steps, at = [], 0
    while found := STEP.match(change, at):
        steps.append(PathStep(found[1], json.loads(found[2]) if found[2] else None))
        at = found.end()
    return tuple(steps) if at == len(change) and not change.endswith(".") else ()


def is_several(key: Key) -> bool:
    """Whether a key stands for tables that are told apart by their names."""
    return key_kind(key)[0] == "tables"


def keys_inside(key: Key) -> Keys:
    """The keys of the table that a key leads to; none where it is a value."""
    if key in INSIDE_OF:
        return INSIDE[key.name]
    kind, cls = key_kind(key)
    if kind == "value":
        return {}
    skip = NAMES if kind == "tables" else ()
    return {inner: each for inner, each in keys_of(cls).items() if inner not in skip}


def may_be_left_out(key: Key) -> bool:
    """Whether a key may say nothing."""
    return NoneType in get_args(key.hint)


def key_of(change: str, check: Check) -> Key | None:
    """The key that an edit changes, with its type; None with the mistake noted.

    Examples
    --------
    >>> check = Check("scenario 'dry'")
    >>> key_of("plane.kind", check).name, key_of("waste_shore", check)
    ('kind', None)
    >>> print(check.mistakes[0])
    scenario 'dry': change 'waste_shore'; an edit changes a choice or a price of the job; write 'waste_share'
    """
    keys, key, steps = SCENARIO_KEYS, None, steps_of(change)
    for nth, step in enumerate(steps):
        key = keys.get(step.key)
        if key is None or is_several(key) != (step.name is not None):
            _refuse(change, steps[:nth], step, keys, check)
            return None
        keys = keys_inside(key)
    if key is None or (keys and steps[-1].name is not None):
        _refuse(change, steps, PathStep(""), keys, check)
        return None
    return PRICED if key == SCENARIO_KEYS[PRICE] else key


def _refuse(change: str, before: Sequence[PathStep], step: PathStep, keys: Keys, check: Check) -> None:
    """Note what is no choice or price of a job, and what was probably meant."""
    head = "".join(f"{each}." for each in before)
    near = get_close_matches(step.key, keys, 1, 0.7)
    rule, remedy = "an edit changes a choice or a price of the job", f"write it as {EXAMPLES}"
    if step.key not in keys and step.key in (*OF_THE_JOB, *WALL_KEYS):
        rule, remedy = UNTOUCHED, "take it out of the scenario, and change the job itself"
    elif step.key in keys:
        several = is_several(keys[step.key])
        remedy = f'write {head}{step.key} "its name"' if several else f"write {head}{step.key}"
    elif near:
        remedy = f"write {head + near[0]!r}"
    elif before and keys:
        remedy = f"its keys are {', '.join(keys)}"
    check.that(False, f"change {change!r}", rule, remedy)


def value_of(key: Key, edit: Edit, check: Check) -> Any:
    """The value of an edit as its key takes it, or None with the mistake noted."""
    inside, optional = keys_inside(key), may_be_left_out(key)
    if inside and not (edit.to is None and optional):
        out = f", or leave {edit.change} out altogether: take to out" if optional else ""
        first = f"write {edit.change}.{next(iter(inside))}{out}"
        check.that(False, f"change {edit.change!r}", "a table is changed key by key", first)
        return None
    if edit.to is None:
        has_one = f"no value for {edit.change}", "what it changes has one", "add to = and the value"
        check.that(optional, *has_one)
        return None
    above = edit.change.removesuffix(key.name).rstrip(".")
    place = ", ".join(filter(None, (check.place, above, key.name)))  # its last part names the number
    return check.made(lambda: convert(key.hint, as_toml(edit.to), place, check))


def check_scenarios(scenarios: Iterable[Scenario], place: str, check: Check) -> None:
    """Note each edit that no job could take: a key that there is none of, a value of another kind.

    A wall or a mix that the job does not have is no such mistake: what does not fit is told where the
    scenario is used, and the others still work.
    """
    for scenario in scenarios:
        own = Check(f"{place}, scenario {scenario.name!r}")
        for edit in scenario.edits:
            if (key := key_of(edit.change, own)) is not None:
                value_of(key, edit, own)
        check.mistakes += own.mistakes
