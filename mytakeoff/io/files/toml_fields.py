"""Tables of a TOML file to the fields of dataclasses and back: the fields' own names and types drive both."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, datetime
from difflib import get_close_matches
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from mytakeoff.bounds import bounds_in
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.job.treatments import TreatmentKind
from mytakeoff.treatment.ways import WAYS

# A tuple of things is an array of tables, each headed by the name of one of them.
ONE_OF = {"openings": "opening", "rooms": "room", "extras": "extra", "high_spots": "high_spot",
          "fittings": "fitting", "sweeps": "sweep", "treatments": "option", "ranges": "range",
          "suppliers": "supplier", "chosen": "chosen", "scenarios": "scenario", "edits": "edit",
          "corners": "corner", "clear_widths": "clear_width", "fixed_places": "fixed_place",
          "deliveries": "delivery", "variations": "variation", "trips": "trip", "walls": "wall",
          "rounds": "round", "marks": "mark", "snags": "snag", "learnt": "learnt"}  # fmt: skip
NAMED_IN: dict[Any, Mapping[str, Any]] = {TreatmentKind: WAYS}  # types whose choices are the names in a table


AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True)
class Key:
    """One key of a table: its name in the file, the field it fills, its type, what absence means."""

    name: str
    field: str
    hint: Any
    default: Any
    why: str = "it has to be known"

    @property
    def required(self) -> bool:
        """Whether the file has to say it."""
        return self.default is MISSING


@cache
def keys_of(*classes: type, without: frozenset[str] = frozenset()) -> dict[str, Key]:
    """The keys that a table of these dataclasses may have, in the order of their fields.

    Parameters
    ----------
    *classes : dataclass types
        Whose fields stand in one table; a later class takes the place of an earlier one's field.
    without : set of str
        Fields that do not stand in the file under their own name.
    """
    found = {}
    for cls in classes:
        hints = get_type_hints(cls, include_extras=True)
        for entry in (entry for entry in fields(cls) if entry.name not in without):
            default = entry.default
            if entry.default_factory is not MISSING:
                default = entry.default_factory()
            name = ONE_OF.get(entry.name, entry.name)
            why = entry.metadata.get("why", Key.why)
            found[name] = Key(name, entry.name, hints[entry.name], default, why)
    return found


def toml_document(text: str, name: str) -> dict[str, Any]:
    """The tables of a text.

    Parameters
    ----------
    text : str
    name : str
        Of the file, for messages.

    Raises
    ------
    TakeoffError
        It is no TOML.
    """
    rule = "the file is written in TOML"
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at = AT.search(str(error))
        where = "end of the file" if at and at[1] is None else f"row {at[1]}, column {at[2]}" if at else ""
        found, remedy = AT.sub("", str(error)), "look at the quotes and brackets there and just before"
        raise TakeoffError(Mistake(found, rule, remedy, f"{name}, {where}" if where else name)) from None
    except (RecursionError, ValueError) as error:  # brackets without end, a number of thousands of digits
        raise TakeoffError(Mistake(str(error), rule, "take out what does not belong", name)) from None


def read_table(
    keys: Mapping[str, Key], table: Any, place: str, check: Check, apart: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The values that a table gives, by field, with each mistake noted.

    Parameters
    ----------
    keys : mapping of str to Key
        What the table may hold.
    table : any
        As the TOML reader gave it.
    place : str
        Where it stands, for messages.
    check : Check
        Takes the mistakes.
    apart : tuple of str
        Further keys, which the caller reads.
    """
    if not isinstance(table, dict):
        check.that(False, f"{table!r}", "a table with keys stands here", "write it as a table", place)
        return {}
    known = (*keys, *apart)
    for name in (name for name in table if name not in known):
        near = get_close_matches(name, known, 1, 0.5)
        remedy = f"write {near[0]!r}" if near else f"the keys here are {', '.join(known)}"
        check.that(False, f"key {name!r}", "only keys that are known are read", remedy, place)
    values = {}
    for name, key in keys.items():
        if name in table:
            try:
                value = convert(key.hint, table[name], f"{place}, {name}", check)
                if value is not None:  # else a table whose mistakes were noted: its default stands in
                    values[key.field] = value
            except TakeoffError as error:
                check.add(error)
        elif key.required:
            check.that(False, f"no {name!r}", key.why, f"add {_example(key)}", place)
    return values


def build(cls: type, table: Any, place: str, check: Check) -> Any:
    """An object of a dataclass from a table, or None with the mistakes noted."""
    before = len(check.mistakes)
    values = read_table(keys_of(cls), table, place, check)
    return construct(cls, values, place, check) if len(check.mistakes) == before else None


def construct(cls: type, values: Mapping[str, Any], place: str, check: Check) -> Any:
    """An object made of values already read, or None with its own mistakes noted at `place`."""
    try:
        return cls(**values)
    except TakeoffError as error:
        for mistake in error.mistakes:
            said = Mistake(mistake.found, mistake.rule, mistake.remedy, f"{place}: {mistake.place}")
            check.mistakes.append(said)
        return None


def convert(hint: Any, value: Any, place: str, check: Check) -> Any:
    """A TOML value as the type of a field.

    Raises
    ------
    TakeoffError
        The value is of another kind. Mistakes inside nested tables go to `check` instead.
    """
    origin, choices = get_origin(hint), get_args(hint)
    if hint is Any:
        return _any(value, place)
    if origin in (Union, UnionType):
        return convert(next(kind for kind in choices if kind is not NoneType), value, place, check)
    if origin is Literal or hint in NAMED_IN:
        return _one_of(tuple(NAMED_IN.get(hint, choices)), value, place)
    if origin is Annotated:
        return _within(hint, value, place, check)
    if origin is tuple:
        return _several(choices[0], value, place, check)
    if is_dataclass(hint) and isinstance(hint, type):
        return build(hint, value, place, check)
    return _scalar(hint, value, place)


def _within(hint: Any, value: Any, place: str, check: Check) -> Any:
    """A value of a type with bounds, held to them here, where its place is known."""
    found = convert(get_args(hint)[0], value, place, check)
    for bounds in bounds_in(hint):
        mistake = bounds.mistake(place.rsplit(", ", 1)[-1], found, place)
        if mistake is not None:
            raise TakeoffError(mistake)
    return found


def _several(kind: type, value: Any, place: str, check: Check) -> tuple[Any, ...]:
    if not isinstance(value, list):
        nested = is_dataclass(kind)
        rule = "a list of tables stands here" if nested else "a list in square brackets stands here"
        last = place.rsplit(", ", 1)[-1]
        remedy = f"write its heading in double brackets, ending in {last}" if nested else 'write ["…", "…"]'
        raise TakeoffError(Mistake(f"{value!r}", rule, remedy, place))
    if not is_dataclass(kind):
        return tuple(convert(kind, one, place, check) for one in value)
    built = [build(kind, one, place_of(place, nth, one), check) for nth, one in enumerate(value, start=1)]
    return tuple(one for one in built if one is not None)


def place_of(place: str, number: int, table: Any) -> str:
    """Where one table of an array stands: its number, and its name where it has one."""
    name = table.get("name", table.get("item")) if isinstance(table, dict) else None
    return f"{place} {number} ({name})" if isinstance(name, str) else f"{place} {number}"


def _one_of(choices: tuple[Any, ...], value: Any, place: str) -> Any:
    if value in choices and isinstance(value, str):
        return value
    listed = " or ".join(f'"{choice}"' for choice in choices)
    near = get_close_matches(str(value), [str(choice) for choice in choices], 1)
    remedy = f'write "{near[0]}"' if near else "choose one of them"
    raise TakeoffError(Mistake(f"{value!r}", f"it is {listed}", remedy, place))


def _scalar(kind: Any, value: Any, place: str) -> Any:
    """A number, a yes or no, a text, or a day; numbers are finite and plain."""
    number = isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e15
    good = {
        float: number and math.isfinite(value),
        int: number and isinstance(value, int),
        bool: isinstance(value, bool),
        str: isinstance(value, str),
        date: isinstance(value, date) and not isinstance(value, datetime),
    }
    if good[kind]:
        return value if kind is date else kind(value)
    rule, remedy = {
        float: ("a number stands here", "write it with a decimal point and without quotes or a unit"),
        int: ("a whole number stands here", "write it without a decimal point or quotes"),
        bool: ("it is true or false", "write true or false, in small letters and without quotes"),
        str: ("a text stands here", "put it in double quotes"),
        date: ("a day stands here", "write year, month and day: 2027-03-01, without quotes"),
    }[kind]
    raise TakeoffError(Mistake(f"{value!r}", rule, remedy, place))


def _any(value: Any, place: str) -> Any:
    """A value of any kind but a table; a list as a tuple of such values."""
    if isinstance(value, list):
        return tuple(_any(one, place) for one in value)
    kind = next((each for each in (bool, int, float, str, date) if isinstance(value, each)), str)
    return _scalar(kind, value, place)


def _example(key: Key) -> str:
    if is_dataclass(key.hint):
        return f"a table [{key.name}]"
    if get_origin(key.hint) is tuple:
        return f"a table [[{key.name}]]"
    example = {float: "a number", int: "a whole number", bool: "true or false", str: '"…"'}
    kind = get_args(key.hint)[0] if get_origin(key.hint) is Annotated else key.hint
    return f"{key.name} = {example.get(kind, '…')}"


def as_toml(value: Any) -> Any:
    """A field's value as TOML knows it: dataclasses as tables, tuples as lists.

    Examples
    --------
    >>> as_toml(("a", "b"))
    ['a', 'b']
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {key.name: as_toml(getattr(value, key.field)) for key in keys_of(type(value)).values()}
    if isinstance(value, tuple):
        return [as_toml(one) for one in value]
    return value
