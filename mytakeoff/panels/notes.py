"""What stands under the map: coats, notices, exclusions, cautions; each folds by itself and stays so."""

from __future__ import annotations

import ipywidgets as widgets

from mytakeoff.chain import Result
from mytakeoff.panels import words
from mytakeoff.panels.texts import BudgetTexts, TextPlace
from mytakeoff.wallresult import WallResult

TITLES = {
    "Coats on this wall": "coats",
    "To know about this price": "notices",
    "Not in the price": "excluded",
    "Cautions": "cautions",
}


class Notes:
    """Folds under the map; `show` changes the text in them, never whether they are open."""

    def __init__(self, texts: BudgetTexts) -> None:
        self.texts = {title: TextPlace(source=texts, name=name) for title, name in TITLES.items()}
        opened = {"Coats on this wall", "To know about this price"}
        self.folds = {
            title: widgets.Accordion([text], titles=(title,), selected_index=0 if title in opened else None)
            for title, text in self.texts.items()
        }
        self.own = TextPlace(source=texts, name="own")
        self.widget = widgets.VBox([*self.folds.values(), self.own])

    def show(self, result: Result, wall: WallResult) -> None:
        """Show what there is to know about a result and the wall on the map."""
        texts = (
            words.coats(wall),
            words.listed(result.notices),
            words.listed(result.cost.excluded),
            words.cautions(result),
        )
        for title, text in zip(self.texts, texts, strict=True):
            self.texts[title].value = text
            shown = "" if text else "none"
            if (self.folds[title].layout.display or "") != shown:
                self.folds[title].layout.display = shown
        self.own.value = words.paragraphs(result.job.notes)
