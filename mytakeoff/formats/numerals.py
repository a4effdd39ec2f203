"""Numbers as a job writes them: its marks before decimals and between thousands."""

from __future__ import annotations

from decimal import Decimal
from functools import cached_property

from babel import Locale
from babel.numbers import get_decimal_symbol, get_group_symbol, get_minus_sign_symbol

from mytakeoff.formats.inches import MINUS
from mytakeoff.formats.locales import LETTERS
from mytakeoff.units import decimal_of, round_money

THIN_SPACE = "\u202f"


class Numerals:
    """What `Formats` knows of numbers; its fields say how."""

    locale: str
    decimal_comma: bool

    @cached_property
    def _locale(self) -> Locale:
        return Locale.parse((self.locale or LETTERS).replace("-", "_"))

    @cached_property
    def _marks(self) -> dict[int, str]:
        """From Python's marks in a number to ours."""
        if not self.locale:
            return str.maketrans({",": THIN_SPACE, ".": "," if self.decimal_comma else "."})
        group, point = get_group_symbol(self._locale), get_decimal_symbol(self._locale)
        return str.maketrans({",": group, ".": point, "-": get_minus_sign_symbol(self._locale)})

    @property
    def point(self) -> str:
        """What stands before the decimals."""
        return self._marks[ord(".")]

    @property
    def apart(self) -> str:
        """What stands between numbers in a row: a semicolon where their decimals have a comma."""
        return "; " if self.point == "," else ", "

    def number(self, value: float | Decimal, places: int = 0) -> str:
        """A number with a fixed count of decimals, rounded half up [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().number(12345.678, 1).replace(THIN_SPACE, " ")
        '12 345.7'
        >>> Formats("de_DE").number(12345.678, 1)
        '12.345,7'
        """
        exact = value if isinstance(value, Decimal) else decimal_of(value)
        rounded = round_money(exact, places) + 0  # what rounds to nothing loses its sign
        return f"{rounded:,.{places}f}".translate(self._marks)

    def short(self, value: float) -> str:
        """A number with as many decimals as it has, six figures at most [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().short(2.50), Formats(decimal_comma=True).short(2.50), Formats().short(3.0)
        ('2.5', '2,5', '3')
        """
        return f"{value + 0.0:g}".translate(self._marks)

    def fixed(self, value: float, places: int = 0) -> str:
        """A place or a length as a tape has it: a fixed count of decimals, thousands not set apart [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().fixed(2430.4), Formats("de_DE").fixed(1.2, 3)
        ('2430', '1,200')
        """
        return f"{value:z.{places}f}".translate(self._marks)

    def typed(self, value: float) -> str:
        """A number as it stands in a box: the decimals that it has, six at most, thousands not set apart [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().typed(0.30000000000000004), Formats().typed(1200.0), Formats("de_DE").typed(0.95)
        ('0.3', '1200', '0,95')
        """
        return f"{value:z.6f}".rstrip("0").rstrip(".").translate(self._marks)

    def exact(self, value: Decimal) -> str:
        """A figure with the decimals that it was given, thousands not set apart [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().exact(Decimal("1250.50")), Formats("de_DE").exact(Decimal("1250.50"))
        ('1250.50', '1250,50')
        """
        return f"{value:f}".translate(self._marks)

    def signed(self, value: float) -> str:
        """`short` with its sign, a true minus [-].

        Examples
        --------
        >>> from mytakeoff.formats.formats import Formats
        >>> Formats().signed(2.5), Formats().signed(-3), Formats().signed(0)
        ('+2.5', '−3', '0')
        """
        return f"{value:+g}".replace("-", MINUS).translate(self._marks) if value else "0"
