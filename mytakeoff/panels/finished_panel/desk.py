"""What was written down of a job, as it stands on the screen: edited, held to the job, saved."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from mytakeoff.acceptance.promised import promised_by
from mytakeoff.acceptance.rounds import check_rounds
from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import AfterSurveys, named_surveys, read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.store import Store
from mytakeoff.survey.survey import Survey

Surveys = dict[str, Survey]
Looks = tuple[tuple[str, int, int], ...]
KEPT = 64


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
        self._read_before: dict[Hashable, Surveys] = {}
        self._measured_before: dict[Hashable, MeasuredAgain | None] = {}
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
            surveys = {wall.name: check.made(partial(self._read, wall)) or {} for wall in made.walls}
            check.done()
            for wall in made.walls:
                check.made(partial(self._check_rounds, wall, surveys[wall.name]))
            found = [check.made(partial(self._measure, wall, surveys[wall.name])) for wall in made.walls]
            check.done()
        except TakeoffError as error:
            return self._refused(error)
        self.finished, self.problem = made, ""
        self.surveys = {name: read for name, read in surveys.items() if read}
        self.measured = tuple(each for each in found if each is not None)
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

    def check_again(self) -> bool:
        """Hold what stands here to the job as it is now; whether it still can be."""
        return self.edit(lambda finished: finished)

    def _read(self, wall: FinishedWall) -> Surveys:
        """The surveys that a wall names, read again where a file has become another one."""
        job = self.store.job
        there = wall.name in [entry.name for entry in job.walls]  # else `check_finished` has told it
        if not there or not any(True for _ in named_surveys(wall)):
            return {}
        asked = wall.name, tuple(named_surveys(wall)), wall.plumb, self._looks(wall), job.wall(wall.name)
        return _known(
            self._read_before, asked,
            lambda: read_after(job, Finished(walls=(wall,)), Path(job.folder)).get(wall.name, {}),
        )  # fmt: skip

    def _looks(self, wall: FinishedWall) -> Looks:
        """How the files lie that a wall names; one that is not there is told by whoever reads it."""
        return tuple(_look(Path(self.store.job.folder) / name) for name in named_surveys(wall))

    def _measure(self, wall: FinishedWall, surveys: Surveys) -> MeasuredAgain | None:
        """What its surveys say; that takes a second a wall, so it is done once for the same surveys."""
        job = self.store.job
        read = (surveys.get(wall.after), surveys.get(wall.later))
        said = job.reach_m, job.sureness, job.formats
        asked = job.wall(wall.name), wall.after, wall.later, wall.fixed_again, read, *said
        return _known(self._measured_before, asked, lambda: self._measured_now(wall, surveys))

    def _measured_now(self, wall: FinishedWall, surveys: Surveys) -> MeasuredAgain | None:
        made = measure_again(self.store.job, Finished(walls=(wall,)), {wall.name: surveys})
        return made[0] if made else None

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


def _known(kept: dict[Hashable, Any], asked: Hashable, make: Callable[[], Any]) -> Any:
    """What was made before of the same, else made now; the oldest are dropped."""
    if asked not in kept:
        kept[asked] = make()
        if len(kept) > KEPT:
            del kept[next(iter(kept))]
    return kept[asked]
