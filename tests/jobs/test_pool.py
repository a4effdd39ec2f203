"""Work in several processes: what ends its process is told of, and nothing else is lost."""

from __future__ import annotations

import os
import sys
import time

import psutil
import pytest
from command import environment

from mytakeoff.jobs.pool import PIECES, shared_out, shared_out_steps


def doubled(piece: str) -> str:
    """Work on a piece; one called so ends its process, as the system does where memory is short."""
    if piece == "ends":
        os._exit(9)
    return piece * 2


def own_process(piece: str) -> int:
    return os.getpid()


@pytest.mark.parametrize("processes", [1, 2])
def test_a_piece_that_ends_its_process_is_the_only_one_without_a_result(processes: int) -> None:
    pieces = ["a", "b", "ends", "c", "d", "e"]
    done = dict(shared_out(doubled, pieces, processes))
    assert done == {piece: None if piece == "ends" else piece * 2 for piece in pieces}


def test_whoever_cannot_wait_is_told_that_nothing_is_done_yet() -> None:
    """Also where a process ends: what was with it is done alone, and looked in on in the same way."""
    pieces = ["a", "ends", "b"]
    steps = shared_out_steps(doubled, pieces, 1)
    began = time.monotonic()
    assert next(steps) is None, "a process takes longer to start"
    assert time.monotonic() - began < 1.0
    seen = []
    for each in steps:
        seen.append(each)
        time.sleep(0.01)
    assert seen.count(None) > len(pieces)
    assert dict(filter(None, seen)) == {"a": "aa", "ends": None, "b": "bb"}


def test_processes_are_started_anew_after_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    assert PIECES > 1
    monkeypatch.setattr("mytakeoff.jobs.pool.PIECES", 2)
    done = dict(shared_out(own_process, ["a", "b", "c", "d"], 1))
    assert done["a"] == done["b"] != done["c"] == done["d"]
    assert os.getpid() not in done.values()


def test_a_process_ends_with_the_one_that_started_it() -> None:
    """Killed, that one can end nothing any more."""
    script = (
        "from subprocess import getoutput\nfrom mytakeoff.jobs.pool import shared_out\n"
        "if __name__ == '__main__': list(shared_out(getoutput, ['sleep 60'], 1))"
    )
    process = psutil.Popen([sys.executable, "-c", script], env=environment())
    worker, sleeping = _at_work(process)
    process.kill()
    process.wait()
    gone, left = psutil.wait_procs([worker], timeout=30)
    sleeping.kill()
    assert (gone, left) == ([worker], [])


def _at_work(process: psutil.Popen) -> tuple[psutil.Process, psutil.Process]:
    """The process that works for it, once it does, and what that one waits for."""
    for _ in range(600):
        for each in process.children(recursive=True):
            if each.name() == "sleep":
                worker = next(up for up in each.parents() if "spawn_main" in " ".join(up.cmdline()))
                return worker, each
        time.sleep(0.1)
    raise AssertionError("nothing began")
