"""Readings typed on a wall while it is read: taken into the job and its sheet one by one, shown at once."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import ipywidgets as widgets

from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.errors import TakeoffError
from mytakeoff.io.job.typed_sheet import WallSheet
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.parts.bind import Quiet, tick
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.fold import explained
from mytakeoff.panels.parts.html import Html, message, problem
from mytakeoff.panels.parts.range_words import place_mark
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.parts.words import BY_LINE, SWEPT, TICK_WORDS
from mytakeoff.panels.readings import words
from mytakeoff.panels.readings.keys import ReadingKeys
from mytakeoff.panels.readings.own_places import Change, OwnPlaces
from mytakeoff.panels.readings.sheets import LINES, TypedSheets
from mytakeoff.panels.wall_map.map_fields import changed
from mytakeoff.panels.wall_map.wall_view import WallView
from mytakeoff.ranges.job_ranges import JobRanges, ranges_steps
from mytakeoff.ranges.worth_reading import WorthReading, worth_reading_steps
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.surface.deviation import stance_of
from mytakeoff.survey.reading_grid import Read, Typed, with_place
from mytakeoff.survey.survey import Survey
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import evaluate_wall

SAVE_REST_S = (
    0.2  # after the last reading, which is in its sheet already; sooner than the folder is looked at
)
REST_S = 0.5  # after the last reading: a hand that types on is not made to wait
THICKEST_MM = 20.0  # of a wall of which nothing is known yet


class ReadingsDesk(Quiet):
    """The readings of one wall: `widget`, for the wall of `show`.

    Parameters
    ----------
    store : Store
    save : function
        Saves the job, once a reading is in it and in its sheet.
    failed : function
        Told what went wrong, where it is not beside a reading.
    workbook : str
        What the workbook is called, for the others on the folder.

    Attributes
    ----------
    keys : ReadingKeys
        The boxes that readings are typed into.
    own : OwnPlaces
        Columns and heights of one's own.
    sure, worth : JobRanges, WorthReading or None
        What was worked out last: the ranges, and where to read next.
    """

    def __init__(
        self,
        store: Store,
        save: Callable[[], None],
        failed: Callable[[Exception], None],
        workbook: str = "",
    ) -> None:
        self.store, self._save, self._failed = store, save, failed
        self.sheets = TypedSheets(store, workbook)
        self._wall: str | None = None
        self._shown: Survey | None = None
        self._result: Result | None = None
        self.sure: JobRanges | None = None
        self.worth: WorthReading | None = None
        self._steps, self._waiting, self._saving = Steps(), Waiting(), Waiting()
        self.keys = make(ReadingKeys)
        self.own = OwnPlaces(store.job.formats, self.change_places, failed)
        self.told, self.stands, self.litres, self.next = (make(widgets.HTML) for _ in range(4))
        self.buttons = make_buttons({"read-next": ("Go to the place to read next", self.go_next)}, failed)
        self._next_row = button_row(self.buttons)
        self.view = WallView(THICKEST_MM, store.job.formats)
        self.plumb, self.swept = tick("plumb", BY_LINE, True), tick("swept", SWEPT)
        ticks = [self.plumb, self.swept, explained(TICK_WORDS)]
        parts = [self.keys, self.next, self._next_row, *ticks, self.own.widget]
        self._read = make(widgets.VBox, parts, css="mt-read")
        self._map = make(widgets.VBox, [self.litres, self.stands, self.view.widget], css="mt-read-map")
        self.widget = make(widgets.VBox, [self.told, self._read, self._map], css="mt-readings-desk")
        self.keys.observe(safely(self._take_typed, failed), "typed")
        for each in (self.plumb, self.swept):
            each.observe(safely(self._take_ticks, failed), "value")
        store.observe(safely(self._follow, failed), "result")
        self.show(None)

    # -- what the hand can do -------------------------------------------------------------------

    def show(self, wall_name: str | None) -> None:
        """Show the readings of a wall; None for none."""
        self._wall, self._shown, self._result, self.worth = wall_name, None, None, None
        self._steps.stop()
        self.keys.refused = {}
        self._refresh()

    def type(self, x_m: float, z_m: float, text: str) -> bool:
        """Type a reading at a place of the wall that is shown; whether it was taken [m]."""
        return self._type(key_of(x_m, z_m), text)

    def change_places(self, change: Change) -> None:
        """Add, move or take out places of the wall that is shown.

        Raises
        ------
        TakeoffError
            They cannot be so.
        """
        sheet = self.sheets.of(self._entry.name)
        self._put(sheet, change(sheet.own.typed))

    def go_next(self) -> None:
        """Go to the place to read next, which is added where it is not there yet."""
        if self.worth is None or not self.worth.places:
            return
        at = self.worth.places[0].reading
        if self.sheets.of(self._entry.name).own.typed.at(at.x_m, at.z_m) is None:
            self.change_places(lambda typed: with_place(typed, self._entry.wall, at.x_m, at.z_m))
        self.keys.go = [key_of(at.x_m, at.z_m), (self.keys.go or ["", 0])[1] + 1]

    def work_out(self) -> None:
        """Work the range and the next place out at once."""
        for _ in self._work():
            pass
        self._show_sure()

    # -- a reading ------------------------------------------------------------------------------

    @property
    def _entry(self) -> JobWall:
        return self.store.job.wall(self._wall or "")

    def _take_typed(self) -> None:
        for number, key, text in self.keys.waiting:
            try:
                self._type(key, text)
            finally:
                self.keys.done = number

    def _take_ticks(self) -> None:
        """Take over how the wall was measured; a tick that cannot be goes back."""
        if self._busy or self._wall is None:
            return
        try:
            self.sheets.say(self._wall, plumb=self.plumb.value, swept=self.swept.value)
            self._save()
        finally:
            self._show_ticks(self._entry)

    def _type(self, key: str, text: str) -> bool:
        others = {name: each for name, each in self.keys.refused.items() if name != key}
        try:
            sheet = self.sheets.of(self._entry.name)
            x_m, z_m = (float(part) for part in key.split())
            read = self.sheets.understood(sheet, x_m, z_m, text)
            typed = with_place(sheet.own.typed, self._entry.wall, x_m, z_m)
            spot = typed.at(x_m, z_m)
            assert spot is not None  # it was added where it was not there
            self._put(sheet, typed.with_read(spot, read))
        except TakeoffError as error:
            self.keys.refused = {**others, key: [text, str(error)]}
            return False
        self.keys.refused = others
        return True

    def _put(self, sheet: WallSheet, typed: Typed) -> None:
        """Take readings or places into job and sheet, show them, and have the job saved."""
        try:
            with self.quietly():
                self.sheets.put(sheet, typed, self._show_ahead)
        except TakeoffError:
            self._result = None  # the map may be ahead of it
            self._show_result()
            raise
        self._refresh(typed_into=True)
        if sheet.is_new or not self._saving.start(SAVE_REST_S, safely(self._save, self._failed)):
            self._save()

    # -- showing --------------------------------------------------------------------------------

    def _follow(self) -> None:
        """Take note of a new result, whoever made it."""
        if self._busy:  # a reading that is being taken: the map first, its sheet and the file of the job then
            self._show_result()
            return
        self.sheets.follow()
        self._refresh()

    def _refresh(self, *, typed_into: bool = False) -> None:
        job = self.store.job
        entry = next((each for each in job.walls if each.name == self._wall), None)
        for part in (self._read, self._map):
            set_shown(part, entry is not None)
        self.told.value = Html() if entry is not None else words.NO_WALL
        if entry is None:
            return
        self._show_ticks(entry)
        if typed_into or self._shown != entry.survey:
            self._shown = entry.survey
            self._show_keys(entry)
        self._show_result()

    def _show_result(self) -> None:
        """Show the wall of a new result; its range follows when nothing moves any more.

        What lies between the readings is in the price and in the range: while the panel works it out for the
        price, the range waits for that.
        """
        before, now = self._result, self.store.result
        if now is before:
            return
        self._result = now
        self._show_wall(self._entry)
        self._steps.stop()
        if not now.held:
            self._waiting.start(0.0 if before is not None and before.held else REST_S, self.begin)

    def _show_keys(self, entry: JobWall) -> None:
        """What is read, as the sheet has it now."""
        try:
            sheet = self.sheets.of(entry.name)
        except TakeoffError as error:
            self.told.value = problem(str(error), "Nothing is typed here.")
            set_shown(self._read, False)
            return
        own, formats = sheet.own, self.store.job.formats
        set_shown(self.plumb, own.sense != LINES)  # which are plumb, each by itself
        typed = own.typed.laid_out
        walked = typed.walk(entry.wall)
        columns, rows = words.heads(typed, formats)
        keys = [["" for _ in columns] for _ in rows]
        for row, column in walked:
            keys[row][column] = key_of(*typed.place((row, column)))
        shape = {
            "columns": columns,
            "rows": rows,
            "keys": keys,
            "order": [key_of(*typed.place(spot)) for spot in walked],
            "caption": f"{entry.name}: {words.of_line(own.unit, towards=own.towards)}",
            "unit": words.corner(typed, self.store.job.formats),
            "walk": words.walk(typed),
        }
        said = words.counted(typed, entry.wall, formats)
        if sheet.instead_of or self.store.job.folder == "":
            said = f"{said} {words.where(sheet.instead_of, sheet.name, self.store.job.folder)}"
        reads = {
            key_of(*typed.place(spot)): _text(typed.value(spot), formats.typed)
            for spot in walked
            if typed.value(spot) is not None
        }
        told = {
            "shape": shape,
            "reads": reads,
            "limits": [-own.most, own.most],
            "point": formats.point,
            "said": said,
        }
        with self.keys.hold_sync():
            for name, value in changed({name: getattr(self.keys, name) for name in told}, told).items():
                setattr(self.keys, name, value)
        self.own.show(typed, entry.wall)

    def _show_ticks(self, entry: JobWall) -> None:
        with self.quietly():
            self.plumb.value, self.swept.value = entry.survey.plumb, entry.survey.swept

    def _show_wall(self, entry: JobWall) -> None:
        """The map and what the wall comes to, at once; what takes longer follows once the hand rests."""
        self._mark(None)
        enough = entry.survey.is_enough
        set_shown(self.view.widget, enough)
        if not enough:
            self.stands.value, self.litres.value = message(words.TOO_FEW), Html()
            return
        wall = self.store.result.wall(entry.name)
        self._show_map(wall)
        self.stands.value = words.stands(
            stance_of(wall.surface), entry.wall, plumb=entry.survey.plumb, formats=self.store.job.formats
        )

    def _show_ahead(self, job: Job) -> None:
        """The map of a job that is about to be taken: it waits neither for its price nor for a disk."""
        entry = job.wall(self._wall or "")
        if entry.survey.is_enough:
            self._show_map(evaluate_wall(job, entry))

    def _show_map(self, wall: WallResult) -> None:
        self.view.top_mm = max(self.view.top_mm, ramp_top(wall.build_up.max_mm))
        self.view.show(wall, self.store.job.formats)

    # -- the range and the next place ------------------------------------------------------------

    def begin(self) -> None:
        """Begin to work the range and the next place out, in slices."""
        self._steps.start(self._work(), self._show_sure, self._failed)

    def _work(self) -> Iterator[None]:
        if self._wall is None or self._entry.survey.x_m.size < words.LEAST_FOR_RANGE:
            return
        if not self._entry.survey.is_enough:
            return
        wall, result = self._wall, self.store.result
        typed = self.sheets.of(wall).own.typed.laid_out
        empty = [typed.place(spot) for spot in typed.walk(self._entry.wall) if typed.value(spot) is None]
        sure = yield from ranges_steps(result)
        worth = yield from worth_reading_steps(sure, wall, empty)
        self.sure, self.worth = sure, worth

    def _show_sure(self) -> None:
        if self.sure is None or self.sure.result is not self.store.result or self._wall is None:
            return
        self.litres.value = words.litres(self.sure, self._wall)
        self._mark(self.worth)

    def _mark(self, worth: WorthReading | None) -> None:
        """Mark the places to read next, on the map and in the grid; none where it is enough."""
        formats = self.store.job.formats
        places = worth.places if worth is not None and not worth.is_enough else ()
        marks = {
            key_of(each.reading.x_m, each.reading.z_m): words.next_mark(n, each, formats)
            for n, each in enumerate(places, start=1)
        }
        if self.keys.marks != marks:
            self.keys.marks = marks
        self.view.mark([(place_mark(n), p.reading.x_m, p.reading.z_m) for n, p in enumerate(places, start=1)])
        order = self.keys.shape.get("order", [])
        in_grid = next(iter(marks), "") in order
        measured = self.sure is not None and self.sure.result is self.store.result
        self.next.value = (
            words.worth(worth, self.store.job, in_grid=in_grid) if measured and self._wall else ""
        )
        set_shown(self._next_row, bool(places))


def key_of(x_m: float, z_m: float) -> str:
    """What a place is called between the page and the kernel [m].

    Examples
    --------
    >>> key_of(0.5, 2)
    '0.500 2.000'
    """
    return f"{x_m:.3f} {z_m:.3f}"


def _text(read: Read, written: Callable[[float], str]) -> str:
    """A reading as it stands in its box."""
    return words.DASH if isinstance(read, str) or read is None else written(read)
