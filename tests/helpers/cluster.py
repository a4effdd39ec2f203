"""A Dask cluster of two processes, as somebody else would have started it, and work for it.

Run as a program it says its address and the numbers of its processes, and ends with its input.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from command import environment

WORKERS = 2
LOST_ONCE = {"distributed.scheduler.allowed-failures": 1}  # what ends two workers is given up


@dataclass(frozen=True)
class Running:
    """A cluster that runs: where its scheduler is, the process of that, and those of the workers."""

    address: str
    scheduler: int
    workers: tuple[int, ...]


def doubled_there(piece: str) -> str:
    """Work on a piece; one called so ends its process, as the system does where memory is short."""
    if piece == "ends":
        os._exit(9)
    return piece * 2


@contextmanager
def running_cluster(workers: int = WORKERS) -> Iterator[Running]:
    """Start one in a process of its own, whose warnings are not ours."""
    process = subprocess.Popen(
        [sys.executable, __file__, str(workers)],
        env=environment(),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        encoding="utf-8",
    )
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        address, *pids = process.stdout.readline().split()
        yield Running(address, process.pid, tuple(map(int, pids)))
    finally:
        process.stdin.close()
        process.wait(timeout=60)
        process.stdout.close()


def main() -> None:
    """Run one until the input ends."""
    import dask
    from distributed import Client, LocalCluster

    dask.config.set(LOST_ONCE)
    workers = int(sys.argv[1])
    with LocalCluster(n_workers=workers, threads_per_worker=2, dashboard_address=None) as cluster:
        with Client(cluster) as client:
            pids = client.run(os.getpid).values()
        print(cluster.scheduler_address, *pids, flush=True)  # noqa: T201
        sys.stdin.read()


if __name__ == "__main__":
    main()
