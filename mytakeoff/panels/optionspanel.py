"""The options panel: every way of treating the walls side by side, for the client and for the estimator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.charts.canvas import png_bytes, svg_text
from mytakeoff.drivers import PriceBand, band_steps, price_drivers
from mytakeoff.grades import GRADE_NAMES, OWN
from mytakeoff.io.atomic import write_all
from mytakeoff.io.export import csv_bytes
from mytakeoff.io.jobsave import save_job
from mytakeoff.job import Job
from mytakeoff.options import OptionResult, Refused, best_of, carry, option_steps, options_frame
from mytakeoff.panels import optionpictures, optionwords, words
from mytakeoff.panels.bind import BoundChoice, BoundNumber, labelled_list
from mytakeoff.panels.buttons import Action, button_row, make_buttons, safely
from mytakeoff.panels.look import OPTION_STYLE, STYLE
from mytakeoff.panels.optioncontrols import NUMBERS
from mytakeoff.panels.page import PageAids
from mytakeoff.panels.steps import Steps
from mytakeoff.pricecurve import CurvePoint, curve_tolerances, price_curve
from mytakeoff.store import Store


class OptionsPanel:
    """Options side by side over one store.

    Attributes
    ----------
    store : Store
        Its job is what the options are made of.
    options : list of OptionResult or Refused
        Those that are worked out already, in the order of the table.
    controls : dict of str to widget
    widget : widgets.Widget
        Show it as the last expression of a cell.
    """

    def __init__(self, job: Job, today: date | None = None) -> None:
        self.store, self.saved = Store(job), job
        self.options: list[OptionResult | Refused] = []
        self.bands: dict[str, PriceBand] = {}
        self._steps, self._curve_steps = Steps(), Steps()
        self._points: list[CurvePoint] = []
        self.numbers = {number.name: BoundNumber(self.store, number) for number in NUMBERS}
        grades = [(name, name) for name in (OWN, *GRADE_NAMES)]
        self.grade = BoundChoice(
            self.store, "grade", "Judged by", [("the tolerance under the edge", OWN), *grades[1:]],
            lambda job: job.compare.grade, _with_grade,
        )  # fmt: skip
        names = [wall.name for wall in job.priced_walls]
        self.wall = labelled_list("wall", "Wall in the pictures", names, names[0])
        self.take_down = widgets.Checkbox(
            value=job.compare.take_down, description="Take high spots down where it pays", indent=False
        )
        self.start = widgets.DatePicker(
            value=today or date.today(),
            description="First day on site",
            style={"description_width": "initial"},
        )
        for css in ("mt-pick", "mt-control"):
            self.start.add_class(css)
        self.choice = labelled_list("option", "Option to carry on with", [""], "")
        self.status, self.table, self.figures, self.said, self.problem = (widgets.HTML() for _ in range(5))
        self.curve, self.drivers = widgets.HTML(), widgets.HTML()
        self.progress = widgets.IntProgress(max=1)
        self.controls: dict[str, Any] = {
            **{name: number.slider for name, number in self.numbers.items()},
            "grade": self.grade.control,
            "wall": self.wall,
            "take_down": self.take_down,
            "start": self.start,
            "option": self.choice,
        }
        self.buttons = self._make_buttons()
        self.widget = self._layout()
        self._watch()
        self.refresh()

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.widget._repr_mimebundle_(**kwargs)

    # -- what the hand can do -------------------------------------------------------------------

    def chosen(self) -> OptionResult | None:
        """The option in the list, if it is worked out and can be done."""
        done = (option for option in self.options if isinstance(option, OptionResult))
        return next((option for option in done if option.name == self.choice.value), None)

    def carry(self) -> None:
        """Carry the chosen option to the job that the budget workbook opens."""
        option = self.chosen()
        if option is None:
            self._say("Choose an option that can be done first.")
            return
        job = option.result.job if option.treatment is None else carry(self.store.job, option.treatment)
        if not job.folder:
            self._say("This job was not opened from a folder, so there is nowhere to carry it.")
            return
        save_job(job, job.folder, self.saved)
        self.saved = job
        self._say(f"{option.name} is now the job in {job.folder}. Open or rerun the budget workbook.")

    def export(self, folder: str | Path | None = None) -> tuple[Path, ...]:
        """Write the table as CSV and the sheets as PNG and SVG, all or none.

        Returns
        -------
        tuple of Path
            The table first.
        """
        target = Path(folder if folder is not None else self.store.job.folder or ".")
        done = [option for option in self.options if isinstance(option, OptionResult)]
        pages = optionpictures.sheets(done, best_of(done), self.bands, self.wall.value, self._day())
        files: dict[Path, bytes] = {target / "options.csv": csv_bytes(options_frame(self.options))}
        for number, page in enumerate(pages, start=1):
            name = "options" if len(pages) == 1 else f"options-{number}"
            files[target / f"{name}.png"] = png_bytes(page)
            files[target / f"{name}.svg"] = svg_text(page, name).encode("utf-8")
        write_all(files)
        self._say(f"Written to {target}: {', '.join(path.name for path in files)}.")
        return tuple(files)

    def draw_curve(self) -> None:
        """Work the budget curve and what drives the price out, a point at a time."""
        self.progress.max = len(curve_tolerances(self.store.job)) + 1
        self.progress.value, self._points = 0, []
        self._curve_steps.start(self._curve_work(), self._show_curve, self._failed)

    # -- work in steps --------------------------------------------------------------------------

    def _work(self) -> Iterator[None]:
        """The options one by one, then the range of each price."""
        job = self.store.job
        for option in option_steps(job):
            self.options.append(option)
            self._show()
            yield
        for option in [each for each in self.options if isinstance(each, OptionResult)]:
            for band in band_steps(option.result.job):
                yield
                if band is not None:
                    self.bands[option.name] = band
            self._show()

    def _curve_work(self) -> Iterator[None]:
        for point in price_curve(self.store.job):
            self._points.append(point)
            self.progress.value = len(self._points)
            yield

    def refresh(self) -> None:
        """Work the options out anew; the old table stays, marked as updating, until rows come."""
        job = self.store.job
        self.problem.value = words.problem(self.store.problem)
        for number in self.numbers.values():
            number.refresh(job)
        self.grade.refresh(job)
        self.options, self.bands = [], {}
        self._curve_steps.stop()
        self.curve.value = self.drivers.value = ""
        self.progress.value = 0
        self.status.value = words.said("Working the options out; what is shown is from before.")
        self._steps.start(self._work(), self._done, self._failed)

    def _done(self) -> None:
        self.status.value = words.said("All options are worked out.")
        names = [option.name for option in self.options if isinstance(option, OptionResult)]
        if list(self.choice.options) != names:
            best = best_of(self.options)
            self.choice.options = names
            self.choice.value = best.name if best is not None else names[-1]

    def _failed(self, error: Exception) -> None:
        self.problem.value = words.problem(str(error))

    def _day(self) -> date:
        return self.start.value or date.today()

    def _show(self) -> None:
        """The table as far as it is worked out."""
        done = [option for option in self.options if isinstance(option, OptionResult)]
        best, name = best_of(done), self.wall.value
        drawn = optionpictures.pictures(done, name)
        self.table.value = optionwords.client_table(self.options, best, self.bands, drawn, name, self._day())
        self.figures.value = optionwords.estimator_table(self.options)

    def _show_curve(self) -> None:
        done = [option for option in self.options if isinstance(option, OptionResult)]
        job = self.store.job
        edge = job.compare.straightedge_m
        self.curve.value = optionpictures.curve_svg(self._points, done, job.currency, edge)
        chosen = self.chosen()
        base = chosen.result.job if chosen is not None else job
        self.drivers.value = optionpictures.drivers_svg(price_drivers(base), job.currency)

    # -- wiring and layout ----------------------------------------------------------------------

    def _say(self, text: str) -> None:
        self.said.value = words.said(text)

    def _make_buttons(self) -> dict[str, widgets.Button]:
        doing: dict[str, tuple[str, Action]] = {
            "carry": ("Carry it to the job", self.carry),
            "export": ("Write table and pictures", self.export),
            "curve": ("Draw the budget curve", self.draw_curve),
        }
        return make_buttons(doing, self._failed)

    def _watch(self) -> None:
        self.store.observe(safely(self.refresh, self._failed), "result")
        self.store.observe(
            lambda change: self._failed(Exception(change["new"])) if change["new"] else None, "problem"
        )
        self.take_down.observe(self._tick, "value")
        for control in (self.wall, self.start):
            control.observe(safely(self._show, self._failed), "value")

    def _tick(self, change: Any) -> None:
        self.store.apply(
            lambda job: replace(job, compare=replace(job.compare, take_down=bool(change["new"]))), "take_down"
        )

    def _layout(self) -> widgets.Widget:
        numbers = [number.widget for number in self.numbers.values()]
        controls = widgets.VBox(
            [
                self.wall,
                self.grade.control,
                *numbers,
                self.take_down,
                self.start,
                self.choice,
                button_row(self.buttons),
                self.said,
            ]
        )
        estimator = widgets.Accordion(
            [self.figures, widgets.VBox([self.progress, self.curve]), self.drivers],
            titles=("All figures", "Budget curve", "What drives the price of the chosen option"),
            selected_index=None,
        )
        table = widgets.VBox([self.status, self.problem, self.table, estimator])
        for part, css in ((controls, "mt-controls"), (table, "mt-map")):
            part.add_class(css)
        grid = widgets.Box([table, controls])
        grid.add_class("mt-grid")
        labels = {name: number.quantity.label for name, number in self.numbers.items()}
        style = widgets.HTML(f"<style>{STYLE}{OPTION_STYLE}</style>")
        panel = widgets.VBox([style, grid, PageAids(names=labels)])
        panel.add_class("mt-panel")
        panel.add_class("mt-options-panel")
        return panel


def _with_grade(job: Job, grade: str) -> Job:
    return replace(job, compare=replace(job.compare, grade=grade))


def options(job: Job, today: date | None = None) -> OptionsPanel:
    """The options panel of a job.

    Parameters
    ----------
    job : Job
    today : date, optional
        First day on site; today unless given.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return OptionsPanel(job, today)
