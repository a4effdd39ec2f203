"""The costed table as a widget: prices can be typed where they stand."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.panels.texts import BudgetTexts

_HERE = Path(__file__).parent


class CostTable(anywidget.AnyWidget):
    """Shows rows that the panel prepared as text, and reports prices typed into them.

    The browser's widgets compare each value with the one before, deeply, so all of it goes as one text.

    Attributes
    ----------
    caption : str
    head : list of [kind, text]
    rows : list of dict
        key, item, quantity, unit, price, amount, basis, priced (item of the price list), editable, starts.
    foot : list of [label, amount, strong]
    source : BudgetTexts
        Its `table` has all of these as JSON.
    refused : dict
        Items whose typed price was refused.
    edit : dict
        Last price typed: item, text.
    """

    _esm = (_HERE / "costtable.js").read_text(encoding="utf-8")
    _css = (_HERE / "costtable.css").read_text(encoding="utf-8")

    source = traitlets.Instance(Widget).tag(sync=True, **widget_serialization)
    refused: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    edit: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def __init__(self, source: BudgetTexts) -> None:
        self.caption: str = ""
        self.head: list[Any] = []
        self.rows: list[dict[str, Any]] = []
        self.foot: list[list[Any]] = []
        self.texts = source
        super().__init__(source=source)

    def show(
        self, *, caption: str, head: list[Any], rows: list[dict[str, Any]], foot: list[list[Any]]
    ) -> None:
        """Show a table."""
        self.caption, self.head, self.rows, self.foot = caption, head, rows, foot
        self.texts.table = json.dumps({"caption": caption, "head": head, "rows": rows, "foot": foot})
