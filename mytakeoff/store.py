"""The one place that changes: holds the last good result, the history, and what was refused."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import replace

import traitlets

from mytakeoff.chain import evaluate
from mytakeoff.errors import TakeoffError
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.result import Result

SAME_MOVE_S = 1.0  # moves of one control within this are one step to undo
MOST_STEPS = 200


class Store(traitlets.HasTraits):
    """Holds a job's last good result and swaps it as a whole.

    Observe `result`: it changes once an edit. An edit that is refused leaves it as it was and says why in
    `problem`.

    Parameters
    ----------
    job : Job

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """

    result = traitlets.Instance(Result)
    problem = traitlets.Unicode("")

    def __init__(self, job: Job) -> None:
        super().__init__(result=evaluate(job))
        self._history: list[Job] = []
        self._last_move: tuple[str, float] = ("", 0.0)
        self._lock = threading.RLock()  # callbacks may run on a thread of their own beside a running cell

    @property
    def job(self) -> Job:
        """The job of the last good result."""
        return self.result.job

    def apply(self, change: Callable[[Job], Job], move: str = "") -> bool:
        """Change the job by a function.

        Parameters
        ----------
        change : function of Job
            Gives the new job, or raises `TakeoffError`.
        move : str
            Names the control: its moves in quick succession are undone together.

        Returns
        -------
        bool
            False: refused, and `problem` says why.
        """
        with self._lock:
            before = self.job
            try:
                after = self._knowing(change(before))
                result = self.result if after == before else evaluate(after)
            except TakeoffError as error:
                self.problem = str(error)
                return False
            self.problem = ""
            if result is not self.result:
                self._remember(before, move)
                self.result = result
            return True

    def _knowing(self, job: Job) -> Job:
        """The job with all that has been worked out, and held or not as this store's is."""
        known = self.job.worked_out
        found = (each for each in job.worked_out.walls if known.known(each.fingerprint) is None)
        return replace(job, worked_out=known.learnt(found))

    def learn(self, found: Iterable[LeftOpen]) -> None:
        """Take note of what was worked out: no edit, and no step to undo."""
        with self._lock:
            job = self.job
            self.result = evaluate(replace(job, worked_out=job.worked_out.learnt(found)))

    def note(self, change: Callable[[Job], Job]) -> None:
        """Change what is no edit, as a scenario that was kept, in the job and in each that undo leads to."""
        with self._lock:
            self._history = [change(job) for job in self._history]
            after = change(self.job)
            if after != self.job:
                self.result = evaluate(after)

    def settle(self) -> Result:
        """The result with nothing left to be worked out, as files are written from it."""
        with self._lock:
            if self.result.held:
                job = self.job
                done = evaluate(replace(job, worked_out=replace(job.worked_out, held=False)))
                self.learn(wall.left_open for wall in done.walls if wall.left_open is not None)
            return self.result

    def _remember(self, job: Job, move: str) -> None:
        name, at = self._last_move
        now = time.monotonic()
        if not (move and move == name and now - at < SAME_MOVE_S and self._history):
            self._history = [*self._history[-MOST_STEPS:], job]
        self._last_move = (move, now)

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._history)

    def undo(self) -> bool:
        """Take the last step back; whether there was one."""
        with self._lock:
            if not self._history:
                return False
            job = self._history.pop()
            self._last_move = ("", 0.0)
            self.problem = ""
            self.result = evaluate(self._knowing(job))
            return True
