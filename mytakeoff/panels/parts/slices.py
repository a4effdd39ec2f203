"""Work that takes longer than a frame: done in slices on the loop that the callback runs on.

Notes
-----
A newer job drops the older. Text goes before pictures, and the page gets only those pictures that differ. No
threads are started.
"""

from __future__ import annotations

import asyncio
import logging
import threading
import time
from collections.abc import Callable, Iterator

log = logging.getLogger(__name__)

SLICE_S = 0.1  # beyond a tenth of a second a hand feels that something waits
PAUSE_S = 0.01  # in which the kernel takes the messages that came meanwhile


class Waiting:
    """One thing to do a little later on the loop that the callback runs on; asking again puts it off."""

    def __init__(self) -> None:
        self._timer: asyncio.TimerHandle | None = None

    def start(self, after_s: float, do: Callable[[], None]) -> bool:
        """Do it so much later [s]; False, and never, where no loop runs, as in a script."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return False
        self._timer = loop.call_later(after_s, do)
        return True


class Steps:
    """Runs one piece of work at a time, in slices; starting another drops the one before.

    Where a loop runs (a kernel, Voila) the first slice is done at once and other messages are handled between
    two slices; where none does (a script, a test) all of it is done at once. A front end's callbacks may come
    on a thread of their own while a cell's loop still works: what is dropped there never shows anything.
    """

    def __init__(self) -> None:
        self._run = 0
        self._lock = threading.RLock()

    def start(
        self, work: Iterator[bool | None], show: Callable[[], None], failed: Callable[[Exception], None]
    ) -> None:
        """Run `work` to its end.

        Parameters
        ----------
        work : iterator
            Each item is a step done; True ends the slice, so that what is done so far is shown.
        show : function
            Called after each slice.
        failed : function
            Called with what a step raised.
        """
        with self._lock:
            self._run += 1
            mine = self._run
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            while self._slice(mine, work, show, failed):
                pass
            return

        def turn() -> None:
            if self._slice(mine, work, show, failed):
                loop.call_later(PAUSE_S, turn)

        turn()

    def stop(self) -> None:
        """Drop what is running."""
        with self._lock:
            self._run += 1

    def _slice(
        self,
        mine: int,
        work: Iterator[bool | None],
        show: Callable[[], None],
        failed: Callable[[Exception], None],
    ) -> bool:
        """Some steps; whether there are more."""
        until = time.monotonic() + SLICE_S
        try:
            more = True
            while more and mine == self._run and time.monotonic() < until:
                shown = next(work, StopIteration)
                more = shown is not StopIteration
                if shown is True:
                    break
            with self._lock:
                if mine == self._run:
                    show()
                return more and mine == self._run
        except Exception as error:  # shown on the panel; a callback of a loop would swallow it
            log.exception("a step of the panel's work failed")
            with self._lock:
                if mine == self._run:
                    failed(error)
            return False
