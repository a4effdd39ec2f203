"""What settling up comes to: lines, sums, and what each cause made of the difference."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.account.worth import CAUSES, NOTHING, LineWorth
from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.errors import Check
from mytakeoff.finished.record import Finished
from mytakeoff.result import Result
from mytakeoff.units import decimal_of, round_money

if TYPE_CHECKING:
    import pandas as pd

ACCOUNT_COLUMNS = ("item", "unit", "priced_quantity", "quantity", "priced", "spent", "difference")


@dataclass(frozen=True)
class AccountLine:
    """One line: as it was agreed, and as it was.

    Parameters
    ----------
    name : str
        Under which it is written down.
    item : str
        As the cost table says it.
    group, unit : str
    worth : LineWorth
    written : bool
        Whether anything was written down for it; else it counts as priced.
    """

    name: str
    item: str
    group: str
    unit: str
    worth: LineWorth
    written: bool

    @property
    def priced(self) -> Decimal:
        """As it was agreed [currency]."""
        return self.worth.priced

    @property
    def spent(self) -> Decimal:
        """As it was [currency]."""
        return self.worth.spent

    @property
    def difference(self) -> Decimal:
        """What it cost beyond what it was priced with [currency]."""
        return self.spent - self.priced

    @property
    def as_priced(self) -> bool:
        """Whether it counts as it was priced because nothing was written down for it."""
        return not self.written and self.difference == 0

    @property
    def source(self) -> str:
        """Where its figures are from."""
        return "written down" if self.written else "as priced" if self.as_priced else "follows"


@dataclass(frozen=True, eq=False)
class Account:
    """A settled job. All sums are before tax, which is handed on.

    Parameters
    ----------
    agreed : Result
        The job as it was priced.
    finished : Finished
        What was written down.
    lines : tuple of AccountLine
        In the order of the cost table; trips that nobody planned last.
    """

    agreed: Result
    finished: Finished
    lines: tuple[AccountLine, ...]

    @property
    def agreed_price(self) -> Decimal:
        """Work, materials and margins as agreed, before tax [currency]."""
        return self.agreed.cost.before_tax

    @property
    def variations(self) -> Decimal:
        """What was agreed on top [currency]."""
        amounts = (decimal_of(each.amount) for each in self.finished.variations)
        return round_money(sum(amounts, NOTHING), self.agreed.job.money_places)

    @property
    def income(self) -> Decimal:
        """The agreed price with its variations [currency]."""
        return self.agreed_price + self.variations

    @property
    def priced(self) -> Decimal:
        """What the lines were priced with, before margins [currency]."""
        return sum((line.priced for line in self.lines), NOTHING)

    @property
    def spent(self) -> Decimal:
        """What they cost [currency]."""
        return sum((line.spent for line in self.lines), NOTHING)

    @property
    def difference(self) -> Decimal:
        """What the job cost beyond what it was priced with [currency]."""
        return self.spent - self.priced

    @property
    def margin_priced(self) -> Decimal:
        """What was to be left for overhead, profit and contingency [currency]."""
        return self.agreed_price - self.priced

    @property
    def left(self) -> Decimal:
        """What is left for them: ``margin priced + variations − difference`` [currency]."""
        return self.income - self.spent

    @property
    def margin_share(self) -> tuple[float, float] | None:
        """What was to be left and what is, each of what was agreed then; None where that is nothing [-]."""
        if self.agreed_price <= 0 or self.income <= 0:
            return None
        return float(self.margin_priced / self.agreed_price), float(self.left / self.income)

    @cached_property
    def parts(self) -> dict[str, Decimal]:
        """What each cause made of the difference, over all orders; adds up to it to the cent [currency]."""
        return _added_up(line.worth.parts for line in self.lines)

    def parts_told(self, order: Sequence[str]) -> dict[str, Decimal]:
        """What each cause adds where they are told in one order; they add up as well [currency].

        Parameters
        ----------
        order : sequence of str
            Every cause once: thickness, density, waste, quantities, hours, return trips, prices.

        Raises
        ------
        TakeoffError
            A cause missing, doubled or not known.
        """
        check = Check("order")
        check.that(sorted(order) == sorted(CAUSES), ", ".join(order), "every cause is told once",
                   f"put these in order: {', '.join(CAUSES)}")  # fmt: skip
        check.done()
        found = _added_up(line.worth.in_order(tuple(order)) for line in self.lines)
        return {cause: found[cause] for cause in order}

    @property
    def not_written(self) -> tuple[str, ...]:
        """Lines that nothing was written down for: they count as priced."""
        return tuple(line.name for line in self.lines if line.as_priced)

    def to_frame(self) -> pd.DataFrame:
        """The table: a row a line, with what each cause made of its difference; no row is a sum.

        Returns
        -------
        pandas.DataFrame
            Columns item, unit, priced_quantity, quantity, priced, spent, difference, one for each cause,
            source ("written down", "as priced", or "follows" from what was), shown_to. Numbers are Decimal.
        """
        import pandas as pd

        rows = [
            (line.item, line.unit, line.worth.quantities[0], line.worth.really, line.priced, line.spent,
             line.difference, *(line.worth.parts.get(cause, NOTHING) for cause in CAUSES), line.source,
             ESTIMATOR)
            for line in self.lines
        ]  # fmt: skip
        return pd.DataFrame(rows, columns=[*ACCOUNT_COLUMNS, *CAUSES, "source", SHOWN_TO])


def _added_up(each: Iterable[dict[str, Decimal]]) -> dict[str, Decimal]:
    """Parts by cause over all lines; every cause is there."""
    found = dict.fromkeys(CAUSES, NOTHING)
    for parts in each:
        for cause, part in parts.items():
            found[cause] += part
    return found
