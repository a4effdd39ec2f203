"""The rows of all jobs in a folder: those kept at once, the others priced beside, edited ones again.

Notes
-----
No process is waited for where a loop runs. A batch is short, so that a job that is edited while hundreds are
priced comes soon; what was priced from files that are no longer so is dropped.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from pathlib import Path

from mytakeoff.errors import TakeoffError, told
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.job.news import Looks, looks_of
from mytakeoff.io.job.shape import JOB_FILE
from mytakeoff.jobs.apart import files_of
from mytakeoff.jobs.found import folders_inside, job_folders, unpriced
from mytakeoff.jobs.kept import Kept, Priced, kept_bytes, kept_path, read_kept
from mytakeoff.jobs.many import SAVED_EVERY, price_apart
from mytakeoff.jobs.pool import cores, shared_out_steps
from mytakeoff.jobs.rows import Row
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.parts.watching import FolderWatch

TABLE = "jobs.csv"  # beside which rows are kept: a run that writes this table shares them
POLL_S, SHOW_S = 0.1, 0.5
BATCH = 16  # jobs for each process
ENDED = "the process that priced it was ended: close other programs, or price it by itself"
Batch = Iterator[tuple[str, Priced | None] | None]


class Book:
    """The rows of the jobs in a folder.

    Parameters
    ----------
    place : Path
        The folder that job folders lie in.
    only : tuple of str
        Names of the job folders to be looked at; empty for all, also those that come later.
    keeps : bool
        Whether rows are kept in `place`.
    changed : function
        Called when a row is another one.
    failed : function
        Told what went wrong.
    gone : function
        Whether whoever shows the rows is no more.

    Attributes
    ----------
    rows : dict of str to Row
        By the name of the job's folder.
    waiting : dict
        Names of those that are priced now or soon: their rows are from before.
    """

    def __init__(
        self,
        place: Path,
        changed: Callable[[], None],
        failed: Callable[[Exception], None],
        gone: Callable[[], bool],
        only: tuple[str, ...] = (),
        *,
        keeps: bool = True,
    ) -> None:
        self.place, self._only, self._keeps = place, only, keeps
        self._changed, self._failed = changed, failed
        self.rows: dict[str, Row] = {}
        self.waiting: dict[str, None] = {}
        self._kept: dict[str, Kept] = {}
        self._files: dict[str, tuple[str, ...]] = {}
        self._looks: dict[str, Looks] = {}
        self._due: list[str] = []
        self._stale: set[str] = set()
        self._batch: Batch | None = None
        self._unsaved, self._shown_at = 0, 0.0
        self._checking, self._timer = Steps(), Waiting()
        self.watch = FolderWatch(lambda before, now: self._look_again(before or {}, now), failed, gone)

    def start(self) -> None:
        """Show what is kept, and work out what is not."""
        before = read_kept(kept_path(self.place / TABLE))
        for name in self._names():
            self.rows[name] = before[name].row if name in before else unpriced(self.place, name)
        self.waiting = dict.fromkeys(self.rows)
        self.watch.start(str(self.place), ())
        self._checking.start(self._check(before), self._show_in_turn, self._failed)

    def _names(self) -> tuple[str, ...]:
        return self._only or job_folders(self.place)

    # -- what is kept, and what has changed -----------------------------------------------------

    def _check(self, before: dict[str, Kept]) -> Iterator[bool | None]:
        """Take over what is kept as far as its files hold what they held; then price the others."""
        for name in tuple(self.rows):
            self._look(name)
            if name in before and before[name].fits(str(self.place / name)):
                self._kept[name] = before[name]
                del self.waiting[name]
            else:
                self._due.append(name)
            yield None
        self._know()
        yield True
        self._price()

    def _look(self, name: str) -> None:
        """Note how the files of a job lie before they are read."""
        folder = self.place / name
        self._files[name] = tuple(f"{name}/{file}" for file in files_of(str(folder)))
        self._looks[name] = looks_of(self.place, self._files[name])

    def _know(self) -> None:
        """Look at these files from now on, and at folders that may become jobs."""
        others = () if self._only else (".", *(f"{name}/{JOB_FILE}" for name in folders_inside(self.place)))
        looks = {file: look for each in self._looks.values() for file, look in each.items()}
        self.watch.know(looks, dict.fromkeys((*others, *looks)))

    def _look_again(self, before: Looks, now: Looks) -> None:
        """Price jobs again whose files have come to rest as something else."""
        there = self._names()
        for name in [name for name in self.rows if name not in there]:
            for kept in (self.rows, self.waiting, self._kept, self._files, self._looks):
                kept.pop(name, None)
            self._due = [each for each in self._due if each != name]
        moved = {file.split("/")[0] for file, look in now.items() if look != before.get(file)}
        again = [name for name in there if name in moved or name not in self.rows]
        for name in again:
            self.rows.setdefault(name, unpriced(self.place, name))
            self._kept.pop(name, None)
            self._look(name)
            if name in self.waiting and name not in self._due:
                self._stale.add(name)  # it is being priced from what the files were
            self.waiting[name] = None
        self._due = [*again, *(name for name in self._due if name not in again)]
        self._know()
        self._changed()
        if self._batch is None:
            self._price()

    # -- pricing --------------------------------------------------------------------------------

    def _price(self) -> None:
        """Price what is due: looked in on by the loop; where none runs, all of it at once."""
        try:
            asyncio.get_running_loop()
        except RuntimeError:
            while self._due:
                for each in self._next_batch(None):
                    self._take(each)
            self._settle()
            return
        self._turn()

    def _next_batch(self, wait_s: float | None = 0.0) -> Batch:
        at_once = cores()
        names, self._due = self._due[: BATCH * at_once], self._due[BATCH * at_once :]
        work = partial(price_apart, base=str(self.place))
        return shared_out_steps(work, names, at_once, wait_s)

    def _turn(self) -> None:
        """Take what is done by now, and come back."""
        if self.watch.over:
            self._batch = None  # which ends its processes
            return
        try:
            if self._batch is None and self._due:
                self._batch = self._next_batch()
            ended = self._batch is None or not self._took(self._batch)
        except Exception as error:  # no process can be started, as where memory is short
            self._failed(error)
            self._due, self._batch, ended = [], None, True
        if ended:
            self._batch = None
        if ended and not self._due:
            safely(self._settle, self._failed)()
        else:
            safely(self._show_in_turn, self._failed)()
            self._timer.start(POLL_S, self._turn)

    def _took(self, batch: Batch) -> bool:
        """Take all that is done by now; whether there is more to come."""
        for each in batch:
            if each is None:
                return True
            self._take(each)
        return False

    def _take(self, each: tuple[str, Priced | None] | None) -> None:
        """A job that was priced, or why it could not be."""
        if each is None or each[0] not in self.rows:
            return
        name, priced = each
        if name in self._stale:
            self._stale.discard(name)
            return
        kept, mistakes = priced or (None, ())
        self.waiting.pop(name, None)
        if kept is None:
            self.rows[name] = unpriced(self.place, name, "; ".join(told(mistakes)) or ENDED)
            return
        self.rows[name], self._kept[name] = kept.row, kept
        self._unsaved += 1

    def _show_in_turn(self) -> None:
        """Tell of what is done, but not of each job by itself."""
        if self._unsaved >= SAVED_EVERY:
            self._keep()
        if time.monotonic() - self._shown_at > SHOW_S:
            self._changed()
            self._shown_at = time.monotonic()

    def _settle(self) -> None:
        if self._unsaved:
            self._keep()
        self._changed()

    def _keep(self) -> None:
        """Keep the rows for the next time, where the folder may be written to."""
        self._unsaved = 0
        if self._keeps:
            with suppress(OSError, TakeoffError):
                write_all({kept_path(self.place / TABLE): kept_bytes(self._kept)})
