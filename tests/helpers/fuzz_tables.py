"""Changes to a job file by its tables: keys and tables set, left out, doubled, swapped, moved, misspelt."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import MISSING
from random import Random
from typing import Any

import tomlkit
from fuzz_values import FACTORS, OTHERS, TEXTS, is_number, value_for

from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.io.job.shape import JOB_KEYS, WALL_KEYS, key_kind, mix_keys

Table = dict[str, Any]
Known = tuple[str, Table, Mapping[str, Key]]  # where it stands, the table, the keys that it may have
UNITS = ("_mm", "_cm", "_m", "_in", "_ft", "_m2", "_kg", "_h", "_share", "_percent", "")


def tables_in(document: Table) -> list[Known]:
    """Every table of a job file with the keys that it may have."""
    found: list[Known] = []
    below("job", document, JOB_KEYS, found)
    for mix in document.get("mix", []):
        below("mix", mix, mix_keys(mix.get("name")), found)
    for wall in document.get("wall", []):
        below("wall", wall, WALL_KEYS, found)
    return found


def below(place: str, table: Table, keys: Mapping[str, Key], found: list[Known]) -> None:
    """Note a table and all that are in it."""
    found.append((place, table, keys))
    for name, key in keys.items():
        kind, cls = key_kind(key)
        inside = {"table": [table.get(name)], "tables": table.get(name, [])}.get(kind, [])
        for each in inside:
            if isinstance(each, dict):
                below(f"{place}.{name}", each, keys_of(cls), found)


def set_a_value(random: Random, document: Table, tables: list[Known]) -> str:
    """A key that the table may have, there or not, gets a value of its type."""
    place, table, keys = random.choice(tables)
    name, key = random.choice(list(keys.items()))
    default = None if key.default is MISSING else as_toml(key.default)
    kind, cls = key_kind(key)
    if kind == "value":
        table[name] = value_for(random, key.hint, table.get(name, default))
    else:
        inner = {
            each.name: value_for(
                random, each.hint, None if each.default is MISSING else as_toml(each.default)
            )
            for each in keys_of(cls).values()
            if each.required or random.random() < 0.3
        }
        table[name] = inner if kind == "table" else [*_list(table.get(name)), inner]
    return f"{place}: {name} = {_short(table[name])}"


def scale_a_number(random: Random, document: Table, tables: list[Known]) -> str:
    """A number that is there, in another unit or of another sign."""
    there = [(place, table, name) for place, table, _ in tables for name in table if is_number(table[name])]
    if not there:
        return "no number"
    place, table, name = random.choice(there)
    table[name] = table[name] * random.choice(FACTORS)
    return f"{place}: {name} = {table[name]!r}"


def wrong_kind(random: Random, document: Table, tables: list[Known]) -> str:
    """A value of another kind, a table among them."""
    place, table, keys = random.choice(tables)
    name = random.choice([*table, *keys])
    table[name] = copy.deepcopy(random.choice(OTHERS))
    return f"{place}: {name} = {_short(table[name])}"


def leave_out(random: Random, document: Table, tables: list[Known]) -> str:
    """A key or a table is gone."""
    place, table, _ = random.choice(tables)
    if not table:
        return "nothing to leave out"
    name = random.choice(list(table))
    del table[name]
    return f"{place}: no {name}"


def misspell(random: Random, document: Table, tables: list[Known]) -> str:
    """A key with another unit, in capitals, a letter short, or one that nobody knows."""
    place, table, _ = random.choice(tables)
    if not table:
        return "nothing to misspell"
    name = random.choice(list(table))
    stem = next((name.removesuffix(unit) for unit in UNITS[:-1] if name.endswith(unit)), name)
    new = random.choice((stem + random.choice(UNITS), name.upper(), name[1:] or "x", random.choice(TEXTS)))
    table[new] = table.pop(name)
    return f"{place}: {name} is called {new[:40]!r}"


def double(random: Random, document: Table, tables: list[Known]) -> str:
    """A table of an array stands there twice, or the array is turned round or emptied."""
    arrays = [
        (place, table, name) for place, table, _ in tables for name in table if isinstance(table[name], list)
    ]
    if not arrays:
        return "no array"
    place, table, name = random.choice(arrays)
    array = table[name]
    way = random.choice(("twice", "many", "reversed", "empty", "one gone"))
    if way == "empty" or not array:
        table[name] = []
    elif way == "reversed":
        array.reverse()
    elif way == "one gone":
        array.pop(random.randrange(len(array)))
    else:
        one = random.choice(array)
        array.extend(copy.deepcopy(one) for _ in range(1 if way == "twice" else 20))
    return f"{place}: {name} {way}"


def swap(random: Random, document: Table, tables: list[Known]) -> str:
    """What two tables hold is exchanged, or one is put into another."""
    (place, one, _), (other_place, other, _) = random.choice(tables), random.choice(tables)
    if random.random() < 0.5:
        one_holds, other_holds = copy.deepcopy(one), copy.deepcopy(other)
        one.clear()
        one.update(other_holds)
        other.clear()
        other.update(one_holds)
        return f"{place} and {other_place} exchanged"
    one[random.choice(("wall", "survey", "system", "opening", "mix", "x", "name"))] = copy.deepcopy(other)
    return f"{other_place} within {place}"


def rename(random: Random, document: Table, tables: list[Known]) -> str:
    """A text that others may refer to is another."""
    there = [(place, table, n) for place, table, _ in tables for n in table if isinstance(table[n], str)]
    if not there:
        return "no text"
    place, table, name = random.choice(there)
    others = [table[name] for _, table, name in there]
    table[name] = random.choice((random.choice(TEXTS), random.choice(others), table[name].title()))
    return f"{place}: {name} = {_short(table[name])}"


CHANGES: tuple[Callable[[Random, Table, list[Known]], str], ...] = (
    set_a_value, set_a_value, set_a_value, set_a_value, scale_a_number, scale_a_number, wrong_kind, leave_out,
    misspell, double, swap, rename,
)  # fmt: skip


def changed(random: Random, document: Table, count: int, tables: list[Known]) -> list[str]:
    """Change the tables of a document so many times, in place; what was done, in words."""
    return [random.choice(CHANGES)(random, document, tables) for _ in range(count)]


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _short(value: Any) -> str:
    said = repr(value)
    return said if len(said) < 90 else f"{said[:80]} … ({len(said)} characters)"


def file_bytes(random: Random, document: Table, spoil: bool, name: str, done: list[str]) -> bytes:
    """A file of tables, now and then with its lines as an editor or a careless hand leaves them."""
    text = tomlkit.dumps(document)
    encoding = "utf-8"
    if spoil and random.random() < 0.3:
        lines = text.splitlines(keepends=True)
        at = random.randrange(len(lines))
        way = random.choice(
            ("remark", "remark", "line gone", "line twice", "lines turned", "cut", "crlf", "encoding")
        )
        if way == "remark":
            lines.insert(at, f"   # {random.choice(TEXTS[:14])}\n".replace("\x00", "").replace("\x1b", ""))
        elif way == "line gone":
            del lines[at]
        elif way == "line twice":
            lines.insert(random.randrange(len(lines)), lines[at])
        elif way == "lines turned":
            lines[at : at + 3] = lines[at : at + 3][::-1]
        elif way == "cut":
            lines = [*lines[:at], lines[at][: len(lines[at]) // 2]]
        elif way == "crlf":
            lines = [line.replace("\n", "\r\n") for line in lines]
        else:
            encoding = random.choice(("utf-8-sig", "utf-16", "cp1252"))
        text = "".join(lines)
        done.append(f"{name}: {way} at row {at + 1}")
    return text.encode(encoding, errors="replace")
