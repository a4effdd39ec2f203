"""What stands under the map: coats, notices, exclusions, cautions; each folds by itself and stays so."""

from __future__ import annotations

import ipywidgets as widgets

from mytakeoff.panels.budget_panel.texts import BudgetTexts, TextPlace
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.stock import make, set_shown

TITLES = {
    "Coats on this wall": "coats",
    "To know about this price": "notices",
    "Not in the price": "excluded",
    "Cautions": "cautions",
}


class Notes:
    """Folds under the map, over texts that the panel tells; whether they are open is the user's."""

    def __init__(self, texts: BudgetTexts) -> None:
        self.texts = {title: make(TextPlace, source=texts, name=name) for title, name in TITLES.items()}
        opened = {"Coats on this wall", "To know about this price"}
        self.folds = {title: Fold(title, text, opened=title in opened) for title, text in self.texts.items()}
        self.own = make(TextPlace, source=texts, name="own")
        self.widget = make(widgets.VBox, [*self.folds.values(), self.own])

    def refresh(self) -> None:
        """Hide the folds that have nothing to say."""
        for title, text in self.texts.items():
            set_shown(self.folds[title], bool(text.value))
