"""Many invented jobs into one table: two processes against one, and a second run against the first.

    python tests/benchmarks/bench_jobs.py [how many]

What lies between the readings of each is worked out, as of any job that is not entered in millimetres. The
times are those of the whole command; by the clock other work on the cores is in them.
"""

from __future__ import annotations

import resource
import shutil
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from time import perf_counter

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "helpers")]

from command import run  # noqa: E402
from random_jobs import random_job  # noqa: E402

import mytakeoff as mt  # noqa: E402

JOBS, CHANGED = 500, 5


def seconds(folder: Path, processes: int) -> tuple[float, float]:
    """Time of the command over all jobs of a folder, by the clock and of the processor [s]."""
    jobs = sorted(path.name for path in folder.glob("job-*"))
    start, used = perf_counter(), processor_s()
    done = run("price", *jobs, "--out", "jobs.csv", "--processes", processes, cwd=folder)
    assert done.returncode == 0, done.stderr
    return perf_counter() - start, processor_s() - used


def processor_s() -> float:
    """What all processes that were started and are done have used [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> None:
    """Print the table of the README."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else JOBS
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for seed in range(count):
            mt.save_job(replace(random_job(seed), missed_high_spot_mm=None), folder / f"job-{seed:04}")
        one = seconds(folder, 1)
        largest_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024  # Linux counts in kB
        table = (folder / "jobs.csv").read_bytes()
        shutil.move(folder / "jobs-kept.json", folder / "of-one.json")
        two = seconds(folder, 2)
        assert (folder / "jobs.csv").read_bytes() == table
        for seed in range(0, count, count // CHANGED):
            job = mt.open_job(folder / f"job-{seed:04}")
            mt.save_job(replace(job, waste_share=job.waste_share + 0.01), folder / f"job-{seed:04}")
        again = seconds(folder, 2)
    print(f"| {count} jobs | takes | of the processor | ratio |\n|---|---|---|---|")
    print(f"| one process, of {largest_mb:.0f} MB at most | {one[0]:.1f} s | {one[1]:.1f} s | |")
    print(f"| two processes | {two[0]:.1f} s | {two[1]:.1f} s | {one[0] / two[0]:.2f} × as fast |")
    share = f"{again[0] / two[0]:.3f}, {again[1] / two[1]:.3f} of the processor"
    print(f"| again, {CHANGED} changed | {again[0]:.1f} s | {again[1]:.1f} s | {share} |")


if __name__ == "__main__":
    main()
