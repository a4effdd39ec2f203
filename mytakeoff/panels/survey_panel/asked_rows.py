"""Places that stand off the wall, a row for each: what it is, left out or kept with one button each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import ipywidgets as widgets

from mytakeoff.errors import Mistake
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.panels.parts.frame import heading
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.survey_panel import finding_words
from mytakeoff.panels.survey_panel.work import EitherWay
from mytakeoff.survey.said import Said, StandsOff

Answer = Callable[[tuple[float, float], Said], None]
HINT = (
    "What stands far off the wall round it may set the plane, and with it the plaster. What you say of it is "
    "kept in the job, and can be changed here at any time."
)


class AskedRow:
    """One place: its words and its two buttons."""

    def __init__(self, nth: int, answer: Answer) -> None:
        self.place: StandsOff | None = None
        mark = f"{finding_words.OFF}{nth}"
        self.words = make(widgets.HTML, css="mt-asked-words")
        self.keep = make(widgets.Button, description=f"Keep {mark}", css="mt-keep")
        self.out = make(widgets.Button, description=f"Leave {mark} out", css="mt-leave-out")
        self.keep.on_click(lambda _: self._answered(answer, "plaster"))
        self.out.on_click(lambda _: self._answered(answer, "left out"))
        self.widget = make(widgets.HBox, [self.words, self.keep, self.out], css="mt-entry mt-asked")

    def _answered(self, answer: Answer, word: Said) -> None:
        if self.place is not None:
            answer(self.place.at, word)

    def show(self, mark: str, place: StandsOff | None, moves: EitherWay | None, formats: Formats) -> None:
        """Show a place, or nothing."""
        self.place = place
        set_shown(self.widget, place is not None)
        if place is not None:
            text = finding_words.asked(place, moves, formats)
            self.words.value = element("span", element("strong", mark), " ", text)


class AskedRows:
    """All places that stand off the wall: `places`, `widget`."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self.places: tuple[StandsOff, ...] = ()
        self._formats = HOUSE
        self.rows: list[AskedRow] = []
        self.box = make(widgets.VBox, [])
        hint = make(widgets.HTML, element("p", HINT, css="mt-hint"))
        self.widget = make(
            widgets.VBox, [heading("Stands off the wall"), hint, self.box], css="mt-asked-rows"
        )
        set_shown(self.widget, False)

    def show(
        self, places: Sequence[StandsOff], formats: Formats, moves: Sequence[EitherWay | None] = ()
    ) -> None:
        """Show these places, and how the litres move with each, as far as that is worked out."""
        self.places, self._formats = tuple(places), formats
        while len(self.rows) < len(self.places):
            self.rows.append(AskedRow(len(self.rows) + 1, self._answer))
        wanted = tuple(row.widget for row in self.rows)
        if self.box.children != wanted:
            self.box.children = wanted
        for nth, row in enumerate(self.rows):
            place = self.places[nth] if nth < len(self.places) else None
            row.show(
                f"{finding_words.OFF}{nth + 1}", place, moves[nth] if nth < len(moves) else None, formats
            )
        set_shown(self.widget, bool(self.places))

    def weigh(self, moves: Iterator[EitherWay | None], formats: Formats) -> Iterator[bool]:
        """Say how the litres move with each place, one after the other."""
        known: list[EitherWay | None] = []
        for move in moves:
            known.append(move)
            self.show(self.places, formats, known)
            yield True

    @property
    def unanswered(self) -> tuple[Mistake, ...]:
        """A mistake for each patch of a scan that counts because nobody has said yet what it is."""
        return tuple(
            Mistake(
                f"{finding_words.OFF}{nth}: {finding_words.where_off(place, self._formats)}",
                "so much of a wall is not left out without being asked",
                "keep it, or leave it out",
                "stands off the wall",
            )
            for nth, place in enumerate(self.places, start=1)
            if place.share and not place.answered and not place.left_out
        )
