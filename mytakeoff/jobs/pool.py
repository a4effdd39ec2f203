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
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from time import monotonic
from typing import TypeVar

Done = TypeVar("Done")
Share = Callable[[Callable[[str], Done], Sequence[str]], Iterator[tuple[str, Done | None]]]
"""How work is shared out: what it makes of each piece, as it is done; None of one that ended its process."""

PIECES = 512  # that a process does before it is started anew: after some 400 small jobs its caches are full
FEW = 8  # pieces that are begun by one process
FIRST_S = 10.0  # for whose first one no others are started
SAFE_PATH = "PYTHONSAFEPATH"  # told in the environment, since a new process looks before it is told anything


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
    return (each for each in shared_out_steps(work, pieces, processes, None) if each is not None)


def shared_out_steps(
    work: Callable[[str], Done], pieces: Sequence[str], processes: int, wait_s: float | None = 0.0
) -> Iterator[tuple[str, Done | None] | None]:
    """The same for whoever cannot stand and wait: None as often as nothing was done within a while.

    Parameters
    ----------
    work, pieces, processes
        Of `shared_out`.
    wait_s : float or None
        The longest that one step waits [s]; None for as long as it takes.
    """
    at_once = PIECES * processes
    for start in range(0, len(pieces), at_once):
        left = dict.fromkeys(pieces[start : start + at_once])
        for each in _in_a_pool(work, tuple(left), processes, wait_s):
            if each is not None:
                del left[each[0]]
            yield each
        for piece in left:  # one of them ended its process, and the others with it: each alone
            ended: tuple[str, Done | None] = piece, None
            for each in _in_a_pool(work, (piece,), 1, wait_s):
                if each is None:
                    yield None
                else:
                    ended = each
            yield ended


def _in_a_pool(
    work: Callable[[str], Done], pieces: Sequence[str], processes: int, wait_s: float | None
) -> Iterator[tuple[str, Done] | None]:
    """What is done of them until a process ends, which ends the pool; None while nothing is."""
    spawned = multiprocessing.get_context("spawn")
    with _out_of_this_folder():  # it starts one that keeps account of the others
        pool = ProcessPoolExecutor(min(processes, len(pieces)), spawned, _begin)
    waiting: dict[Future[Done], str] = {}
    begun = monotonic()
    alone_until = begun + (FIRST_S if wait_s is None and len(pieces) <= FEW else 0.0)
    try:
        with suppress(BrokenProcessPool), _out_of_this_folder():
            for piece in pieces:  # which starts a process, unless there are enough or one has nothing to do
                waiting[pool.submit(work, piece)] = piece
                if (left_s := alone_until - monotonic()) > 0:
                    wait(waiting, left_s)
                if len(waiting) == 1:
                    alone_until = min(alone_until, 2 * monotonic() - begun)
        while waiting:
            ready = wait(waiting, wait_s, FIRST_COMPLETED).done
            if not ready:
                yield None
            for future in ready:
                piece = waiting.pop(future)
                with suppress(BrokenProcessPool):
                    yield piece, future.result()
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


@contextmanager
def _out_of_this_folder() -> Iterator[None]:
    """Processes that are started meanwhile load nothing that lies in the folder one is in.

    It may hold a stranger's job, and in it a ``multiprocessing.py``, which Python would take for its own.
    """
    before = os.environ.get(SAFE_PATH)
    os.environ[SAFE_PATH] = "1"
    try:
        yield
    finally:
        os.environ.pop(SAFE_PATH)
        if before is not None:
            os.environ[SAFE_PATH] = before


def _begin() -> None:
    """Begin a process: it ends with the one that started it, at Ctrl-C at once, and uses one core."""
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    threadpool_limits(1)
    threading.Thread(target=_end_with, args=(multiprocessing.parent_process(),), daemon=True).start()


def _end_with(parent: multiprocessing.process.BaseProcess) -> None:
    parent.join()
    os._exit(1)
