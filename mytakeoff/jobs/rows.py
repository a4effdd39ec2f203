"""What the table of jobs says of each: columns with their units, and a row of plain values."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Literal

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.units import decimal_of, round_money

if TYPE_CHECKING:
    from mytakeoff.result import Result

Kind = Literal["text", "money", "number", "count", "day"]
Row = dict[str, Any]
"""Values by column; None where there is none. Money is Decimal."""


@dataclass(frozen=True)
class Column:
    """What stands in a column, and its unit where it is a number."""

    kind: Kind
    unit: str = ""


TEXT, COUNT = Column("text"), Column("count", "-")
LITRES, MONEY = Column("number", "l"), Column("money", "currency")
COLUMNS: dict[str, Column] = {
    **dict.fromkeys(("folder", "title", "place", "client", "state"), TEXT),
    "walls": COUNT,
    "area_m2": Column("number", "m²"),
    "total": MONEY,
    **dict.fromkeys(("currency", "locale"), TEXT),
    "total_per_m2": MONEY,
    **dict.fromkeys(("litres", "measured_l", "allowance_l", "litres_10", "litres_50", "litres_90"), LITRES),
    "enough_in": Column("number", "of 100"),
    "bags": COUNT,
    "dry_kg": Column("number", "kg"),
    "work_days": Column("number", "d"),
    "site_days": Column("count", "d"),
    "visits": COUNT,
    "paint_from": Column("day"),
    "mean_mm": Column("number", "mm"),
    "max_mm": Column("number", "mm"),
    "coats": COUNT,
    **dict.fromkeys(("not_priced", "mistakes", SHOWN_TO), TEXT),
}


def row_of(folder: str, result: Result) -> Row:
    """The row of a priced job: its headline as every screen has it, and what it is known by.

    Parameters
    ----------
    folder : str
    result : Result

    Examples
    --------
    A job of 5000.00 over 40 m² has `total_per_m2` 125.00: tax, and all that is no plaster, are in it.
    """
    from mytakeoff.figures.in_words import dated  # whoever has a result has it loaded

    job, head = result.job, dated(result)
    area = decimal_of(result.area_m2)
    per_m2 = round_money(head.total / area, job.money_places) if area else None
    figures = {name: getattr(head, name) for name in COLUMNS if hasattr(head, name)}
    own = {"title": job.title, "place": job.place, "client": job.client, "state": job.state}
    known = {
        "walls": len(result.walls),
        "area_m2": result.area_m2,
        "currency": job.currency,
        "locale": job.locale,
        "total_per_m2": per_m2,
        "not_priced": " ".join(result.not_priced),
    }
    row = blank(folder) | own | figures | known
    return from_plain(as_plain(row))  # the same whether it was just worked out or kept


def blank(folder: str, mistakes: str = "") -> Row:
    """The row of a job of which nothing is known but its mistakes, told in a text."""
    texts = {name: "" for name, column in COLUMNS.items() if column.kind == "text"}
    said = {"folder": folder, "mistakes": mistakes, SHOWN_TO: ESTIMATOR}
    return dict.fromkeys(COLUMNS) | texts | said


def as_plain(row: Row) -> list[Any]:
    """A row's values as JSON has them, in the order of the columns: money and days as text."""
    return [str(value) if isinstance(value, (Decimal, date)) else value for value in map(row.get, COLUMNS)]


def from_plain(values: Any) -> Row:
    """The row that `as_plain` wrote.

    Raises
    ------
    ValueError, TypeError
        It is not what this program writes.
    """
    return {
        name: None if value is None else _READ[column.kind](value)
        for (name, column), value in zip(COLUMNS.items(), values, strict=True)
    }


_READ: dict[Kind, Callable[[Any], Any]] = {
    "text": str,
    "money": Decimal,
    "number": float,
    "count": int,
    "day": date.fromisoformat,
}
