"""What was written down of a job, as it stands on the screen: edited, held to the job, saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import AfterSurveys, named_surveys, read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.store import Store


class Desk:
    """The last good record of a finished job.

    Parameters
    ----------
    store : Store
        Of the job, whose `result` the record is held to.

    Attributes
    ----------
    finished : Finished
        As it stands here.
    opened : Finished
        As the folder has it, as far as was seen.
    surveys : dict of str to dict of str to Survey
        Those that it names, by wall and by file.
    measured : tuple of MeasuredAgain
        What they say of the plaster on the walls.
    problem : str
        Why the last edit was refused; empty where it was taken.
    """

    def __init__(self, store: Store) -> None:
        self.store, self.problem = store, ""
        self.opened = self.finished = Finished()
        self.surveys: AfterSurveys = {}
        self.measured: tuple[MeasuredAgain, ...] = ()
        self._watchers: list[Callable[[], None]] = []
        if store.job.folder:
            self.open()

    @property
    def known(self) -> Finished:
        """The record, with what surveys say where nobody wrote a figure by hand."""
        return with_measured(self.finished, self.measured)

    @property
    def is_saved(self) -> bool:
        """Whether the folder has what stands here."""
        return self.finished == self.opened

    def wall(self, name: str) -> FinishedWall:
        """What was written down of one wall; an empty record where there is none."""
        return next((wall for wall in self.finished.walls if wall.name == name), FinishedWall(name))

    def watch(self, changed: Callable[[], None]) -> None:
        """Have something called after each edit, taken or refused."""
        self._watchers.append(changed)

    def open(self) -> bool:
        """Take what the folder says; whether it can be read."""
        try:
            there = open_finished(self.store.job.folder)
        except TakeoffError as error:
            return self._refused(error)
        if self.edit(lambda _: there):
            self.opened = there
        return not self.problem

    def edit(self, change: Callable[[Finished], Finished]) -> bool:
        """Change the record by a function; what cannot be leaves it as it was and says why in `problem`.

        Parameters
        ----------
        change : function of Finished
            Gives the new record, or raises `TakeoffError`.

        Returns
        -------
        bool
            False: refused.
        """
        try:
            made = change(self.finished)
            check = Check(FINISHED_FILE)
            check.made(lambda: check_finished(self.store.result, made))
            surveys, measured = self.surveys, self.measured
            if made.walls != self.finished.walls:
                surveys = check.made(lambda: self._read(made)) or {}
                measured = check.made(lambda: measure_again(self.store.job, made, surveys)) or ()
            check.done()
        except TakeoffError as error:
            return self._refused(error)
        self.finished, self.surveys, self.measured, self.problem = made, surveys, measured, ""
        self._tell()
        return True

    def edit_wall(self, name: str, change: Callable[[FinishedWall], FinishedWall]) -> bool:
        """Change what was written down of one wall; an empty record of it is not kept."""

        def changed(finished: Finished) -> Finished:
            made = change(self.wall(name))
            others = [wall.name for wall in finished.walls]
            walls = tuple(made if wall.name == name else wall for wall in finished.walls)
            walls = walls if name in others else (*walls, made)
            return replace(finished, walls=tuple(wall for wall in walls if wall != FinishedWall(wall.name)))

        return self.edit(changed)

    def save(self) -> None:
        """Write the record down beside the job.

        Raises
        ------
        TakeoffError
            As `save_finished`; nothing was changed then.
        """
        save_finished(self.finished, self.store.job.folder, self.opened)
        self.opened = self.finished
        self._tell()

    def _read(self, finished: Finished) -> AfterSurveys:
        named = any(True for wall in finished.walls for _ in named_surveys(wall))
        return read_after(self.store.job, finished, Path(self.store.job.folder)) if named else {}

    def _refused(self, error: TakeoffError) -> bool:
        self.problem = str(error)
        self._tell()
        return False

    def _tell(self) -> None:
        for changed in self._watchers:
            changed()
