"""Scenarios of a job: the edits between two jobs, and a job with a scenario's edits.

Pure: no file is read. What an edit may change follows the keys of ``job.toml``, so a scenario may hold any
choice or price that a job has, also one that is added later.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from copy import deepcopy
from dataclasses import replace
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of, read_table
from mytakeoff.io.job.open_job import mixes_in, system_in
from mytakeoff.io.job.scenario_keys import (
    MIX,
    NAMES,
    PACK,
    PRICE,
    SCENARIO_KEYS,
    WALL,
    WALL_CHOICES,
    PathStep,
    is_several,
    key_of,
    keys_inside,
    steps_of,
    value_of,
)
from mytakeoff.io.job.shape import JOB_KEYS, KNOWN_MIXES, WALL_KEYS, SystemEntry, tables_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.job.treatments import Edit, Scenario
from mytakeoff.units import decimal_of

Table = dict[str, Any]
Mixes = Mapping[str, Mix]


def edits_between(before: Job, after: Job) -> tuple[Edit, ...]:
    """What a scenario would hold that makes one job of another.

    Parameters
    ----------
    before, after : Job

    Returns
    -------
    tuple of Edit
        In the order of the file. Readings, rooms, walls that came or went are in none.

    Raises
    ------
    TakeoffError
        One of them cannot be said in a file: two mixes of one name with different figures.

    Examples
    --------
    ``edits_between(job, replace(job, waste_share=0.12))`` is ``(Edit("waste_share", 0.12),)``
    """
    was, is_ = dict(_said(_tables(before))), dict(_said(_tables(after)))
    by_pack = {str(PathStep(PRICE, item)) for item in _bought(after)}  # what the packs say already
    tables = {change.rpartition(".")[0] for change in was}
    return tuple(
        Edit(change, tuple(value) if isinstance(value, list) else value)
        for change, value in is_.items()
        if change not in by_pack and _differs(change, value, was, tables)
    )


def _differs(change: str, value: Any, was: Mapping[str, Any], tables: Set[str]) -> bool:
    """Whether a value differs from what was said of the same thing, or of a table that came or went."""
    if change in was or change.rpartition(".")[0] in was:
        return bool(was.get(change) != value)
    return value is None and change in tables


def with_scenario(job: Job, scenario: Scenario) -> Job:
    """The job with a scenario's edits.

    Parameters
    ----------
    job : Job
        As it was agreed.
    scenario : Scenario
        Need not be one of its own.

    Returns
    -------
    Job

    Raises
    ------
    TakeoffError
        What no longer fits: a wall or a mix that the job does not have, a value that breaks its rule. All of
        it at once; the job and its other scenarios are as they were.
    """
    check = Check(f"scenario {scenario.name!r}")
    old = _tables(job)
    new = deepcopy(old)
    for edit in scenario.edits:
        key = key_of(edit.change, check)
        if key is not None:
            value_of(key, edit, check)
            _put(new, edit, check)
    check.done()
    try:
        return _made(job, old, new, check)
    except TakeoffError as error:
        raise TakeoffError(*(_of_it(mistake, check.place) for mistake in error.mistakes)) from None


def _of_it(mistake: Mistake, place: str) -> Mistake:
    """A mistake that only the job as a whole shows, told of the scenario."""
    of_it = mistake.place.startswith(place)
    return mistake if of_it else replace(mistake, place=f"{place}: {mistake.place}")


# -- what a job says, by what an edit calls it --------------------------------------------------------


def _tables(job: Job) -> Table:
    """The tables of a job's file, with the mixes that it could choose, prices and packs among them."""
    tables = tables_of(job, {wall.name: wall.survey.source for wall in job.walls})
    mixes = {**{name: as_toml(mix) for name, mix in KNOWN_MIXES.items()},
             **{mix["name"]: mix for mix in tables[MIX]}}  # fmt: skip
    prices = {**{row.item: row.price for row in job.prices.rows}, **_bought(job)}
    packs = {name: pack.price for name, pack in _packs(job).items()}
    priced = {PRICE: prices, PACK: packs}
    return {
        **tables,
        MIX: list(mixes.values()),
        **{kind: [{"name": name, PRICE: float(price)} for name, price in each.items()]
           for kind, each in priced.items()},
    }  # fmt: skip


def _bought(job: Job) -> dict[str, Decimal]:
    """What the pack costs of each item that is bought in one [currency]."""
    found = {row.item: job.tiers_of(row.item) for row in job.packs.rows}
    return {item: tiers[0].price for item, tiers in found.items() if tiers}


def _packs(job: Job) -> dict[str, Pack]:
    """The packs of a job by what an edit calls them: "primer, tub of 5 kg, yard, from 10"."""
    found: dict[str, Pack] = {}
    for row in job.packs.rows:
        many = f"from {row.from_packs}" if row.from_packs > 1 else ""
        words = (row.item, f"{row.pack} of {row.holds.normalize():f} {row.unit}", row.supplier, many)
        found.setdefault(", ".join(filter(None, words)), row)
    return found


def _said(tables: Table) -> Iterator[tuple[str, Any]]:
    """Every value that a scenario may change."""
    for name, key in SCENARIO_KEYS.items():
        yield from _said_of("", name, key, tables[name])


def _said_of(above: str, name: str, key: Key, value: Any) -> Iterator[tuple[str, Any]]:
    """A value, or those of the table or tables that a key leads to."""
    keys, several = keys_inside(key), is_several(key)
    if not several and (not keys or value is None):
        yield above + name, value
        return
    for table in value if several else [value]:
        called = _name(table) if several else None
        if several and called is None:
            continue
        step = f"{above}{PathStep(name, called)}"
        if key == SCENARIO_KEYS[PRICE]:
            yield step, table[PRICE]
        for inner, each in keys.items():
            yield from _said_of(f"{step}.", inner, each, table[inner])


def _name(table: Table) -> str | None:
    return next((table[name] for name in NAMES if table.get(name) is not None), None)


# -- a job with other values --------------------------------------------------------------------------


def _put(tables: Table, edit: Edit, check: Check) -> None:
    """Write one value into the tables."""
    steps = list(steps_of(edit.change))
    if steps[-1].name is not None:
        steps.append(PathStep(PRICE))
    table: Table | None = tables
    for step in steps[:-1]:
        table = None if table is None else _inner(table, step, check)
    if table is not None:
        table[steps[-1].key] = as_toml(edit.to)


def _inner(table: Table, step: PathStep, check: Check) -> Table | None:
    """The table that a step leads to, begun where it was left out; None with the mistake noted."""
    if step.name is None:
        begun: Table = {} if table.get(step.key) is None else table[step.key]
        table[step.key] = begun
        return begun
    called: dict[str | None, Table] = {_name(each): each for each in table.get(step.key) or []}
    if step.name not in called:
        near = get_close_matches(step.name, [name for name in called if name is not None], 1)
        meant = f"write {near[0]!r} in the scenario if that is meant, or " if near else ""
        check.that(
            False, f"no {step.key} called {step.name!r}", "a scenario changes what the job has by now",
            f"{meant}drop the scenario",
        )  # fmt: skip
        return None
    return called[step.name]


def _bare(value: Any) -> Any:
    """A table without what it leaves out."""
    if isinstance(value, list):
        return [_bare(one) for one in value]
    if isinstance(value, dict):
        return {name: _bare(one) for name, one in value.items() if one is not None}
    return value


def _made(job: Job, old: Table, new: Table, check: Check) -> Job:
    """The job that the tables describe; what they leave alone stays as it is."""
    values = _read({name: key for name, key in JOB_KEYS.items() if name != "system"}, old, new, check)
    mixes = {mix.name: mix for mix in mixes_in(_bare(new[MIX]), check)}
    system = _system(new["system"], mixes, check)
    pairs = zip(job.walls, old[WALL], new[WALL], strict=True)
    walls = tuple(_wall(wall, was, is_, mixes, check) for wall, was, is_ in pairs)
    check.done()
    own = tuple(mixes[mix.name] for mix in job.mixes)
    prices, packs = _priced(job, old, new)
    parts: dict[str, Any] = {**values, "system": system, "walls": walls, "mixes": own}
    return replace(job, **parts, prices=prices, packs=packs)


def _read(keys: Mapping[str, Key], old: Table, new: Table, check: Check) -> dict[str, Any]:
    """The fields whose keys say something else."""
    changed = {name: key for name, key in keys.items() if new[name] != old[name]}
    said = {name: new[name] for name in changed if new[name] is not None}
    values = read_table({name: changed[name] for name in said}, _bare(said), check.place, check)
    return {**{key.field: None for key in changed.values()}, **values}


def _system(table: Table, mixes: Mixes, check: Check) -> System | None:
    values = read_table(keys_of(SystemEntry), _bare(table), check.place, check)
    return system_in(SystemEntry(**values), mixes, check.place, check) if "backing" in values else None


def _wall(wall: JobWall, old: Table, new: Table, mixes: Mixes, check: Check) -> JobWall:
    keys = {name: WALL_KEYS[name] for name in WALL_CHOICES if name != "system"}
    values = _read(keys, old, new, check)
    if new["system"] is not None:
        values["system"] = _system(new["system"], mixes, check)
    elif wall.system is not None:
        values["system"] = None
    return check.made(lambda: replace(wall, **values)) or wall if values else wall


def _priced(job: Job, old: Table, new: Table) -> tuple[PriceList, PackList]:
    """The lists of prices and of packs with what costs something else."""
    prices, packs, bought = job.prices, job.packs, _bought(job)
    other = {kind: [is_ for was, is_ in zip(old[kind], new[kind], strict=True) if was != is_]
             for kind in (PRICE, PACK)}  # fmt: skip
    at = {row: decimal_of(each[PRICE]) for each in other[PACK] if (row := _packs(job)[each["name"]])}
    packs = replace(packs, rows=tuple(replace(row, price=at.get(row, row.price)) for row in packs.rows))
    for each in other[PRICE]:
        item, price = each["name"], decimal_of(each[PRICE])
        if item in bought:
            packs = packs.with_price(job.tiers_of(item), bought[item], price)
        else:
            prices = prices.with_price(item, price)
    return prices, packs
