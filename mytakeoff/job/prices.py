"""Prices as the user keeps them: one row an item, money as Decimal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Annotated

from mytakeoff.bounds import MOST_PRICE, Within, check_numbers
from mytakeoff.errors import Check, Mistake, TakeoffError

INVENTED = "invented"  # how the remark begins of a price that nobody asked
BY_UNIT = "write what one unit costs before tax, 0 if it is free"
UNIT_SPELLINGS = {"m2": "m²", "sqm": "m²", "m^2": "m²", "bags": "bag", "hour": "h", "hours": "h"}


@dataclass(frozen=True)
class Price:
    """What one unit of an item costs before tax.

    Parameters
    ----------
    item : str
        Its name; a mix is priced under the mix's own name, by the bag.
    unit : str
        bag, h, m, m², kg, l, day, piece, lump sum …
    price : Decimal
        0 or more, in the job's currency.
    note : str
        The user's own remark.
    """

    item: str
    unit: str
    price: Annotated[Decimal, Within(0.0, MOST_PRICE, usual=BY_UNIT)]
    note: str = ""

    def __post_init__(self) -> None:
        check = Check(f"price of {self.item!r}")
        check_numbers(self, check)
        check.done()

    @property
    def invented(self) -> bool:
        """Whether it came with the package: its remark says so until the user prices the item."""
        return self.note.startswith(INVENTED)

    def at(self, price: Decimal) -> Price:
        """The same at another price [currency]."""
        return replace(self, price=price, note="" if self.invented and price != self.price else self.note)


@dataclass(frozen=True)
class PriceList:
    """All prices of a job, in the order of the user's file; each item once."""

    rows: tuple[Price, ...] = ()

    def __post_init__(self) -> None:
        names = [row.item for row in self.rows]
        check = Check("price list")
        for name in sorted({name for name in names if names.count(name) > 1}):
            check.that(False, f"{name!r} stands twice", "each item has one price", "take one row out")
        check.done()

    def __contains__(self, item: str) -> bool:
        return any(row.item == item for row in self.rows)

    def of(self, item: str) -> Price:
        """The row of an item.

        Raises
        ------
        TakeoffError
            No such item in the list.
        """
        for row in self.rows:
            if row.item == item:
                return row
        raise TakeoffError(
            Mistake(f"{item!r} has no price", "each item needed is priced", "add a row for it", "price list")
        )

    def with_price(self, item: str, price: Decimal) -> PriceList:
        """The same list with another price for one item: from then on the user's own, if it was invented."""
        self.of(item)
        rows = tuple(row.at(price) if row.item == item else row for row in self.rows)
        return replace(self, rows=rows)


def same_unit(one: str, other: str) -> bool:
    """Whether two spellings mean one unit.

    Examples
    --------
    >>> same_unit("m2", "m²"), same_unit("kg", "bag")
    (True, False)
    """
    first, second = (UNIT_SPELLINGS.get(unit.strip().lower(), unit.strip().lower()) for unit in (one, other))
    return first == second
