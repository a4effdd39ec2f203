"""How the options panel is laid out: what the client sees, and what is folded away for the estimator."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import ipywidgets as widgets

from mytakeoff.panels.options_panel.controls import GROUPS
from mytakeoff.panels.parts.buttons import button_row
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.look import OPTION_STYLE

if TYPE_CHECKING:
    from mytakeoff.panels.options_panel.panel import OptionsPanel

TITLES = {
    "curve": "What more money buys: price against the gap that is left",
    "true": "The gap beside it, at true ratio",
    "figures": "All figures",
    "drivers": "What drives the price",
}


class Folds:
    """What is worked out or shown only when it is asked for: curve, true tapers, figures, bars."""

    def __init__(self) -> None:
        self.curve, self.true, self.figures, self.notices, self.drivers = (widgets.HTML() for _ in range(5))
        self.progress = widgets.IntProgress(max=1, description="Working the curve out")
        self.progress.style.description_width = "initial"
        self.parts: dict[str, widgets.Accordion] = {}
        self.bar = widgets.HBox([self.progress])

    def fold(self, contents: dict[str, widgets.Widget]) -> None:
        """Put each content into a fold of its own."""
        for name, content in contents.items():
            part = widgets.Accordion([content], titles=(TITLES[name],), selected_index=None)
            part.add_class(f"mt-fold-{name}")
            self.parts[name] = part
        self.waiting(False)

    def is_open(self, name: str) -> bool:
        """Whether a fold is open."""
        return self.parts[name].selected_index is not None

    def open(self, name: str) -> None:
        """Open a fold as a hand would."""
        self.parts[name].selected_index = 0

    def on_open(self, action: Callable[..., None]) -> None:
        """Do something when a fold is opened or shut."""
        for part in self.parts.values():
            part.observe(action, "selected_index")

    def waiting(self, working: bool) -> None:
        """Show the bar while the curve is worked out."""
        self.bar.layout.display = None if working else "none"


def layout(panel: OptionsPanel) -> widgets.Widget:
    """All parts of the panel, in the order in which they are read; sets what only the estimator sees."""
    folds = panel.folds
    folds.bar.children = [folds.progress, panel.buttons["stop"]]
    folds.fold(
        {
            "curve": widgets.VBox([folds.bar, folds.curve]),
            "true": folds.true,
            "figures": widgets.VBox([folds.figures, folds.notices]),
            "drivers": widgets.VBox([panel.driven, folds.drivers]),
        }
    )
    asked = widgets.HBox([panel.view, panel.beside, panel.start])
    asked.add_class("mt-asked")
    side = _side(panel)
    panel.estimators = (side, folds.parts["figures"], folds.parts["drivers"])
    head = widgets.VBox([panel.title, panel.status])
    head.add_class("mt-head")
    top = widgets.HBox([head, asked])
    top.add_class("mt-top")
    parts = {
        "controls": side,
        "map": [top, panel.problem, panel.table, panel.key, *folds.parts.values()],
    }
    return framed(parts, panel.page, OPTION_STYLE, "mt-options-panel")


def _side(panel: OptionsPanel) -> widgets.VBox:
    """The estimator's controls under plain headings, then what is written and saved."""
    parts: list[widgets.Widget] = []
    for title, names in GROUPS.items():
        parts.append(heading(title))
        for name in names:
            parts.append(panel.bound[name].widget)
    forms = [
        widgets.Accordion([form.widget], titles=(title,), selected_index=None)
        for title, form in (
            ("An option of your own", panel.own),
            ("Something plumb against a wall", panel.things),
        )
    ]
    saving = {name: panel.buttons[name] for name in ("save", "undo", "restore")}
    writing = {"export": panel.buttons["export"]}
    parts += [*forms, button_row(saving), heading("On paper"), panel.wall, button_row(writing), panel.said]
    return widgets.VBox(parts)
