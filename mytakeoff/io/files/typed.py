"""Numbers and lengths as people type them into a box: either decimal mark, spaces, a unit, feet and inches.

What may be read in two ways (1,200) is taken only where the other one cannot be; else it is asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from mytakeoff.bounds import UNITS
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.lengths import length_of
from mytakeoff.units import METRES

APART = re.compile(r"[\s;]+")
SPACES = " \u00a0\u2009\u202f"
PLAIN = re.compile(r"([+-]?) ?([0-9]{0,12})(?:[.,]([0-9]{0,30}))?")
GROUPED = re.compile(
    rf"([+-]?) ?([1-9][0-9]{{0,2}}([.,{SPACES}])[0-9]{{3}}(?:\3[0-9]{{3}}){{0,3}})"
    r"(?:(?!\3)[.,]([0-9]{0,30}))?"
)
EITHER = re.compile(r"(?<![0-9.,])([1-9][0-9]{0,2})[.,]([0-9]{3})(?![0-9.,])")
# signs of scripts that are written from the right, and their decimal mark
SAME = str.maketrans({"−": "-", "\u066b": ".", "\u200e": None, "\u200f": None, "\u061c": None})
MOST_LETTERS = 60
Holds = Callable[[float], bool]
Told = tuple[str, str]  # rule and remedy
Size = TypeVar("Size", Decimal, Fraction)


def decimal_in(text: str) -> Decimal | None:
    """Digits with at most one mark, which is a decimal mark; None for all else.

    Examples
    --------
    >>> decimal_in("0,45"), decimal_in("−3"), decimal_in("1,200"), decimal_in("1 200")
    (Decimal('0.45'), Decimal('-3'), Decimal('1.200'), None)
    """
    match = PLAIN.fullmatch(text.translate(SAME))
    if match is None or not (match[2] or match[3]):
        return None
    return _signed(match[1], match[2] or "0", match[3])


def grouped_in(text: str) -> Decimal | None:
    """Digits with marks or blanks between thousands; None for all else.

    Examples
    --------
    >>> grouped_in("1,200"), grouped_in("1.200,5"), grouped_in("12 000"), grouped_in("0,950")
    (Decimal('1200'), Decimal('1200.5'), Decimal('12000'), None)
    """
    match = GROUPED.fullmatch(text.translate(SAME))
    if match is None:
        return None
    return _signed(match[1], re.sub("[^0-9]", "", match[2]), match[4])


def _signed(sign: str, whole: str, decimals: str | None) -> Decimal:
    return Decimal(f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}")


def unit_of(name: str) -> str:
    """The unit that the end of a field's name says; none for a share or a count.

    Examples
    --------
    >>> unit_of("density_kg_per_l"), unit_of("least_mm"), unit_of("waste_share")
    ('kg/l', 'mm', '')
    """
    return next((unit for suffix, unit in UNITS.items() if name.endswith(suffix)), "")


def readings(text: str, unit: str = "") -> list[Fraction]:
    """Every number that a text may say, in `unit`: none, one, or first with decimals and then with thousands.

    Parameters
    ----------
    text : str
    unit : str
        What a number without a unit is in. A length may be written in another unit of length, all else in its
        own only.

    Examples
    --------
    >>> [float(size) for size in readings("8' 2 1/2\\"", "m")], readings("4,2 m", "mm"), readings("12 %", "%")
    ([2.5019], [Fraction(4200, 1)], [Fraction(12, 1)])
    >>> [float(size) for size in readings("1,200", "m")]
    [1.2, 1200.0]
    """
    text = " ".join(text.translate(SAME).split())
    if len(text) > MOST_LETTERS:
        return []
    return _differing(_read(text, unit, number) for number in (decimal_in, grouped_in))


def _differing(found: Iterable[Size | None]) -> list[Size]:
    return list(dict.fromkeys(size for size in found if size is not None))


def _read(text: str, unit: str, number: Callable[[str], Decimal | None]) -> Fraction | None:
    def exact(plain: str) -> Fraction | None:
        found = number(plain)
        return None if found is None else Fraction(found)

    return length_of(text, unit, exact) if unit in METRES else exact(without(unit, text))


def without(unit: str, text: str) -> str:
    """A text without the unit of its own behind it.

    Examples
    --------
    >>> without("kg/l", "0,95 kg / L"), without("m²", "8 m2"), without("%", "12 kg")
    ('0,95', '8', '12 kg')
    """
    letters = r"\s*".join("[²2]" if letter == "²" else re.escape(letter) for letter in unit.replace(" ", ""))
    return re.sub(rf"\s*{letters}\s*\Z", "", text, flags=re.IGNORECASE).strip() if unit else text.strip()


def number_typed(
    text: str,
    place: str,
    check: Check,
    unit: str = "",
    holds: Holds | None = None,
    formats: Formats = HOUSE,
) -> float | None:
    """The number in a box, or None with the mistake noted.

    Parameters
    ----------
    text : str
    place : str
        What the box is called, for messages.
    check : Check
        Takes the mistake.
    unit : str
        As for `readings`.
    holds : function of the number, optional
        Whether it can be one here: of two ways to read it, the one that cannot is not taken.
    formats : Formats
        How both are written where it is asked which was meant.

    Examples
    --------
    >>> number_typed("0,45", "x", Check()), number_typed(" −3 ", "x", Check())
    (0.45, -3.0)
    >>> number_typed("1,200", "x", Check(), "m", lambda metres: metres <= 60)
    1.2
    >>> check = Check()
    >>> number_typed("1,200", "price", check), str(check.mistakes[0])
    (None, "price: '1,200'; it may be 1.2 or 1200; write 1.2 or 1200")
    """
    found = _meant(readings(text, unit), text, place, check, unit, holds, formats)
    return None if found is None else float(found)


def decimal_typed(
    text: str,
    place: str,
    check: Check,
    unit: str = "",
    holds: Holds | None = None,
    formats: Formats = HOUSE,
) -> Decimal | None:
    """The number in a box with the digits that it was given, no length; else as `number_typed`.

    Examples
    --------
    >>> decimal_typed(" 12,50 EUR", "price of sand", Check(), "EUR")
    Decimal('12.50')
    """
    plain = without(unit, text)
    found = _differing(number(plain) for number in (decimal_in, grouped_in))
    return _meant(found, text, place, check, unit, holds, formats)


def _meant(
    found: list[Size],
    text: str,
    place: str,
    check: Check,
    unit: str,
    holds: Holds | None,
    formats: Formats,
) -> Size | None:
    """The one number among those that a text may say, or None with the mistake noted."""
    if len(found) > 1 and holds is not None:
        found = [size for size in found if holds(float(size))] or found
    if len(found) == 1:
        return found[0]
    rule, remedy = _either(text, formats) if found else _none(unit)
    check.that(False, repr(text.strip()) if text.strip() else "nothing typed", rule, remedy, place)
    return None


def _either(text: str, formats: Formats) -> Told:
    """What is asked of a text that may be read in two ways, and how to write each."""

    def decimals(match: re.Match[str]) -> str:
        short = match[2].rstrip("0")
        # three decimals might be thousands again
        return f"{match[1]}{formats.point}{match[2] + '0' if len(short) == 3 else short}".rstrip(".,")

    plain = " ".join(text.split())
    ways = f"{EITHER.sub(decimals, plain)} or {EITHER.sub(lambda match: match[1] + match[2], plain)}"
    return f"it may be {ways}", f"write {ways}"


def _none(unit: str) -> Told:
    if unit in METRES:
        return (
            "a length stands here",
            f"type digits for {unit}, or write the unit behind them: 4,2 m, 4.2 m, 42 cm, 8' 2 1/2\"",
        )
    own = f", {unit} or nothing behind them" if unit else " and no unit"
    return "a number stands here", f"type digits with a decimal point or comma{own}"


def numbers_typed(
    text: str, place: str, check: Check, unit: str = "", holds: Holds | None = None
) -> tuple[float, ...]:
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
    found = (number_typed(part, place, check, unit, holds) for part in parts)
    return tuple(number for number in found if number is not None)
