"""The panel for buying and days: when what is done, when paint can follow, what to buy and to carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.audience import CLIENT, named_for
from mytakeoff.buying.order import Order, cheapest_order, order_as_priced, take_order
from mytakeoff.charts.drawing.canvas import png_bytes, svg_text
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import write_csv
from mytakeoff.io.files.written import ORDER, PROGRAMME
from mytakeoff.io.tables.calendar_file import write_diary
from mytakeoff.io.tables.orders import export_order
from mytakeoff.job.job import Job
from mytakeoff.options.compare import AS_THE_JOB, ways_of, with_way
from mytakeoff.panels.days_panel import pictures, words
from mytakeoff.panels.days_panel.controls import (
    BUYING,
    DAYS,
    NUMBERS,
    ORDER_WORDS,
    with_saturdays,
)
from mytakeoff.panels.parts.bind import labelled_list, offer, tick
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.controls import CONFIDENCE, first_day, shown_to, with_part
from mytakeoff.panels.parts.fold import Fold, explained
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import Html, element, scrolling
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.programme.programme import Programme, work_programme
from mytakeoff.result import Result

WIDE_PX, NARROW_PX = 960.0, 360.0
STYLE = source(__file__, "panel.css")


class DaysPanel(JobPanel):
    """Programme and order over one store.

    Attributes
    ----------
    controls, widget, store
        Those of every panel.
    programme, order : Programme, Order
        Of the store's result, the order as it is priced; None where it has none, and `problem` says why.
    cheaper : Order or None
        The cheapest order for the same, once it has been looked for.
    """

    programme: Programme | None
    order: Order | None
    workbook = "buying and days"

    def __init__(self, job: Job, today: date | None = None) -> None:
        self.today, self.start = today, first_day(job, today)
        super().__init__(job, NUMBERS)
        self.cheaper: Order | None = None
        self._searching, self._drawing = Steps(), Steps()
        self.way = labelled_list("way", "How the walls are treated", ways_of(job), AS_THE_JOB)
        self._way = AS_THE_JOB
        self.view = shown_to()
        self.saturdays = tick("saturdays", "Saturdays are worked on", "saturday" in job.calendar.weekdays)
        self.headline, self.proposal = make(widgets.HTML), make(widgets.HTML)
        self.bars, self.narrow_bars, self.walls, self.days = (make(widgets.HTML) for _ in range(4))
        self.order_list, self.over, self.carrying = (make(widgets.HTML) for _ in range(3))
        self.controls: dict[str, Any] = {
            **{name: bound.control for name, bound in self.bound.items()},
            "view": self.view,
            "way": self.way,
            "start": self.start,
            "saturdays": self.saturdays,
        }
        self.buttons = make_buttons(
            {
                "save": ("Save to the job", self.save),
                "take": ("Take this order", self.take_cheaper),
                "order": ("Write the order", self.write_order),
                "programme": ("Write the programme", self.write_programme),
                "calendar": ("Write the calendar file", self.write_calendar),
                "chart": ("Write the chart", self.write_chart),
            },
            self.failed,
        )
        self.widget = self._layout()
        self.watch()
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    def as_begun(self, job: Job) -> Job:
        """With a first day, where the job says none."""
        return replace(job, calendar=job.calendar.begun(self.today or date.today()))

    def shown_as_saved(self) -> None:
        """The walls are treated as the job has it."""
        self._way = AS_THE_JOB
        self.put(self.way, AS_THE_JOB)

    def take_cheaper(self) -> None:
        """Buy as the cheapest order has it: only now does the price move."""
        order = self.cheaper
        if order is not None and self.store.apply(lambda job: take_order(job, order)):
            self.say(f"Bought so the goods are {order.job.formats.amount(order.total)} before tax.")

    def write_order(self, folder: str | Path | None = None) -> Path:
        """Write the order list as CSV, with a companion text; gives where the list went."""
        target, result = self.folder(folder) / ORDER, self.settled()
        companion = export_order(self.to_write(self.order), result, target)
        self.say(f"The order is in {target}, what is over and to carry in {companion.name} beside it.")
        return target

    def write_programme(self, folder: str | Path | None = None) -> Path:
        """Write the programme as CSV; gives where it went."""
        self.settled()
        target = self.folder(folder) / named_for(PROGRAMME, self.view.value)
        frame = self.to_write(self.programme).to_frame(self.view.value)
        write_csv(frame, target, decimal_comma=self.store.job.decimal_comma)
        self.say(f"The programme is in {target}.")
        return target

    def write_calendar(self, folder: str | Path | None = None) -> Path:
        """Write the programme as a calendar file; gives where it went."""
        self.settled()
        target = self.folder(folder) / named_for("programme.ics", self.view.value)
        write_diary(self.to_write(self.programme), target, self.view.value)
        self.say(f"The calendar file is in {target}: open it in any diary.")
        return target

    def write_chart(self, folder: str | Path | None = None) -> tuple[Path, Path]:
        """Write the bars by day as PNG and SVG; gives where they went."""
        self.settled()
        made, audience = self.to_write(self.programme), self.view.value
        png, svg = (self.folder(folder) / named_for(f"programme.{kind}", audience) for kind in ("png", "svg"))
        figure = pictures.figure_of(made, title=True, audience=audience)
        write_all({png: png_bytes(figure), svg: svg_text(figure, "programme").encode("utf-8")})
        self.say(f"The chart is in {png} and in {svg.name} beside it.")
        return png, svg

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self) -> None:
        """Show programme and order of the store's result; what cannot be made leaves the last one.

        A programme that leaves walls out is shown, with why they are missing.
        """
        result = self.store.result
        self.show_bound()
        with self.quietly():
            offer(self.way, ways_of(result.job))
        self.put(self.start, result.job.calendar.start)
        self.put(self.saturdays, "saturday" in result.job.calendar.weekdays)
        for part in self.worked:
            set_shown(part, bool(result.walls))
        if not result.walls:
            self._show_nothing(result.job)
            return
        check = Check()
        self.order = check.made(lambda: order_as_priced(result))
        self.programme = check.made(lambda: work_programme(result))
        self.why = str(TakeoffError(*check.mistakes))
        if self.programme is not None and not self.why:
            self.why = words.missing(self.programme)
        self.show_problem()
        self._show(result)

    def _show_nothing(self, job: Job) -> None:
        """No wall is read: there are no days and there is nothing to buy."""
        self.order = self.programme = self.cheaper = None
        self.why = ""
        for steps in (self._searching, self._drawing):
            steps.stop()
        self.show_problem()
        self.headline.value = words.nothing(job, self.view.value)

    def _show(self, result: Result) -> None:
        """What could be made; in place of what could not, what is there from before stays."""
        made, bought, audience = self.programme, self.order, self.view.value
        if made is not None and bought is not None:
            self.headline.value = words.headline(made, bought, self.way.value, audience, result.not_read)
        if made is not None:
            self.walls.value = words.wall_table(made)
            self.days.value = scrolling(words.day_table(made, audience))
            self._drawing.start(self._draw(made), lambda: None, self.failed)
        self.cheaper = None
        self._searching.stop()
        if bought is not None:
            self.order_list.value = scrolling(words.order_table(bought))
            self.over.value = words.over_list(bought)
            self.carrying.value = words.carry_list(bought, result)
            self._searching.start(self._search(result, bought), lambda: None, self.failed)

    def _draw(self, made: Programme) -> Iterator[None]:
        """The bars, for a wide panel and then for a narrow one; dropped where the days change meanwhile."""
        for bars, css, width_px in ((self.bars, "wide", WIDE_PX), (self.narrow_bars, "narrow", NARROW_PX)):
            drawn = Html(pictures.bars_svg(made, width_px, css))
            bars.value = element("div", drawn, css=f"mt-bars mt-bars-{css}")
            yield

    def _search(self, result: Result, bought: Order) -> Iterator[bool]:
        """Look for a cheaper order, after the rest is shown; dropped where the job changes meanwhile."""
        self.proposal.value, self.buttons["take"].disabled = element("p", "Looking for less …"), True
        yield True  # the hand goes on meanwhile
        self.cheaper = cheapest_order(result)
        self.proposal.value = words.cheaper_list(bought, self.cheaper)
        self.buttons["take"].disabled = self.cheaper.saves_over(bought) <= 0

    # -- wiring and layout ----------------------------------------------------------------------

    def watch(self) -> None:
        """Follow the store and the hand."""
        super().watch()
        self.follow(self.view, self._show_view)
        self.follow(self.way, self._treat)
        self.follow(self.start, self._begin)
        self.follow(self.saturdays, self._work_saturdays)

    def _show_view(self) -> None:
        """A client sees days and paint: neither what is bought nor how it is reckoned."""
        for part in self.estimators:
            set_shown(part, self.view.value != CLIENT)
        result = self.store.result
        if result.walls:
            self._show(result)
        else:
            self._show_nothing(result.job)

    def _treat(self) -> None:
        name, saved = self.way.value, self.saved
        if self.store.apply(lambda job: with_way(job, saved, name), "way"):
            self._way = name
            self.refresh()
        else:
            self.put(self.way, self._way)

    def _begin(self) -> None:
        asked = self.start.value
        if asked is None:
            return
        begins = self.store.job.calendar.worked_from(asked)
        self.put(self.start, begins)
        self.store.apply(lambda job: with_part(job, "calendar", start=begins), "start")
        if begins != asked:
            day = self.store.job.formats.day
            self.say(f"Nobody works on {day(asked)}: the work begins on {day(begins)}.")

    def _work_saturdays(self) -> None:
        self.store.apply(lambda job: with_saturdays(job, self.saturdays.value), "saturdays")

    def _layout(self) -> widgets.Widget:
        of = {name: number.widget for name, number in self.numbers.items()}
        folded = Fold(
            "Carrying and bringing back", make(widgets.VBox, [of[number.name] for number in BUYING])
        )
        buying = [of[CONFIDENCE.name], folded]
        bought = [
            heading("What to buy"),
            self.order_list,
            heading("For less"),
            self.proposal,
            self.buttons["take"],
            explained(ORDER_WORDS),
            heading("What is left over"),
            self.over,
            heading("Carrying it up"),
            self.carrying,
        ]
        numbers = [of[number.name] for number in DAYS]
        self.estimators = [*numbers, *buying, *bought, self.buttons["order"]]
        controls = [self.view, self.way, self.start, *numbers, self.saturdays, *buying]
        others = {name: button for name, button in self.buttons.items() if name != "take"}
        by_day = Fold("Day by day", self.days, opened=True)
        planned = make(widgets.VBox, [self.bars, self.narrow_bars, heading("Paint"), self.walls, by_day])
        to_buy = make(widgets.VBox, bought)
        self.worked = (planned, to_buy)
        parts = {
            "headline": [self.headline, self.first, self.folder_line.widget, self.problem],
            "map": planned,
            "controls": [*controls, self.unsaved_line, button_row(others), self.elsewhere, self.said],
            "notes": to_buy,
        }
        return framed(parts, self.page, STYLE, "mt-day-panel")


def buying_and_days(job: Job, today: date | None = None) -> DaysPanel:
    """The panel for buying and days.

    Parameters
    ----------
    job : Job
    today : date, optional
        Where the job says no first day, work begins on the next one that is worked on; the clock's day unless
        given.

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
