"""What every panel is put together from: headings, the row of links, the frame that its style lays out."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.html import Html, element
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.panels.parts.watching import in_short
from mytakeoff.resources import JOBS_SHOWN, JOBS_WORKBOOK, WORKBOOK_PANELS, WORKBOOK_WORDS

STYLE = source(__file__, "look.css")


def heading(text: str) -> widgets.HTML:
    """A heading inside a panel."""
    return make(widgets.HTML, element("h3", text))


class Left(Protocol):
    """A panel that a link leads away from."""

    page: PageAids

    @property
    def unsaved(self) -> tuple[str, ...]:
        """What was changed and is not saved."""

    def save(self) -> None:
        """Save it."""

    def failed(self, error: Exception) -> None:
        """Say what went wrong."""


class Links:
    """The row of links to the workbooks of the job: `widget`.

    JupyterLab opens them side by side. A page of its own ends with what stands in it when a link is followed,
    so it asks first, and what is not saved is told before.

    Parameters
    ----------
    panel : Left
    folder : str
        Of the job, empty for none: then there is no row.
    """

    def __init__(self, panel: Left, folder: str) -> None:
        self._panel, self._name = panel, ""
        self.buttons: dict[str, widgets.Button] = {}
        self._said = make(widgets.HTML)
        self._question = make(widgets.VBox, css="mt-leave")
        row = links_between(type(panel).__module__, folder)
        self.widget = make(widgets.VBox, [make(widgets.HTML, row), self._question], css="mt-links")
        set_shown(self._question, False)
        if row:
            panel.page.links = self.widget
            panel.page.on_msg(self._on_page)

    def _on_page(self, _page: Any, said: dict[str, Any], _buffers: Any) -> None:
        name = said.get("leave_for")
        if isinstance(name, str) and name in WORKBOOK_WORDS:
            safely(lambda: self.leave(name), self._panel.failed)()

    def leave(self, name: str) -> None:
        """Let the page go on to a workbook, or ask what becomes of what is not saved."""
        self._name = name
        if not (mine := self._panel.unsaved):
            self._go()
            return
        if not self.buttons:
            doing = {
                "save-and-go": ("Save, then go on", self._save_and_go),
                "go": ("Go on without saving", self._go),
                "stay": ("Stay here", self._stay),
            }
            self.buttons = make_buttons(doing, self._panel.failed)
            self._question.children = [self._said, button_row(self.buttons)]
        lost = f"Not saved yet: {in_short(mine)}. This is lost when you leave the page."
        self._said.value = element("div", lost, css="mt-news", role="alert")
        set_shown(self._question, True)
        self._panel.page.send({"asked": True})

    def _save_and_go(self) -> None:
        self._panel.save()
        (self._stay if self._panel.unsaved else self._go)()  # the panel has said why

    def _go(self) -> None:
        self._panel.page.send({"go": self._name})

    def _stay(self) -> None:
        set_shown(self._question, False)
        self._panel.page.send({"stay": self._name})


def links_between(panel: str, folder: str) -> Html:
    """Links to those workbooks that lie in a job folder, in the order of the work; before them to all jobs.

    Parameters
    ----------
    panel : str
        Module of the panel that they stand on: its own is marked.
    folder : str
        The job's, empty for none.
    """
    there = [name for name in WORKBOOK_PANELS if folder and Path(folder, f"{name}.ipynb").is_file()]
    up = {JOBS_WORKBOOK: "../"} if folder and _is_of_jobs_shown(folder) else {}
    links = []
    for name in (*up, *there):
        here = {"aria_current": "page"} if WORKBOOK_PANELS[name] == panel else {}
        title = WORKBOOK_WORDS[name][0]
        link = element("a", title, href=f"{up.get(name, '')}{name}.ipynb", data_workbook=name, **here)
        links.append(element("li", link))
    return element("nav", element("ul", *links), aria_label="Workbooks of this job") if links else Html()


def _is_of_jobs_shown(folder: str) -> bool:
    """Whether the server shows the folder that this job's folder lies in."""
    shown = os.environ.get(JOBS_SHOWN, "")
    return bool(shown) and Path(folder).absolute().parent == Path(shown)


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
    links = [] if page.links is None else [page.links]
    grid = make(widgets.Box, list(boxes.values()), css="mt-grid")
    styles = make(widgets.HTML, f"<style>{STYLE}{style}</style>")
    page.panel = make(widgets.VBox, [styles, *links, *above, grid, page], css=f"mt-panel {css}")
    return page.panel
