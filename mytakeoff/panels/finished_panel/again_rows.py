"""A wall measured again: the surveys of its finished face, and what its fixed places read then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.job.job_wall import FixedPlace
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.words import NO_FIXED_PLACES
from mytakeoff.panels.parts.bind import Quiet, labelled_list, number_box, offer, tick
from mytakeoff.panels.parts.boxes import NumberBox
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.parts.words import BY_LINE

OFF_LINE, PROUD = "off the line: bigger is hollower", "towards the room: bigger is prouder"
WHEN = ("after", "later")


class PlaceRow:
    """What one fixed place reads in the later surveys: `boxes`, `widget`."""

    def __init__(self, changed: Callable[[], None], formats: Any) -> None:
        self.head = make(widgets.HTML, css="mt-row-head")
        self.boxes: dict[str, NumberBox] = {}
        for when, words in zip(WHEN, ("Finished face, mm", "Later, mm"), strict=True):
            box = number_box(f"fixed-{when}", words, unit="mm", formats=formats, signed=True)
            box.observe(lambda _: changed(), "value")
            self.boxes[when] = box
        self.widget = make(widgets.HBox, [self.head, *self.boxes.values()], css="mt-place-again")


class AgainBox(Quiet):
    """The surveys of a finished face as boxes: `widget`, `controls`, `rows`.

    Parameters
    ----------
    desk : Desk
    files : function
        The files that may be surveys.
    """

    def __init__(self, desk: Desk, files: Callable[[], Sequence[str]]) -> None:
        self._desk, self._files, self._name = desk, files, ""
        self._shown: tuple[Any, ...] = ()
        self._places: tuple[FixedPlace, ...] = ()
        self.after = labelled_list("after", "Survey of the finished face", [("none yet", "")])
        self.later = labelled_list("later", "The same face once it was dry", [("none", "")])
        self.plumb = tick("after-plumb", f"{BY_LINE} again", True)
        self.way = labelled_list("fixed-way", "Fixed places were read", [OFF_LINE, PROUD], OFF_LINE)
        self.rows: list[PlaceRow] = []
        self._places_box = make(widgets.VBox, [])
        self.said = make(widgets.HTML)
        self.controls: dict[str, Any] = {
            "after": self.after, "later": self.later, "after_plumb": self.plumb, "fixed_way": self.way,
        }  # fmt: skip
        parts = [self.after, self.later, self.plumb, self.said, self.way, self._places_box]
        self.widget = make(widgets.VBox, parts, css="mt-again")
        for control in (self.after, self.later, self.plumb):
            control.observe(lambda _: self._changed(), "value")
        self.way.observe(lambda _: None if self._busy else self._write_so(), "value")

    def _changed(self) -> None:
        if not self._busy:
            self.take()

    def take(self) -> bool:
        """Take over all that stands in the boxes; whether it could be."""
        return self._desk.edit_wall(self._name, self._with_boxes)

    def check_finished(self) -> None:
        """See that all of it is taken, before it is saved.

        Raises
        ------
        TakeoffError
            It cannot be.
        """
        self._desk.check_taken(self.take(), "a survey or a fixed place", self._name)

    def _with_boxes(self, wall: FinishedWall) -> FinishedWall:
        check = Check(f"wall {self._name!r}, measured again")
        read = [
            FixedAgain(place.name, *(self._read(row.boxes[when], place, check) for when in WHEN))
            for place, row in zip(self._places, self.rows, strict=False)
        ]
        check.done()
        mine = [place.name for place in self._places]
        others = [each for each in wall.fixed_again if each.name not in mine]
        again = tuple(each for each in [*others, *read] if (each.after_mm, each.later_mm) != (None, None))
        return replace(
            wall, after=self.after.value or "", later=self.later.value or "", plumb=self.plumb.value,
            fixed_again=again,
        )  # fmt: skip

    def _read(self, box: NumberBox, place: FixedPlace, check: Check) -> float | None:
        if box.value == "":
            return None
        mm = box.number(check, place.name)
        return None if mm is None else self._sign * mm + 0.0

    @property
    def _sign(self) -> float:
        """Of what is typed, towards the room."""
        return -1.0 if self.way.value == OFF_LINE else 1.0

    def show(self, name: str) -> None:
        """Show what was written down of a wall; boxes are set only where that is another thing."""
        record, entry = self._desk.wall(name), self._desk.store.job.wall(name)
        self._name, self._places = name, entry.fixed_places
        files = self._files()
        here = name, record.after, record.later, record.plumb, record.fixed_again, entry.fixed_places
        with self.quietly():
            wanted = ((self.after, "none yet", record.after), (self.later, "none", record.later))
            for control, none, chosen in wanted:
                names = dict.fromkeys([*files, *filter(None, (chosen,))])
                options = [(none, ""), *((each, each) for each in names)]
                if here != self._shown:
                    offer(control, options, chosen)
                else:
                    offer(control, options)
            if here != self._shown:
                self.plumb.value = record.plumb
                self._show_places(record)
        self._shown = here

    def _show_places(self, record: FinishedWall) -> None:
        formats = self._desk.store.job.formats
        while len(self.rows) < len(self._places):
            self.rows.append(PlaceRow(self._changed, formats))
        self._places_box.children = tuple(row.widget for row in self.rows)
        for nth, row in enumerate(self.rows):
            set_shown(row.widget, nth < len(self._places))
        for place, row in zip(self._places, self.rows, strict=False):
            at = formats.place(place.x_m, place.z_m)
            row.head.value = element("span", element("strong", place.name), f", {at}")
            for box in row.boxes.values():
                box.write_as(formats)
        said = "" if self._places else NO_FIXED_PLACES
        self.said.value = element("p", said, css="mt-hint") if said else ""
        for part in (self.way, self._places_box):
            set_shown(part, bool(self._places))
        self._fill(record)

    def _fill(self, record: FinishedWall) -> None:
        again = {each.name: each for each in record.fixed_again}
        for place, row in zip(self._places, self.rows, strict=False):
            read = again.get(place.name, FixedAgain(place.name))
            for when, mm in zip(WHEN, (read.after_mm, read.later_mm), strict=True):
                row.boxes[when].value = "" if mm is None else self._sign * mm + 0.0

    def _write_so(self) -> None:
        """Write what was read the other way round."""
        with self.quietly():
            self._fill(self._desk.wall(self._name))
