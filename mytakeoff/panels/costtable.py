"""The costed table as a widget: prices can be typed where they stand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

_HERE = Path(__file__).parent


class CostTable(anywidget.AnyWidget):
    """Shows rows that the panel prepared as text, and reports prices typed into them.

    Attributes
    ----------
    head : list of [kind, text]
    rows : list of dict
        key, item, quantity, unit, price, amount, basis, priced (item of the price list), editable, starts.
    foot : list of [label, amount, strong]
    refused : dict
        Items whose typed price was refused.
    edit : dict
        Last price typed: item, text.
    """

    _esm = (_HERE / "costtable.js").read_text(encoding="utf-8")
    _css = (_HERE / "costtable.css").read_text(encoding="utf-8")

    caption = traitlets.Unicode("").tag(sync=True)
    head: traitlets.List[Any] = traitlets.List().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    foot: traitlets.List[Any] = traitlets.List().tag(sync=True)
    refused: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    edit: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def show(self, **traits: Any) -> None:
        """Set what differs in one message."""
        fresh = {name: value for name, value in traits.items() if getattr(self, name) != value}
        if fresh:
            with self.hold_sync():
                for name, value in fresh.items():
                    setattr(self, name, value)
