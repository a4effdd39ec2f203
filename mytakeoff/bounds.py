"""What each number may be: its bounds stand beside its field, and reader, panel and API all hold to them.

``width_m: Annotated[float, Within(0.1, 60.0)]``: the unit is the suffix of the field's name.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from decimal import Decimal
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from mytakeoff.errors import Check, Mistake

UNITS = {"_mm_per_m": "mm/m", "_kg_per_l": "kg/l", "_l_per_kg": "l/kg", "_per_m2": "per m²",
         "_m2": "m²", "_mm": "mm", "_m": "m", "_l": "l", "_kg": "kg", "_h": "h", "_min": "min",
         "_days": "days"}  # fmt: skip
MEANT = {"_m": ((1000.0, "millimetres"), (100.0, "centimetres")), "_share": ((100.0, "per cent"),)}
Number = float | int | Decimal


@dataclass(frozen=True)
class Within:
    """From `low` to `high`, both allowed unless `above`: then `low` itself is too little [the field's unit].

    Examples
    --------
    >>> print(Within(0.1, 60.0).mistake("width_m", 4200.0, "wall 'north'"))
    wall 'north': width 4200 m; it is 0.1 to 60 m; write 4.2 if you meant millimetres
    >>> Within(0.1, 60.0).mistake("width_m", 4.2, "wall 'north'") is None
    True
    """

    low: float
    high: float
    above: bool = False

    def holds(self, value: Number) -> bool:
        """Whether a value is a number within the bounds."""
        plain = isinstance(value, Number) and not isinstance(value, bool) and math.isfinite(value)
        return plain and self.low <= value <= self.high and not (self.above and value == self.low)

    def mistake(self, name: str, value: Number, place: str) -> Mistake | None:
        """What is wrong with the value of a field, or None.

        Parameters
        ----------
        name : str
            Of the field, with its unit at the end.
        value : number
        place : str
            Where it stands, for the message.
        """
        if self.holds(value):
            return None
        words, unit, suffix = _said(name)
        after = f" {unit}" if unit else ""
        found = f"{words} {value:g}{after}" if isinstance(value, Number) else f"{words} {value!r}"
        span = f"above {self.low:g}, up to" if self.above else f"{self.low:g} to"
        return Mistake(found, f"it is {span} {self.high:g}{after}", self._remedy(value, suffix), place)

    def _remedy(self, value: Number, suffix: str) -> str:
        """What was probably meant: the same digits in another unit."""
        if isinstance(value, Number) and not math.isfinite(value):
            return "give a plain number"
        if isinstance(value, Number) and value > self.high:
            for factor, unit in MEANT.get(suffix, ()):
                if self.holds(float(value) / factor):
                    return f"write {float(value) / factor:g} if you meant {unit}"
        return "look at the number and its unit again"


def _said(name: str) -> tuple[str, str, str]:
    """A field's name in words, its unit and the suffix that says it.

    Examples
    --------
    >>> _said("max_coat_mm"), _said("waste_share")
    (('max coat', 'mm', '_mm'), ('waste share', '', '_share'))
    """
    for suffix, unit in UNITS.items():
        if name.endswith(suffix):
            return name.removesuffix(suffix).replace("_", " "), unit, suffix
    return name.replace("_", " "), "", "_share" if name.endswith("_share") else ""


@cache
def bounds_of(cls: Any) -> dict[str, Within]:
    """The bounds of a dataclass's numbers, by field; those of a tuple hold for each number in it."""
    hints = get_type_hints(cls, include_extras=True)
    found = {entry.name: next(_bounds_in(hints[entry.name]), None) for entry in fields(cls)}
    return {name: within for name, within in found.items() if within is not None}


def _bounds_in(hint: Any) -> Iterator[Within]:
    if get_origin(hint) is Annotated:
        yield from (extra for extra in get_args(hint)[1:] if isinstance(extra, Within))
    elif get_origin(hint) in (Union, UnionType, tuple):
        for part in get_args(hint):
            if part not in (NoneType, Ellipsis):
                yield from _bounds_in(part)


def check_numbers(thing: Any, check: Check, place: str = "") -> None:
    """Note each number of a dataclass that is not within its bounds; None is no number.

    Parameters
    ----------
    thing : instance of a dataclass
    check : Check
        Takes the mistakes.
    place : str
        Where they stand; that of `check` unless given.
    """
    for name, within in bounds_of(thing.__class__).items():
        value = getattr(thing, name)
        for one in value if isinstance(value, tuple) else (value,):
            mistake = None if one is None else within.mistake(name, one, place or check.place)
            if mistake is not None:
                check.mistakes.append(mistake)
