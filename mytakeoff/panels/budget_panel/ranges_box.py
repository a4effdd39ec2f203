"""How sure the figures are, on the panel: worked out in slices once the hand rests, and kept till then."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.job.edits import with_reading
from mytakeoff.job.job import Job
from mytakeoff.panels.budget_panel.sure_picture import picture
from mytakeoff.panels.budget_panel.unread_spots import UnreadSpots
from mytakeoff.panels.parts import range_words
from mytakeoff.panels.parts.bind import BoundNumber, Quiet, labelled_list, tick
from mytakeoff.panels.parts.boxes import NumberBox, numbers_in
from mytakeoff.panels.parts.buttons import make_buttons, safely
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import element, message, paragraphs
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.stock import make, set_shown, shared
from mytakeoff.panels.wall_map.wall_view import WallView
from mytakeoff.ranges.job_ranges import JobRanges, ranges_steps, savings_steps
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import MARKED_MM

REST_S = 1.5  # after the last change: a hand that still moves a slider is not made to wait
TWO_LINES = "50px"
PLACES = "x, m", "z, m"
OFF = "off the line, mm"
UNREAD = "a reading is read off the wall, what is likely stands beside it", "type its millimetres"


class SureBox(Quiet):
    """The line under the headline (`line`) and the fold under the map (`widget`).

    Attributes
    ----------
    sure : JobRanges or None
        What was worked out last.
    controls : dict of str to widget
    """

    def __init__(
        self,
        store: Store,
        wall_view: WallView,
        confidence: BoundNumber,
        missed: BoundNumber,
        failed: Callable[[Exception], None],
    ) -> None:
        self.store, self.wall_view, self._failed = store, wall_view, failed
        self.sure: JobRanges | None = None
        self._result: Result | None = None
        self._wall = ""
        self._steps = Steps()
        self._waiting = Waiting()
        # the line comes late: the wall must not move when it does
        self.line = make(widgets.HTML, layout=shared(widgets.Layout, min_height=TWO_LINES))
        self.picture, self.table, self.text = (make(widgets.HTML) for _ in range(3))
        self.sentences = Fold("In sentences, and what being wrong costs", self.text)
        self.confidence, self.missed, self.unread = confidence, missed, UnreadSpots(store)
        self.marked = tick("show-next", "Show where to measure next on the map")
        self.priced = tick(
            "price-sure", "Price what lies between the readings so; else by millimetres of your own", True
        )
        self.place = labelled_list("next-place", "Reading taken at place", [("", 0)], 0)
        formats = store.job.formats
        self.x, self.z = (make(NumberBox, unit="m", formats=formats, description=label) for label in PLACES)
        self.off = make(
            NumberBox, unit="mm", formats=formats, empty=UNREAD, signed=True, description=OFF, css="mt-off"
        )
        self.boxes = self.x, self.z, self.off
        self.buttons = make_buttons({"add": ("Add this reading", self.add)}, failed)
        self.controls: dict[str, Any] = {
            "price_at_confidence": self.priced,
            **{number.name: number.control for number in self.unread.numbers},
            "show_next": self.marked, "next_place": self.place,
            "next_x_m": self.x, "next_z_m": self.z, "next_off_line_mm": self.off,
        }  # fmt: skip
        self.widget = self._layout()
        self.marked.observe(safely(self._mark, failed), "value")
        self.place.observe(safely(self._take_place, failed), "value")
        self.priced.observe(self._price, "value")
        for box in (self.x, self.z):
            box.observe(lambda _: None if self._busy else self._hint(), "value")

    def _layout(self) -> widgets.Widget:
        adding = make(widgets.HBox, [self.x, self.z, self.off, self.buttons["add"]], css="mt-place")
        inside = make(
            widgets.VBox,
            [
                self.picture,
                self.sentences,
                self.table,
                self.marked,
                self.place,
                adding,
                self.confidence.widget,
                self.unread.widget,
                self.priced,
                self.missed.widget,
            ],
        )
        return Fold("How sure, and where to measure next", inside)

    # -- what the hand can do -------------------------------------------------------------------

    def add(self) -> None:
        """Add the reading in the boxes to the wall on the map."""
        name = self._wall

        def change(job: Job) -> Job:
            x_m, z_m, off_line_mm = numbers_in(*self.boxes)
            return with_reading(job, name, x_m, z_m, 0.0 - off_line_mm)

        if self.store.apply(change):
            self._clear()
            self.begin()
            return
        for box in [box for box in self.boxes if isinstance(box.value, str)] or self.boxes:
            box.mark(True)

    def _clear(self) -> None:
        """The boxes as they are for the next place."""
        for box in self.boxes:
            box.value = ""
        self._hint()

    def work_out(self) -> None:
        """Work the ranges out at once."""
        for _ in self._work():
            pass
        self._show()

    def now(self) -> JobRanges | None:
        """What belongs to the result that is shown, worked out at once where it is not there yet."""
        if self.sure is None or self.sure.result is not self.store.result:
            self.work_out()
        return self.sure

    # -- showing --------------------------------------------------------------------------------

    def refresh(self, result: Result, wall: str) -> None:
        """Take note of a new result or another wall; the ranges follow when nothing moves any more."""
        if wall != self._wall:
            self._wall = wall
            self._clear()
            self._show_wall()
        self.unread.refresh(result.job, self._wall)
        at_confidence = result.job.missed_high_spot_mm is None
        self.priced.value = at_confidence
        for control in (self.confidence.widget, self.unread.widget):
            set_shown(control, at_confidence)
        set_shown(self.missed.widget, not at_confidence)
        if result is not self._result:
            self._result = result
            self._steps.stop()
            self._say_updating()
            # where no loop runs, a script asks for it by `work_out`
            self._waiting.start(REST_S, self.begin)

    def begin(self) -> None:
        """Begin to work the ranges out, in slices."""
        self._steps.start(self._work(), self._show, self._failed)

    def _work(self) -> Iterator[None]:
        sure = yield from ranges_steps(self.store.result)
        yield from savings_steps(sure)
        self.sure = sure

    def _say_updating(self) -> None:
        if self.store.result.held:
            said = range_words.being_worked_out(self.store.result)
            self.line.value = element("div", said, css="mt-facts")
        elif self.sure is not None:
            self.line.value = element(
                "div", f"{range_words.line(self.sure)} (before the change)", css="mt-facts"
            )

    def _show(self) -> None:
        if self.sure is None or self.sure.result is not self.store.result:
            return
        said = element("div", range_words.line(self.sure), css="mt-facts")
        if self.line.value == said:
            return
        self.line.value, self.picture.value = said, picture(self.sure)
        self.text.value = paragraphs(range_words.behind(self.sure))
        self._show_wall()

    def _show_wall(self) -> None:
        """Places to measure on the wall that is shown."""
        found = self.sure.wall(self._wall) if self.sure is not None else None
        self.table.value = (
            paragraphs([range_words.worth_reading(self.sure)])
            + range_words.places(found, self.store.job.formats)
            if self.sure is not None
            else message("Being worked out.")
        )
        readings = found.readings if found is not None else ()
        with self.quietly():
            self.place.options = [
                ("another place", 0),
                *((range_words.place_mark(n), n) for n in range(1, len(readings) + 1)),
            ]
        self._hint()
        self._mark()

    def _hint(self) -> None:
        """What is likely where the boxes say, and the number that the place has now; what is typed stays."""
        found = self.sure.wall(self._wall) if self.sure is not None else None
        places = enumerate(found.readings if found is not None else (), start=1)
        at = self.x.value, self.z.value
        nth, place = next(((n, each) for n, each in places if (each.x_m, each.z_m) == at), (0, None))
        with self.quietly():
            self.place.value = nth
        self.off.placeholder = range_words.likely(place, self.store.job.formats, column=True) if place else ""

    def _mark(self) -> None:
        found = self.sure.wall(self._wall) if self.sure is not None else None
        readings = found.readings if found is not None and self.marked.value else ()
        marks = enumerate(readings, start=1)
        self.wall_view.mark([(range_words.place_mark(n), place.x_m, place.z_m) for n, place in marks])

    def _take_place(self) -> None:
        if self._busy:
            return
        found = self.sure.wall(self._wall) if self.sure is not None else None
        place = found.readings[self.place.value - 1] if found is not None and self.place.value else None
        self.off.value = ""
        with self.quietly():
            self.x.value, self.z.value = (place.x_m, place.z_m) if place is not None else ("", "")
        self._hint()

    def _price(self, change: Any) -> None:
        wanted = bool(change["new"])
        if wanted != (self.store.job.missed_high_spot_mm is None):
            missed_mm = None if wanted else MARKED_MM
            self.store.apply(lambda job: replace(job, missed_high_spot_mm=missed_mm), "price_at_confidence")
