"""What stands under the map: coats, notices, exclusions, cautions; each folds by itself and stays so."""

from __future__ import annotations

import ipywidgets as widgets

from mytakeoff.chain import Result
from mytakeoff.panels import words
from mytakeoff.wallresult import WallResult


class Notes:
    """Folds under the map; `show` changes the text in them, never whether they are open."""

    def __init__(self) -> None:
        self.texts = {
            title: widgets.HTML()
            for title in ("Coats on this wall", "To know about this price", "Not in the price", "Cautions")
        }
        opened = {"Coats on this wall", "To know about this price"}
        self.folds = {
            title: widgets.Accordion([text], titles=(title,), selected_index=0 if title in opened else None)
            for title, text in self.texts.items()
        }
        self.own = widgets.HTML()
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
            _set(self.texts[title], text)
            shown = "" if text else "none"
            if (self.folds[title].layout.display or "") != shown:
                self.folds[title].layout.display = shown
        _set(self.own, words.paragraphs(result.job.notes))


def _set(text: widgets.HTML, value: str) -> None:
    if text.value != value:
        text.value = value
