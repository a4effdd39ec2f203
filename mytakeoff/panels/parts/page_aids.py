"""What stock widgets leave out of a page: names of slider handles, a way back, keys in boxes, widths.

And a button is never ahead of what was moved before it.
"""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.panels.parts.stock import source

WIDTHS_PX = (620, 980, 1180)  # narrow, middle, wide, widest: where one goes over into the next


class PageAids(anywidget.AnyWidget):
    """Unseen: tells screen readers what each slider is, reports a double click or Delete on a handle, and
    marks every panel on the page as narrow, middle, wide or widest. Before each click on a button it sends
    what was moved or typed in its panel and still waits for the kernel.

    Attributes
    ----------
    names : dict
        Label of each slider, by the name of its CSS class without ``mt-``.
    per_unit : dict
        What a slider's value is multiplied by to be said, where it is not 1: a share in per cent.
    back : dict
        The slider that was last asked to go back: name.
    widths_px : list of int
        Where the panel goes from narrow to middle, to wide, to widest.
    panel : Widget
        The panel that it is part of.
    links : Widget or None
        The row of links over the panel. In a page of its own, a link that is followed is asked about first
        (``leave_for``), and answered with ``go`` or ``asked``.
    """

    _esm = source(__file__, "flush.js", "typing.js", "leaving.js", "page_aids.js")

    names: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    per_unit: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    back: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    widths_px: traitlets.List[int] = traitlets.List(list(WIDTHS_PX)).tag(sync=True)
    links: Widget | None = None
    panel = traitlets.Instance(Widget, allow_none=True).tag(sync=True, **widget_serialization)
