"""Every number, amount, length and day as a person reads it: the one place that knows how.

The job says which: `job.formats`. A locale's marks, months and the place of its currency come from the
Unicode Consortium's Common Locale Data Repository by way of Babel. Without a locale numbers are written as
ISO 80000-1 has them, groups of three apart by a thin space; months have their English names.

Lengths are shown metric, or in feet and inches where the job says so: places and sizes to the nearest 1/8",
to 1/16" where a metric job has three decimals or all that was entered; thicknesses, gaps and leans to 1/32",
from 1/2" on to 1/16", and `under 1/32"` where there is less than that. What is counted by the metre, m²,
litre or kilogram stays so, as do files' columns that name their unit and what a rule says in its own words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property

from babel.dates import format_date
from babel.numbers import (
    NumberPattern,
    get_currency_symbol,
)

from mytakeoff.formats.inches import EIGHTH, MINUS, NBSP, SIXTEENTH, in_feet, in_inches
from mytakeoff.formats.numerals import Numerals
from mytakeoff.units import to_metres

DAY, MONTH_AND_DAY, WEEKDAY = "d MMM y", "d MMM", "EEE"  # the month by its name: nobody takes it for another
ROUGH_PLACES = 2  # decimals of metres for which eighths of an inch are fine enough


@dataclass(frozen=True)
class Formats(Numerals):
    """How a job writes numbers, amounts, lengths and days.

    Parameters
    ----------
    locale : str
        As de_AT; "": thin spaces between thousands, English months, the currency behind the amount.
    currency : str
        Behind the amount as it is; with a locale the symbol and the place are the locale's.
    places : int
        Decimal places of an amount, 0 or more [-].
    decimal_comma : bool
        Without a locale: a comma before the decimals.
    feet_and_inches : bool
        Lengths are shown in feet and inches, not metric.

    Examples
    --------
    >>> Formats("de_AT", "EUR").amount(Decimal("5780.87")).replace(NBSP, " ")
    '€ 5.780,87'
    >>> from mytakeoff.formats.numerals import THIN_SPACE
    >>> Formats("fr_FR", "EUR").amount(Decimal("5780.87")).replace(NBSP, " ").replace(THIN_SPACE, " ")
    '5 780,87 €'
    """

    locale: str = ""
    currency: str = ""
    places: int = 2
    decimal_comma: bool = False
    feet_and_inches: bool = False

    @cached_property
    def _around(self) -> tuple[str, str]:
        """What stands before and behind an amount."""
        if not self.locale:
            return "", f" {self.currency}".rstrip()
        pattern: NumberPattern = self._locale.currency_formats["standard"]
        symbol = get_currency_symbol(self.currency, self._locale)
        before, behind = (side[0].replace("¤", symbol) for side in (pattern.prefix, pattern.suffix))
        return before, behind

    def money(self, amount: float | Decimal) -> str:
        """An amount to the currency's places, without the currency [currency].

        Examples
        --------
        >>> from mytakeoff.formats.numerals import THIN_SPACE
        >>> Formats(places=2).money(Decimal("5780.874")).replace(THIN_SPACE, " ")
        '5 780.87'
        """
        return self.number(amount, self.places)

    def amount(self, amount: float | Decimal, places: int | None = None) -> str:
        """An amount with its currency, to the currency's places unless told [currency].

        Examples
        --------
        >>> Formats(currency="EUR").amount(940.4), Formats(currency="EUR").amount(940.4, 0)
        ('940.40 EUR', '940 EUR')
        """
        before, behind = self._around
        sign = "-" if amount < 0 else ""
        figures = self.number(-amount if amount < 0 else amount, self.places if places is None else places)
        return f"{sign.translate(self._marks)}{before}{figures}{behind}"

    def change(self, amount: float | Decimal) -> str:
        """By how much a price moves in whole units, with its sign [currency].

        Examples
        --------
        >>> Formats().change(84.6), Formats().change(-12), Formats().change(-0.2)
        ('+85', '−12', '0')
        """
        size = self.number(-amount if amount < 0 else amount)
        return size if size == "0" else f"{'+' if amount > 0 else MINUS}{size}"

    def mm(self, value_mm: float) -> str:
        """A gap as it is read: one decimal under 10 mm, none from there on [mm].

        Examples
        --------
        >>> Formats().mm(0.02), Formats().mm(3.04), Formats().mm(12.3)
        ('0 mm', '3.0 mm', '12 mm')
        """
        value_mm = 0.0 if value_mm < 0.05 else value_mm
        return self.depth(value_mm, places=1 if 0 < value_mm < 9.95 else 0)

    def length(
        self,
        *metres: float,
        places: int | None = None,
        between: str = " to ",
        grouped: bool = False,
        column: bool = False,
    ) -> str:
        """A place or a size on the wall, or several in a row, with their unit [m].

        Metres have `places` decimals, else as many as there are; `grouped`: as `number` rounds them; in a
        `column` their unit stands in its `head`.

        Examples
        --------
        >>> Formats().length(3.9), Formats().length(4.2, 2.6, between=" × ", places=2)
        ('3.9 m', '4.20 × 2.60 m')
        >>> Formats(feet_and_inches=True).length(3.9, places=2).replace(NBSP, " ")
        '12\\' 9 1/2"'
        """
        if not self.feet_and_inches:
            return self._metric(metres, places, between, grouped, "" if column else " m")
        parts = SIXTEENTH if places is None or places > ROUGH_PLACES else EIGHTH
        return between.join(in_feet(value, parts) for value in metres)

    def depth(
        self,
        *mm: float,
        places: int | None = None,
        between: str = " to ",
        grouped: bool = True,
        column: bool = False,
    ) -> str:
        """A thickness, a gap or what deviates, or several in a row, with their unit [mm].

        Millimetres have `places` decimals, else as many as there are; not `grouped`: as `fixed` writes them;
        in a `column` their unit stands in its `head`.

        Examples
        --------
        >>> Formats().depth(8.0, places=1), Formats().depth(5.0, 25.0)
        ('8.0 mm', '5 to 25 mm')
        >>> Formats(feet_and_inches=True).depth(8.0), Formats(feet_and_inches=True).depth(0.2)
        ('5/16"', 'under 1/32"')
        """
        if not self.feet_and_inches:
            return self._metric(mm, places, between, grouped, "" if column else " mm")
        return between.join(in_inches(value) for value in mm)

    def _metric(
        self, values: Sequence[float], places: int | None, between: str, grouped: bool, unit: str
    ) -> str:
        fixed = self.number if grouped else self.fixed
        return (
            between.join(self.short(each) if places is None else fixed(each, places) for each in values)
            + unit
        )

    def head(self, words: str, unit: str) -> str:
        """The head of a column of lengths, with the unit; feet and inches have their signs beside each.

        Examples
        --------
        >>> Formats().head("screw", "mm"), Formats(feet_and_inches=True).head("screw", "mm")
        ('screw, mm', 'screw')
        """
        return words if self.feet_and_inches else f"{words}, {unit}"

    def beside(self, value: float, unit: str) -> str:
        """What a box in `unit` holds as it is shown elsewhere; "" where that is the same [m, mm].

        Examples
        --------
        >>> Formats(feet_and_inches=True).beside(8.0, "mm"), Formats().beside(8.0, "mm")
        ('5/16"', '')
        """
        ways = {"m": self.length, "mm": self.depth} if self.feet_and_inches else {}
        return ways[unit](value) if unit in ways else ""

    def place(self, x_m: float, z_m: float, grouped: bool = False) -> str:
        """A place on the wall, from its left end and up from the floor; see `length` [m].

        Examples
        --------
        >>> Formats().place(1.2, 0.4)
        'x 1.20 m, z 0.40 m'
        """
        x, z = (self.length(at, places=2, grouped=grouped) for at in (x_m, z_m))
        return f"x {x}, z {z}"

    def slope(self, mm_per_m: float, places: int | None = None) -> str:
        """By how much something leans or turns on its way; in inches over ten feet [mm/m].

        Examples
        --------
        >>> Formats().slope(3.0), Formats(feet_and_inches=True).slope(3.0)
        ('3 mm a metre', '3/8" in 10 feet')
        """
        if not self.feet_and_inches:
            return f"{self.depth(mm_per_m, places=places)} a metre"
        return f"{self.depth(mm_per_m * to_metres(10, 'ft'))} in 10 feet"

    def lean(self, mm: float | None, height_m: float) -> str:
        """How a face leans against plumb, from its foot to its top, in the one sense used everywhere.

        Parameters
        ----------
        mm : float or None
            How much further into the room its top stands than its foot; None: what it was measured from was
            not said to be plumb [mm].
        height_m : float
            Over which it does so [m].

        Examples
        --------
        >>> Formats().lean(-13.3, 2.6), Formats().lean(9.0, 2.6)
        ('leans 13 mm back over its 2.6 m', 'leans 9 mm into the room over its 2.6 m')
        >>> Formats().lean(0.3, 2.6)
        'stands plumb over its 2.6 m'
        """
        if mm is None:
            return "has no known lean: what it was measured from was not said to be plumb"
        by, over = self.depth(abs(mm), places=0), f"over its {self.length(height_m)}"
        return f"leans {by} {way(mm)} {over}" if self.number(abs(mm)) != "0" else f"stands plumb {over}"

    def day(self, day: date, pattern: str = DAY) -> str:
        """A day, the month by its name; or as much of it as a pattern of the repository has.

        Examples
        --------
        >>> Formats().day(date(2027, 3, 1)), Formats("de_DE").day(date(2027, 3, 1))
        ('1 Mar 2027', '1 März 2027')
        """
        return str(format_date(day, pattern, locale=self._locale))

    def days(self, days: float) -> str:
        """Days to the half, as a diary has them [d].

        Examples
        --------
        >>> Formats().days(8.6), Formats().days(0.4), Formats().days(3)
        ('8½', '½', '3')
        """
        whole, half = divmod(round(days * 2), 2)
        return f"{self.number(whole)}½" if half and whole else "½" if half else self.number(whole)

    def span(self, first: date, last: date, year: bool = True) -> str:
        """From one day to another, as short as can be; with the year unless it is obvious.

        Examples
        --------
        >>> Formats().span(date(2027, 3, 1), date(2027, 3, 12), year=False)
        '1 to 12 Mar'
        >>> Formats().span(date(2026, 12, 21), date(2027, 1, 8))
        '21 Dec 2026 to 8 Jan 2027'
        """
        end = self.day(last, DAY if year else MONTH_AND_DAY)
        if first == last:
            return end
        if first.year != last.year:
            return f"{self.day(first)} to {end}"
        return f"{self.day(first, 'd' if first.month == last.month else MONTH_AND_DAY)} to {end}"

    @cached_property
    def bare(self) -> Formats:
        """The same without a currency: what is said of a wall names none, so a new one makes no new wall."""
        return self.of("", 0)

    def of(self, currency: str, places: int) -> Formats:
        """The same for amounts of another currency [-]."""
        return replace(self, currency=currency, places=places)


HOUSE = Formats()  # for mistakes and for what is written before there is a job


def say(value: float | Decimal, places: int = 0) -> str:
    """`Formats.number` as the house writes it, where no job is at hand [-]."""
    return HOUSE.number(value, places)


def in_a_row(parts: Sequence[str]) -> str:
    """Some things one after the other [-].

    Examples
    --------
    >>> in_a_row(["rails"]), in_a_row(["rails", "mesh", "beads"])
    ('rails', 'rails, mesh and beads')
    """
    return " and ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))


def counted(number: int, word: str) -> str:
    """So many of a thing [-].

    Examples
    --------
    >>> counted(1, "coat"), counted(3, "coat")
    ('1 coat', '3 coats')
    """
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def way(mm: float) -> str:
    """Which way something leans or turns: its far end against its near one, into the room positive [mm].

    Examples
    --------
    >>> way(4.0), way(-4.0)
    ('into the room', 'back')
    """
    return "into the room" if mm > 0 else "back"


def unbroken(text: str) -> str:
    """A number and its unit stay on one line, and what is allowed stays with its word.

    Examples
    --------
    >>> unbroken("gap 5.6 mm, 3 allowed") == "gap 5.6\\u00a0mm, 3\\u00a0allowed"
    True
    """
    return re.sub(r"(?<=\d) (?=m|allowed)", NBSP, text)
