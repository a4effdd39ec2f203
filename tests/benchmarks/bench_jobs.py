"""Many invented jobs into one table: two processes against one, and a second run against the first.

    python tests/benchmarks/bench_jobs.py [how many] [small]

What lies between the readings of each is worked out, as of any job that is not entered in millimetres; of
small ones it is entered. Times are those of the whole command. By the clock other work on the cores is in
them. *Alone* is what the clock would show with a core for each process: what the command itself used, then
the busiest of its processes, as if nothing of the two overlapped.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter, sleep

import psutil

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "helpers")]

from command import start  # noqa: E402
from random_jobs import random_job  # noqa: E402

import mytakeoff as mt  # noqa: E402

JOBS, CHANGED, LOOK_S = 500, 5, 0.05
MB = 1e6


@dataclass(frozen=True)
class Took:
    """What a run took: clock, processor in all, alone [s]; memory of its largest process [MB]."""

    clock_s: float
    processor_s: float
    alone_s: float
    largest_mb: float

    def row(self, name: str, first: Took | None = None) -> str:
        """A row of the table; its ratios are those of a first run to this one."""
        own = self.clock_s, self.processor_s, self.alone_s
        cells = [f"{each:.1f} s" for each in own]
        if first:
            theirs = first.clock_s, first.processor_s, first.alone_s
            cells = [f"{c}: {a / b:.2f}" for c, a, b in zip(cells, theirs, own, strict=True)]
        return f"| {name} | {' | '.join(cells)} | {self.largest_mb:.0f} MB |"


def took(folder: Path, processes: int) -> Took:
    """Run the command over all jobs of a folder."""
    jobs = sorted(path.name for path in folder.glob("job-*"))
    begun, used, largest = perf_counter(), dict[int, float](), 0.0
    running = start("price", *jobs, "--out", "jobs.csv", "--processes", processes, cwd=folder)
    while running.poll() is None:
        for process, seconds, size in _at_work(running.pid):
            used[process], largest = seconds, max(largest, size)
        sleep(LOOK_S)
    clock_s, (_, said) = perf_counter() - begun, running.communicate()
    assert running.returncode == 0, said
    own_s = used.pop(running.pid)
    workers = used.values()
    return Took(clock_s, own_s + sum(workers), own_s + max(workers, default=0.0), largest / MB)


def _at_work(process: int) -> Iterator[tuple[int, float, int]]:
    """A process and those that it started: time of the processor so far [s], memory [bytes]."""
    with suppress(psutil.Error):
        top = psutil.Process(process)
        for each in (top, *top.children(recursive=True)):
            with suppress(psutil.Error):  # it has ended
                times = each.cpu_times()
                yield each.pid, times.user + times.system, each.memory_info().rss


def write(folder: Path, count: int, small: bool) -> None:
    """Write the jobs."""
    for seed in range(count):
        job = random_job(seed)
        mt.save_job(job if small else replace(job, missed_high_spot_mm=None), folder / f"job-{seed:04}")


def main() -> None:
    """Print the table of the README."""
    count, small = int((*sys.argv, JOBS)[1]), "small" in sys.argv
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        write(folder, count, small)
        one = took(folder, 1)
        table = (folder / "jobs.csv").read_bytes()
        shutil.move(folder / "jobs-kept.json", folder / "of-one.json")
        two = took(folder, 2)
        assert (folder / "jobs.csv").read_bytes() == table
        for seed in range(0, count, count // CHANGED):
            job = mt.open_job(folder / f"job-{seed:04}")
            mt.save_job(replace(job, waste_share=job.waste_share + 0.01), folder / f"job-{seed:04}")
        again = took(folder, 2)
    print(f"| {count} {'small ' * small}jobs | by the clock | of the processor | alone | largest process |\n"
          "|---|---|---|---|---|")  # fmt: skip
    print(one.row("one process"))
    print(two.row("two processes, and one ÷ two", one))
    print(again.row(f"again, {CHANGED} changed, and two ÷ again", two))
    print(f"\nagain ÷ one process: {again.clock_s / one.clock_s:.3f} by the clock, "
          f"{again.processor_s / one.processor_s:.3f} of the processor", file=sys.stderr)  # fmt: skip


if __name__ == "__main__":
    main()
