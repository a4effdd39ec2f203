"""Some rows of the table of jobs: which of them, in which order, and what they come to together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from mytakeoff.jobs.rows import COLUMNS, Kind, Row

NOT_PRICED = "not priced"
WHY = "why"  # beside `COLUMNS`: what of a job could not be priced, and why
SEARCHED = ("title", "folder", "place", "client", WHY)


def kind_of(column: str) -> Kind:
    """What stands in a column, `WHY` among them."""
    return "text" if column == WHY else COLUMNS[column].kind


def value_of(row: Row, column: str) -> Any:
    """What stands in a column of a row, `WHY` among them."""
    return (row["mistakes"] or row["not_priced"]) if column == WHY else row[column]


@dataclass(frozen=True)
class Wanted:
    """Which jobs are shown.

    Parameters
    ----------
    state : str
        One of a job's states, `NOT_PRICED` for those without a price; "" for all.
    text : str
        All its words stand somewhere in the names, the place, the client or the reasons, upper case or lower.
    column : str
        One of `COLUMNS`, or `WHY`, that is limited; "" for none.
    contains : str
        Of a column of text: what stands in it.
    least, most : float or None
        Of a column of numbers: its limits, which belong to it; a job without a value there is not shown
        [unit of the column].
    """

    state: str = ""
    text: str = ""
    column: str = ""
    contains: str = ""
    least: float | None = None
    most: float | None = None

    def takes(self, row: Row) -> bool:
        """Whether a job is shown."""
        states = {row["state"], *([NOT_PRICED] if row["total"] is None else [])}
        words = " ".join(str(value_of(row, name)) for name in SEARCHED).casefold()
        said = all(word in words for word in self.text.casefold().split())
        return (not self.state or self.state in states) and said and self._fits(row)

    def _fits(self, row: Row) -> bool:
        if not self.column:
            return True
        value = value_of(row, self.column)
        if kind_of(self.column) == "text":
            return self.contains.casefold().strip() in str(value).casefold()
        if self.least is None and self.most is None:
            return True
        return value is not None and not _below(value, self.least) and not _below(self.most, value)


def _below(one: Any, other: Any) -> bool:
    return one is not None and other is not None and bool(one < other)


def in_order(rows: Sequence[Row], column: str, *, falling: bool = False) -> tuple[Row, ...]:
    """Rows by a column: amounts by their currency first, what has no value last, equals by their folder.

    Examples
    --------
    >>> rows = [{"folder": name, "litres": litres} for name, litres in (("a", None), ("b", 2.0), ("c", 9.0))]
    >>> [row["folder"] for row in in_order(rows, "litres", falling=True)]
    ['c', 'b', 'a']
    """
    by_folder = sorted(rows, key=lambda row: _as_sorted(str(row["folder"])))
    there = [row for row in by_folder if value_of(row, column) not in (None, "")]
    there.sort(key=lambda row: _as_sorted(value_of(row, column)), reverse=falling)
    if kind_of(column) == "money":
        there.sort(key=lambda row: row["currency"])
    return (*there, *(row for row in by_folder if value_of(row, column) in (None, "")))


def _as_sorted(value: Any) -> Any:
    """What a value is sorted by: of a text its letters, and its digits as numbers: flat 9 before flat 10."""
    if not isinstance(value, str):
        return value
    parts = re.split(r"(\d+)", value.casefold())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts if part]


def totals(rows: Sequence[Row]) -> dict[str, Decimal]:
    """What priced jobs come to together, with tax, by currency.

    Examples
    --------
    >>> totals([{"currency": "EUR", "total": Decimal("5.10")}, {"currency": "EUR", "total": Decimal("1.20")}])
    {'EUR': Decimal('6.30')}
    """
    by_currency: dict[str, Decimal] = {}
    for row in rows:
        if row["total"] is not None:
            by_currency[row["currency"]] = by_currency.get(row["currency"], Decimal(0)) + row["total"]
    return dict(sorted(by_currency.items()))
