"""Edits from two sides: what the job changed since it was opened, over what the file says by now.

The rules, by which nothing is doubled and nothing is lost without a word:

1. What one side changed and the other left alone is as that side has it.
2. A value that both changed is as the job has it, and the `Clash` is told.
3. Tables of a list are known again by all that they say; else by what they are called and where they are; by
   their name or item; by their place (what was renamed); by all but their name; without a name by the nearest
   place.
4. A table that one side took out and the other left alone is out. One that one side took out and the other
   changed is as the job has it, there or not, and told.
5. Tables that both added, called alike and at one place, are one: the job's, told where they differ. Nor do
   two tables without a name come to stand at one place.
6. What belongs together is one value: the place and the reading of a table without a name; what a pack or a
   unit is and costs; a survey's file and what is said of it, once another file is named.
7. The order is the file's, unless only the job changed it; what the job added stands last.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from textwrap import shorten
from typing import Any

Table = Mapping[str, Any]
Level = Callable[[Table], Hashable]  # what two tables share that are the same one; None: it does not apply

NAMES = ("name", "item", "change")
AT = ("x_m", "z_m")
PLACE = (*AT, "direction", "wall", "kind")  # edges may begin at one place and lie in two directions
CALLED = (*NAMES, "wall", "room", "supplier", "pack", "holds", "unit", "from_packs")
COSTS = ("pack", "holds", "unit", "price", "from_packs")  # one value in a table with a price
HAPPENED = ("on", "task", "words", "day")
FILE = "file"
JOINS = ("wall", "next_wall")
LONGEST = 160  # letters of one side of a clash


@dataclass(frozen=True)
class Clash:
    """Something that both sides changed, so that one of them is not saved.

    Parameters
    ----------
    place : tuple of str
        Where it stands, from the outer table to the inner one.
    here, there : plain table, list or value
        As the job has it, which is saved, and as the file had it; None: nothing, or taken out.

    Examples
    --------
    >>> Clash(("wall 'north'", "width_m"), 4.2, 4.1).words
    "wall 'north', width_m: 4.2 here, 4.1 in the file by then; saved as it is here"
    """

    place: tuple[str, ...]
    here: Any
    there: Any

    @property
    def words(self) -> str:
        """Where, what each side says, and which of them was saved."""
        gone = "taken out" if isinstance(self.here or self.there, Mapping) else "nothing"
        here, there = (gone if one is None else _said(one) for one in (self.here, self.there))
        return f"{', '.join(self.place)}: {here} here, {there} in the file by then; saved as it is here"


def _said(value: Any) -> str:
    """A value in words, cut short where it is long."""
    if isinstance(value, Mapping):
        said = ", ".join(f"{name} {_said(one)}" for name, one in value.items() if one not in (None, [], ""))
    elif isinstance(value, (list, tuple)):
        said = ", ".join(_said(one) for one in value) or "none"
    elif isinstance(value, bool):
        said = str(value).lower()
    elif isinstance(value, Decimal):
        said = format(value, "f")
    else:
        said = f"{value:g}" if isinstance(value, float) else str(value)
    return shorten(said, LONGEST, placeholder=" …")


def reconciled(
    opened: Any, now: Any, file: Any, clashes: list[Clash] | None = None, place: tuple[str, ...] = ()
) -> Any:
    """What both sides say together, by the rules above.

    Parameters
    ----------
    opened, now, file : plain tables, lists or values
        As the job was opened, as it is now, as the file says by now; None: not there.
    clashes : list of Clash
        Takes what both changed.
    place : tuple of str
        Where it stands.

    Returns
    -------
    Plain tables, lists or values.

    Examples
    --------
    >>> reconciled({"a": 1, "b": 1}, {"a": 2, "b": 1}, {"a": 1, "b": 3})
    {'a': 2, 'b': 3}
    """
    clashes = [] if clashes is None else clashes
    if now == opened:
        return file
    if file in (opened, now):
        return now
    sides = opened, now, file
    if all(isinstance(one, dict) for one in sides) and not _one_value(*sides):
        return _table(opened, now, file, clashes, place)
    if all(_is_tables(one) for one in sides):
        return _tables(opened, now, file, clashes, place)
    clashes.append(Clash(place, now, file))
    return now


def _one_value(opened: Table, now: Table, file: Table) -> bool:
    """Whether what a table says belongs together."""
    if FILE in opened:
        return not opened[FILE] == now[FILE] == file[FILE]
    return _placed(opened) is not None and _named(opened) is None


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _table(opened: Table, now: Table, file: Table, clashes: list[Clash], place: tuple[str, ...]) -> Any:
    """A table key by key; what is sold and what it costs at once."""
    was, here, there = ({key: one[key] for key in COSTS if key in one} for one in (opened, now, file))
    if "price" in now and was != here != there != was:
        clashes.append(Clash(place, here, there))
        file = {**file, **here}
    return {
        key: reconciled(opened.get(key), value, file.get(key), clashes, (*place, key))
        for key, value in now.items()
    }


def _tables(
    opened: list[Table], now: list[Table], file: list[Table], clashes: list[Clash], place: tuple[str, ...]
) -> list[Table]:
    """A list of tables one by one, each by what it was when the job was opened."""
    in_now, in_file = known_again(opened, now), known_again(opened, file)
    new_now = [table for table, was in zip(now, in_now, strict=True) if was is None]
    new_file = [table for table, was in zip(file, in_file, strict=True) if was is None]
    twins = iter(known_again(new_file, new_now, ADDED_TWICE))
    fresh = iter(range(len(opened), len(opened) + len(new_file)))
    of_file = {next(fresh) if was is None else was: table for table, was in zip(file, in_file, strict=True)}
    own = iter(range(len(opened) + len(new_file), len(opened) + len(new_file) + len(new_now)))
    of_now = {}
    for table, was in zip(now, in_now, strict=True):
        twin = next(twins) if was is None else None
        key = was if was is not None else next(own) if twin is None else len(opened) + twin
        of_now[key] = table
    of_opened, kept = dict(enumerate(opened)), {}
    for key in _order(list(of_now), list(of_file)):
        here, there = of_now.get(key), of_file.get(key)
        one = reconciled(of_opened.get(key), here, there, clashes, _row_of(place, here or there or {}))
        if one is not None:
            kept[key] = one
    return _each_place_once(kept, of_now, clashes, place)


def _order(now: list[int], file: list[int]) -> list[int]:
    """In which order the tables stand: those that both have as the file has them, unless only the job moved
    them; numbers rise in the order in which they were."""
    both = [key for key in file if key in now]
    first, last = (now, file) if both == sorted(both) else (file, now)
    if [key for key in now if key in file] == both:
        first, last = file, now
    return [*first, *(key for key in last if key not in first)]


def _each_place_once(
    kept: dict[int, Table], of_now: dict[int, Table], clashes: list[Clash], place: tuple[str, ...]
) -> list[Table]:
    """The tables without those of the file that stand without a name where the job has another one."""
    there = {key: _bare(table) for key, table in kept.items()}
    own = {key: at for key, at in there.items() if at is not None and at == _bare(of_now.get(key))}
    taken = {at: kept[key] for key, at in own.items()}
    found = []
    for key, table in kept.items():
        if key in own or there[key] not in taken:
            found.append(table)
        elif taken[there[key]] != table:
            clashes.append(Clash(_row_of(place, table), taken[there[key]], table))
    return found


def _row_of(place: tuple[str, ...], table: Table) -> tuple[str, ...]:
    """Where one table of a list stands: what the list is called, and its name or its place.

    Examples
    --------
    >>> _row_of(("wall 'north'", "high_spot"), {"x_m": 0.4, "z_m": 1.2})
    ("wall 'north'", 'high spot at x 0.4, z 1.2 m')
    """
    *outer, kind = place or ("entry",)
    name, at = _named(table), [f"{key[0]} {table[key]:g}" for key in AT if table.get(key) is not None]
    said = f" {name!r}" if name is not None else f" at {', '.join(at)} m" if at else ""
    return (*outer, f"{kind.replace('_', ' ')}{said}")


# -- which table is which ----------------------------------------------------------------------------


def _frozen(value: Any) -> Hashable:
    if isinstance(value, Mapping):
        return tuple((name, _frozen(one)) for name, one in sorted(value.items()))
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def but(*names: str) -> Level:
    """All that a table says but for some keys.

    Examples
    --------
    >>> but("name")({"name": "attic", "storey": 3})
    (('storey', 3),)
    """

    def said(table: Table) -> Hashable:
        return _frozen({name: value for name, value in table.items() if name not in names})

    return said


def _named(table: Table | None) -> Hashable:
    return None if table is None else next((table[key] for key in NAMES if table.get(key) is not None), None)


def _placed(table: Table) -> Hashable:
    return tuple(table.get(key) for key in PLACE) if table.get("x_m") is not None else None


def _called_there(table: Table) -> Hashable:
    """What it is called and where it is: by its place alone where it has no name."""
    called = tuple(_frozen(table.get(key)) for key in CALLED) if _named(table) is not None else None
    return None if called is None and _placed(table) is None else (called, _placed(table))


def _bare(table: Table | None) -> Hashable:
    """The place of a table without a name."""
    return _placed(table) if table is not None and _named(table) is None else None


def _but_name(table: Table) -> Hashable:
    return but("name")(table) if "name" in table and len(table) > 1 else None


def _nameless(table: Table) -> Hashable:
    return None if _bare(table) is None else True


def _joining(*keys: str) -> Level:
    """Which walls it joins, or which one of them: a corner has no other name."""

    def said(table: Table) -> Hashable:
        return (keys, *(table[key] for key in keys)) if set(JOINS) <= table.keys() else None

    return said


def _written_down(table: Table) -> Hashable:
    """A round by its day, hours by task and day, a variation by its words: what happened has no name."""
    said = tuple(table.get(key) for key in HAPPENED)
    return said if isinstance(table.get("on"), date) or {"task", "words"} & table.keys() else None


ADDED_TWICE: tuple[Level, ...] = (but(), _called_there, _joining(*JOINS))
LEVELS: tuple[Level, ...] = (
    *(but(), _called_there, _named, _joining(*JOINS), *map(_joining, JOINS), _placed, _written_down),
    *(_but_name, _nameless),
)


def known_again(
    before: Sequence[Table], after: Sequence[Table], levels: Sequence[Level] = LEVELS
) -> list[int | None]:
    """Which of the tables before each one after is; None for those that are new.

    Parameters
    ----------
    before, after : sequences of tables
    levels : sequence of Level
        What tables are known by, the surest first; of several that would do, the nearest is taken.

    Examples
    --------
    >>> known_again([{"x_m": 0.4, "z_m": 1.0}, {"x_m": 2.0, "z_m": 1.0}], [{"x_m": 2.1, "z_m": 1.0}])
    [1]
    """
    found: dict[int, int] = {}
    free = set(range(len(before)))
    for level in levels:
        marked: dict[Hashable, list[int]] = {}
        for b in sorted(free):
            marked.setdefault(level(before[b]), []).append(b)
        wanted = [(a, level(after[a])) for a in range(len(after)) if a not in found]
        alike = [(a, b) for a, mark in wanted if mark is not None for b in marked.get(mark, ())]
        pairs = [(_apart_m(before[b], after[a]), b, a) for a, b in alike]
        for _, b, a in sorted(pairs):
            if b in free and a not in found:
                found[a] = b
                free.discard(b)
    return [found.get(nth) for nth in range(len(after))]


def _apart_m(one: Table, other: Table) -> float:
    """How far two tables are from one another, 0 where they have no place [m]."""
    return math.hypot(*(float(one.get(key) or 0.0) - float(other.get(key) or 0.0) for key in AT))
