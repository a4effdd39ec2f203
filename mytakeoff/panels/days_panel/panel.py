"""The panel for buying and days: when what is done, when paint can follow, what to buy and to carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.buying.order import Order, cheapest_order
from mytakeoff.charts.drawing.canvas import png_bytes, svg_text
from mytakeoff.errors import TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import write_csv
from mytakeoff.io.files.written import ORDER, PROGRAMME
from mytakeoff.io.job.save_job import save_job
from mytakeoff.io.tables.calendar_file import write_diary
from mytakeoff.io.tables.orders import export_order
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Buying, PackList
from mytakeoff.job.rates import LabourRates
from mytakeoff.options.compare import AS_THE_JOB, ways_of, with_way
from mytakeoff.panels.days_panel import pictures as daypictures
from mytakeoff.panels.days_panel import words as daywords
from mytakeoff.panels.days_panel.controls import (
    BUYING,
    CONFIDENCE,
    DAYS,
    NUMBERS,
    with_calendar,
    with_saturdays,
)
from mytakeoff.panels.parts import words
from mytakeoff.panels.parts.bind import BoundNumber, labelled_list, tick
from mytakeoff.panels.parts.buttons import Action, button_row, make_buttons, safely
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.look import DAY_STYLE
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.programme.programme import Programme, work_programme
from mytakeoff.ranges.job_ranges import JobRanges, ranges_steps
from mytakeoff.result import Result
from mytakeoff.store import Store

WIDE_PX, NARROW_PX = 960.0, 360.0


class DaysPanel:
    """Programme and order over one store.

    Attributes
    ----------
    store : Store
    programme, order : Programme, Order
        Of the store's result, or of the last result that has both.
    controls : dict of str to widget
    widget : widgets.Widget
        Show it as the last expression of a cell.
    """

    programme: Programme
    order: Order

    def __init__(self, job: Job, today: date | None = None) -> None:
        start = job.calendar.start or today or date.today()
        self.saved = job
        self.store = Store(with_calendar(job, start=start))
        self.sure: JobRanges | None = None
        self._sure_for: tuple[Any, ...] = ()
        self._sure_wanted: tuple[Any, ...] = ()
        self._steps, self._drawing, self._busy = Steps(), Steps(), False
        self.numbers = {number.name: BoundNumber(self.store, number) for number in NUMBERS}
        self.way = labelled_list("way", "How the walls are treated", ways_of(job), AS_THE_JOB)
        self._way = AS_THE_JOB
        self.start = widgets.DatePicker(
            value=start, description="First day on site", style={"description_width": "initial"}
        )
        for css in ("mt-start", "mt-pick", "mt-control"):
            self.start.add_class(css)
        self.saturdays = tick("saturdays", "Saturdays are worked on", "saturday" in job.calendar.weekdays)
        self.by_sureness = tick("by_sureness", "Order bags that last at this confidence", False)
        self.headline, self.problem, self.status, self.said = (widgets.HTML() for _ in range(4))
        self.bars, self.narrow_bars, self.walls, self.days = (widgets.HTML() for _ in range(4))
        self.order_list, self.over, self.carrying = (widgets.HTML() for _ in range(3))
        self.controls: dict[str, Any] = {
            **{name: number.slider for name, number in self.numbers.items()},
            "way": self.way,
            "start": self.start,
            "saturdays": self.saturdays,
            "by_sureness": self.by_sureness,
        }
        self.page = PageAids(names={number.name: number.label for number in NUMBERS})
        self.buttons = self._make_buttons()
        self.widget = self._layout()
        self._watch()
        self.refresh()

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.widget._repr_mimebundle_(**kwargs)

    # -- what the hand can do -------------------------------------------------------------------

    def save(self) -> None:
        """Save start, crew, hours, waits, buying and the way of treating the walls to the job folder."""
        job = self.store.job
        if not job.folder:
            self._say("This job was not opened from a folder, so there is nowhere to save it.")
            return
        save_job(job, job.folder, self.saved)
        self.saved, self._way = job, AS_THE_JOB
        self._set(self.way, AS_THE_JOB)
        self._say(f"Saved to {job.folder}.")

    def write_order(self, folder: str | Path | None = None) -> Path:
        """Write the order list as CSV, with a companion text; gives where the list went."""
        target = self._folder(folder) / ORDER
        companion = export_order(self.order, self.store.result, target)
        self._say(f"The order is in {target}, what is over and to carry in {companion.name} beside it.")
        return target

    def write_programme(self, folder: str | Path | None = None) -> Path:
        """Write the programme as CSV; gives where it went."""
        target = self._folder(folder) / PROGRAMME
        write_csv(self.programme.to_frame(), target, decimal_comma=self.store.job.decimal_comma)
        self._say(f"The programme is in {target}.")
        return target

    def write_calendar(self, folder: str | Path | None = None) -> Path:
        """Write the programme as a calendar file; gives where it went."""
        target = self._folder(folder) / "programme.ics"
        write_diary(self.programme, target)
        self._say(f"The calendar file is in {target}: open it in any diary.")
        return target

    def write_chart(self, folder: str | Path | None = None) -> tuple[Path, Path]:
        """Write the bars by day as PNG and SVG; gives where they went."""
        png, svg = (self._folder(folder) / f"programme.{kind}" for kind in ("png", "svg"))
        figure = daypictures.figure_of(self.programme)
        write_all({png: png_bytes(figure), svg: svg_text(figure, "programme").encode("utf-8")})
        self._say(f"The chart is in {png} and in {svg.name} beside it.")
        return png, svg

    def _folder(self, folder: str | Path | None) -> Path:
        return Path(folder if folder is not None else self.store.job.folder or ".")

    def go_back(self, name: str) -> None:
        """Return one slider to the saved job's value."""
        if name in self.numbers:
            self.numbers[name].go_back(self.saved)

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self) -> None:
        """Show programme and order of the store's result; what cannot be made leaves the last one."""
        result = self.store.result
        for number in self.numbers.values():
            number.refresh(result.job)
        self._set(self.start, result.job.calendar.start)
        self._set(self.saturdays, "saturday" in result.job.calendar.weekdays)
        if self.by_sureness.value and self._sure_wanted != _key(result):
            self._work_sureness_out(result)
        try:
            made, bought = work_programme(result), cheapest_order(result, self._sure_bags(result))
        except TakeoffError as error:
            self._failed(error)
            return
        self.programme, self.order = made, bought
        self.problem.value = words.problem(self.store.problem)
        self._show(result)

    def _show(self, result: Result) -> None:
        made, bought = self.programme, self.order
        self.headline.value = daywords.headline(made, bought, self.way.value)
        self.walls.value = daywords.wall_table(made)
        self.days.value = f"<div class='mt-scroll' tabindex='0'>{daywords.day_table(made)}</div>"
        self.order_list.value = f"<div class='mt-scroll' tabindex='0'>{daywords.order_table(bought)}</div>"
        self.over.value = daywords.over_list(bought)
        self.carrying.value = daywords.carry_list(bought, result)
        self._drawing.start(self._draw(made), lambda: None, self._failed)

    def _draw(self, made: Programme) -> Iterator[None]:
        """The bars, for a wide panel and then for a narrow one; dropped where the days change meanwhile."""
        for bars, css, width_px in ((self.bars, "wide", WIDE_PX), (self.narrow_bars, "narrow", NARROW_PX)):
            drawn = daypictures.bars_svg(made, width_px, css)
            bars.value = f"<div class='mt-bars mt-bars-{css}'>{drawn}</div>"
            yield

    def _sure_bags(self, result: Result) -> JobRanges | None:
        """How sure the bags are, where that was asked for and is worked out for this result."""
        return self.sure if self.by_sureness.value and self._sure_for == _key(result) else None

    def _work_sureness_out(self, result: Result) -> None:
        """Work out how many bags last, a step at a time; meanwhile the order is for the bags as priced."""
        self.status.value = words.said("Working out how sure the bags are; the order is for those priced.")
        self._sure_wanted = _key(result)

        def work() -> Iterator[None]:
            self.sure = yield from ranges_steps(result)
            self._sure_for = _key(result)

        self._steps.start(work(), self._sureness_done, self._failed)

    def _sureness_done(self) -> None:
        if self._sure_for == _key(self.store.result):
            self.status.value = words.said("The order is for bags that last at this confidence.")
            self.order = cheapest_order(self.store.result, self.sure)
            self._show(self.store.result)

    # -- wiring and layout ----------------------------------------------------------------------

    def _say(self, text: str) -> None:
        self.said.value = words.said(text)

    def _failed(self, error: Exception) -> None:
        self.problem.value = words.problem(str(error))

    def _set(self, control: Any, value: Any) -> None:
        """Show a value without taking it for a choice of the user's."""
        self._busy = True
        try:
            if control.value != value:
                control.value = value
        finally:
            self._busy = False

    def _make_buttons(self) -> dict[str, widgets.Button]:
        doing: dict[str, tuple[str, Action]] = {
            "save": ("Save to the job", self.save),
            "order": ("Write the order", self.write_order),
            "programme": ("Write the programme", self.write_programme),
            "calendar": ("Write the calendar file", self.write_calendar),
            "chart": ("Write the chart", self.write_chart),
        }
        return make_buttons(doing, self._failed)

    def _watch(self) -> None:
        self.store.observe(safely(self.refresh, self._failed), "result")
        self.store.observe(lambda change: self._told(change["new"]), "problem")
        self.way.observe(safely(self._treat, self._failed), "value")
        self.start.observe(safely(self._begin, self._failed), "value")
        self.saturdays.observe(safely(self._work_saturdays, self._failed), "value")
        self.by_sureness.observe(safely(self._order_by_sureness, self._failed), "value")
        self.page.observe(lambda change: self.go_back(str(change["new"].get("name"))), "back")

    def _told(self, text: str) -> None:
        if text:
            self.problem.value = words.problem(text)

    def _treat(self) -> None:
        if self._busy:
            return
        name, saved = self.way.value, self.saved
        if self.store.apply(lambda job: with_way(job, saved, name), "way"):
            self._way = name
            self.refresh()
        else:
            self._set(self.way, self._way)

    def _begin(self) -> None:
        if not self._busy and self.start.value is not None:
            self.store.apply(lambda job: with_calendar(job, start=self.start.value), "start")

    def _work_saturdays(self) -> None:
        if not self._busy:
            self.store.apply(lambda job: with_saturdays(job, self.saturdays.value), "saturdays")

    def _order_by_sureness(self) -> None:
        if not self.by_sureness.value:
            self._steps.stop()
            self._sure_wanted, self.status.value = self._sure_for, ""
        self.refresh()

    def _layout(self) -> widgets.Widget:
        of = {name: number.widget for name, number in self.numbers.items()}
        folded = widgets.Accordion(
            [widgets.VBox([of[number.name] for number in BUYING])],
            titles=("Carrying and bringing back",), selected_index=None,
        )  # fmt: skip
        controls = [
            self.way,
            self.start,
            *(of[number.name] for number in DAYS),
            self.saturdays,
            of[CONFIDENCE.name],
            self.by_sureness,
            self.status,
            folded,
            button_row(self.buttons),
            self.said,
        ]
        by_day = widgets.Accordion([self.days], titles=("Day by day",), selected_index=0)
        parts = {
            "headline": [self.headline, self.problem],
            "map": [self.bars, self.narrow_bars, heading("Paint"), self.walls, by_day],
            "controls": controls,
            "notes": [
                heading("What to buy"),
                self.order_list,
                heading("What is left over"),
                self.over,
                heading("Carrying it up"),
                self.carrying,
            ],
        }
        return framed(parts, self.page, DAY_STYLE, "mt-day-panel")


def _key(result: Result) -> tuple[Any, ...]:
    """What the range of the bags depends on: neither crew nor days, nor how it is bought."""
    job = result.job
    bare = replace(job, calendar=Calendar(), buying=Buying(), packs=PackList(), rates=LabourRates())
    return bare, *result.walls


def buying_and_days(job: Job, today: date | None = None) -> DaysPanel:
    """The panel for buying and days.

    Parameters
    ----------
    job : Job
    today : date, optional
        First day on site where the job says none; today unless given.

    Returns
    -------
    DaysPanel
        Show it as the last expression of a cell.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated, or has no programme or no order.
    """
    return DaysPanel(job, today)
