"""Numbers as people type them into a box: a decimal point or comma, nothing else."""

from __future__ import annotations

import re

from mytakeoff.errors import Check
from mytakeoff.io.files.sheet import NUMBER

APART = re.compile(r"[\s;]+")


def number_typed(text: str, place: str, check: Check) -> float | None:
    """The number in a box, or None with the mistake noted.

    Parameters
    ----------
    text : str
    place : str
        What the box is called, for messages.
    check : Check
        Takes the mistake.

    Examples
    --------
    >>> number_typed("0,45", "x", Check()), number_typed(" −3 ", "x", Check())
    (0.45, -3.0)
    """
    match = NUMBER.fullmatch(text.strip())
    if match is None or not (match[2] or match[4]):
        check.that(
            False,
            repr(text.strip()),
            "a number stands here",
            "type digits with a decimal point or comma, without a unit",
            place,
        )
        return None
    size = float(f"{match[2] or '0'}.{match[4] or '0'}")
    return -size if match[1] in ("-", "−") else size


def numbers_typed(text: str, place: str, check: Check) -> tuple[float, ...]:
    """Several numbers in one box, blanks or semicolons between them; those that are none are noted.

    A comma is a decimal comma unless a blank follows it, or its number has a decimal point already.

    Examples
    --------
    >>> numbers_typed("0.35 1.9", "x", Check()), numbers_typed("0,35; 1,9", "x", Check())
    ((0.35, 1.9), (0.35, 1.9))
    >>> numbers_typed("0.35, 1.9", "x", Check()), numbers_typed("0.35,1.9", "x", Check())
    ((0.35, 1.9), (0.35, 1.9))
    """
    words = [word.strip(",") for word in APART.split(text)]
    parts = [part for word in words for part in (word.split(",") if "." in word else [word]) if part]
    found = (number_typed(part, place, check) for part in parts)
    return tuple(number for number in found if number is not None)


def shown(number: float | None) -> str:
    """A number as it stands in a box, to a tenth of a thousandth; nothing for none.

    Examples
    --------
    >>> shown(0.30000000000000004), shown(46.0), shown(None)
    ('0.3', '46', '')
    """
    return "" if number is None else f"{number:.4f}".rstrip("0").rstrip(".")
