"""Prices on the takeoff: lines, what is added to them, and the two views of the same total.

Money is Decimal and is rounded once, half up, by line; sums are sums of what is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from mytakeoff.errors import Check
from mytakeoff.formats import HOUSE, Formats
from mytakeoff.job.choices import Margins
from mytakeoff.job.job import Job
from mytakeoff.job.prices import PriceList, same_unit
from mytakeoff.measure.line import Quantity, without_zeros
from mytakeoff.takeoff.purchases import as_bought
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import decimal_of, round_money, share_out

if TYPE_CHECKING:
    import pandas as pd

MARGIN = "margin"
TAX = "tax"
LUMP_SUM = "lump sum"
ONE = Decimal(1)
COLUMNS = (
    "item", "quantity", "unit", "price", "amount", "running_total", "currency", "group", "computed_from"
)  # fmt: skip
CLIENT_COLUMNS = ("item", "quantity", "unit", "amount")


@dataclass(frozen=True)
class CostLine:
    """One priced line: ``amount = quantity × price``, rounded half up to the currency's places.

    `item` is the line's name on the screen, `priced_as` the item of the price list, "" for what is added.
    """

    item: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount: Decimal
    basis: str
    group: str
    shown_to_client: bool = True
    priced_as: str = ""


@dataclass(frozen=True)
class Cost:
    """The priced job.

    Parameters
    ----------
    lines : tuple of CostLine
        Work and materials.
    markups : tuple of CostLine
        Overhead, profit, contingency and tax, in this order.
    currency : str
    money_places : int
    excluded : tuple of str
        Named as not in the price.
    """

    lines: tuple[CostLine, ...]
    markups: tuple[CostLine, ...]
    currency: str
    money_places: int = 2
    excluded: tuple[str, ...] = ()

    @property
    def subtotal(self) -> Decimal:
        """Sum of the lines, before anything is added."""
        return _sum(self.lines)

    @property
    def before_tax(self) -> Decimal:
        """Lines, overhead, profit and contingency."""
        return self.subtotal + sum((m.amount for m in self.markups if m.group != TAX), Decimal(0))

    @property
    def total(self) -> Decimal:
        """All of it, tax included."""
        return self.subtotal + _sum(self.markups)

    @property
    def client_lines(self) -> tuple[CostLine, ...]:
        """What a client sees: no rates, and what is added folded into each line; the same total."""
        shown = _client_lines(self.lines)
        amounts = share_out(self.before_tax, [line.amount for line in shown], self.money_places)
        folded = (_client_line(line, amount) for line, amount in zip(shown, amounts, strict=True))
        return (*folded, *(markup for markup in self.markups if markup.group == TAX))

    def to_frame(self) -> pd.DataFrame:
        """The estimator's table; the amounts add up to `total`, no row is itself a sum.

        Returns
        -------
        pandas.DataFrame
            Columns item, quantity, unit, price, amount, running_total, currency, group, computed_from;
            numbers are Decimal.
        """
        import pandas as pd

        rows, running = [], Decimal(0)
        for line in (*self.lines, *self.markups):
            running += line.amount
            rows.append(
                (line.item, line.quantity, line.unit, line.price, line.amount, running, self.currency,
                 line.group, line.basis)
            )  # fmt: skip
        return pd.DataFrame(rows, columns=list(COLUMNS))

    def client_frame(self) -> pd.DataFrame:
        """The client's table: item, quantity, unit, amount; the amounts add up to the same `total`."""
        import pandas as pd

        rows = [(line.item, line.quantity, line.unit, line.amount) for line in self.client_lines]
        return pd.DataFrame(rows, columns=list(CLIENT_COLUMNS))


def _sum(lines: Iterable[CostLine]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def _client_line(line: CostLine, amount: Decimal) -> CostLine:
    """A line as the client sees it; its price is its amount over its quantity, which nobody is shown."""
    return CostLine(line.item, line.quantity, line.unit, Decimal(0), amount, "", line.group)


def _client_lines(lines: Sequence[CostLine]) -> list[CostLine]:
    """Lines for a client; those not shown to one become a lump sum for their group."""
    shown = [line for line in lines if line.shown_to_client and line.quantity > 0]
    for group in dict.fromkeys(line.group for line in lines if not line.shown_to_client):
        amount = _sum(line for line in lines if line.group == group and not line.shown_to_client)
        shown.append(CostLine(group, ONE, LUMP_SUM, amount, amount, "", group))
    return shown


def price_lines(
    takeoff: Takeoff,
    prices: PriceList,
    margins: Margins | None = None,
    currency: str = "EUR",
    money_places: int = 2,
    formats: Formats = HOUSE,
) -> Cost:
    """Price a takeoff.

    Parameters
    ----------
    takeoff : Takeoff
    prices : PriceList
    margins : Margins or None
        None: the usual ones.
    currency : str
    money_places : int
        Decimal places of the currency [-].
    formats : Formats

    Returns
    -------
    Cost

    Raises
    ------
    TakeoffError
        Every item without a price or with a price by another unit, every share below zero, told together.
    """
    margins = margins or Margins()
    _check(takeoff, prices, margins)
    lines = tuple(_priced(quantity, prices, money_places) for quantity in takeoff.quantities)
    markups = _markups(_sum(lines), margins, formats.of(currency, money_places))
    return Cost(lines, markups, currency, money_places, takeoff.excluded)


def job_cost(job: Job, walls: Sequence[WallResult]) -> Cost:
    """Takeoff and prices in one go; see `takeoff_lines` and `price_lines` for what they raise."""
    takeoff = as_bought(job, takeoff_lines(job, walls))
    return price_lines(takeoff, job.prices, job.margins, job.currency, job.money_places, job.formats)


def _check(takeoff: Takeoff, prices: PriceList, margins: Margins) -> None:
    check = Check("prices.csv")
    for item, unit in dict.fromkeys((q.item, q.unit) for q in takeoff.quantities if q.price is None):
        if item not in prices:
            by = f", priced by the {unit}" if unit else ""
            check.that(False, f"{item!r} has no price", "each item that the job needs is priced",
                       f"add a row for it{by}")  # fmt: skip
            continue
        check.that(
            not unit or same_unit(unit, prices.of(item).unit),
            f"{item!r} is priced by the {prices.of(item).unit}",
            f"its quantity is worked out by the {unit}",
            f"write what one {unit} costs",
        )
    for name in ("overhead_share", "profit_share", "contingency_share", "tax_share"):
        share = getattr(margins, name)
        rule = "a share is 0 or more and under 10"
        check.that(0 <= share < 10, f"{name} {share:g}", rule, "write 0.1 for 10 %", "margins")
    check.done()


def _priced(quantity: Quantity, prices: PriceList, money_places: int) -> CostLine:
    row = prices.of(quantity.item) if quantity.price is None else None
    price = row.price if row is not None else quantity.price or Decimal(0)
    amount = round_money(quantity.quantity * price, money_places)
    return CostLine(
        quantity.label,
        quantity.quantity,
        quantity.unit or (row.unit if row is not None else ""),
        price,
        amount,
        quantity.basis,
        quantity.group,
        quantity.shown_to_client,
        quantity.item,
    )


def _markups(subtotal: Decimal, margins: Margins, formats: Formats) -> tuple[CostLine, ...]:
    """Each as a share of all that stands above it."""
    shares = (
        ("overhead", margins.overhead_share, MARGIN, False),
        ("profit", margins.profit_share, MARGIN, False),
        ("contingency", margins.contingency_share, MARGIN, False),
        ("tax", margins.tax_share, TAX, True),
    )
    above, lines = subtotal, []
    for name, share, group, shown in shares:
        amount = round_money(above * decimal_of(share), formats.places)
        basis = f"{formats.exact(without_zeros(decimal_of(share) * 100))} % of {formats.money(above)}"
        lines.append(CostLine(name, ONE, LUMP_SUM, amount, amount, basis, group, shown))
        above += amount
    return tuple(lines)
