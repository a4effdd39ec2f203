"""The table of jobs as a widget: text that the panel prepared, heads that sort."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from mytakeoff.panels.parts.stock import source


class JobTable(anywidget.AnyWidget):
    """Shows rows in the order that they have, and reports the column that a hand wants them sorted by.

    Attributes
    ----------
    caption : str
    head : list of dict
        key, text, number (whether it stands to the right) of each column; the first is the job's name.
    rows : list of dict
        key, title, under (lines below it), href (of its budget, "" for none), command (that opens it), busy,
        cells: text by the column's key.
    order : dict
        column, falling: what the rows are sorted by.
    """

    _esm = source(__file__, "table.js")
    _css = source(__file__, "table.css")

    caption = traitlets.Unicode("").tag(sync=True)
    head: traitlets.List[Any] = traitlets.List().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    order: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def __init__(self, sort: Callable[[str], None], **traits: Any) -> None:
        super().__init__(**traits)
        self._sort = sort
        self.on_msg(self._asked)

    def show(self, **traits: Any) -> None:
        """Set what differs in one message."""
        fresh = {name: value for name, value in traits.items() if getattr(self, name) != value}
        with self.hold_sync():
            for name, value in fresh.items():
                setattr(self, name, value)

    def _asked(self, _widget: Any, content: Any, _buffers: Any) -> None:
        column = content.get("sort") if isinstance(content, dict) else None
        if isinstance(column, str) and column in [each["key"] for each in self.head]:
            self._sort(column)
