"""Two costs line by line: how much of each was signed, how much there is now, what that makes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.cost.cost import Cost, CostLine
from mytakeoff.job.job import Job
from mytakeoff.variations.signed_rates import at_todays_price

NOTHING = Decimal(0)
Key = tuple[str, str, int]


@dataclass(frozen=True)
class PricedChange:
    """One line of the price, as it was signed and as it is now; None where it is not there.

    `todays`: it had no signed price, and has today's.
    """

    was: CostLine | None
    now: CostLine | None
    todays: bool = False

    @property
    def line(self) -> CostLine:
        """The line as it is now, else as it was."""
        found = self.now or self.was
        assert found is not None
        return found

    @property
    def amount(self) -> Decimal:
        """By how much it moves the price, less than 0 where less is done [currency]."""
        was, now = (line.amount if line is not None else NOTHING for line in (self.was, self.now))
        return now - was

    @property
    def moved(self) -> bool:
        """Whether there is another quantity, price or amount of it."""
        if self.was is None or self.now is None:
            return bool(self.amount)
        said = ((line.quantity, line.price, line.amount) for line in (self.was, self.now))
        return len(set(said)) > 1


def priced_changes(signed: Job, was: Cost, now: Cost) -> tuple[PricedChange, ...]:
    """Every line of two costs, those that did not move too; markups and tax last.

    Parameters
    ----------
    signed : Job
        What it had a price for has it still.
    was, now : Cost
        As signed, and as it stands at the signed rates.

    Returns
    -------
    tuple of PricedChange
        In the order of the cost; what is gone stands behind its group. Their amounts add up to the difference
        of the two totals.
    """
    return (
        *(_change(signed, *pair) for pair in _pairs(was.lines, now.lines)),
        *(PricedChange(*pair) for pair in zip(was.markups, now.markups, strict=True)),
    )


def _change(signed: Job, was: CostLine | None, now: CostLine | None) -> PricedChange:
    return PricedChange(was, now, now is not None and at_todays_price(signed, now))


def _pairs(was: Sequence[CostLine], now: Sequence[CostLine]) -> list[tuple[CostLine | None, CostLine | None]]:
    """Lines known again by group and name, and of several of one name by their turn."""
    before, after = _by_key(was), _by_key(now)
    groups = list(dict.fromkeys(line.group for line in (*now, *was)))
    keys = sorted({**after, **before}, key=lambda key: (groups.index(key[0]), key not in after))
    return [(before.get(key), after.get(key)) for key in keys]


def _by_key(lines: Sequence[CostLine]) -> dict[Key, CostLine]:
    turns: Counter[tuple[str, str]] = Counter()
    found: dict[Key, CostLine] = {}
    for line in lines:
        named = line.group, line.item
        found[*named, turns[named]] = line
        turns[named] += 1
    return found
