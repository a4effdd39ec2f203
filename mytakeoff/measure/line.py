"""One line of the takeoff: how much of which item, and what it was computed from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.job.catalogue import UNITS
from mytakeoff.units import decimal_of, round_money

PREPARATION = "preparation"
MATERIALS = "materials"
LABOUR = "labour"
SUNDRIES = "sundries"


@dataclass(frozen=True)
class Quantity:
    """An unpriced line.

    Parameters
    ----------
    item : str
        As it stands in the price list.
    label : str
        As it stands on the screen.
    quantity : Decimal
        As it is shown and priced, 0 or more.
    unit : str
        The unit it is priced by; "" to take the price list's own.
    basis : str
        What it was computed from, in words and numbers.
    group : str
    said : str
        How the screen says it where that is not the label: "float backing, 32 m²".
    price : Decimal or None
        Of one of its unit, where that is not the price list's [currency].
    """

    item: str
    label: str
    quantity: Decimal
    unit: str
    basis: str
    group: str
    said: str = ""
    price: Decimal | None = None


def quantity(
    item: str,
    amount: float | Decimal,
    basis: str,
    group: str,
    label: str = "",
    *,
    unit: str | None = None,
    said: str = "",
    keep_zero: bool = False,
) -> Quantity | None:
    """A line of so much of an item, to two decimals [unit]; None where there is none.

    Examples
    --------
    >>> quantity("angle bead", 3.456, "two corners", MATERIALS).quantity
    Decimal('3.46')
    """
    exact = amount if isinstance(amount, Decimal) else decimal_of(amount)
    shown_amount = without_zeros(round_money(exact, 2))
    if shown_amount == 0 and not keep_zero:
        return None
    own_unit = UNITS.get(item, "bag") if unit is None else unit
    return Quantity(item, label or item, shown_amount, own_unit, basis, group, said)


def without_zeros(number: Decimal) -> Decimal:
    """The same number without trailing zeros.

    Examples
    --------
    >>> without_zeros(Decimal("8.00")), without_zeros(Decimal("120"))
    (Decimal('8'), Decimal('120'))
    """
    return number.quantize(Decimal(1)) if number == number.to_integral_value() else number.normalize()


def present(*lines: Quantity | None) -> tuple[Quantity, ...]:
    """The lines that there are."""
    return tuple(line for line in lines if line is not None)
