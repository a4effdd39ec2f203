"""The budget panel: sliders, the live thickness map, the headline and the cost table over one store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.audience import CLIENT, ESTIMATOR, check_name, named_for
from mytakeoff.chain import evaluate, square_litres
from mytakeoff.io.files.written import COSTED_TABLE
from mytakeoff.io.tables.costs import beside_path, export_costs
from mytakeoff.job.job import Job
from mytakeoff.panels.budget_panel.controls import (
    LOOKING_WORDS,
    MISSED,
    NUMBERS,
    PLANE_WORDS,
    PLASTER_WORDS,
    make_choices,
)
from mytakeoff.panels.budget_panel.cost_table import PriceTable
from mytakeoff.panels.budget_panel.foresight import Foresight
from mytakeoff.panels.budget_panel.notes import Notes
from mytakeoff.panels.budget_panel.ranges_box import SureBox
from mytakeoff.panels.budget_panel.texts import BudgetTexts, TextPlace
from mytakeoff.panels.budget_panel.treated_note import TreatedNote
from mytakeoff.panels.budget_panel.wall_totals import WallTotals
from mytakeoff.panels.parts.bind import labelled_list, offer
from mytakeoff.panels.parts.buttons import Action, button_row, make_buttons
from mytakeoff.panels.parts.controls import CONFIDENCE, CORNERS, shown_to
from mytakeoff.panels.parts.fold import Fold, explained
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import message
from mytakeoff.panels.parts.quoting import HandingOver
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.panels.scenarios.box import ScenarioBox
from mytakeoff.panels.scenarios.keeping import ScenarioKeeper
from mytakeoff.panels.wall_map.wall_view import WallView
from mytakeoff.result import Result

STYLE = source(__file__, "sure.css", "../scenarios/scenarios.css")
FORESEEN = ("max_coat_mm", "mix_density_kg_per_l", "waste_share")  # these leave every thickness as it is


class BudgetPanel(ScenarioKeeper):
    """The workbook's heart: what we ask, what the wall becomes, what it costs.

    Attributes
    ----------
    controls, widget, store
        Those of every panel.
    saved_line : widgets.HTML
        What the job comes to as it is saved, for a cell of its own.
    """

    workbook = "budget"

    def __init__(self, job: Job) -> None:
        super().__init__(job, NUMBERS)
        self.choices = make_choices(self.store)
        self.bound |= self.choices
        self.view = shown_to()
        self.wall = labelled_list("wall", "Wall on the map", [wall.name for wall in job.read_walls])
        ahead = [self.numbers[name] for name in FORESEEN]
        self.texts = make(BudgetTexts, sliders=[number.slider for number in ahead])
        self.foresight = Foresight(ahead, self.texts)
        self.saved_line, self._saved_is_open = make(widgets.HTML), False
        self.headline = make(TextPlace, source=self.texts, name="headline")
        self.notes = Notes(self.texts)
        self.treated = TreatedNote(self.store, self.failed)
        self.wall_view = WallView(self._thickest_mm(), job.formats)
        asked = self.numbers[CONFIDENCE.name], self.numbers[MISSED.name]
        self.sure = SureBox(self.store, self.wall_view, *asked, self.failed)
        unread = {number.name: number.spec.label for number in self.sure.unread.numbers}
        self.page.names = {**self.page.names, **unread}
        self.table = PriceTable(self.store, self.texts)
        self.totals = WallTotals(self.failed)
        self.scenarios = ScenarioBox(self.store, self._scenario_acts(), self.failed)
        self.controls: dict[str, Any] = {
            **{name: bound.control for name, bound in self.bound.items()},
            "wall": self.wall,
            "view": self.view,
            "place_x_m": self.wall_view.place_x,
            "place_z_m": self.wall_view.place_z,
            **self.sure.controls,
            **self.scenarios.controls,
        }
        self.handing_over = HandingOver(self)
        self.buttons = make_buttons(
            {
                "save": ("Save to the job", self.save),
                "undo": ("Undo", self.undo),
                "restore": ("Back to the saved job", self.restore),
                "export": ("Write the CSV", self.export_csv),
            },
            self.failed,
        )
        self.buttons |= self.handing_over.buttons
        self.widget = self._layout()
        self.watch()
        self.refresh()
        self._show_saved()

    def _scenario_acts(self) -> dict[str, Action]:
        """What the buttons of the scenarios do."""

        def keep() -> None:
            if self.keep_scenario(self.scenarios.name.value):
                self.scenarios.name.value = ""
                self.scenarios.choose(self.saved.scenarios[-1].name)

        return {
            "keep-scenario": keep,
            "show-scenario": lambda: self.show_scenario(self.scenarios.scenario),
            "take-scenario": lambda: self.take_scenario(self.scenarios.scenario),
            "drop-scenario": lambda: self.drop_scenario(self.scenarios.scenario),
            "put-back": self.put_back,
        }

    # -- what the hand can do -------------------------------------------------------------------

    def shown_as_saved(self) -> None:
        """Say what the saved job comes to, beside its scenarios."""
        self._show_saved()
        self._show_scenarios()

    def _show_scenarios(self) -> None:
        self.scenarios.refresh(self.saved, self.view.value == CLIENT, self.dropped is not None)

    def known_of_scenarios(self, job: Job) -> Job:
        """The job with what was worked out while scenarios were compared."""
        return replace(job, worked_out=job.worked_out.learnt(self.scenarios.work.found))

    def _show_saved(self) -> None:
        """The saved job in a line, as whoever the panel is shown to may read it."""
        saved = evaluate(replace(self.saved, worked_out=self.store.job.worked_out))
        total = f"{saved.job.title}: {saved.job.formats.amount(saved.cost.total)} with tax"
        said = message(f"Saved: {total if self.view.value == CLIENT else saved}.")
        self._saved_is_open = bool(saved.held)
        self.saved_line.value = message("Being worked out.") if saved.held else said

    def export_csv(self, path: str | Path | None = None) -> Path:
        """Write the table that is shown as CSV, with a companion text; the estimator's with its ranges too.

        Parameters
        ----------
        path : str or Path, optional
            `costed-table.csv` in the job's folder unless given, for the client `costed-table-client.csv`.

        Returns
        -------
        Path
            Where the table went.

        Raises
        ------
        TakeoffError
            A file that is named for somebody else than who the table is shown to.
        """
        audience = self.view.value
        target = Path(path) if path is not None else self.folder(None) / named_for(COSTED_TABLE, audience)
        check_name(target, audience)
        sure = self.sure.now() if audience == ESTIMATOR else None
        companion = export_costs(self.settled(), target, sure=sure, audience=audience)
        more = f", each wall's part in {beside_path(target, 'walls').name}" if audience == ESTIMATOR else ""
        more += f", its ranges in {beside_path(target, 'range').name}" if sure is not None else ""
        self.say(
            f"The {audience}'s table is in {target}, its total and cautions in {companion.name} beside "
            f"it{more}."
        )
        return target

    # -- wiring ---------------------------------------------------------------------------------

    def watch(self) -> None:
        """Follow the store and the hand."""
        super().watch()
        self.follow(self.view, self.refresh)
        self.follow(self.view, self._show_saved)
        self.follow(self.wall, self.refresh)
        self.handing_over.watch()
        self.wall_view.watch_coat_slider(self.numbers["max_coat_mm"].slider)

    def show_problem(self) -> None:
        """Say what the store refused, and mark the prices that were."""
        super().show_problem()
        self.table.mark_refused()

    def refresh(self) -> None:
        """Show the store's result in every part that it changes, all texts first and together.

        The browser takes one message after another and may paint a frame between any two: what the eye
        waits for goes ahead, and as one.
        """
        result, client = self.store.result, self.view.value == CLIENT
        with self.quietly():
            offer(self.wall, [wall.name for wall in result.job.read_walls])
        name = self.wall.value or ""
        self.foresight.show(result, name, client)
        self.notes.refresh()
        self._show_wall(result, name, client)
        self.show_bound()
        self.treated.refresh(result.job)
        self.sure.refresh(result, name)
        self.totals.refresh(result)
        self._show_scenarios()
        for part in self.estimators:
            set_shown(part, not client)
        squared = result.job.plane.kind == "room"
        set_shown(self.numbers[CORNERS.name].widget, squared and not client)
        for part in (self.sure.line, self.sure.widget, self.totals.widget):
            set_shown(part, bool(result.walls) and not client)
        set_shown(self.table.widget, bool(result.walls))
        self.buttons["undo"].disabled = not self.store.can_undo
        if self._saved_is_open:
            self._show_saved()
        self.foresight.look()

    def _show_wall(self, result: Result, name: str, client: bool) -> None:
        """The wall on the map; no map where none is read."""
        set_shown(self.wall_view.widget, bool(name))
        if name:
            wall = result.wall(name)
            if not self.wall_view.top_mm:
                self.wall_view.scale_to(self._thickest_mm())
            self.wall_view.show(
                wall, result.job.formats, square_litres(result.job, wall.entry), client=client
            )

    def _thickest_mm(self) -> float:
        """The thickest place on any wall that is read [mm]."""
        result = self.store.result
        return max((result.wall(wall.name).build_up.max_mm for wall in result.job.read_walls), default=0.0)

    # -- layout ---------------------------------------------------------------------------------

    def _layout(self) -> widgets.Widget:
        numbers = {name: number.widget for name, number in self.numbers.items()}
        choices = {name: choice.control for name, choice in self.choices.items()}
        looking_words, plane_words = explained(LOOKING_WORDS), explained(PLANE_WORDS)
        looking = [self.wall, choices["priced"], self.view, looking_words]
        mix = make(
            widgets.VBox,
            [
                heading("Plaster"),
                choices["backing"],
                *(numbers[name] for name in ("max_coat_mm", "mix_density_kg_per_l", "waste_share")),
                explained(PLASTER_WORDS),
            ],
        )
        plane = [
            choices["plane"],
            *(numbers[name] for name in (CORNERS.name, "least_mm", "cut_mm")),
            plane_words,
        ]
        shares = ("contingency_share", "overhead_share", "profit_share", "tax_share")
        margins = [numbers[name] for name in shares]
        folded = Fold("Margins and tax", make(widgets.VBox, margins))
        rates = Fold("Labour", make(widgets.VBox, [numbers[n] for n in ("float_h_per_m2", "labourer_share")]))
        sure, treated = make(widgets.VBox, [self.sure.line]), make(widgets.VBox, [self.treated.widget])
        self.estimators: Sequence[widgets.Widget] = (
            mix, treated, numbers["least_mm"], rates, folded, sure, self.sure.widget, self.totals.widget,
            looking_words, plane_words,
        )  # fmt: skip
        controls = [
            heading("What to look at"),
            *looking,
            mix,
            heading("Finished plane"),
            treated,
            *plane,
            rates,
            folded,
            self.handing_over.line,
            self.unsaved_line,
            button_row(self.buttons),
            self.elsewhere,
            self.said,
        ]
        parts = {
            "headline": [self.headline, self.first, sure, self.folder_line.widget, self.problem],
            "map": [self.wall_view.widget, self.sure.widget, self.scenarios.widget],
            "controls": controls,
            "table": [self.table.widget, self.totals.widget],
            "notes": self.notes.widget,
        }
        return framed(parts, self.page, STYLE)


def budget(job: Job) -> BudgetPanel:
    """The budget panel of a job.

    Parameters
    ----------
    job : Job

    Returns
    -------
    BudgetPanel
        Show it as the last expression of a cell.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return BudgetPanel(job)
