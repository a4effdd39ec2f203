"""The costed table: from a cost to rows of text, the widget of them, and typed prices."""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.cost.cost import Cost, CostLine
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats import Formats
from mytakeoff.job.edits import with_price
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.stock import make, source
from mytakeoff.panels.parts.texts import BudgetTexts
from mytakeoff.result import Result
from mytakeoff.store import Store

HEAD = [["item", "item"], ["number mt-quantity", "quantity"], ["unit", "unit"],
        ["number mt-price", "price"], ["number mt-amount", "amount"]]  # fmt: skip
CLIENT_HEAD = [head for head in HEAD if head[1] != "price"]


def typed_price(text: str, item: str) -> Decimal:
    """A price as it was typed, with a point or a comma for decimals.

    Raises
    ------
    TakeoffError
        A blank, a text, or several commas.

    Examples
    --------
    >>> typed_price(" 12,50 ", "sand")
    Decimal('12.50')
    """
    try:
        return Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        raise TakeoffError(
            Mistake(
                f"{text.strip() or 'a blank'!r} as a price",
                "a price is a number of 0 or more",
                "write what one unit costs, 0 if it is free",
                f"price of {item!r}",
            )
        ) from None


def rows_of(lines: Iterable[CostLine], formats: Formats, editable: bool) -> list[dict[str, Any]]:
    """Lines of a cost as text for the table."""
    rows: list[dict[str, Any]] = []
    group = None
    for line in lines:
        if line.quantity == 0 and line.amount == 0 and not editable:
            continue
        typed = editable and bool(line.priced_as)
        rows.append(
            {
                "key": f"{line.group}|{line.item}|{line.unit}",
                "item": line.item,
                "quantity": formats.exact(line.quantity),
                "unit": line.unit,
                "price": f"{line.price:f}" if typed else formats.exact(line.price),
                "amount": formats.money(line.amount),
                "basis": line.basis,
                "priced": line.priced_as,
                "editable": typed,
                "starts": line.group != group and group is not None,
            }
        )
        group = line.group
    return rows


def foot_of(cost: Cost, formats: Formats, client: bool) -> list[list[Any]]:
    """Subtotal, what is added to it, total, as text."""
    total = [f"total, {formats.currency}", formats.money(cost.total), True]
    tax = [
        [line.item + (f", {line.basis}" if not client else ""), formats.money(line.amount), False]
        for line in cost.markups
        if not client or line.group == "tax"
    ]
    before = cost.subtotal if not client else cost.before_tax
    return [["subtotal" if not client else "before tax", formats.money(before), False], *tax, total]


def table_of(result: Result, client: bool) -> str:
    """A result's table, for the client or for the estimator, as the table on the page takes it."""
    cost, formats = result.cost, result.job.formats
    lines = [line for line in cost.client_lines if line.group != "tax"] if client else cost.lines
    shown = {
        "caption": f"What it costs, {formats.currency}",
        "head": CLIENT_HEAD if client else HEAD,
        "rows": rows_of(lines, formats, editable=not client),
        "foot": foot_of(cost, formats, client),
    }
    return json.dumps(shown)


class CostTable(anywidget.AnyWidget):
    """Shows rows that the panel prepared as text, and reports prices typed into them.

    The browser's widgets compare each value with the one before, deeply, so all of it goes as one text.

    Attributes
    ----------
    source : BudgetTexts
        Its `table` is JSON: `caption`; `head`, a list of [kind, text]; `rows`, each with key, item, quantity,
        unit, price, amount, basis, priced (item of the price list), editable, starts; `foot`, a list of
        [label, amount, strong].
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
            return with_price(job, item, typed_price(text, item), *shown[:1])

        taken = self.store.apply(change)
        self._typed.pop(item, None)
        if not taken:
            self._typed[item] = text
        self.mark_refused()
        return taken

    def mark_refused(self) -> None:
        """Mark the prices that were typed and refused."""
        self.widget.refused = dict(self._typed)
