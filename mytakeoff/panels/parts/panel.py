"""What every panel is: its controls, what it says of what was done, and the way back to the saved job."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import ipywidgets as widgets

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.save_job import save_job
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Bound, BoundNumber, Number, Quiet
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.html import message, problem
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.stock import make
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import left_open_steps

Made = TypeVar("Made")
REST_S = 0.4  # after the last change: a hand that still moves a slider is not made to wait
NOWHERE = "This job was not opened from a folder, so there is nowhere to save it."


class Panel(Quiet):
    """A panel of a workbook.

    Attributes
    ----------
    controls : dict of str to widget
        Every control by name: set its `value` as a hand would.
    widget : widgets.Widget
        The whole panel; show it as the last expression of a cell.
    problem, said : widgets.HTML
        What went wrong, and what was done.
    """

    controls: dict[str, Any]
    widget: widgets.Widget

    def __init__(self) -> None:
        self.problem, self.said = make(widgets.HTML), make(widgets.HTML)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.widget._repr_mimebundle_(**kwargs)

    def say(self, text: str) -> None:
        """Say what was done."""
        self.said.value = message(text)

    def failed(self, error: Exception) -> None:
        """Say what went wrong."""
        self.problem.value = problem(str(error) or repr(error))

    def follow(self, control: Any, action: Callable[[], Any]) -> None:
        """Do something when the user changes a control, but not when the panel itself does."""
        act = safely(action, self.failed)
        control.observe(lambda _: None if self._busy else act(), "value")

    def put(self, control: Any, value: Any) -> None:
        """Show a value without taking it for a choice of the user's."""
        with self.quietly():
            if control.value != value:
                control.value = value


def held_while_a_hand_moves(job: Job) -> Job:
    """The job as a screen has it, which does not wait; in a script, where no loop runs, as it is."""
    try:
        asyncio.get_running_loop()
    except RuntimeError:
        return job
    return replace(job, worked_out=replace(job.worked_out, held=True))


class JobPanel(Panel):
    """A panel over one store.

    Parameters
    ----------
    job : Job
    numbers : sequence of Number
        A slider and a box for each.
    begun : Job, optional
        What the store begins with; the job itself unless given.

    Attributes
    ----------
    store : Store
        `store.result` is what the panel shows.
    saved : Job
        As it is in its folder.
    numbers : dict of str to BoundNumber
    bound : dict of str to Bound
        All that is bound to the job, the numbers among it.
    why : str
        Why the store's result cannot be shown; empty where it is.
    """

    why = ""

    def __init__(self, job: Job, numbers: Sequence[Number], begun: Job | None = None) -> None:
        super().__init__()
        self.store, self.saved = Store(held_while_a_hand_moves(begun or job)), job
        self._working_out, self._resting = Steps(), Waiting()
        self.numbers = {number.name: BoundNumber(self.store, number) for number in numbers}
        self.bound: dict[str, Bound] = {**self.numbers}
        self.page = make(
            PageAids,
            names={number.name: number.label for number in numbers},
            per_unit={number.name: number.shown_per_unit for number in numbers if number.shown_per_unit != 1},
        )

    # -- what the hand can do -------------------------------------------------------------------

    def save(self) -> None:
        """Save what stands in the panel to the folder that the job was opened from, all of it worked out."""
        if self._keep(self.settled().job):
            self.say(f"Saved to {self.saved.folder}.")

    def settled(self) -> Result:
        """The store's result with nothing left to be worked out: what files are written from."""
        return self.store.settle()

    def _keep(self, job: Job) -> bool:
        """Save a job; whether it has a folder."""
        if not job.folder:
            self.say(NOWHERE)
            return False
        save_job(job, job.folder, self.saved)
        self.saved = job
        return True

    def undo(self) -> None:
        """Take the last change back."""
        self.say("The last change was taken back." if self.store.undo() else "There is nothing to take back.")

    def restore(self) -> None:
        """Return every control to the saved job."""
        self.store.apply(lambda _: self.saved)
        self.say("Every control is back at the saved job.")

    def go_back(self, name: str) -> None:
        """Return one slider to the saved job's value."""
        if name in self.numbers:
            self.numbers[name].go_back(self.saved)

    def folder(self, given: str | Path | None) -> Path:
        """Where files are written: the folder given, else the job's own."""
        return Path(given if given is not None else self.store.job.folder or ".")

    def to_write(self, made: Made | None) -> Made:
        """What is to be written.

        Raises
        ------
        TakeoffError
            It could not be made; beside the button it is said that nothing was written.
        """
        if made is None:
            self.say("Nothing was written: put right first what the top of the panel tells.")
            first = f"put this right first: {self.why}"
            raise TakeoffError(Mistake("nothing to write", "a file says only what can be done", first))
        return made

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self) -> None:
        """Show the store's result."""
        raise NotImplementedError

    def show_bound(self) -> None:
        """Show the job in all that is bound to it."""
        for bound in self.bound.values():
            bound.refresh(self.store.job)

    def show_problem(self) -> None:
        """Say what the store refused, or why its result cannot be shown."""
        self.problem.value = problem(self.store.problem) or problem(self.why, "To put right.")

    def work_out(self) -> None:
        """Work out what lies between the readings once the hand rests, in slices; the store follows once."""
        self._working_out.stop()
        if self.store.result.held:
            self._resting.start(REST_S, self._begin)

    def _begin(self) -> None:
        result = self.store.result
        found: list[LeftOpen] = []

        def work() -> Iterator[None]:
            for wall in (wall for wall in result.walls if wall.held):
                found.append((yield from left_open_steps(result.job, wall)))
            self.store.learn(found)

        self._working_out.start(work(), lambda: None, self.failed)

    def watch(self) -> None:
        """Follow the store, and the hand that asks for the way back on the page."""
        self.store.observe(safely(self.refresh, self.failed), "result")
        self.store.observe(lambda _: self.work_out(), "result")
        self.work_out()
        self.store.observe(lambda _: self.show_problem(), "problem")
        self.page.observe(lambda change: self.go_back(str(change["new"].get("name"))), "back")
