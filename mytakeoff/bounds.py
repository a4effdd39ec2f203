"""What each number may be: its bounds stand beside its field, and reader, panel and API all hold to them.

``width_m: Annotated[float, Within(0.1, 60.0)]``: the unit is the suffix of the field's name. Where no source
stands beside them, bounds are common practice, no source: set wide, to let in what a building can have and
keep out what was meant in another unit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from functools import cache
from numbers import Integral, Real
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

import numpy as np

from mytakeoff.errors import Check, Mistake

UNITS = {"_h_per_m2_per_10_mm": "h/m² for 10 mm", "_h_per_m2_per_5_mm": "h/m² for 5 mm", "_mm_per_m": "mm/m",
         "_days_per_mm": "days/mm", "_kg_per_m3": "kg/m³", "_kn_per_m2": "kN/m²", "_kg_per_l": "kg/l",
         "_l_per_kg": "l/kg", "_h_per_day": "h a day", "_h_per_m2": "h/m²", "_h_per_m": "h/m",
         "_h_each": "h each", "_per_m2": "a m²", "_m2": "m²", "_mm": "mm", "_m": "m", "_l": "l", "_kg": "kg",
         "_h": "h", "_min": "min", "_days": "days", "_deg": "°"}  # fmt: skip
MEANT = {"_m": ((1000.0, "millimetres"), (100.0, "centimetres")), "_share": ((100.0, "per cent"),),
         "_kg_per_l": ((1000.0, "kg/m³"),), "_h": ((60.0, "minutes"),), "_kg": ((1000.0, "grams"),),
         "_l": ((1000.0, "millilitres"),), "_m2": ((1e6, "mm²"), (1e4, "cm²"))}  # fmt: skip
MOST_PRICE = 1e12  # in currencies of many noughts a house costs billions
Number = Real | Decimal


@dataclass(frozen=True)
class Within:
    """From `low` to `high` [the field's unit], both allowed unless `above` or `under`.

    Parameters
    ----------
    low, high : float
    above, under : bool
        More than `low`, less than `high`.
    usual : str
        What to do where it is not told by the number: what is usual, where to look.
    whole : bool
        A whole number; a field that is an ``int`` is one anyway.

    Examples
    --------
    >>> print(Within(0.1, 60.0).mistake("width_m", 4200.0, "wall 'north'"))
    wall 'north': width 4200 m; it is 0.1 to 60 m; write 4.2 if you meant 4200 millimetres
    >>> Within(0.1, 60.0).mistake("width_m", 4.2, "wall 'north'") is None
    True
    """

    low: float
    high: float
    above: bool = False
    under: bool = False
    usual: str = "look at the number and its unit again"
    whole: bool = False

    def holds(self, value: Any) -> bool:
        """Whether a value is a number within the bounds."""
        if isinstance(value, Decimal) and value.is_finite():
            value = float(value)  # as the ends are: 0.001 is no less than 0.001
        return (
            _is_number(value)
            and self.low <= value <= self.high  # which no NaN is
            and not (self.above and value == self.low)
            and not (self.under and value == self.high)
            and (not self.whole or value == int(value))
        )

    def nearest(self, value: float) -> float:
        """What the bounds have nearest to a value, for what is worked out [the field's unit]."""
        return min(max(value, self.low), self.high)

    def mistake(self, name: str, value: Any, place: str = "") -> Mistake | None:
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
        low, high = (_written(end) + _in_per_cent(end, suffix) for end in (self.low, self.high))
        if self.high >= MOST_PRICE and _is_number(value) and value < self.low:
            span = f"{low} or more"
        elif self.above:
            span = f"above {low} and under {high}" if self.under else f"above {low}, up to {high}"
        else:
            span = f"{low} to under {high}" if self.under else f"{low} to {high}"
        kind = "a whole number, " if self.whole else ""
        found = f"{words} {_written(value)}{after}{_in_per_cent(value, suffix)}"
        return Mistake(found, f"it is {kind}{span}{after}", self._remedy(value, suffix), place)

    def _remedy(self, value: Any, suffix: str) -> str:
        """What was probably meant: the same digits in another unit."""
        if _is_number(value) and value >= 2:  # who writes 0.75 meant no 0.75 %, and who types 120 % no 1.2 %
            for factor, unit in MEANT.get(suffix, ()):
                if value > self.high and self.holds(float(value) / factor):
                    return f"write {float(value) / factor:g} if you meant {value:g} {unit}"
        return self.usual


def _is_number(value: Any) -> bool:
    """Whether something is a finite number, and no yes or no."""
    if isinstance(value, Decimal):
        return value.is_finite()
    if not isinstance(value, Real) or isinstance(value, bool):
        return False
    return isinstance(value, Integral) or math.isfinite(value)


def _written(value: Any) -> str:
    """A number without needless digits, a bound without what it leaves to rounding.

    Examples
    --------
    >>> _written(1e9), _written(-1e-9), _written(0.30000000000000004)
    ('1000000000', '0', '0.3')
    """
    if not _is_number(value):
        return f"{value}" if isinstance(value, Number) else f"{value!r:.40}"
    if abs(value) >= 1e15:
        return f"{Decimal(value):.3g}"
    return f"{float(value) + 0.0:.15g}" if abs(value) > 1e-6 or isinstance(value, Integral) else "0"


def _in_per_cent(value: Any, suffix: str) -> str:
    """A share as its box shows it, behind what its file says; nothing for what is none.

    Examples
    --------
    >>> _in_per_cent(1.2, "_share"), _in_per_cent(0.0, "_share"), _in_per_cent(1.2, "_m")
    (' (120 %)', '', '')
    """
    said = suffix == "_share" and _is_number(value) and 0 < abs(value) <= 10
    return f" ({float(value):.0%})".replace("%", " %") if said else ""


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
    """The bounds of a dataclass's numbers, by field; of a tuple or an array for each number in it."""
    hints = get_type_hints(cls, include_extras=True)
    found = {entry.name: next(bounds_in(hints[entry.name]), None) for entry in fields(cls)}
    return {name: within for name, within in found.items() if within is not None}


def bounds_in(hint: Any) -> Iterator[Within]:
    """The bounds that a type says."""
    if get_origin(hint) is Annotated:
        kind, *extras = get_args(hint)
        whole = kind is int
        yield from (replace(extra, whole=whole) for extra in extras if isinstance(extra, Within))
    elif get_origin(hint) in (Union, UnionType, tuple):
        for part in get_args(hint):
            if part not in (NoneType, Ellipsis):
                yield from bounds_in(part)


def check_numbers(thing: Any, check: Check) -> bool:
    """Note each number of a dataclass that is not within its bounds; None is no number.

    Parameters
    ----------
    thing : instance of a dataclass
    check : Check
        Takes the mistakes, at its place.

    Returns
    -------
    bool
        Whether all hold: only then may they be compared with one another.
    """
    before = len(check.mistakes)
    for name, kinds, low, high in _plain(thing.__class__):
        value: Any = getattr(thing, name)
        plain = value.__class__ in kinds
        if value is None or (plain and low <= value <= high):
            continue  # nearly always, and this is asked at each step of a slider
        within = bounds_of(thing.__class__)[name]
        for one in _each(value):
            mistake = within.mistake(name, one, check.place)
            if mistake is not None:
                check.mistakes.append(mistake)
    return len(check.mistakes) == before


def check_number(check: Check, within: Within, **named: Any) -> bool:
    """Note arguments of a function that are not within bounds, by their names, and say whether all are.

    Examples
    --------
    >>> check = Check("straightedge")
    >>> check_number(check, Within(0.0, 10.0, above=True), length_m=0.0)
    False
    >>> print(check.mistakes[0])
    straightedge: length 0 m; it is above 0, up to 10 m; look at the number and its unit again
    """
    found = [within.mistake(name, value, check.place) for name, value in named.items()]
    check.mistakes += [mistake for mistake in found if mistake is not None]
    return not any(found)


@cache
def _plain(cls: Any) -> tuple[tuple[str, tuple[type, ...], float, float], ...]:
    """By which types and between which ends each number of a dataclass is seen at once to hold."""
    return tuple(
        (
            name,
            (int,) if within.whole else (float, int),
            math.nextafter(within.low, math.inf) if within.above else within.low,
            math.nextafter(within.high, -math.inf) if within.under else within.high,
        )
        for name, within in bounds_of(cls).items()
    )


def _each(value: Any) -> tuple[Any, ...]:
    """The numbers of a field: of an array its least and its greatest, each not a number if any is."""
    if isinstance(value, np.ndarray):
        return tuple({float(value.min()), float(value.max())}) if value.size else ()
    return value if isinstance(value, tuple) else (value,)


# On a wall: longer and higher than halls and churches have, to let in what else is read so. What was
# measured from the other end, or in feet, may lie a rounding before the wall's own.
LONGEST_M, HIGHEST_M, ROUNDING_M = 100.0, 100.0, 1e-9
FROM_ITS_END = "measure x from the wall's left end, z from the floor, in metres"
Across = Annotated[float, Within(-ROUNDING_M, LONGEST_M, usual=FROM_ITS_END)]
Up = Annotated[float, Within(-ROUNDING_M, HIGHEST_M, usual=FROM_ITS_END)]
Width = Annotated[float, Within(0.001, LONGEST_M, usual="measure it again")]
Height = Annotated[float, Within(0.001, HIGHEST_M, usual="measure it again")]
Money = Annotated[float, Within(0.0, MOST_PRICE, usual="write an amount of 0 or more")]
Share = Annotated[float, Within(0.0, 1.0)]
