"""What every panel is: its controls, what it says of what was done, and the way back to the saved job."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import ipywidgets as widgets

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.figures.in_words import first_step
from mytakeoff.io.files.atomic import check_free
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.news import Looks, files_of
from mytakeoff.io.job.open_job import open_job
from mytakeoff.io.job.planned import planned
from mytakeoff.io.job.save_job import Saved, save_job
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Bound, BoundNumber, Number, Quiet, text_box
from mytakeoff.panels.parts.buttons import make_buttons, safely
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.frame import Links
from mytakeoff.panels.parts.html import message, problem
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.stock import make
from mytakeoff.panels.parts.watching import Asked, FolderLine, FolderWatch, read_again, unsaved_words
from mytakeoff.panels.parts.words import first_line
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import left_open_steps

Made = TypeVar("Made")
REST_S = 0.4  # after the last change: a hand that still moves a slider is not made to wait
NOWHERE = "This job was not opened from a folder, so there is nowhere to save it."
NOT_SAVED = "Nothing was saved: the top of the panel says why."


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
    first : widgets.HTML
        What to do first in a job that nothing can be worked out of yet.
    """

    controls: dict[str, Any]
    widget: widgets.Widget

    def __init__(self) -> None:
        self.problem, self.said, self.first = (make(widgets.HTML) for _ in range(3))

    def say_first(self, job: Job) -> None:
        """Say what to do first, where nothing can be worked out of the job yet."""
        if self.first.value != (said := first_line(job)):
            self.first.value = said

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

    Attributes
    ----------
    store : Store
        `store.result` is what the panel shows.
    saved : Job
        As it is in its folder, as far as the panel has seen.
    workbook : str
        What the workbook is called where it saves.
    folder_line, unsaved_line : widgets
        What others did in the folder; how much of what stands here is not saved.
    links : Links
        The way to the other workbooks.
    numbers : dict of str to BoundNumber
    bound : dict of str to Bound
        All that is bound to the job, the numbers among it.
    why : str
        Why the store's result cannot be shown; empty where it is.
    """

    why = ""
    workbook = ""

    def __init__(self, job: Job, numbers: Sequence[Number]) -> None:
        super().__init__()
        self.store, self.saved = Store(held_while_a_hand_moves(self.as_begun(job))), job
        self._working_out, self._resting, self._counting = Steps(), Waiting(), Waiting()
        self._asked: Asked | None = None
        self.unsaved_line = make(widgets.HTML)
        self.new_folder = text_box(
            "new-folder", "Its name, beside this job's folder", placeholder="flat 3, revised"
        )
        save_there = make_buttons({"save-there": ("Save there", self._save_there)}, self.failed)
        self.elsewhere = Fold(
            "Save into a new folder", make(widgets.VBox, [self.new_folder, *save_there.values()])
        )
        self.folder_line = FolderLine(self.take_theirs, self.keep_mine, self.failed)
        self.folder_watch = FolderWatch(self._look_again, self.failed, lambda: self.page.comm is None)
        self.numbers = {number.name: BoundNumber(self.store, number) for number in numbers}
        self.bound: dict[str, Bound] = {**self.numbers}
        self.page = make(
            PageAids,
            names={number.name: number.label for number in numbers},
            per_unit={number.name: number.shown_per_unit for number in numbers if number.shown_per_unit != 1},
        )
        self.links = Links(self, job.folder)

    # -- what the hand can do -------------------------------------------------------------------

    def say(self, text: str) -> None:
        """Say what was done: why an earlier button failed is gone, what the store refused stays."""
        super().say(text)
        self.show_problem()

    def save(self) -> None:
        """Save what stands in the panel to the folder that the job was opened from, all of it worked out."""
        if self._keep(self.settled().job):
            self.say(f"Saved to {self.saved.folder}.")

    def save_into(self, folder: str | Path) -> Path:
        """Save what stands in the panel into a folder that is not there yet, with all that belongs to it.

        Parameters
        ----------
        folder : str or Path
            A name stands beside the job's own folder. The panel stays with that.

        Returns
        -------
        Path
            The new folder.

        Raises
        ------
        TakeoffError
            It is there and not empty, or what `save_job` tells.
        """
        home = Path(self.store.job.folder or ".").absolute()
        target = home.parent / Path(folder).expanduser()
        self._write(self.settled().job, target)
        self.say(f"Saved to {target}, which opens with: mytakeoff open. This workbook stays with {home}.")
        return target

    def _save_there(self) -> None:
        name = self.new_folder.value.strip()
        if not name:
            self.say("Type a name for the new folder first.")
            return
        self.save_into(name)

    def settled(self) -> Result:
        """The store's result with nothing left to be worked out: what files are written from."""
        return self.store.settle()

    def _keep(self, job: Job) -> bool:
        """Save a job, and show what its folder says then; whether it has one."""
        if not job.folder:
            self.say(NOWHERE)
            return False
        done = self._write(job, Path(job.folder), self.saved)
        looks = self.folder_watch.looks()
        theirs = what_changed(job, done.job)
        begun = self.as_begun(done.job if theirs else job)
        if what_changed(self.store.job, begun):
            self.store.apply(lambda _: begun)
        self._now_saved(done.job if theirs else job, looks, files_of(done.job))
        if theirs or done.told:
            self.folder_line.taken_over(theirs, " ".join(done.told))
        return True

    def _write(self, job: Job, folder: Path, opened: Job | None = None) -> Saved:
        """Save a job, over what was opened or else into a new folder; beside the button it is said if not."""
        try:
            if opened is None:
                check_free(folder)
            return save_job(job, folder, opened, self.workbook)
        except TakeoffError:
            self.say(NOT_SAVED)
            raise

    def undo(self) -> None:
        """Take the last change back."""
        self.say("The last change was taken back." if self.store.undo() else "There is nothing to take back.")

    def restore(self) -> None:
        """Return every control to the saved job, as its folder says it now."""
        looks = self.folder_watch.looks()
        there = open_job(self.saved.folder) if self.saved.folder else self.saved
        theirs = what_changed(self.saved, there)
        if self._show_saved_job(there, looks):
            self.say("Every control is back at the saved job.")
            if theirs:
                self.folder_line.taken_over(theirs)

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
            first = first_step(self.store.job) or f"put this right first: {self.why}"
            raise TakeoffError(Mistake("nothing to write", "a file says only what can be done", first))
        return made

    # -- what others do in the folder -----------------------------------------------------------

    def as_begun(self, job: Job) -> Job:
        """How the panel shows a job that nothing was changed of yet."""
        return job

    def shown_as_saved(self) -> None:
        """Follow the saved job, where it or what is shown of it is another one."""

    @property
    def unsaved(self) -> tuple[str, ...]:
        """What was changed here and is not saved."""
        return what_changed(self.as_begun(self.saved), self.store.job)

    def take_theirs(self) -> None:
        """Show what the folder says; what was changed here is a step that can be taken back."""
        if self._asked is not None:
            self._take_over(self._asked)

    def keep_mine(self) -> None:
        """Keep what was changed here, over what the folder says of the rest; nothing is saved by that."""
        asked = self._asked
        if asked is None:
            return
        kept = self.store.job
        if asked.who:
            kept = planned(kept, Path(kept.folder), self.as_begun(self.saved)).job
        if self.store.apply(lambda _: kept):
            self._now_saved(asked.there, asked.looks, files_of(asked.there))
            self.say("What you changed is kept and not saved yet.")

    def _take_over(self, asked: Asked) -> None:
        if self._show_saved_job(asked.there, asked.looks):
            self.say("")  # what was said is of the job before
            self.folder_line.taken_over(asked.theirs, asked.who)
        else:
            self.folder_line.broken(self.store.problem)
            self.store.problem = ""

    def _show_saved_job(self, there: Job, looks: Looks) -> bool:
        """Swap in the job of the folder as a whole, in one step; whether it can be evaluated."""
        if not self.store.apply(lambda _: self.as_begun(there)):
            return False
        self._now_saved(there, looks, files_of(there))
        return True

    def _now_saved(self, job: Job, looks: Looks, files: Sequence[str]) -> None:
        """Take note of what the folder says, as it was read after those looks at its files."""
        self.saved, self._asked = job, None
        self.folder_watch.know(looks, files)
        self.folder_line.clear()
        self.shown_as_saved()
        self.count()

    def _look_again(self, before: Looks | None, looks: Looks) -> None:
        """Read the folder, whose files have come to rest as something else; `before` is None at first."""
        asked = read_again(self.folder_watch, self.folder_line, self.saved, before, looks)
        if asked is None:
            return
        self._asked = asked if asked.theirs else None
        if not asked.theirs:
            if self.folder_line.settle():
                self.show_problem()
        elif (mine := self.unsaved) or before is None:
            self.folder_line.ask(asked.theirs, mine, asked.who)
        else:
            self._take_over(asked)

    def count(self) -> None:
        """Say how much is not saved; where nothing is any more, what the folder says can be taken over."""
        mine = self.unsaved
        said = unsaved_words(mine)
        if self.unsaved_line.value != said:
            self.unsaved_line.value = said
        if self._asked is not None and self._asked.who and not mine:
            self._take_over(self._asked)

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
        self.store.observe(lambda _: self.say_first(self.store.job), "result")
        self.say_first(self.store.job)
        self.store.observe(lambda _: self.work_out(), "result")
        self.work_out()
        self.store.observe(lambda _: self._counting.start(REST_S, safely(self.count, self.failed)), "result")
        self.count()
        if self.saved.folder:
            self.folder_watch.start(self.saved.folder, files_of(self.saved))
        self.store.observe(lambda _: self.show_problem(), "problem")
        self.page.observe(lambda change: self.go_back(str(change["new"].get("name"))), "back")
