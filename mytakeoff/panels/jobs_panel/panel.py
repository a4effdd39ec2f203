"""The panel over all jobs of a folder: table, filters, what they come to together, the odd ones."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import ipywidgets as widgets

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job.job import State
from mytakeoff.jobs.chosen import NOT_PRICED, Wanted, in_order, kind_of
from mytakeoff.jobs.found import job_folders
from mytakeoff.jobs.rows import Row
from mytakeoff.panels.jobs_panel import pictures, words
from mytakeoff.panels.jobs_panel.book import Book
from mytakeoff.panels.jobs_panel.table import JobTable
from mytakeoff.panels.lessons.fold import LessonsFold
from mytakeoff.panels.parts.bind import labelled_list, number_box, text_box
from mytakeoff.panels.parts.boxes import numbers_in
from mytakeoff.panels.parts.buttons import make_buttons
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import element, message
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.panel import Panel
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.resources import demo_folder

STYLE = source(__file__, "panel.css")
LIMITS = {"least": "At least", "most": "At most"}


class JobsPanel(Panel):
    """All jobs of a folder.

    Attributes
    ----------
    controls, widget, problem
        Those of every panel.
    table : JobTable
    shown : tuple of Row
        The rows that the filters leave, in the order of the table.
    book : Book
        All rows, and which of them are priced just now.
    lessons : LessonsFold
        What those of them that are done say for the next job.
    """

    def __init__(self, place: Path, only: tuple[str, ...] = ()) -> None:
        super().__init__()
        self.shown: tuple[Row, ...] = ()
        self._order, self._falling = "title", False
        self._drawing, self._drawn = Steps(), list[Row]()
        self.page = make(PageAids)
        self.headline, self.progress, self.counted, self.chart = (make(widgets.HTML) for _ in range(4))
        self.table = make(JobTable, self.sort, head=words.head_of_table(), css="mt-job-table")
        self._make_controls()
        self.book = Book(place, self._show, self.failed, lambda: self.page.comm is None, only, keeps=not only)
        self.lessons = LessonsFold(place, lambda: words.formats_of(self.book.rows.values()), self.failed)
        self.widget = self._layout()
        for control in self.controls.values():
            self.follow(control, self._filter)
        self._show_limits()
        self.book.start()
        self._show()

    def _make_controls(self) -> None:
        states = [("all", ""), *((state, state) for state in get_args(State))]
        limited = {**{key: text for key, text in words.HEADS.items() if key != "state"}, **words.MORE}
        self.controls: dict[str, Any] = {
            "text": text_box("jobs-text", "Words in it", placeholder="name, place, client, reason"),
            "state": labelled_list("jobs-state", "State", [*states, ("without a price", NOT_PRICED)], ""),
            "column": labelled_list(
                "jobs-column",
                "Limit a column",
                [("none", ""), *((text, key) for key, text in limited.items())],
                "",
            ),
            "contains": text_box("jobs-contains", "What stands in it"),
            **{name: number_box(f"jobs-{name}", label) for name, label in LIMITS.items()},
        }
        self.buttons = make_buttons({"show-all": ("Show all jobs", self.show_all)}, self.failed)

    # -- what the hand can do -------------------------------------------------------------------

    def sort(self, column: str) -> None:
        """Sort by a column of the table; by the same once more, the other way round."""
        self._falling = column == self._order and not self._falling
        self._order = column
        self._show()

    def show_all(self) -> None:
        """Take every filter off."""
        with self.quietly():
            for control in self.controls.values():
                control.value = ""
        self._filter()

    @property
    def wanted(self) -> Wanted:
        """What the filters say.

        Raises
        ------
        TakeoffError
            A limit that is no number.
        """
        of = {name: control.value for name, control in self.controls.items()}
        numbers = bool(of["column"]) and kind_of(of["column"]) != "text"
        least, most = (self._limit(name) if numbers else None for name in LIMITS)
        return Wanted(of["state"], of["text"], of["column"], of["contains"], least, most)

    def _limit(self, name: str) -> float | None:
        box = self.controls[name]
        try:
            limit = None if box.value == "" else numbers_in(box)[0]
        except TakeoffError:
            box.mark(True)
            raise
        box.mark(False)
        return limit

    def _filter(self) -> None:
        self._show_limits()
        self._show()

    def _show_limits(self) -> None:
        """Only the boxes that go with the column."""
        column = self.controls["column"].value
        text = bool(column) and kind_of(column) == "text"
        for name in ("contains", *LIMITS):
            set_shown(self.controls[name], bool(column) and text == (name == "contains"))

    # -- what follows the rows ------------------------------------------------------------------

    def _show(self) -> None:
        """Show what is known by now, text before pictures."""
        rows, waiting = tuple(self.book.rows.values()), self.book.waiting
        try:
            wanted = self.wanted
        except TakeoffError as error:  # what was shown stays until the limit is one
            self.failed(error)
            return
        self.problem.value = ""
        formats = words.formats_of(rows)
        self.shown = in_order([r for r in rows if wanted.takes(r)], self._order, falling=self._falling)
        for name in LIMITS:
            self.controls[name].write_as(formats)
        self.headline.value = words.headline(self.shown, len(rows), str(self.book.place), formats)
        self.progress.value = message(words.progress(waiting, len(rows)))
        said = words.order_words(self._order, falling=self._falling)
        count = f"{len(self.shown)} of {len(rows)} shown, {said}"
        self.counted.value = element("div", count, css="mt-counted", role="status")
        self.table.show(
            caption=f"All jobs, {said}",
            order={"column": self._order, "falling": self._falling},
            rows=[
                words.line_of(row, formats, self.book.place, busy=row["folder"] in waiting)
                for row in self.shown
            ],
        )
        drawn = sorted(self.shown, key=lambda row: str(row["folder"]))
        others = [row["folder"] for row in drawn] != [row["folder"] for row in self._drawn]
        if others or (drawn != self._drawn and not waiting):  # not for each job that is priced
            self._drawn = drawn
            self._drawing.start(self._draw(), lambda: None, self.failed)

    def _draw(self) -> Iterator[bool]:
        for drawn in pictures.charts(self.shown, words.formats_of(self.shown)):
            self.chart.value = drawn
            yield True

    def _layout(self) -> widgets.Widget:
        limits = make(widgets.HBox, [self.controls[name] for name in ("contains", *LIMITS)], css="mt-limits")
        of = self.controls
        parts = {
            "headline": [self.headline, self.problem],
            "controls": [
                of["text"],
                of["state"],
                of["column"],
                limits,
                *self.buttons.values(),
                self.progress,
            ],
            "table": [self.counted, self.table],
            "map": [heading("Price a square metre against mean thickness"), self.chart],
            "notes": [self.lessons.widget],
        }
        return framed(parts, self.page, STYLE, "mt-jobs-panel")


def jobs(folder: str | Path | None = None) -> JobsPanel:
    """The panel over all jobs of a folder.

    Parameters
    ----------
    folder : str or Path, optional
        The folder that the job folders lie in. Unless given: the folder that one is in, if a folder in it
        holds a job, else the one of the demo job, which then is the only one.

    Returns
    -------
    JobsPanel
        Show it as the last expression of a cell. Where a loop runs, jobs are priced while it is shown, and
        again when their files change; in a script they are priced when it is there.

    Raises
    ------
    TakeoffError
        No such folder.
    """
    if folder is None:
        here = Path.cwd()
        return (
            JobsPanel(here) if job_folders(here) else JobsPanel(demo_folder().parent, (demo_folder().name,))
        )
    place = Path(folder)
    if not place.is_dir():
        rule = "the table is of the jobs in a folder"
        raise TakeoffError(Mistake("no such folder", rule, "name one that holds job folders", str(place)))
    return JobsPanel(place.absolute())
