"""The costed table as it is shown, every number as text: the budget and the command show this one."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

from mytakeoff.cost.cost import TAX, Cost, CostLine
from mytakeoff.cost.sections import Section, sections
from mytakeoff.formats.formats import Formats

HEAD = ("item", "quantity", "unit", "price", "amount")
CLIENT_HEAD = ("item", "amount")


def shown_table(cost: Cost, formats: Formats, small_under: Decimal, client: bool) -> dict[str, Any]:
    """A table as text.

    Parameters
    ----------
    cost : Cost
    formats : Formats
        Of the job.
    small_under : Decimal
        Lines under this amount are gathered [currency].
    client : bool
        Finished work by room, instead of lines by section.

    Returns
    -------
    dict
        ``caption``; ``head``, the columns' names; ``sections``, each with title, amount, folds, small (what
        stands for its small rows, and their amount; empty for none) and ``rows``, each with the columns, key,
        basis, priced (item of the price list), editable, small; ``foot``, a list of [label, amount, strong].
    """
    return {
        "caption": f"What it costs, {formats.currency}",
        "head": CLIENT_HEAD if client else HEAD,
        "sections": _rooms(cost, formats) if client else _sections(cost, formats, small_under),
        "foot": _foot(cost, formats, client),
    }


def _sections(cost: Cost, formats: Formats, under: Decimal) -> list[dict[str, Any]]:
    """The estimator's sections, small items gathered."""
    keys = Counter[str]()
    return [
        {
            "title": section.name,
            "amount": formats.money(section.amount),
            "folds": True,
            "small": _small(section, formats, under),
            "rows": [
                *(_row(line, formats, keys, small=False) for line in section.lines),
                *(_row(line, formats, keys, small=True) for line in section.small),
            ],
        }
        for section in sections(cost, under)
    ]


def _small(section: Section, formats: Formats, under: Decimal) -> list[str]:
    """What stands for the small items of a section, and what they come to; empty where there are none."""
    if not section.small:
        return []
    count, amount = len(section.small), formats.number(under, 0 if under == int(under) else formats.places)
    return [f"{count} small items, each under {amount}", formats.money(section.small_amount)]


def _row(line: CostLine, formats: Formats, keys: Counter[str], small: bool) -> dict[str, Any]:
    """A line of a cost as text; its key stays while its figures move."""
    typed, name = bool(line.priced_as), f"{line.group}|{line.item}|{line.unit}"
    keys[name] += 1
    return {
        "key": f"{name}|{keys[name]}",
        "item": line.said or line.item,
        "quantity": formats.exact(line.quantity) if typed else "",
        "unit": line.unit if typed else "",
        "price": formats.exact(line.price) if typed else "",
        "amount": formats.money(line.amount),
        "basis": line.basis,
        "priced": line.priced_as,
        "editable": typed,
        "small": small,
    }


def _rooms(cost: Cost, formats: Formats) -> list[dict[str, Any]]:
    """The client's rows, room by room."""
    rows = [row for row in cost.client_rows if row.item != TAX]
    return [
        {
            "title": room,
            "amount": "",
            "folds": False,
            "small": [],
            "rows": [
                {
                    "key": f"{room}|{nth}", "item": row.item, "quantity": "", "unit": "", "price": "",
                    "amount": formats.money(row.amount), "basis": "", "priced": "", "editable": False,
                    "small": False,
                }
                for nth, row in enumerate(rows) if row.room == room
            ],
        }
        for room in dict.fromkeys(row.room for row in rows)
    ]  # fmt: skip


def _foot(cost: Cost, formats: Formats, client: bool) -> list[list[Any]]:
    """What the sections come to, tax, total, as text."""
    tax = [
        [TAX if client else f"{line.item}, {line.basis}", formats.money(line.amount), False]
        for line in cost.markups
        if line.group == TAX
    ]
    total = [f"total, {formats.currency}", formats.money(cost.total), True]
    return [["before tax", formats.money(cost.before_tax), False], *tax, total]
