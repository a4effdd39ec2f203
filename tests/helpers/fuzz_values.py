"""Values in a job's files where others were meant: at the bounds, in another unit, of another kind."""

from __future__ import annotations

import math
from datetime import date, datetime, time
from random import Random
from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from mytakeoff.bounds import Within

FACTORS = (10.0, 100.0, 1000.0, 25.4, 304.8, 0.1, 0.01, 0.001, 1 / 25.4, -1.0)  # a unit mistaken for another
NUMBERS = (
    0,
    1,
    -1,
    2,
    3,
    7,
    0.0,
    -0.0,
    0.5,
    0.999999,
    1.000001,
    1e-12,
    -1e-12,
    1e-300,
    5e-324,
    1e-3,
    12.5,
    45,
    90.0,
    99.5,
    1e3,
    4200,
    1e6,
    1e9,
    1e12,
    9.99e14,
    1e15,
    1e16,
    1e300,
    -1e9,
    math.inf,
    -math.inf,
    math.nan,
    255,
    65536,
    2**31,
    2**63,
    10**18,
    10**400,
    1931,
    2027,
    999999999999,
)
TEXTS = (
    "",
    " ",
    "\t",
    "a",
    "A" * 3000,
    "Ünïcödé",
    "漆喰",
    "جدار",
    "🧱 wall",
    "e\u0301",
    "\u202ertl",
    "\u00a0",
    "\x00",
    "\x1b[31m",
    "line\nbreak",
    "quote\"'",
    "../outside",
    "/etc/hostname",
    "C:\\wall",
    "surveys",
    "job.toml",
    "a/b.csv",
    "<b>bold</b>",
    "=1+1",
    "4,2",
    "4.2",
    "4,2 m",
    "8' 2 1/2\"",
    "−5",
    "½",
    "nan",
    "1e999",
    "true",
    "none",
    "2027-03-01",
    "%s{0}$x",
    "\ufeffmark",
    "\u2028",
    "con",
    "brick",
    "plumb",
    "EUR",
)
DAYS = (date(1, 1, 1), date(9999, 12, 31), date(2024, 2, 29), date(2027, 3, 1), date(2027, 12, 24))
OTHERS: tuple[Any, ...] = (
    True,
    False,
    [],
    {},
    [1, 2],
    ["a"],
    [[]],
    [{}],
    {"a": 1},
    [1, "a", True],
    datetime(2027, 3, 1, 8),
    time(8),
    {"name": "a"},
    [{"name": "a"}],
    "text",
    3,
    2.5,
    date(2027, 3, 1),
    [None for _ in ()],
)


def any_number(random: Random, about: Any = None, within: Within | None = None) -> Any:
    """A number: one that a file may have by mistake, one near what stands there, or one at its bounds."""
    kind = random.random()
    if within is not None and kind < 0.5:
        edges = (within.low, within.high)
        edge = random.choice(edges)
        wide = within.high - within.low
        return random.choice(
            (
                edge,
                math.nextafter(edge, -math.inf),
                math.nextafter(edge, math.inf),
                within.low + random.random() * wide,
                within.low + random.random() ** 6 * wide,
                edge + wide,
                -edge,
            )
        )
    if is_number(about) and kind < 0.8:
        near = about * random.choice((random.uniform(0.5, 2.0), random.uniform(0.9, 1.1), *FACTORS))
        return int(near) if isinstance(about, int) and abs(near) < 1e15 and random.random() < 0.8 else near
    return random.choice(NUMBERS)


def is_number(value: Any) -> bool:
    """Whether it is a number and no yes or no."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def value_for(random: Random, hint: Any, about: Any) -> Any:
    """A value for a field of that type: mostly of its kind, now and then of another."""
    if random.random() < 0.07:
        return random.choice(OTHERS)
    return _of_kind(random, hint, about)


def _of_kind(random: Random, hint: Any, about: Any) -> Any:
    args = get_args(hint)
    if get_origin(hint) is Annotated:
        within = next((each for each in args[1:] if isinstance(each, Within)), None)
        return (
            any_number(random, about, within) if args[0] in (int, float) else _of_kind(random, args[0], about)
        )
    if get_origin(hint) is Literal:
        return random.choice((*args, *args, random.choice(TEXTS)))
    if get_origin(hint) is tuple:
        count = random.choice((0, 1, 1, 2, 3, 8))
        first = about[0] if isinstance(about, list) and about else None
        return [_of_kind(random, args[0], first) for _ in range(count)]
    if args and NoneType in args:
        return _of_kind(random, next(kind for kind in args if kind is not NoneType), about)
    if hint in (int, float):
        number = any_number(random, about)
        whole = hint is int and math.isfinite(number) and random.random() < 0.8
        return int(number) if whole else number
    if hint is bool:
        return random.random() < 0.5
    if hint is date:
        return random.choice(DAYS)
    return random.choice((about, *TEXTS)) if isinstance(about, str) else random.choice(TEXTS)
