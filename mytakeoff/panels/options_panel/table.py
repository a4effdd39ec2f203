"""The table of options as a widget: text goes ahead, pictures follow, and only what changed is sent."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from mytakeoff.panels.parts.stock import source


class OptionTable(anywidget.AnyWidget):
    """Shows rows that the panel prepared as text, and reports the option that a hand chose.

    Pictures are no part of the synchronised state: the page asks for them when it shows the table, and gets
    afterwards only those that changed.

    Attributes
    ----------
    caption : str
    head : list of dict
        key, text, note of each column; the first is that of the row's name.
    rows : list of dict
        key, letter, name, sign, verdict, mark, best, refused, carry (words on the button, none if empty),
        busy, cells: lines of text by the column's key.
    chosen : dict
        Option that was chosen last: key.
    """

    _esm = source(__file__, "../parts/marks.js", "table.js")
    _css = source(__file__, "table.css")

    caption = traitlets.Unicode("").tag(sync=True)
    head: traitlets.List[Any] = traitlets.List().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    chosen: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        self.pictures: dict[str, str] = {}
        super().__init__(**traits)
        self.on_msg(self._asked)

    def show(self, **traits: Any) -> None:
        """Set what differs in one message."""
        fresh = {name: value for name, value in traits.items() if getattr(self, name) != value}
        if fresh:
            with self.hold_sync():
                for name, value in fresh.items():
                    setattr(self, name, value)

    def draw(self, key: str, column: str, svg: str) -> bool:
        """Put a picture into the column of an option's row, or take it out; whether it differs."""
        place = f"{key}|{column}"
        if self.pictures.get(place, "") == svg:
            return False
        self.pictures[place] = svg
        self.send({"pictures": {place: svg}})
        return True

    def _asked(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if isinstance(content, dict) and content.get("ask") == "pictures":
            self.send({"pictures": self.pictures})
