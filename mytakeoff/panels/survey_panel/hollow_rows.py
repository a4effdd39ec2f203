"""Readings by hand that are taken for hollows of a sound face: shown, and changed with one button each."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts.bind import labelled_list
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.survey_panel import finding_words
from mytakeoff.panels.survey_panel.asked_rows import Answer
from mytakeoff.survey.stands_off import OnTheFace

HINT = (
    "A wall that was floated once lies on one sound face, and its dents and lost patches behind it. What may "
    "stand proud between the readings is told by the sound ones alone; the plaster counts them all."
)
TITLE = "Readings in hollows"


class HollowRow:
    """One reading: its words and its button."""

    def __init__(self, nth: int, answer: Answer) -> None:
        self.reading: OnTheFace | None = None
        self.mark = f"{finding_words.HOLLOW}{nth}"
        self.words = make(widgets.HTML, css="mt-asked-words")
        self.turn = make(widgets.Button, css="mt-turn")
        self.turn.on_click(lambda _: self._turned(answer))
        self.widget = make(widgets.HBox, [self.words, self.turn], css="mt-entry mt-asked mt-hollow")

    def _turned(self, answer: Answer) -> None:
        if self.reading is not None:
            answer(self.reading.at, "sound" if self.reading.hollow else "hollow")

    def show(self, reading: OnTheFace | None, formats: Formats) -> None:
        """Show a reading, or nothing."""
        self.reading = reading
        set_shown(self.widget, reading is not None)
        if reading is not None:
            said = finding_words.in_hollow(reading, formats)
            self.words.value = element("span", element("strong", self.mark), " ", said)
            self.turn.description = f"Call {self.mark} {'sound' if reading.hollow else 'hollow'}"


class HollowRows:
    """All readings of a wall that are taken for hollows, or were said not to be: `widget`."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self.rows: list[HollowRow] = []
        self.box = make(widgets.VBox, [])
        self.pick = labelled_list("sound", "Another reading", [], None)
        self.take = make(widgets.Button, description="Call it hollow", disabled=True, css="mt-take")
        self.take.on_click(lambda _: self._taken())
        self.pick.observe(lambda _: self._allow(), "value")
        self.more = make(widgets.HBox, [self.pick, self.take], css="mt-entry")
        hint = make(widgets.HTML, element("p", HINT, css="mt-hint"))
        self.widget = Fold(TITLE, make(widgets.VBox, [hint, self.box, self.more]), "hollows")
        set_shown(self.widget, False)

    def _taken(self) -> None:
        if self.pick.value is not None:
            self._answer(self.pick.value, "hollow")

    def _allow(self) -> None:
        self.take.disabled = self.pick.value is None

    def show(self, face: Sequence[OnTheFace], formats: Formats) -> None:
        """Show a wall's readings; none of a scan."""
        listed = [one for one in face if one.shown]
        while len(self.rows) < len(listed):
            self.rows.append(HollowRow(len(self.rows) + 1, self._answer))
        wanted = tuple(row.widget for row in self.rows)
        if self.box.children != wanted:
            self.box.children = wanted
        for nth, row in enumerate(self.rows):
            row.show(listed[nth] if nth < len(listed) else None, formats)
        others = [(finding_words.reading(one, formats), one.at) for one in face if not one.shown]
        if list(self.pick.options) != others:
            self.pick.options = others
        count = sum(one.hollow for one in face)
        self.widget.head.title = f"{TITLE} ({count or 'none'})"
        set_shown(self.more, bool(others))
        set_shown(self.widget, bool(face))
