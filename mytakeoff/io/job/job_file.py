"""The text of a job file with only the keys changed that say something else.

A remark in ``job.toml`` goes with its table: tables without a name are known again by what they say.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import MISSING
from itertools import count
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.text import FileText
from mytakeoff.io.files.three_way import labels
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.io.job.open_job import upgrade
from mytakeoff.io.job.shape import (
    JOB_FILE,
    JOB_KEYS,
    WALL_KEYS,
    full,
    key_kind,
    mix_keys,
    table_with_all,
)

Table = MutableMapping[str, Any]


def edited_job(file: FileText, tables: Mapping[str, Any]) -> str:
    """The text of a job file with the keys changed that differ from the tables."""
    document = _editable(file)
    upgrade(document)
    merge(document, tables, JOB_KEYS)
    _merge_many(document, "mix", tables["mix"], lambda mix: mix_keys(mix["name"]))
    _merge_many(document, "wall", tables["wall"], lambda _: WALL_KEYS)
    text = tomlkit.dumps(document)
    try:
        same = full(tomllib.loads(text)) == tables
    except tomllib.TOMLDecodeError:
        same = False
    check_same(same, JOB_FILE)
    return text


def _editable(file: FileText) -> tomlkit.TOMLDocument:
    """The document with its comments and layout."""
    try:
        document = tomlkit.parse(file.text)
        same = tomlkit.dumps(document) == file.text and document.unwrap() == tomllib.loads(file.text)
    except (TOMLKitError, ValueError):
        same = False
    check_same(same, JOB_FILE)
    return document


def check_same(same: bool, name: str) -> None:
    """Refuse to write a file that would not say what the job says."""
    if not same:
        raise TakeoffError(
            Mistake(
                "the file is laid out in a way that cannot be changed in place",
                "a saved job opens as the same job",
                "save the job into a new folder",
                name,
            )
        )


def merge(table: Table, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    """Change the keys of a table whose values differ, and no other.

    Parameters
    ----------
    table : a table of the document
        A key that is not there stands for its default.
    new : mapping
        What each key shall say; None for not there.
    keys : mapping of str to Key
    """
    for name, key in keys.items():
        kind, cls = key_kind(key)
        if kind == "tables":
            _merge_many(table, name, new[name], _always(keys_of(cls)))
        elif kind == "table" and new[name] is not None:
            _merge_one(table, key, new[name], keys_of(cls))
        else:
            _set(table, key, new[name])


def _always(keys: Mapping[str, Key]) -> Callable[[Any], Mapping[str, Key]]:
    return lambda _: keys


def _default(key: Key) -> Any:
    return None if key.default is MISSING else as_toml(key.default)


def _set(table: Table, key: Key, value: Any) -> None:
    """Say one value, where the table does not say it already."""
    if key.name in table:
        if value is None:
            del table[key.name]
        elif _bare(table[key.name]) != value:
            table[key.name] = value
    elif value is not None and (value != _default(key) or key.required):
        table[key.name] = value


def _bare(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _merge_one(table: Table, key: Key, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    if key.name in table:
        merge(table[key.name], new, keys)
    elif new != _default(key):
        table[key.name] = _fresh(new, keys)


def _fresh(new: Mapping[str, Any], keys: Mapping[str, Key]) -> Any:
    made = tomlkit.table()
    merge(made, new, keys)
    return made


def _merge_many(
    table: Table, name: str, new: list[dict[str, Any]], keys: Callable[[Any], Mapping[str, Key]]
) -> None:
    """Change an array of tables: those of one name are the same one, others come or go.

    Those without a name are the same one where they say the same: what is taken out takes its remark along.
    """
    old = table.get(name, [])
    if not new:
        if name in table:
            del table[name]
        return
    before, after = labels(old), _known_again(old, new, keys)
    if before == after:
        for one, wanted in zip(old, new, strict=True):
            merge(one, _as_written(one, wanted), keys(wanted))
        return
    if isinstance(old, AoT) and after[: len(old)] == before:  # what is there keeps its layout
        for one, wanted in zip(old, new, strict=False):
            merge(one, _as_written(one, wanted), keys(wanted))
        for wanted in new[len(old) :]:
            added = _fresh(wanted, keys(wanted))
            added.add(tomlkit.nl())
            old.append(added)
        return
    there = dict(zip(before, old, strict=True))
    made = tomlkit.aot()
    for label, wanted in zip(after, new, strict=True):
        one = there.get(label) if isinstance(old, AoT) else None
        if one is None:
            made.append(_fresh(wanted, keys(wanted)))
        else:
            merge(one, _as_written(one, wanted), keys(wanted))
            made.append(one)
    if isinstance(old, Array):
        del table[name]
    table[name] = made


def _known_again(
    old: Any, new: list[dict[str, Any]], keys: Callable[[Any], Mapping[str, Key]]
) -> list[tuple[Any, int]]:
    """The label of the old table that each new one is, or a label of its own."""
    before, after = labels(old), labels(new)
    if any(name is not None for name, _ in (*before, *after)):
        return after
    filled = [table_with_all(one, keys(one)) for one in old]
    left = list(range(len(filled)))
    found: list[int | None] = []
    for wanted in new:
        same = next((nth for nth in left if filled[nth] == wanted), None)
        found.append(same)
        if same is not None:
            left.remove(same)
    if len(new) < len(old):  # of those that went and those that changed nobody can tell which is which
        left = []
    own = count(len(filled))
    return [(None, nth if nth is not None else left.pop(0) if left else next(own)) for nth in found]


def _as_written(table: Mapping[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """A high spot's new reading in the way in which the file gives the old one."""
    if "proud_mm" in table and new.get("off_line_mm") is not None:
        return {**new, "off_line_mm": None, "proud_mm": 0.0 - new["off_line_mm"]}
    return new
