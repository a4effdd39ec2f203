"""The costed table: from a cost to rows of text, the widget of them, and typed prices."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.cost.cost import TAX, Cost, CostLine
from mytakeoff.cost.sections import Section, sections
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.formats import HOUSE, Formats
from mytakeoff.io.files.typed import decimal_typed
from mytakeoff.job.edits import with_price
from mytakeoff.job.job import Job
from mytakeoff.panels.budget_panel.texts import BudgetTexts
from mytakeoff.panels.parts.stock import make, source
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.units import decimal_of

HEAD = [["item", "item"], ["number mt-quantity", "quantity"], ["unit", "unit"],
        ["number mt-price", "price"], ["number mt-amount", "amount"]]  # fmt: skip
CLIENT_HEAD = [head for head in HEAD if head[1] in ("item", "amount")]


def typed_price(text: str, item: str, formats: Formats = HOUSE) -> Decimal:
    """A price as it was typed, with either decimal mark, with its currency or without.

    Raises
    ------
    TakeoffError
        A blank, a text, or what may be read in two ways.

    Examples
    --------
    >>> typed_price(" 12,50 ", "sand")
    Decimal('12.50')
    """
    place, check = f"price of {item!r}", Check()
    price = decimal_typed(text, place, check, formats.currency, formats=formats)
    if price is None:
        free = "what one unit costs, 0 or more"
        raise TakeoffError(*(replace(each, remedy=f"{each.remedy}: {free}") for each in check.mistakes))
    return price


def table_of(result: Result, client: bool) -> str:
    """A result's table, for the client or for the estimator, as the table on the page takes it."""
    formats = result.job.formats
    shown = {
        "caption": f"What it costs, {formats.currency}",
        "head": CLIENT_HEAD if client else HEAD,
        "sections": _rooms(result) if client else _sections(result),
        "foot": foot_of(result.cost, formats, client),
    }
    return json.dumps(shown)


def _sections(result: Result) -> list[dict[str, Any]]:
    """The estimator's sections, small items gathered."""
    job = result.job
    formats, keys = job.formats, Counter[str]()
    under = decimal_of(job.small_item_amount)
    return [
        {
            "title": section.name,
            "amount": formats.money(section.amount),
            "folds": True,
            "small": small_of(section, formats, under),
            "rows": [
                *(row_of(line, formats, keys, small=False) for line in section.lines),
                *(row_of(line, formats, keys, small=True) for line in section.small),
            ],
        }
        for section in sections(result.cost, under)
    ]


def small_of(section: Section, formats: Formats, under: Decimal) -> list[str]:
    """What stands for the small items of a section, and what they come to; empty where there are none."""
    if not section.small:
        return []
    count, amount = len(section.small), formats.number(under, 0 if under == int(under) else formats.places)
    return [f"{count} small items, each under {amount}", formats.money(section.small_amount)]


def row_of(line: CostLine, formats: Formats, keys: Counter[str], small: bool) -> dict[str, Any]:
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


def _rooms(result: Result) -> list[dict[str, Any]]:
    """The client's rows, room by room."""
    formats = result.job.formats
    rows = [row for row in result.cost.client_rows if row.item != TAX]
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


def foot_of(cost: Cost, formats: Formats, client: bool) -> list[list[Any]]:
    """What the sections come to, tax, total, as text."""
    tax = [
        [TAX if client else f"{line.item}, {line.basis}", formats.money(line.amount), False]
        for line in cost.markups
        if line.group == TAX
    ]
    total = [f"total, {formats.currency}", formats.money(cost.total), True]
    return [["before tax", formats.money(cost.before_tax), False], *tax, total]


class CostTable(anywidget.AnyWidget):
    """Shows rows that the panel prepared as text, and reports prices typed into them.

    The browser's widgets compare each value with the one before, deeply, so all of it goes as one text.

    Attributes
    ----------
    source : BudgetTexts
        Its `table` is JSON: `caption`; `head`, a list of [kind, text]; `sections`, each with title, amount,
        folds, small (what stands for its small rows, and their amount; empty for none) and `rows`, each with
        key, item, quantity, unit, price, amount, basis, priced (item of the price list), editable, small;
        `foot`, a list of [label, amount, strong].
    refused : dict
        Items whose typed price was refused.
    edit : dict
        Last price typed: item, text.
    """

    _esm = source(__file__, "../parts/marks.js", "cost_table.js")
    _css = source(__file__, "cost_table.css")

    source = traitlets.Instance(Widget).tag(sync=True, **widget_serialization)
    refused: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    edit: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def __init__(self, source: BudgetTexts, **traits: Any) -> None:
        self.texts = source
        super().__init__(source=source, **traits)

    @property
    def shown(self) -> dict[str, Any]:
        """What the table shows, by the names above."""
        shown: dict[str, Any] = json.loads(self.texts.table)
        return shown

    @property
    def rows(self) -> list[dict[str, Any]]:
        """Every row of its sections."""
        return [row for section in self.shown["sections"] for row in section["rows"]]


class PriceTable:
    """The table and its typed prices over one store."""

    def __init__(self, store: Store, texts: BudgetTexts) -> None:
        self.store = store
        self.widget = make(CostTable, texts)
        self._typed: dict[str, str] = {}
        self.widget.observe(self._edited, "edit")

    def _edited(self, change: Any) -> None:
        edit = change["new"]
        self.set_price(str(edit.get("item", "")), str(edit.get("text", "")))

    def set_price(self, item: str, text: str) -> bool:
        """Change a price as if typed into the table; whether it was taken."""

        shown = [line.price for line in self.store.result.cost.lines if line.priced_as == item]

        def change(job: Job) -> Job:
            return with_price(job, item, typed_price(text, item, job.formats), *shown[:1])

        taken = self.store.apply(change)
        self._typed.pop(item, None)
        if not taken:
            self._typed[item] = text
        self.mark_refused()
        return taken

    def mark_refused(self) -> None:
        """Mark the prices that were typed and refused."""
        self.widget.refused = dict(self._typed)
