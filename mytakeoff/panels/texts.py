"""What the budget panel says in several places, sent to the browser in one message."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization


class BudgetTexts(anywidget.AnyWidget):
    """Texts of the budget panel by name, HTML but for the table, which is JSON; shown by the places for them.

    Set several within `hold_sync()`: they travel together, so that the browser never paints half of a result
    and has one message to take up instead of one for each place.
    """

    _esm = "export default {}"

    table = traitlets.Unicode("").tag(sync=True)
    headline = traitlets.Unicode("").tag(sync=True)
    coats = traitlets.Unicode("").tag(sync=True)
    notices = traitlets.Unicode("").tag(sync=True)
    excluded = traitlets.Unicode("").tag(sync=True)
    cautions = traitlets.Unicode("").tag(sync=True)
    own = traitlets.Unicode("").tag(sync=True)


class TextPlace(anywidget.AnyWidget):
    """A place on the page that shows one text of a source.

    Attributes
    ----------
    source : BudgetTexts
    name : str
        Of the text.
    value : str
        The text itself, HTML.
    """

    _esm = (Path(__file__).parent / "textplace.js").read_text(encoding="utf-8")

    source = traitlets.Instance(Widget).tag(sync=True, **widget_serialization)
    name = traitlets.Unicode().tag(sync=True)

    @property
    def value(self) -> str:
        """What stands there now."""
        return str(getattr(self.source, self.name))

    @value.setter
    def value(self, text: str) -> None:
        """Put a text there."""
        setattr(self.source, self.name, text)
