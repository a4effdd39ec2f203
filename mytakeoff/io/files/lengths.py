"""Lengths as people write them in a cell: plain numbers, and fractions of an inch, feet and inches."""

from __future__ import annotations

import re
from fractions import Fraction

from mytakeoff.errors import Check
from mytakeoff.io.files.sheet import Cell, Sheet, number_in

INCH_SIGN = r"(?:\"|″|”|''|’’|in\.?)"
FOOT_SIGN = r"(?:'|′|’|ft\.?)"
PARTS = r"(?:([0-9]{1,6})(?:[ \u00a0]+|[ ]*[-+][ ]*))?([0-9]{1,4})[ ]*[/⁄][ ]*([0-9]{1,4})"
INCHES = re.compile(rf"([+\-−]?) *(?:{PARTS}|([0-9]{{1,6}})) *{INCH_SIGN}?", re.IGNORECASE)
DECIMAL_INCHES = re.compile(rf"(.*[0-9.,]) *{INCH_SIGN}", re.IGNORECASE | re.DOTALL)
FEET = re.compile(rf"([+\-−]?) *([0-9]{{1,6}}) *{FOOT_SIGN} *-?(?: *(.*))?", re.IGNORECASE | re.DOTALL)
DECIMAL_FEET = re.compile(rf"(.*[0-9.,]) *{FOOT_SIGN}", re.IGNORECASE | re.DOTALL)
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
          "⅓": "1/3", "⅔": "2/3"}  # fmt: skip
MONTHS = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
DATE = re.compile(
    rf"[0-9]{{1,2}}[-. /]?(?:{MONTHS})[a-z]*\.?(?:[-. /]?[0-9]{{2,4}})?|(?:{MONTHS})[a-z]*[-. /]?[0-9]{{1,4}}"
    r"|[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[T ].*)?|[0-9]{1,2}[/.][0-9]{1,2}[/.][0-9]{2,4}",
    re.IGNORECASE,
)
TWELFTHS = Fraction(1, 12)


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
    >>> feet("5' 3 1/2\\""), feet("-2 ft 6 in")
    (Fraction(127, 24), Fraction(-5, 2))
    """
    match = FEET.fullmatch(text.strip())
    if match is None:
        return None
    minus, whole, rest = match.groups()
    part = inches(rest) if rest else Fraction(0)
    if part is None or not 0 <= part < 12:
        return None
    size = int(whole) + part * TWELFTHS
    return -size if minus in ("-", "−") else size


def length_in(sheet: Sheet, cell: Cell, unit: str, mark: str, check: Check) -> Fraction | None:
    """The length in a cell, in the unit of its heading, or None with the mistake noted.

    Parameters
    ----------
    sheet : Sheet
    cell : Cell
    unit : "m", "cm", "mm", "in" or "ft"
        Fractions are read under "in", feet and inches under "ft"; elsewhere plain numbers only.
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
    parts = {"in": inches, "ft": feet}.get(unit)
    found = parts(cell.text) if parts else None
    if found is not None:
        return found
    signed = {"in": DECIMAL_INCHES, "ft": DECIMAL_FEET}.get(unit)
    match = signed.fullmatch(cell.text) if signed else None
    plain = number_in(sheet, cell._replace(text=match[1].strip()) if match else cell, mark, check)
    return None if plain is None else Fraction(plain)
