"""Lengths in feet and inches, as a tape of the United States has them: whole ones and a fraction of an inch.

A foot is 0.3048 m and an inch 25.4 mm exactly, by the agreement of 1959 on the international yard and pound.
What is written lies within half its fraction of the length, and typed back it is read so.
"""

from __future__ import annotations

from fractions import Fraction

from mytakeoff.units import METRES, decimal_of

NBSP, MINUS = "\u00a0", "\u2212"
EIGHTH, SIXTEENTH, THIRTY_SECOND = 8, 16, 32
FOOT = METRES["ft"] / METRES["in"]
FINE = Fraction(1, 2)  # below it a thickness is told to 1/32", as below 10 mm to a tenth of one
NOTHING_MM = 0.05  # what millimetres with a decimal write as 0


def in_feet(metres: float, parts: int = EIGHTH) -> str:
    """A place or a size to the nearest fraction of an inch, half up [m].

    Parameters
    ----------
    metres : float
    parts : int
        Into how many an inch is divided, a power of two [-].

    Examples
    --------
    >>> in_feet(3.9).replace(NBSP, " "), in_feet(0.1).replace(NBSP, " ")
    ('12\\' 9 1/2"', '3 7/8"')
    >>> in_feet(3.048), in_feet(-0.0254)
    ("10'", '−1"')
    """
    rounded = _rounded(abs(metres), "m", parts)
    feet, left = divmod(rounded, FOOT)
    said = [f"{feet}'"] if feet else []
    return _sign(metres, rounded) + NBSP.join([*said, *([inches_of(left)] if left or not feet else [])])


def in_inches(mm: float) -> str:
    """A thickness, a gap or what deviates, half up: to 1/32 of an inch below half an inch, else to 1/16 [mm].

    Examples
    --------
    >>> in_inches(8.0), in_inches(-25.4), in_inches(0.3), in_inches(0.0)
    ('5/16"', '−1"', 'under 1/32"', '0"')
    """
    fine = _rounded(abs(mm), "mm", THIRTY_SECOND)
    if not fine and abs(mm) >= NOTHING_MM:
        return f'under 1/{THIRTY_SECOND}"'
    return _sign(mm, fine) + inches_of(fine if fine < FINE else _rounded(abs(mm), "mm", SIXTEENTH))


def inches_of(size: Fraction) -> str:
    """Whole inches and their fraction [in].

    Examples
    --------
    >>> inches_of(Fraction(11, 8)).replace(NBSP, " "), inches_of(Fraction(0))
    ('1 3/8"', '0"')
    """
    whole, part = divmod(size, 1)
    said = [f"{whole}"] if whole or not part else []
    return NBSP.join([*said, *([f"{part}"] if part else [])]) + '"'


def _sign(value: float, rounded: Fraction) -> str:
    return MINUS if value < 0 and rounded else ""


def _rounded(size: float, unit: str, parts: int) -> Fraction:
    """A length in inches, to whole parts of one."""
    exact = Fraction(decimal_of(size)) * METRES[unit] / METRES["in"] * parts
    return Fraction(int(exact + Fraction(1, 2)), parts)
