"""Clear widths that a finished wall stands at: what a tape read there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.acceptance.in_room import no_more_asked, widths_at
from mytakeoff.acceptance.in_words import where_words
from mytakeoff.corners.clear_width import BY_TAPE_MM, ClearWidth
from mytakeoff.errors import Check
from mytakeoff.finished.record import Finished
from mytakeoff.finished.taped_width import TapedWidth
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.parts.bind import Quiet, number_box
from mytakeoff.panels.parts.html import element, joined
from mytakeoff.panels.parts.stock import make, set_shown

HINT = "Between the finished faces, where it is narrowest."
NO_MORE = (
    "taped, and the job asks for it no more. It is judged again once the job sheet has it under that name."
)
Asked = tuple[str, ClearWidth]  # the room's name, and what it asks for


class WidthRow:
    """One clear width: `mm`, `known`, `widget`."""

    def __init__(self, changed: Callable[[], None], formats: Any) -> None:
        self.head = make(widgets.HTML, css="mt-row-head")
        self.mm = number_box("taped", "Taped, mm", unit="mm", formats=formats)
        self.known = number_box("taped-known", "Known to ±, mm", unit="mm", formats=formats)
        for box in (self.mm, self.known):
            box.observe(lambda _: changed(), "value")
        self.widget = make(widgets.HBox, [self.head, self.mm, self.known], css="mt-place-again")

    def taped(self, room: str, asked: ClearWidth, check: Check) -> TapedWidth | None:
        """What stands in the boxes; None where nothing was taped."""
        if self.mm.value == "":
            return None
        mm = self.mm.number(check, asked.name)
        known = BY_TAPE_MM if self.known.value == "" else self.known.number(check, asked.name)
        if mm is None or known is None:
            return None
        return check.made(lambda: TapedWidth(room, asked.name, mm, known))

    def show(self, taped: TapedWidth | None) -> None:
        """Put what was taped into the boxes."""
        self.mm.value = "" if taped is None else taped.mm
        self.known.value = BY_TAPE_MM if taped is None else taped.known_mm


class WidthsBox(Quiet):
    """The clear widths of the chosen wall as boxes: `widget`, `rows`."""

    def __init__(self, desk: Desk) -> None:
        self._desk, self._name = desk, ""
        self._asked: tuple[Asked, ...] = ()
        self._shown: tuple[Any, ...] = ()
        self.rows: list[WidthRow] = []
        self._rows_box = make(widgets.VBox, [])
        self._head = make(widgets.HTML)
        self.widget = make(widgets.VBox, [self._head, self._rows_box], css="mt-clear-widths")

    def take(self) -> bool:
        """Take over all that stands in the boxes; whether it could be."""
        return not self._asked or self._desk.edit(self._with_boxes)

    def check_finished(self) -> None:
        """See that all of it is taken, before it is saved.

        Raises
        ------
        TakeoffError
            It cannot be.
        """
        self._desk.check_taken(self.take(), "a clear width", self._name)

    def _changed(self) -> None:
        if not self._busy:
            self.take()

    def _with_boxes(self, finished: Finished) -> Finished:
        check = Check(f"wall {self._name!r}, clear widths")
        read = {
            (room, asked.name): row.taped(room, asked, check)
            for (room, asked), row in zip(self._asked, self.rows, strict=False)
        }
        check.done()
        taped = {(each.room, each.name): each for each in finished.clear_widths} | read
        asked = [(room.name, each.name) for room in self._desk.store.job.rooms for each in room.clear_widths]
        in_order = sorted(taped, key=lambda each: asked.index(each) if each in asked else len(asked))
        return replace(finished, clear_widths=tuple(filter(None, map(taped.get, in_order))))

    def show(self, name: str) -> None:
        """Show what was taped at a wall; boxes are set only where that is another thing."""
        job, finished = self._desk.store.job, self._desk.finished
        self._name, self._asked = name, widths_at(job, name)
        here = name, self._asked, finished.clear_widths, job.formats
        hints = [HINT] if self._asked else []
        hints += [f"{each.room}, {each.name}: {NO_MORE}" for each in no_more_asked(job, finished)]
        self._head.value = joined(element("p", each, css="mt-hint") for each in hints)
        set_shown(self.widget, bool(hints))
        if here == self._shown:
            return
        with self.quietly():
            while len(self.rows) < len(self._asked):
                self.rows.append(WidthRow(self._changed, job.formats))
            self._rows_box.children = tuple(row.widget for row in self.rows)
            taped = {(each.room, each.name): each for each in finished.clear_widths}
            for nth, row in enumerate(self.rows):
                set_shown(row.widget, nth < len(self._asked))
            for (room, asked), row in zip(self._asked, self.rows, strict=False):
                where = where_words(asked, job.formats)
                row.head.value = element("span", element("strong", asked.name), f", {where}")
                for box in (row.mm, row.known):
                    box.write_as(job.formats)
                row.show(taped.get((room, asked.name)))
        self._shown = here
