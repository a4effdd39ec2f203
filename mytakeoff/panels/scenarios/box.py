"""Scenarios on the panel: kept, shown, taken into the job, dropped, and compared with what was agreed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.audience import CLIENT, ESTIMATOR
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import Scenario
from mytakeoff.panels.parts.bind import Quiet, labelled_list, offer, text_box
from mytakeoff.panels.parts.buttons import Action, make_buttons, safely
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.scenarios.words import NONE_YET, WHAT_IT_IS, cards
from mytakeoff.panels.scenarios.work import ScenarioWork, compared_of
from mytakeoff.store import Store

REST_S = 0.6  # after the last change: a hand that still moves a slider is not made to wait
NONE = "none yet"
ACTS = {
    "show-scenario": "Show it",
    "take-scenario": "Take it into the job",
    "drop-scenario": "Drop it",
    "put-back": "Put back what was dropped",
}


class ScenarioBox(Quiet):
    """The fold of scenarios: `widget`, `controls`, `buttons`.

    Parameters
    ----------
    store : Store
    acts : dict of str to function
        What each button does, by its name: those of `ACTS`, and "keep-scenario".
    failed : function
        Told what went wrong.
    """

    def __init__(self, store: Store, acts: dict[str, Action], failed: Callable[[Exception], None]) -> None:
        self.store, self._failed = store, failed
        self.agreed, self._client = store.job, False
        self.work, self._steps, self._waiting = ScenarioWork(), Steps(), Waiting()
        self.name = text_box("scenario-name", "Name for what stands here", placeholder="plumb, one coat less")
        self.chosen = labelled_list("scenario-chosen", "Scenario", [NONE], NONE)
        keep = {"keep-scenario": ("Keep what stands here as a scenario", acts["keep-scenario"])}
        self.keep = make_buttons(keep, failed)
        self.act = make_buttons({name: (label, acts[name]) for name, label in ACTS.items()}, failed)
        self.buttons = {**self.keep, **self.act}
        self.controls: dict[str, Any] = {"scenario_name": self.name, "scenario": self.chosen}
        self.text = make(widgets.HTML)
        self.none = make(widgets.HTML, element("p", NONE_YET, css="mt-hint"))
        row = make(widgets.HBox, list(self.act.values()), css="mt-buttons")
        self.some = make(widgets.VBox, [self.chosen, row, self.text])
        hint = make(widgets.HTML, element("p", WHAT_IT_IS, css="mt-hint"))
        self.keeping = make(widgets.VBox, [hint, self.name, self.keep["keep-scenario"]])
        inside = make(widgets.VBox, [self.keeping, self.none, self.some])
        self.widget = Fold("What if: scenarios beside the agreed job", inside, "scenarios")
        self.widget.head.observe(safely(self._look, failed), "opened")
        self.chosen.observe(safely(self._choose, failed), "value")

    @property
    def scenario(self) -> str:
        """Name of the scenario that is chosen; empty where there is none."""
        return self.chosen.value if self.agreed.scenarios else ""

    @property
    def compared(self) -> tuple[Scenario, ...]:
        """The scenarios that stand beside the agreed job."""
        return compared_of(self.agreed.scenarios, self.scenario)

    def refresh(self, agreed: Job, client: bool, dropped: bool) -> None:
        """Take note of the job as it is saved, or of a slider that moves, and of who looks."""
        self.agreed, self._client = agreed, client
        names = [scenario.name for scenario in agreed.scenarios]
        with self.quietly():
            offer(self.chosen, names or [NONE])
        for part in (self.keeping, self.act["take-scenario"], self.act["drop-scenario"]):
            set_shown(part, not client)
        for name in ("show-scenario", "take-scenario", "drop-scenario"):
            self.act[name].disabled = not names
        set_shown(self.act["put-back"], dropped and not client)
        set_shown(self.none, not names and not client)
        set_shown(self.some, bool(names) or dropped)
        set_shown(self.widget, bool(names) or not client)
        self._look()

    def choose(self, name: str) -> None:
        """Choose a scenario in the list."""
        self.chosen.value = name

    def work_out(self) -> None:
        """Work all of it out at once."""
        for _ in self._work():
            pass
        self._show()

    def _choose(self) -> None:
        if not self._busy:
            self._look()

    def _look(self) -> None:
        """Show what is known; the rest follows when nothing moves any more, if anybody looks."""
        if self.agreed.scenarios and self.widget.head.opened:
            self._show()
            if not self.work.complete(self.agreed, self.compared):
                self._steps.stop()
                self._waiting.start(REST_S, self._begin)

    def _begin(self) -> None:
        self._steps.start(self._work(), self._show, self._failed)

    def _work(self) -> Any:
        worked_out = self.store.job.worked_out
        return self.work.steps(replace(self.agreed, worked_out=worked_out), self.compared)

    def _show(self) -> None:
        audience = CLIENT if self._client else ESTIMATOR
        text = cards(self.compared, self.work.known, self.agreed, audience)
        if self.text.value != text:
            self.text.value = text
