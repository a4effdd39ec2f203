"""The options panel: every way of treating the walls side by side, for the client and for the estimator."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.audience import CLIENT, Audience, named_for
from mytakeoff.charts.drawing.canvas import png_bytes, svg_text
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import csv_bytes
from mytakeoff.io.files.written import OPTIONS
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import PlumbThing
from mytakeoff.options.result import OptionResult
from mytakeoff.options.table import options_frame
from mytakeoff.panels.options_panel import pictures, words
from mytakeoff.panels.options_panel.controls import NUMBERS, make_choices
from mytakeoff.panels.options_panel.layout import Folds, side
from mytakeoff.panels.options_panel.own import OwnOptions, PlumbThings
from mytakeoff.panels.options_panel.table import OptionTable
from mytakeoff.panels.options_panel.work import Option, OptionsWork
from mytakeoff.panels.parts.bind import labelled_list, offer
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.controls import first_day, shown_to
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import listed
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.quoting import HandingOver
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.ranges.job_ranges import JobRanges

NOTHING = "nothing plumb"
STYLE = source(__file__, "panel.css")


class OptionsPanel(JobPanel):
    """Options side by side over one store.

    Attributes
    ----------
    controls, widget, store
        Those of every panel; the store's job is what the options are made of.
    work : OptionsWork
        What is worked out of that job so far.
    """

    workbook = "options"

    def __init__(self, job: Job, today: date | None = None) -> None:
        super().__init__(job, NUMBERS)
        self.work = OptionsWork(job)
        self._steps, self._extra = Steps(), Steps()
        self._drawn: dict[str, object] = {}
        self.bound |= make_choices(self.store)
        self.own = OwnOptions(self.store, self.failed)
        self.things = PlumbThings(self.store, self.failed)
        self.view = shown_to(CLIENT)
        self.beside = labelled_list("beside", "Lean seen beside", [NOTHING], NOTHING)
        self.start = first_day(job, today)
        names = [wall.name for wall in job.priced_walls]
        self.wall = labelled_list("wall", "Wall on the sheet", names)
        self.driven = labelled_list("driven", "Option", [""], "")
        self.table, self.folds = make(OptionTable), Folds()
        self.title, self.status, self.key = (make(widgets.HTML) for _ in range(3))
        self.controls: dict[str, Any] = {
            "view": self.view, "beside": self.beside, "start": self.start, "wall": self.wall,
            "driven": self.driven, **{name: each.control for name, each in self.bound.items()},
            **self.own.controls, **self.things.controls,
        }  # fmt: skip
        self.handing_over = HandingOver(self)
        self.buttons = self.handing_over.buttons | make_buttons(
            {
                "save": ("Save to the job", self.save),
                "undo": ("Undo", self.undo),
                "restore": ("Back to the saved job", self.restore),
                "export": ("Write table and pictures", self.export),
                "stop": ("Stop", self._stop_extra),
            },
            self.failed,
        )
        self.widget = self._layout()
        self.watch()
        self._show_view()
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    @property
    def options(self) -> list[Option]:
        """What the table shows."""
        return self.work.options

    @property
    def sure(self) -> dict[str, JobRanges]:
        """How sure the figures of an option are, as far as that is worked out, by its name."""
        return self.work.sure

    def carry(self, name: str) -> None:
        """Make an option the job that the budget workbook opens."""
        option = self.work.named(name)
        if option is None:
            self.say(f"{name} is not worked out, so it cannot be carried to the budget.")
        elif self._keep(option.result.job):
            self.say(
                f"{name} is now the job in {self.saved.folder}. An open budget workbook shows it in a moment."
            )

    def shown_as_saved(self) -> None:
        """Mark the option that the saved job is."""
        self._show()

    def export(self, folder: str | Path | None = None) -> tuple[Path, ...]:
        """Write the table as CSV and the sheets as PNG and SVG, all or none; nothing before all is known.

        They are for whom the panel is shown to, and their names say so.

        Returns
        -------
        tuple of Path
            The table first.
        """
        work = self.work
        if not work.order:
            self.to_write(None)
        if not work.ranged or not work.done:
            self.say("Not all options and ranges are worked out yet: wait a moment and press again.")
            return ()
        target = self.folder(folder)
        audience: Audience = self.view.value
        view = pictures.SheetView(self.wall.value, self._thing(), self._day(), audience)
        pages = pictures.sheets(work.placed, work.best, work.sure, view)
        frame = options_frame(work.options, work.sure, audience)
        files: dict[Path, bytes] = {
            target / named_for(OPTIONS, audience): csv_bytes(frame, self.store.job.decimal_comma)
        }
        for name, page in pictures.paper_names(pages, work.placed, view):
            files[target / name.replace(".svg", ".png")] = png_bytes(page)
            files[target / name] = svg_text(page, name.removesuffix(".svg")).encode("utf-8")
        write_all(files)
        self.say(f"Written to {target}: {', '.join(path.name for path in files)}.")
        return tuple(files)

    def work_out(self) -> None:
        """What lies between the readings is worked out with the options, of all of them."""

    # -- work in steps --------------------------------------------------------------------------

    def refresh(self) -> None:
        """Work the options out anew; what is shown stays, marked as updating, until it is replaced."""
        job = self.store.job
        self.show_problem()
        self.show_bound()
        for form in (self.own, self.things):
            form.refresh(job)
        self.buttons["undo"].disabled = not self.store.can_undo
        with self.quietly():
            self._list_things(job)
            offer(self.wall, [wall.name for wall in job.priced_walls])
        self._show_title()
        for part in self.worked:
            set_shown(part, bool(job.priced_walls))
        self._extra.stop()
        self.work = OptionsWork(job, self.work)
        if not self.work.known:
            self._show()
        self._steps.start(self._all_work(self.work), self._show, self.failed)

    def _all_work(self, work: OptionsWork) -> Iterator[bool | None]:
        """Text first: the options, then their pictures, then what no one waits for."""
        for shown in work.work_options():
            yield shown
            yield from self._follow(work)
        yield True
        yield from self._follow(work)
        found = yield from work.work_left_open()
        if found:  # all of it is worked out anew with that, and shown once
            self.store.learn(found)
            return
        yield from work.work_ranges()
        yield True
        self._draw(work)
        self._start_extra()

    def _follow(self, work: OptionsWork) -> Iterator[None]:
        """What follows the words of the rows that are shown: pictures, then days."""
        if work.shown:
            self._draw(work)
            yield from work.work_dates(self._day())

    def _start_extra(self) -> None:
        """The curve and the bars, where their folds are open; nothing of a job before is taken for new."""
        if self.work.complete and self.work.order:
            self._extra.start(self._extra_work(self.work), self._show_extra, self.failed)

    def _extra_work(self, work: OptionsWork) -> Iterator[bool | None]:
        yield from self.folds.work_squared(work.job, work.done, self.view.value)
        if self.folds.is_open("true"):
            self.folds.true.value = pictures.true_tapers(work.placed, self._thing())
            yield True
        if self.folds.is_open("curve") and not work.curve_done:
            yield from work.work_curve()
        if self.folds.is_open("drivers"):
            yield from work.work_drivers(self.driven.value)
        yield True

    # -- showing ----------------------------------------------------------------------------------

    def _show(self) -> None:
        """The table as far as it is worked out."""
        work, audience = self.work, self.view.value
        client = audience == CLIENT
        seen = words.Seen(work.best, work.sure, work.heads, self._carried(), audience)
        rows = [self._row(at, name, seen) for at, name in enumerate(work.order)]
        gaps = list(pictures.wedges(work.done, self._thing()).values())
        self.table.show(
            caption="Ways of treating the walls, a row for each",
            head=words.head(self._thing(), gaps, "", audience),
            rows=rows,
        )
        work.shown = list(work.fresh)
        self.status.value = words.status(work.fresh, work.order, len(work.sure), len(work.done))
        names = [option.name for option in work.done]
        if work.complete and names and list(self.driven.options) != names:
            self.driven.options = names
            self.driven.value = work.best.name if work.best is not None else names[-1]
        if work.complete and not client and self.folds.is_open("figures"):
            self.folds.figures.value = words.estimator_table(work.options, work.sure, self.store.job.formats)
            self.folds.notices.value = listed(words.notices(work.options))

    def _row(self, at: int, name: str, seen: words.Seen) -> dict[str, Any]:
        """One row: of this job, of the job before, or with no more than its name."""
        option = self.work.known.get(name)
        if option is None:
            return words.blank_row(at, name)
        updating = name not in self.work.fresh or (isinstance(option, OptionResult) and option.result.held)
        return words.row(at, option, seen, "updating" if updating else "")

    def _draw(self, work: OptionsWork) -> None:
        """The pictures of the rows whose words are shown, where they differ from those there."""
        done, thing = work.done, self._thing()
        top = pictures.common_top(done)
        gaps = pictures.wedges(done, thing)
        times = pictures.exaggeration(gaps)
        dearest, formats = pictures.dearest(done, work.sure), self.store.job.formats
        for at, option in enumerate(done):
            if option.name not in work.shown:
                continue
            self.table.draw(option.name, "price", pictures.band(option, work.sure, dearest))
            content = (
                tuple(wall.build_up for wall in option.walls),
                option.remains,
                top,
                thing,
                times,
                formats,
            )
            if self._drawn.get(option.name) == content:
                continue
            self._drawn[option.name] = content
            self.table.draw(option.name, "walls", pictures.strip(option, top))
            gap = gaps.get(option.name)
            self.table.draw(option.name, "shows", pictures.beside(gap, times, f"row-{at}"))
        if self._drawn.get("") != (top, formats):
            self._drawn[""], self.key.value = (top, formats), pictures.key(top, formats)

    def _show_extra(self) -> None:
        work, folds = self.work, self.folds
        folds.progress.max, folds.progress.value = max(work.points_in_all, 1), len(work.points)
        folds.waiting(folds.is_open("curve") and not work.curve_done)
        if work.curve_done:
            folds.curve.value = pictures.curve_svg(work.points, work.placed, work.sure, work.job)
        if work.drivers:
            folds.drivers.value = pictures.drivers_svg(work.drivers, work.job.formats)

    def _show_view(self) -> None:
        """Client's or estimator's."""
        client = self.view.value == CLIENT
        self._show_title()
        (self.widget.add_class if client else self.widget.remove_class)("mt-for-client")
        for part in self.estimators:
            set_shown(part, not client)

    def _show_title(self) -> None:
        self.title.value = words.title(self.store.result, self.view.value)

    def _day(self) -> date:
        return self.start.value or date.today()

    def _carried(self) -> str:
        """Name of the option that the saved job is."""
        done = (option for option in self.work.done if option.result.job == self.saved)
        return next((option.name for option in done), "")

    def _thing(self) -> PlumbThing | None:
        """What a lean is seen beside."""
        return next((t for t in pictures.things(self.store.job) if t.name == self.beside.value), None)

    def _list_things(self, job: Job) -> None:
        names = [(f"{each.name}, {each.wall}", each.name) for each in pictures.things(job)]
        names = names or [(NOTHING, NOTHING)]
        if list(self.beside.options) != names:
            self.beside.options = names
        set_shown(self.beside, names[0][1] != NOTHING)

    # -- wiring -------------------------------------------------------------------------------------

    def _stop_extra(self) -> None:
        self._extra.stop()
        self.folds.waiting(False)

    def watch(self) -> None:
        """Follow the store and the hand."""
        super().watch()
        self.handing_over.watch()
        self.table.observe(
            lambda change: safely(lambda: self.carry(str(change["new"].get("key"))), self.failed)(), "chosen"
        )
        self.follow(self.view, self._change_view)
        self.follow(self.start, self._change_start)
        self.follow(self.beside, self._change_thing)
        self.follow(self.driven, self._start_extra)
        self.folds.on_open(safely(self._open_fold, self.failed))

    def _change_view(self) -> None:
        self._show_view()
        self._open_fold()

    def _change_start(self) -> None:
        for _ in self.work.work_dates(self._day()):
            pass
        self._show()

    def _change_thing(self) -> None:
        self._show()
        self._draw(self.work)
        self._start_extra()

    def _open_fold(self) -> None:
        self._show()
        self._start_extra()

    # -- layout -------------------------------------------------------------------------------------

    def _layout(self) -> widgets.Widget:
        """All parts of the panel, in the order in which they are read; sets what only the estimator sees, and
        what there is nothing of before a wall is read."""
        self.folds.fold(self.buttons["stop"], self.driven)
        forms = {
            "An option of your own": self.own.widget,
            "Something plumb against a wall": self.things.widget,
        }
        saving = button_row({name: self.buttons[name] for name in ("save", "undo", "restore")})
        writing = button_row({name: self.buttons[name] for name in ("export", *self.handing_over.buttons)})
        below = [self.unsaved_line, saving, self.elsewhere, self.said]  # what was done is said beside both
        controls = side(self.bound, forms, below)
        on_paper = [heading("On paper"), self.wall, self.handing_over.line, writing, self.said]
        paper = make(widgets.VBox, on_paper, css="mt-paper")
        self.estimators = (controls, self.folds.parts["figures"], self.folds.parts["drivers"])
        asked = make(widgets.HBox, [self.view, self.beside, self.start], css="mt-asked")
        head = make(widgets.VBox, [self.title, self.status], css="mt-head")
        top = make(widgets.HBox, [head, asked], css="mt-top")
        self.worked = (self.status, asked, self.table, self.key, *self.folds.parts.values(), paper)
        parts = {
            "controls": controls,
            "map": [
                top,
                self.first,
                self.folder_line.widget,
                self.problem,
                self.table,
                self.key,
                *self.folds.parts.values(),
                paper,
            ],
        }
        return framed(parts, self.page, STYLE, "mt-options-panel")


def options(job: Job, today: date | None = None) -> OptionsPanel:
    """The options panel of a job.

    Parameters
    ----------
    job : Job
    today : date, optional
        Where the job says no first day, work begins on the next one that is worked on; the clock's day unless
        given.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return OptionsPanel(job, today)
