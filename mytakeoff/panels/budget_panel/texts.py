"""What the budget panel says in several places, sent to the browser in one message.

Notes
-----
A message costs the page a millisecond or two whatever is in it. `texts.js` keeps the texts by where the
sliders stand and shows them in the frame of the key. What the kernel tells of a place that the sliders have
left never replaces a later one, unless nothing newer comes for half a second, as after a refusal.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.panels.parts.stock import source

NAMES = ("table", "headline", "coats", "notices", "excluded", "cautions", "own")


class BudgetTexts(anywidget.AnyWidget):
    """Texts of the budget panel by name, HTML but for the table, which is JSON; shown by the places for them.

    They travel together, so that the browser never paints half of a result and has one message to take up
    instead of one for each place. The browser keeps what was told for each setting of some sliders, and also
    takes what is told in advance (`foretell`): where a slider comes to such a setting, it shows those texts
    before the kernel has heard of it.

    Attributes
    ----------
    table, headline, coats, notices, excluded, cautions, own : str
    names : list of str
        Of the texts.
    sliders : list of Widget
        What the texts may be told in advance for.
    at : list of float
        Where those sliders stand in the job that the texts are of.
    rest : int
        Another number: something else has changed, and whatever was kept is void.
    """

    _esm = source(__file__, "texts.js")

    table = traitlets.Unicode("").tag(sync=True)
    headline = traitlets.Unicode("").tag(sync=True)
    coats = traitlets.Unicode("").tag(sync=True)
    notices = traitlets.Unicode("").tag(sync=True)
    excluded = traitlets.Unicode("").tag(sync=True)
    cautions = traitlets.Unicode("").tag(sync=True)
    own = traitlets.Unicode("").tag(sync=True)
    names: traitlets.List[str] = traitlets.List(list(NAMES)).tag(sync=True)
    sliders: traitlets.List[Any] = traitlets.List().tag(sync=True, **widget_serialization)
    at: traitlets.List[float] = traitlets.List().tag(sync=True)
    rest = traitlets.Int(0).tag(sync=True)

    def tell(self, texts: dict[str, str], at: Sequence[float], rest: int) -> None:
        """Show texts, in one message."""
        with self.hold_sync():
            for name, text in texts.items():
                setattr(self, name, text)
            self.at, self.rest = list(at), rest

    def foretell(
        self, texts: dict[str, str], at: Sequence[float], *, over: Sequence[float], rest: int
    ) -> None:
        """Tell in advance what there will be to show with the sliders at `at`, all else staying.

        Only the texts that differ from those told for the sliders at `over` are wanted.
        """
        self.send({"texts": texts, "at": list(at), "over": list(over), "rest": rest})


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

    _esm = source(__file__, "text_place.js")

    source = traitlets.Instance(Widget).tag(sync=True, **widget_serialization)
    name = traitlets.Unicode().tag(sync=True)

    @property
    def value(self) -> str:
        """What stands there now."""
        return str(getattr(self.source, self.name))
