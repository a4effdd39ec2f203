"""What was written down of a job, as it stands on the screen: edited, held to the job, saved."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

from mytakeoff.acceptance.promised import promised_by
from mytakeoff.acceptance.rounds import check_rounds
from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import AfterSurveys, named_surveys, read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.store import Store
from mytakeoff.survey.survey import Survey

Surveys = dict[str, Survey]
Looks = tuple[tuple[str, int, int], ...]


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
        What they say of the plaster on the walls; of what was just opened, a little later.
    problem : str
        Why the last edit was refused; empty where it was taken.
    unread : str
        Why what the folder says could not be taken; empty where it was.
    """

    def __init__(self, store: Store) -> None:
        self.store, self.problem, self.unread = store, "", ""
        self.opened = self.finished = Finished()
        self.surveys: AfterSurveys = {}
        self.measured: tuple[MeasuredAgain, ...] = ()
        self._watchers: list[Callable[[], None]] = []
        self._read_before: dict[str, tuple[Hashable, Surveys]] = {}
        self._measuring = Steps()
        self._due: tuple[Finished, AfterSurveys] | None = None  # what is measured soon
        if store.job.folder:
            self.open()

    @property
    def known(self) -> Finished:
        """The record, with what surveys say where nobody wrote a figure by hand."""
        return with_measured(self.finished, self.measured)

    def settle(self) -> Finished:
        """The same with nothing left to be measured, as files are written from it.

        Raises
        ------
        TakeoffError
            As `measure_again`.
        """
        if self._due is not None:
            measured = self._measure(*self._due)
            self._measuring.stop()
            self._has_measured(measured)
        return self.known

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
            self.unread = str(error)
            return self._refused(error)
        if self._take(lambda _: there, soon=True):
            self.opened, self.unread = there, ""
            self._tell()  # that it is saved, and nothing of it unread
        else:
            self.unread = self.problem
        return not self.problem

    def check_again(self) -> bool:
        """Hold what stands here to the job and the files as they are now; whether it still can be.

        What the folder says and could not be taken is tried again: the job may have what it names by now.
        """
        if self.unread and self.is_saved:
            return self.open()
        return self._take(lambda finished: finished, soon=True)

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
        return self._take(change)

    def _take(self, change: Callable[[Finished], Finished], *, soon: bool = False) -> bool:
        """Change the record; its walls are measured at once, or soon in slices.

        What was refused stops nothing: the record that stays may still be measured.
        """
        try:
            made = change(self.finished)
            check = Check(FINISHED_FILE)
            check.made(lambda: check_finished(self.store.result, made, FINISHED_FILE))
            read = {wall.name: check.made(partial(self._read, wall)) or {} for wall in made.walls}
            check.done()
            for wall in made.walls:
                check.made(partial(self._check_rounds, wall, read[wall.name]))
            check.done()
            measured = self.measured if soon else self._measure(made, read)
        except TakeoffError as error:
            return self._refused(error)
        self._measuring.stop()
        self.finished, self.surveys, self.measured, self.problem = made, read, measured, ""
        self._due = (made, read) if soon else None
        if soon:
            self._measuring.start(self._measure_soon(made, read), lambda: None, self._cannot_measure)
        self._tell()
        return True

    def _measure(self, finished: Finished, surveys: AfterSurveys) -> tuple[MeasuredAgain, ...]:
        return measure_again(self.store.job, finished, surveys, FINISHED_FILE)

    def _measure_soon(self, finished: Finished, surveys: AfterSurveys) -> Iterator[bool]:
        """Measure wall by wall: a second for each that nobody asked for yet would hold a page up."""
        yield True
        found: list[MeasuredAgain] = []
        for wall in finished.walls:
            found += self._measure(Finished(walls=(wall,)), surveys)
            yield True
        self._has_measured(tuple(found))

    def _has_measured(self, measured: tuple[MeasuredAgain, ...]) -> None:
        self.measured, self._due = measured, None
        self._tell()

    def _cannot_measure(self, error: Exception) -> None:
        self.problem = str(error)
        self._tell()

    def edit_wall(self, name: str, change: Callable[[FinishedWall], FinishedWall]) -> bool:
        """Change what was written down of one wall; an empty record of it is not kept."""

        def changed(finished: Finished) -> Finished:
            made = change(self.wall(name))
            others = [wall.name for wall in finished.walls]
            walls = tuple(made if wall.name == name else wall for wall in finished.walls)
            walls = walls if name in others else (*walls, made)
            return replace(finished, walls=tuple(wall for wall in walls if wall != FinishedWall(wall.name)))

        return self.edit(changed)

    def check_taken(self, taken: bool, what: str, wall_name: str) -> None:
        """See that what stands in boxes was taken, before it is saved.

        Raises
        ------
        TakeoffError
            It was not.
        """
        if not taken:
            raise TakeoffError(
                Mistake(f"{what} that was not taken", "what is saved is what stands here",
                        f"put it right first: {self.problem}", f"wall {wall_name!r}")
            )  # fmt: skip

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

    def _read(self, wall: FinishedWall) -> Surveys:
        """The surveys that a wall names, read again where a file has become another one."""
        job = self.store.job
        there = wall.name in [entry.name for entry in job.walls]  # else `check_finished` has told it
        if not there or not any(True for _ in named_surveys(wall)):
            return {}
        asked = tuple(named_surveys(wall)), wall.plumb, self._looks(wall), job.wall(wall.name)
        before = self._read_before.get(wall.name)
        if before is not None and before[0] == asked:
            return before[1]
        found = read_after(job, Finished(walls=(wall,)), Path(job.folder)).get(wall.name, {})
        self._read_before[wall.name] = asked, found
        return found

    def _looks(self, wall: FinishedWall) -> Looks:
        """How the files lie that a wall names; one that is not there is told by whoever reads it."""
        return tuple(_look(Path(self.store.job.folder) / name) for name in named_surveys(wall))

    def _check_rounds(self, wall: FinishedWall, surveys: Surveys) -> None:
        priced = next(each for each in self.store.result.walls if each.entry.name == wall.name)
        if wall.rounds:
            check_rounds(wall.rounds, surveys, promised_by(self.store.job, priced))

    def _refused(self, error: TakeoffError) -> bool:
        self.problem = str(error)
        self._tell()
        return False

    def _tell(self) -> None:
        for changed in self._watchers:
            changed()


def _look(path: Path) -> tuple[str, int, int]:
    try:
        seen = path.stat()
    except OSError:
        return path.name, 0, 0
    return path.name, seen.st_mtime_ns, seen.st_size
