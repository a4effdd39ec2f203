"""The only unit conversions, and money rounded and shared out."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

METRES = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "in": Fraction(254, 10000),
    "ft": Fraction(3048, 10000),
}


def to_metres(value: float | Fraction, unit: str) -> float:
    """A length in `unit` (m, cm, mm, in or ft) as metres.

    Examples
    --------
    >>> to_metres(10, "ft")
    3.048
    """
    return float(value * METRES[unit])


def to_millimetres(value: float | Fraction, unit: str) -> float:
    """A length in `unit` (m, cm, mm, in or ft) as millimetres.

    Examples
    --------
    >>> to_millimetres(1.5, "cm"), to_millimetres(0.25, "in")
    (15.0, 6.35)
    """
    return float(value * METRES[unit] * 1000)


def round_money(amount: Decimal, places: int = 2) -> Decimal:
    """An amount rounded half up to the currency's places, as on an invoice.

    Examples
    --------
    >>> round_money(Decimal("12.345"))
    Decimal('12.35')
    """
    return amount.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def decimal_of(value: float) -> Decimal:
    """A float as the decimal number that a person would write for it.

    Examples
    --------
    >>> decimal_of(0.1) * 3
    Decimal('0.3')
    """
    return Decimal(repr(float(value)))


def share_out(total: Decimal, weights: Sequence[Decimal], places: int = 2) -> tuple[Decimal, ...]:
    """Parts of a total by weight, each rounded to `places`, which add up to the total exactly.

    Each part is rounded down first; what is left goes, one smallest coin each, to those that lost most.

    Parameters
    ----------
    total : Decimal
        0 or more, with at most `places` decimals.
    weights : sequence of Decimal
        0 or more each; if all are 0 the first takes everything.
    places : int
        Decimal places of a part.

    Examples
    --------
    >>> [str(part) for part in share_out(Decimal("10.00"), [Decimal(1)] * 3)]
    ['3.34', '3.33', '3.33']
    """
    if not weights:
        return ()
    whole = sum(weights, Decimal(0))
    if whole == 0:
        weights, whole = [Decimal(1), *([Decimal(0)] * (len(weights) - 1))], Decimal(1)
    return rounded_together([total * weight / whole for weight in weights], total, places)


def rounded_together(exact: Sequence[Decimal], total: Decimal, places: int = 2) -> tuple[Decimal, ...]:
    """Amounts that add up to a total, each rounded to `places`, so that they still do, to the smallest coin.

    Parameters
    ----------
    exact : sequence of Decimal
        Of any sign; their sum differs from the total by the rounding of their last digits only.
    total : Decimal
        With at most `places` decimals.
    places : int
        Decimal places of a part.

    Examples
    --------
    >>> [str(part) for part in rounded_together([Decimal("-0.335"), Decimal("1.335")], Decimal("1.00"))]
    ['-0.33', '1.33']
    """
    coin = Decimal(1).scaleb(-places)
    parts = [share.quantize(coin, rounding=ROUND_FLOOR) for share in exact]
    left = int((total - sum(parts, Decimal(0))) / coin)
    by_loss = sorted(range(len(parts)), key=lambda place: parts[place] - exact[place])
    for place in by_loss[:left]:
        parts[place] += coin
    return tuple(parts)
