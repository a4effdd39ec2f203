"""What every panel is put together from: headings, and the frame that its style lays out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import ipywidgets as widgets

from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.stock import make, source

STYLE = source(__file__, "look.css")


def heading(text: str) -> widgets.HTML:
    """A heading inside a panel."""
    return make(widgets.HTML, element("h3", text))


def framed(
    parts: Mapping[str, widgets.Widget | Sequence[widgets.Widget]],
    page: PageAids,
    style: str = "",
    css: str = "",
) -> widgets.Widget:
    """A panel: its parts, which the style places, with what stock widgets leave out of a page.

    Parameters
    ----------
    parts : mapping of str to Widget or sequence of Widget
        headline, map, controls, table, notes: in the order in which they are read; several stand in one box.
    page : PageAids
    style : str
        What this panel adds to the style of all.
    css : str
        A class of its own, empty for none.
    """
    boxes = {}
    for name, children in parts.items():
        box = children if isinstance(children, widgets.Widget) else make(widgets.VBox, list(children))
        box.add_class(f"mt-{name}")
        boxes[name] = box
    above = [boxes.pop("headline")] if "headline" in boxes else []  # what stays in sight is in no grid
    grid = make(widgets.Box, list(boxes.values()), css="mt-grid")
    styles = make(widgets.HTML, f"<style>{STYLE}{style}</style>")
    page.panel = make(widgets.VBox, [styles, *above, grid, page], css=f"mt-panel {css}")
    return page.panel
