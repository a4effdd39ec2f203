"""The drawing on the page: SVG that the browser makes, moves under the hand and asks the kernel to keep."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from mytakeoff.panels.parts.stock import source


class ElevationView(anywidget.AnyWidget):
    """A wall at true ratio with what stands on it.

    The page draws at once what a hand moves, and sends one message when it lets go; `answered` says that it
    was taken or refused.

    Attributes
    ----------
    wall : dict
        name, width, height, skirting and cornice [m]; empty: no wall is shown.
    things : list of dict
        key, kind, mark, shape, x, z, and as they have them w, h, from, to, dots, gap, name, other_face [m];
        `draft` of one that is not filled in; `words` that say the same.
    readings : list of [x, z, left out]
        Where the wall was read [m].
    marks : list of [x, z, letter, words]
        Places shown from outside [m].
    choices : list of [value, words, hint]
        What can be added.
    chosen : str
        Key of the thing whose handles and boxes are shown, "" for none.
    answered : list
        The page that asked and the number of its last message that was dealt with.
    told : str
        Why something was not taken.
    description : str
        The drawing in a sentence; without a wall, what to do.
    point : str
        What stands before decimals.
    feet_and_inches : bool
        Whether lengths are shown so, else metric.
    """

    _esm = source(__file__, "../parts/lengths.js", "shapes.js", "measures.js", "hand.js", "elevation.js")
    _css = source(__file__, "elevation.css")

    wall: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    things: traitlets.List[Any] = traitlets.List().tag(sync=True)
    readings: traitlets.List[Any] = traitlets.List().tag(sync=True)
    marks: traitlets.List[Any] = traitlets.List().tag(sync=True)
    choices: traitlets.List[Any] = traitlets.List().tag(sync=True)
    chosen = traitlets.Unicode("").tag(sync=True)
    answered: traitlets.List[Any] = traitlets.List().tag(sync=True)
    told = traitlets.Unicode("").tag(sync=True)
    description = traitlets.Unicode("").tag(sync=True)
    point = traitlets.Unicode(".").tag(sync=True)
    feet_and_inches = traitlets.Bool(False).tag(sync=True)

    def tell(self, **traits: Any) -> None:
        """Set traits in one message, so that the page never draws half of them."""
        with self.hold_sync():
            for name, value in traits.items():
                if getattr(self, name) != value:
                    setattr(self, name, value)
