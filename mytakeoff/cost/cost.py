"""Prices on the takeoff: lines, what is added to them, and the two views of the same total.

Money is Decimal and is rounded once, half up, by line; sums are sums of what is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.audience import CLIENT, ESTIMATOR, SHOWN_TO, Audience, check_audience
from mytakeoff.cost.client import WHOLE_JOB, ClientRow, FinishedWork
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.choices import Margins
from mytakeoff.job.job import Job
from mytakeoff.job.prices import PriceList, same_unit
from mytakeoff.measure.line import Quantity, without_zeros
from mytakeoff.takeoff.purchases import LUMP_SUM, as_bought
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.units import decimal_of, round_money

if TYPE_CHECKING:
    import pandas as pd

MARGIN = "margin"
TAX = "tax"
ONE = Decimal(1)
COLUMNS = (
    "item", "quantity", "unit", "price", "amount", "running_total", "currency", "group", "computed_from",
    SHOWN_TO,
)  # fmt: skip
CLIENT_COLUMNS = ("item", "room", "amount", "currency", SHOWN_TO)


@dataclass(frozen=True)
class CostLine:
    """One priced line: ``amount = quantity × price``, rounded half up to the currency's places.

    `item` is the line's name, `priced_as` the item of the price list, "" for what is added; `said` is how the
    screen says it.
    """

    item: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount: Decimal
    basis: str
    group: str
    priced_as: str = ""
    said: str = ""


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
    work : FinishedWork or None
        What the client's table is shared out by.
    """

    lines: tuple[CostLine, ...]
    markups: tuple[CostLine, ...]
    currency: str
    money_places: int = 2
    excluded: tuple[str, ...] = ()
    work: FinishedWork | None = field(default=None, compare=False, repr=False)

    @property
    def subtotal(self) -> Decimal:
        """Sum of the lines, before anything is added."""
        return _sum(self.lines)

    @property
    def tax(self) -> Decimal:
        """What is added as tax."""
        return _sum(line for line in self.markups if line.group == TAX)

    @property
    def before_tax(self) -> Decimal:
        """Lines, overhead, profit and contingency."""
        return self.total - self.tax

    @property
    def total(self) -> Decimal:
        """All of it, tax included."""
        return self.subtotal + _sum(self.markups)

    @cached_property
    def client_rows(self) -> tuple[ClientRow, ...]:
        """What a client sees, worked out when it is first asked for: finished work, then tax; the same total.

        Without `work` all of it is one row.
        """
        if self.work is None:
            rows: tuple[ClientRow, ...] = (ClientRow(WHOLE_JOB, "", self.before_tax),)
        else:
            rows = self.work.rows(self.subtotal, self.before_tax)
        return (*rows, ClientRow(TAX, "", self.tax))

    def to_frame(self, audience: Audience = ESTIMATOR) -> pd.DataFrame:
        """The table, for the screen and the file alike; the amounts add up to `total`, no row is a sum.

        Parameters
        ----------
        audience : "estimator" or "client"

        Returns
        -------
        pandas.DataFrame
            The estimator's columns: item, quantity, unit, price, amount, running_total, currency, group,
            computed_from, shown_to. The client's: item (a finished piece of work), room, amount, currency,
            shown_to. Numbers are Decimal.

        Raises
        ------
        TakeoffError
            Another audience.
        """
        import pandas as pd

        check_audience(audience)
        if audience == CLIENT:
            told = [(row.item, row.room, row.amount, self.currency, CLIENT) for row in self.client_rows]
            return pd.DataFrame(told, columns=list(CLIENT_COLUMNS))
        rows, running = [], Decimal(0)
        for line in (*self.lines, *self.markups):
            running += line.amount
            rows.append(
                (line.item, line.quantity, line.unit, line.price, line.amount, running, self.currency,
                 line.group, line.basis, ESTIMATOR)
            )  # fmt: skip
        return pd.DataFrame(rows, columns=list(COLUMNS))


def _sum(lines: Iterable[CostLine]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def price_lines(
    takeoff: Takeoff,
    prices: PriceList,
    margins: Margins | None = None,
    currency: str = "EUR",
    money_places: int = 2,
    formats: Formats = HOUSE,
    work: FinishedWork | None = None,
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
    work : FinishedWork or None
        Job and walls that the client's table is shared out by; None: it has one row for all.

    Returns
    -------
    Cost

    Raises
    ------
    TakeoffError
        Every item without a price or with a price by another unit, every share below zero, told together.
    """
    margins = margins or Margins()
    _check(takeoff, prices)
    lines = tuple(_priced(quantity, prices, money_places) for quantity in takeoff.quantities)
    markups = _markups(_sum(lines), margins, formats.of(currency, money_places))
    return Cost(lines, markups, currency, money_places, takeoff.excluded, work)


def job_cost(job: Job, walls: Sequence[WallResult]) -> Cost:
    """Takeoff and prices in one go; see `takeoff_lines` and `price_lines` for what they raise."""
    return price_job(job, walls, as_bought(job, takeoff_lines(job, walls)))


def price_job(job: Job, walls: Sequence[WallResult], takeoff: Takeoff) -> Cost:
    """A job's takeoff, priced as the job has it; see `price_lines` for what it raises."""
    work = FinishedWork(job, tuple(walls))
    return price_lines(takeoff, job.prices, job.margins, job.currency, job.money_places, job.formats, work)


def _check(takeoff: Takeoff, prices: PriceList) -> None:
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
        quantity.item,
        quantity.said or quantity.label,
    )


def _markups(subtotal: Decimal, margins: Margins, formats: Formats) -> tuple[CostLine, ...]:
    """Each as a share of all that stands above it."""
    shares = (
        ("overhead", margins.overhead_share, MARGIN),
        ("profit", margins.profit_share, MARGIN),
        ("contingency", margins.contingency_share, MARGIN),
        (TAX, margins.tax_share, TAX),
    )
    above, lines = subtotal, []
    for name, share, group in shares:
        amount = round_money(above * decimal_of(share), formats.places)
        basis = f"{formats.exact(without_zeros(decimal_of(share) * 100))} % of {formats.money(above)}"
        lines.append(CostLine(name, ONE, LUMP_SUM, amount, amount, basis, group, said=name))
        above += amount
    return tuple(lines)
