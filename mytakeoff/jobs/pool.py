"""Work shared out to processes: one that ends takes only its own piece with it, and none grows old.

Notes
-----
Processes are started anew (spawn) on every system alike, and again after a while, so that what libraries and
caches hold on to goes with them. That is done pool by pool: `max_tasks_per_child` of the standard library
stands still for good in Python 3.11 to 3.14 (python/cpython issue 115634).

A process takes most of a second to start, as long as a dozen small jobs take: few pieces are begun by one
alone, and others are started once that has been at work for as long again as its start and first piece took.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from time import monotonic
from typing import TypeVar

Done = TypeVar("Done")
Share = Callable[[Callable[[str], Done], Sequence[str]], Iterator[tuple[str, Done | None]]]
"""How work is shared out: what it makes of each piece, as it is done; None of one that ended its process."""

PIECES = 512  # that a process does before it is started anew: after some 400 small jobs its caches are full
FEW = 8  # pieces that are begun by one process
FIRST_S = 10.0  # for whose first one no others are started


def cores() -> int:
    """Cores that this process may use [-]."""
    usable = getattr(os, "sched_getaffinity", None)
    return len(usable(0)) if usable else os.cpu_count() or 1


def shared_out(
    work: Callable[[str], Done], pieces: Sequence[str], processes: int
) -> Iterator[tuple[str, Done | None]]:
    """What `work` makes of each piece, as it is done; None of one whose process ended.

    Parameters
    ----------
    work : function
        Of a module, so that other processes find it; it raises nothing.
    pieces : sequence of str
        None of them twice.
    processes : int
        At a time, 1 or more [-].
    """
    at_once = PIECES * processes
    for start in range(0, len(pieces), at_once):
        left = dict.fromkeys(pieces[start : start + at_once])
        for piece, done in _in_a_pool(work, tuple(left), processes):
            del left[piece]
            yield piece, done
        for piece in left:  # one of them ended its process, and the others with it: each alone
            yield piece, dict(_in_a_pool(work, (piece,), 1)).get(piece)


def _in_a_pool(
    work: Callable[[str], Done], pieces: Sequence[str], processes: int
) -> Iterator[tuple[str, Done]]:
    """What is done of them until a process ends, which ends the pool."""
    pool = ProcessPoolExecutor(min(processes, len(pieces)), multiprocessing.get_context("spawn"), _begin)
    waiting: dict[Future[Done], str] = {}
    begun = monotonic()
    alone_until = begun + (FIRST_S if len(pieces) <= FEW else 0.0)
    try:
        with suppress(BrokenProcessPool):
            for piece in pieces:  # which starts a process, unless there are enough or one has nothing to do
                waiting[pool.submit(work, piece)] = piece
                if (left_s := alone_until - monotonic()) > 0:
                    wait(waiting, left_s)
                if len(waiting) == 1:
                    alone_until = min(alone_until, 2 * monotonic() - begun)
        for future in as_completed(waiting):
            with suppress(BrokenProcessPool):
                yield waiting[future], future.result()
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def _begin() -> None:
    """Begin a process: it ends with the one that started it, at Ctrl-C at once, and uses one core."""
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    threadpool_limits(1)
    threading.Thread(target=_end_with, args=(multiprocessing.parent_process(),), daemon=True).start()


def _end_with(parent: multiprocessing.process.BaseProcess) -> None:
    parent.join()
    os._exit(1)
