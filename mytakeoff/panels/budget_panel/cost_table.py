"""The costed table as a widget: prices can be typed where they stand."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.panels.parts.texts import BudgetTexts

_HERE = Path(__file__).parent


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

    _esm = (_HERE / "cost_table.js").read_text(encoding="utf-8")
    _css = (_HERE / "cost_table.css").read_text(encoding="utf-8")

    source = traitlets.Instance(Widget).tag(sync=True, **widget_serialization)
    refused: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    edit: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def __init__(self, source: BudgetTexts) -> None:
        self.texts = source
        super().__init__(source=source)

    @property
    def shown(self) -> dict[str, Any]:
        """What the table shows, by the names above."""
        shown: dict[str, Any] = json.loads(self.texts.table)
        return shown
