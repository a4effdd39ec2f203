"""Lengths as people write them in a cell or a box: numbers, fractions of an inch, feet and inches."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from mytakeoff.errors import Check
from mytakeoff.io.files.sheet import NUMBER_REMEDY, Cell, Sheet, number_in
from mytakeoff.units import METRES

INCH_SIGN = r"(?:\"|″|”|''|’’|′′|inch(?:es)?|in\.?)"
FOOT_SIGN = r"(?:'|′|’|foot|feet|ft\.?)"
PARTS = r"(?:([0-9]{1,6})(?:[ \u00a0]+|[ ]*[-+][ ]*))?([0-9]{1,4})[ ]*[/⁄][ ]*([0-9]{1,4})"
INCHES = re.compile(rf"([+\-−]?) *(?:{PARTS}|([0-9]{{1,6}})) *{INCH_SIGN}?", re.IGNORECASE)
DECIMAL_INCHES = re.compile(rf"([0-9]{{1,6}})[.,]([0-9]{{1,9}}) *{INCH_SIGN}?", re.IGNORECASE)
FEET = re.compile(rf"([+\-−]?) *([0-9]{{1,6}}) *{FOOT_SIGN} *-?(?: *(.*))?", re.IGNORECASE | re.DOTALL)
SIGNS = {
    "in": INCH_SIGN,
    "ft": FOOT_SIGN,
    "mm": "mm",
    "cm": "cm",
    "m": "m",
}  # '' is inches, not feet
UNITS = {
    unit: re.compile(rf"(.*[0-9.,½¼¾⅛⅜⅝⅞⅓⅔])[ \u00a0]*{sign}", re.IGNORECASE | re.DOTALL)
    for unit, sign in SIGNS.items()
}
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
          "⅓": "1/3", "⅔": "2/3"}  # fmt: skip
MONTHS = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
DATE = re.compile(
    rf"[0-9]{{1,2}}[-. /]?(?:{MONTHS})[a-z]*\.?(?:[-. /]?[0-9]{{2,4}})?|(?:{MONTHS})[a-z]*[-. /]?[0-9]{{1,4}}"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[T ].*)?|[0-9]{1,2}[/.][0-9]{1,2}[/.][0-9]{2,4}",
    re.IGNORECASE,
)
TWELFTHS = Fraction(1, 12)
REMEDIES = {
    "in": "write inches so: 1 3/8, 1.375, or 3' 4\" with both signs",
    "ft": 'write feet so: 8\' 2 1/2", 4", or 8.25 without a sign',
}


def inches(text: str) -> Fraction | None:
    """Whole inches and a fraction of one [in]; None where it is written in another way.

    Examples
    --------
    >>> inches("1 3/8"), inches('3/8"'), inches("1-3/8"), inches("-1⅜")
    (Fraction(11, 8), Fraction(3, 8), Fraction(11, 8), Fraction(-11, 8))
    """
    for sign, plain in VULGAR.items():
        text = text.replace(sign, f" {plain}")
    match = INCHES.fullmatch(text.strip())
    if match is None:
        return None
    minus, whole, top, bottom, alone = match.groups()
    if bottom is not None and (int(bottom) == 0 or (whole is not None and int(top) >= int(bottom))):
        return None
    size = Fraction(int(alone or whole or 0)) + (Fraction(int(top), int(bottom)) if bottom else 0)
    return -size if minus in ("-", "−") else size


def feet(text: str) -> Fraction | None:
    """Feet and inches [ft]; None where it is written in another way.

    Examples
    --------
    >>> feet("5' 3 1/2\\""), feet("-2 ft 6 in"), feet("8' 2.5\\"")
    (Fraction(127, 24), Fraction(-5, 2), Fraction(197, 24))
    """
    match = FEET.fullmatch(text.strip())
    if match is None:
        return None
    minus, whole, rest = match.groups()
    part = _over_the_feet(rest) if rest else Fraction(0)
    if part is None or not 0 <= part < 12:
        return None
    size = int(whole) + part * TWELFTHS
    return -size if minus in ("-", "−") else size


def _over_the_feet(text: str) -> Fraction | None:
    """The inches that follow feet [in]; their decimal mark cannot be one between thousands."""
    decimal = DECIMAL_INCHES.fullmatch(text)
    return Fraction(f"{decimal[1]}.{decimal[2]}") if decimal else inches(text)


def apart(text: str) -> tuple[str, str]:
    """A number and the unit that is written behind it; an empty unit where none is.

    Examples
    --------
    >>> apart("4,2 m"), apart('1 3/8"'), apart("12")
    (('4,2', 'm'), ('1 3/8', 'in'), ('12', ''))
    """
    found = ((unit, pattern.fullmatch(text.strip())) for unit, pattern in UNITS.items())
    return next(((match[1].strip(), unit) for unit, match in found if match), (text.strip(), ""))


def length_of(text: str, unit: str, number: Callable[[str], Fraction | None]) -> Fraction | None:
    """The length that a text says, in `unit`; None where it says none.

    A unit that is written with the number wins: 4" is four inches whatever is asked for. Fractions are of an
    inch, so "1/2" without a sign is a length only where inches are asked for.

    Parameters
    ----------
    text : str
    unit : "m", "cm", "mm", "in" or "ft"
        What a number without a unit is in, and what the length is given in.
    number : function of text
        Reads a decimal number as it is written there; None where it is none.

    Examples
    --------
    >>> length_of('4"', "ft", Fraction), length_of("42 cm", "m", Fraction)
    (Fraction(1, 3), Fraction(21, 50))
    """
    size, own = feet(text), "ft"
    if size is None:
        plain, own = apart(text)
        own = own or unit
        size = inches(plain) if own == "in" else None
        size = number(plain) if size is None else size
    return None if size is None else size * METRES[own] / METRES[unit]


def with_unit(text: str, unit: str) -> str:
    """A length as it was written, with its unit.

    Examples
    --------
    >>> with_unit("20", "m"), with_unit("8' 2\\"", "m")
    ('20 m', '8\\' 2"')
    """
    return text if feet(text) is not None or apart(text)[1] else f"{text} {unit}"


def length_in(sheet: Sheet, cell: Cell, unit: str, mark: str, check: Check) -> Fraction | None:
    """The length in a cell, in the unit of its heading, or None with the mistake noted.

    Parameters
    ----------
    sheet : Sheet
    cell : Cell
    unit : "m", "cm", "mm", "in" or "ft"
        What numbers without a unit of their own are in.
    mark : "." or ","
        The file's decimal mark.
    check : Check
        Takes the mistake.
    """
    if DATE.fullmatch(cell.text):
        check.that(
            False,
            f"{cell.text!r}, a date",
            "a number stands here; spreadsheets turn fractions such as 3/8 into dates",
            "format the column as text and type the reading again",
            sheet.place(cell),
        )
        return None

    def number(text: str) -> Fraction | None:
        remedy = REMEDIES.get(unit, NUMBER_REMEDY)
        plain = number_in(sheet, cell._replace(text=text), mark, check, remedy)
        return None if plain is None else Fraction(plain)

    return length_of(cell.text, unit, number)
