"""What differs between two jobs, in the words of whoever reads them: nobody looks for it in a file."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from mytakeoff.formats.formats import Formats, counted
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.io.job.merging import renamed_in
from mytakeoff.io.job.shape import JOB_KEYS, KNOWN_MIXES, NOT_READ, WALL_KEYS, key_kind, tables_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.survey.survey import Survey
from mytakeoff.units import decimal_of

Table = Mapping[str, Any]
UNITS = {"mm": "mm", "m": "m", "m2": "m²", "m3": "m³", "l": "l", "kg": "kg", "kn": "kN", "h": "h",
         "min": "min", "days": "days", "day": "day", "per": "/", "each": " each"}  # fmt: skip
UNIT = re.compile(rf"_((?:per_)?(?:{'|'.join(UNITS)})(?:_(?:\d+|{'|'.join(UNITS)}))*)$")
MONEY = ("_price", "least_order", "free_delivery_from", "small_item_amount")
PLAIN = ("system", "compare", "margins", "calendar", "buying", "sureness", "survey", "quotation")
OF = {"rates": "labour rate, ", "plane": "finished plane, ", **dict.fromkeys(PLAIN, "")}  # before a phrase
WORDS = {  # where the key's own name would not say it
    "patch_waste_share": "waste of patches",
    "max_coat_mm": "greatest depth of one coat",
    "least_mm": "least thickness of the backing",
    "cut_mm": "high spots taken down by",
    "missed_high_spot_mm": "allowance for missed high spots",
    "float_h_per_m2": "floating",
    "confidence_share": "enough, of 100 such jobs, in",
    "backing": "backing mix",
    "finish": "finish mix",
    "finish_mm": "depth of the finish",
    "dubbing": "dubbing-out mix",
    "only": "walls in the price",
    "start": "first day on site",
    "weekdays": "days worked",
    "from_h": "work begins at",
    "file": "survey file",
    "plumb": "survey plumb",
    "swept": "wall swept",
    "rails_x_m": "places of the rails",
    "strip": "stripped off it",
    "in_stock": "kept in stock",
    "least_half_days": "least half days",
    "treatment": "how the walls are treated",
}
LEFT_OUT = {"treatment": "floated to the plane"}  # what a table says by not being there
ONES = {  # one table of an array
    "option": "option of our own",
    "learnt": "what finished jobs say of",
    "range": "range of",
    "chosen": "where we buy",
    "beside": "plumb thing",
    "fitted": "fitted unit",
    "sweep": "laid edge",
    "said": "word on a reading",
    "high_spot": "high spot",
    "loose": "loose area",
}


def what_changed(before: Job, after: Job) -> tuple[str, ...]:
    """What one job says otherwise than another, a phrase for each thing, as a plasterer reads it.

    Parameters
    ----------
    before, after : Job

    Returns
    -------
    tuple of str
        In the order of the job file, then prices and packs; empty where both say the same. What is worked
        out of a job, the folder it lies in and mixes that nobody uses are no part of it.

    Raises
    ------
    TakeoffError
        One of them cannot be said in a file: two mixes of one name with different figures.

    Examples
    --------
    ``what_changed(job, replace(job, waste_share=0.12))`` is ``("waste 10 % → 12 %",)``
    """
    words = _Words(after.formats)
    was, is_ = _tables(before), _tables(after)
    found = (
        *words.table("", renamed_in(was, dict(renamed_walls(before, after))), is_, JOB_KEYS),
        *words.tables("", "mix", was["mix"], is_["mix"], keys_of(Mix)),
        *_walls(words, before, after, was["wall"], is_["wall"]),
        *_prices(words, before, after),
        *_packs(words, before.packs, after.packs),
    )
    return found or (("things in another order",) if _order(before) != _order(after) else ())


def _order(job: Job) -> tuple[list[str], ...]:
    """What stands one below the other: walls, rooms, prices, packs."""
    named = ([each.name for each in several] for several in (job.walls, job.rooms))
    bought = ([each.item for each in several] for several in (job.prices.rows, job.packs.rows))
    return (*named, *bought)


def _tables(job: Job) -> dict[str, Any]:
    """The tables of its file, known mixes among them: one that is chosen is no new one."""
    tables = tables_of(job, {wall.name: wall.survey.source for wall in job.walls})
    mixes = {**{name: as_toml(mix) for name, mix in KNOWN_MIXES.items()},
             **{mix["name"]: mix for mix in tables["mix"]}}  # fmt: skip
    return {**tables, "mix": list(mixes.values())}


class _Words:
    """Differences as the job writes numbers."""

    def __init__(self, formats: Formats) -> None:
        self.formats = formats

    def table(self, of: str, before: Table, after: Table, keys: Mapping[str, Key]) -> Iterator[str]:
        """What differs in one table; `of` stands before each phrase."""
        for name, key in keys.items():
            old, new = before.get(name), after.get(name)
            if old == new:
                continue
            kind, cls = key_kind(key)
            if kind == "tables":
                yield from self.tables(of, name, old or [], new or [], keys_of(cls))
            elif kind == "table":
                yield from self._one(of, name, old, new, keys_of(cls))
            else:
                yield of + self.value(name, old, new)

    def _one(self, of: str, name: str, old: Any, new: Any, keys: Mapping[str, Key]) -> Iterator[str]:
        """A table that is there once or not at all."""
        word = WORDS.get(name, name.replace("_", " "))
        if old is None or new is None or old.get("name") != new.get("name"):
            was, is_ = (
                LEFT_OUT.get(name, "none") if each is None else self._called(each) for each in (old, new)
            )
            yield f"{of}{word}: {was} → {is_}"
        else:
            yield from self.table(of + OF.get(name, f"{word}, "), old, new, keys)

    @staticmethod
    def _called(table: Table) -> str:
        return str(table.get("name") or table.get("backing") or "given")

    def tables(
        self, of: str, name: str, old: Sequence[Table], new: Sequence[Table], keys: Mapping[str, Key]
    ) -> Iterator[str]:
        """What differs in an array of tables: those with a name are told apart by it, others counted."""
        word = ONES.get(name, name.replace("_", " "))
        if any(_name(table) is None for table in (*old, *new)):
            yield from self._counted(of, word, old, new)
            return
        was, is_ = (dict(zip(_labels(each), each, strict=True)) for each in (old, new))
        for label in [label for label in was if label not in is_]:
            yield f"{of}{word} {label} taken out"
        for label, table in is_.items():
            if label in was:
                yield from self.table(f"{of}{word} {label}: ", was[label], table, keys)
            else:
                yield f"{of}{word} {label} added"

    def _counted(self, of: str, word: str, old: Sequence[Table], new: Sequence[Table]) -> Iterator[str]:
        """So many gone, added or changed of what has no name."""
        was, is_ = (Counter(repr(sorted(table.items())) for table in each) for each in (old, new))
        added, gone = (is_ - was).total(), (was - is_).total()
        changed = min(added, gone)
        yield from _counts(of, word, changed, added - changed, gone - changed)

    def value(self, name: str, old: Any, new: Any) -> str:
        """One value before and after."""
        unit = UNIT.search(name)
        word = WORDS.get(name, name.removesuffix(unit[0] if unit else "_share").replace("_", " "))
        was, is_ = (self.said(name, value) for value in (old, new))
        if was == is_:  # they differ beyond what is usually written
            was, is_ = (self.said(name, value, exactly=True) for value in (old, new))
        figures = all(isinstance(value, (int, float, Decimal)) for value in (old, new))
        return f"{word}{'' if figures else ':'} {was} → {is_}"

    def said(self, name: str, value: Any, exactly: bool = False) -> str:
        """One value with its unit."""
        if value is None:
            return "not given"
        if value in ("", []):
            return "all" if name == "only" else "none"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, date):
            return self.formats.day(value)
        if isinstance(value, (list, tuple)):
            return self.formats.apart.join(self.said("", each, exactly) for each in value)
        if not isinstance(value, (int, float, Decimal)):
            return str(value)
        if name.endswith(MONEY):
            return self.price(decimal_of(value) if isinstance(value, float) else Decimal(value))
        if name.endswith("_share"):
            return f"{self._figure(float(value) * 100, exactly)} %"
        unit = UNIT.search(name)
        if unit is None:
            return self._figure(value, exactly)
        other = "" if exactly else self.formats.beside(float(value), _unit(unit[1]))
        return other or f"{self._figure(value, exactly)} {_unit(unit[1])}"

    def _figure(self, value: float | Decimal, exactly: bool) -> str:
        if isinstance(value, Decimal):
            return self.formats.exact(value)
        return self.formats.exact(decimal_of(value)) if exactly else self.formats.short(value)

    def price(self, price: Decimal) -> str:
        """An amount to the currency's places, or to as many as it has [currency]."""
        exponent = price.normalize().as_tuple().exponent
        places = max(self.formats.places, -exponent if isinstance(exponent, int) else 0)
        return self.formats.amount(price, places)


def _name(table: Table) -> Any:
    return table.get("name", table.get("item"))


def _labels(tables: Sequence[Table]) -> list[str]:
    """What tables are called, and which of several of one name each is."""
    names = [_name(table) for table in tables]
    nths = [names[:at].count(name) for at, name in enumerate(names)]
    return [f"{name!r} ({nth + 1})" if nth else repr(name) for name, nth in zip(names, nths, strict=True)]


def _unit(suffix: str) -> str:
    """The unit at the end of a key.

    Examples
    --------
    >>> _unit("h_per_m2"), _unit("per_m2"), _unit("h_per_m2_per_5_mm"), _unit("h_each")
    ('h/m²', '/m²', 'h/m²/5 mm', 'h each')
    """
    parts = [UNITS.get(part, part) for part in suffix.split("_")]
    return "".join(f"{one} " if one.isdigit() else one for one in parts)


def _counts(of: str, word: str, changed: int, added: int, gone: int) -> Iterator[str]:
    """So many of a thing changed, added, taken out."""
    for number, done in ((changed, "changed"), (added, "added"), (gone, "taken out")):
        if number:
            yield f"{of}{counted(number, word)} {done}"


def _walls(words: _Words, before: Job, after: Job, old: list[Table], new: list[Table]) -> Iterator[str]:
    """Walls that came, went, have another name, or say something else."""
    was, is_ = ({table["name"]: table for table in tables} for tables in (old, new))
    renamed = dict(renamed_walls(before, after))
    for name in was:
        if name not in is_ and name not in renamed:
            yield f"wall {name!r} taken out"
    came_from = {now: then for then, now in renamed.items()}
    for name, table in is_.items():
        then = came_from.get(name, name)
        if then not in was:
            yield f"wall {name!r} added"
            continue
        if then != name:
            yield f"wall {then!r} renamed {name!r}"
        yield from _wall(words, f"wall {name!r}: ", was[then], table)
        yield from _readings(f"wall {name!r}: ", before.wall(then).survey, after.wall(name).survey)


def renamed_walls(before: Job, after: Job) -> Iterator[tuple[str, str]]:
    """Old and new name of walls that are known again by their readings."""
    names = [{wall.name for wall in job.walls} for job in (before, after)]
    came = [wall for wall in after.walls if wall.name not in names[0]]
    for wall in (wall for wall in before.walls if wall.name not in names[1]):
        same = next((each for each in came if _same_wall(wall, each)), None)
        if same is not None:
            came.remove(same)
            yield wall.name, same.name


def _same_wall(one: JobWall, other: JobWall) -> bool:
    """Whether two walls are one under two names: by their readings, or by all else where there are none."""
    if not one.survey.x_m.size:
        called = replace(other.wall, name=one.name)
        return one == replace(other, wall=called, survey=replace(other.survey, wall=called))
    return one.survey.readings_digest == other.survey.readings_digest


def _wall(words: _Words, of: str, old: Table, new: Table) -> Iterator[str]:
    """What differs in a wall's table; readings that have no file yet are in none."""
    old, new = ({**table, "name": ""} for table in (old, new))
    said = [table["survey"] or as_toml(NOT_READ) for table in (old, new)]
    if not all(survey["file"] for survey in said):
        said = [{**survey, "file": ""} for survey in said]
    old, new = ({**table, "survey": survey} for table, survey in zip((old, new), said, strict=True))
    yield from words.table(of, old, new, WALL_KEYS)


def _readings(of: str, before: Survey, after: Survey) -> Iterator[str]:
    """Readings that came, went, or say something else at their place."""
    if before.readings_digest == after.readings_digest:
        return
    was, is_ = _read(before), _read(after)
    changed = sum(was[place] != is_[place] for place in was.keys() & is_.keys())
    added, gone = len(is_.keys() - was.keys()), len(was.keys() - is_.keys())
    yield from _counts(of, "reading", changed, added, gone)


def _read(survey: Survey) -> dict[tuple[float, float], float]:
    """What was read, by place."""
    places = zip(survey.x_m.tolist(), survey.z_m.tolist(), strict=True)
    return dict(zip(places, survey.proud_mm.tolist(), strict=True))


def _prices(words: _Words, before: Job, after: Job) -> Iterator[str]:
    """Prices of the list, by item."""
    was, is_ = ({row.item: row for row in job.prices.rows} for job in (before, after))
    for item in was:
        if item not in is_:
            yield f"price of {item} taken out"
    for item, row in is_.items():
        if item not in was:
            yield f"price of {item} added: {words.price(row.price)}"
            continue
        if was[item].price != row.price:
            yield f"price of {item} {words.price(was[item].price)} → {words.price(row.price)}"
        for name in ("unit", "note"):
            old, new = (getattr(each, name) for each in (was[item], row))
            if old != new and not (name == "note" and was[item].price != row.price):
                yield f"price of {item}, {words.value(name, old, new)}"


def _packs(words: _Words, before: PackList, after: PackList) -> Iterator[str]:
    """Packs, each known by what it holds, who sells it and from how many on."""
    was, is_ = ({(row.kind, row.from_packs): row for row in packs.rows} for packs in (before, after))
    for kind, row in was.items():
        if kind not in is_:
            yield f"{_pack(words, row)} taken out"
    for kind, row in is_.items():
        if kind not in was:
            yield f"{_pack(words, row)} added: {words.price(row.price)}"
        elif was[kind].price != row.price:
            yield f"{_pack(words, row)} {words.price(was[kind].price)} → {words.price(row.price)}"
        elif was[kind] != row:
            yield f"{_pack(words, row)}: what is said of it"


def _pack(words: _Words, row: Pack) -> str:
    holds = f"{row.pack} of {words.formats.exact(row.holds)} {row.unit}"
    many = f"from {row.from_packs} on" if row.from_packs > 1 else ""
    return ", ".join(filter(None, (f"{row.item}: {holds}", row.supplier, many)))
