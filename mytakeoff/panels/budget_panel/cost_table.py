"""The costed table: from a cost to rows of text, the widget of them, and typed prices."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.cost.shown import shown_table
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.typed import decimal_typed
from mytakeoff.job.edits import with_price
from mytakeoff.job.job import Job
from mytakeoff.panels.budget_panel.texts import BudgetTexts
from mytakeoff.panels.parts.stock import make, source
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.units import decimal_of

KINDS = {"quantity": "number mt-quantity", "price": "number mt-price", "amount": "number mt-amount"}


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
    shown = shown_table(result.cost, result.job.formats, decimal_of(result.job.small_item_amount), client)
    head = [[KINDS.get(name, name), name] for name in shown["head"]]
    return json.dumps({**shown, "head": head})


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
