"""Work that takes longer than a frame: done in steps on the loop that the callback runs on."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator

log = logging.getLogger(__name__)


class Steps:
    """Runs one piece of work at a time, step by step; starting another drops the one before.

    Where a loop runs (a kernel, Voila) other messages are handled between two steps; where none does (a
    script, a test) the work is done at once.
    """

    def __init__(self) -> None:
        self._run = 0

    def start(
        self, work: Iterator[object], done: Callable[[], None], failed: Callable[[Exception], None]
    ) -> None:
        """Run `work` to its end, then call `done`; call `failed` if a step raises."""
        self._run += 1
        mine = self._run
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            while mine == self._run and self._step(work, done, failed):
                pass
            return

        def turn() -> None:
            if mine == self._run and self._step(work, done, failed):
                loop.call_soon(turn)

        loop.call_soon(turn)

    def stop(self) -> None:
        """Drop what is running."""
        self._run += 1

    @staticmethod
    def _step(work: Iterator[object], done: Callable[[], None], failed: Callable[[Exception], None]) -> bool:
        """One step; whether there is another."""
        try:
            next(work)
        except StopIteration:
            done()
            return False
        except Exception as error:  # shown on the panel; a callback of a loop would swallow it
            log.exception("a step of the panel's work failed")
            failed(error)
            return False
        return True
