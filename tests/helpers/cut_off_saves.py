"""Saves that are cut off, each at another of their file operations: counted, not timed.

Run as a program, which imports the package once and forks a child for each operation: a job folder is copied,
the child saves into the copy and is killed, or refused by the disk, just before its n-th operation.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import count
from pathlib import Path
from typing import Any

import mytakeoff as mt
from mytakeoff.io.forms.desk import Draft, SurveyFile, read_draft, save_draft
from mytakeoff.jobs.many import price_many
from mytakeoff.launch.folder import new_job_folder

CHANGES = ("os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.chmod")
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
DONE, REFUSED = 0, 3


def edited(job: mt.Job) -> mt.Job:
    """A job with something else in each of its files, and a new wall that has no file yet."""
    wall = mt.Wall("gable", 2.0, 2.2)
    survey = mt.Survey.from_readings(wall, [0, 2, 0], [0, 0, 2], [1, 2.5, 3])
    gable = mt.JobWall(wall, job.rooms[0].name, survey, "brick")
    packs = replace(job.packs, rows=tuple(replace(row, price=row.price + 1) for row in job.packs.rows))
    prices = job.prices.with_price(job.prices.rows[0].item, Decimal("13.37"))
    return replace(job, walls=(*job.walls, gable), packs=packs, prices=prices, waste_share=0.2)


def save(folder: Path) -> None:
    """Save over the job in a folder what has been changed since it was opened."""
    job = mt.open_job(folder / "job")
    mt.save_job(edited(job), folder / "job", job)


def save_new(folder: Path) -> None:
    """Save the job in a folder into a new one."""
    mt.save_job(edited(mt.open_job(folder / "job")), folder / "new" / "place")


def save_survey(folder: Path) -> None:
    """Save a wall with a survey file from elsewhere."""
    job = mt.open_job(folder / "job")
    file = SurveyFile(folder / "brought.csv", "brought.csv", in_job=False)
    draft = Draft(mt.Wall("brought", 2.0, 2.5), job.rooms[0].name, "brick", file)
    save_draft(job, draft, read_draft(draft))


def sign(folder: Path) -> None:
    """Keep the job in a folder as it was signed."""
    mt.sign_job(folder / "job", date(2027, 2, 20))


def new_job(folder: Path) -> None:
    """Make a job folder with the package's workbooks."""
    new_job_folder(folder / "new", demo=True)


def csv_table(folder: Path, kind: str = "csv") -> None:
    """Price the job in a folder into a table beside it, in this process."""
    os.chdir(folder)
    price_many(["job"], Path(f"jobs.{kind}"), in_this_process, lambda done, of: None)


def in_this_process(work: Callable[[str], Any], pieces: Sequence[str]) -> Iterator[tuple[str, Any]]:
    """Share work out to nobody."""
    return zip(pieces, map(work, pieces), strict=True)


def parquet_table(folder: Path) -> None:
    """The same as Parquet."""
    csv_table(folder, "parquet")


SAVES: dict[str, Callable[[Path], None]] = {
    act.__name__: act for act in (save, save_new, save_survey, sign, new_job, csv_table, parquet_table)
}


def cut_off(template: Path, places: Path, save: str, how: str) -> list[tuple[Path, int]]:
    """Each copy of a folder that a save was cut off in, and how its process ended.

    Parameters
    ----------
    template : Path
        Holds the job folder ``job`` and whatever else the save needs; it is copied for each.
    places : Path
        Where the copies go.
    save : name of one of `SAVES`
    how : "killed", "once" or "on"
        Killed before an operation; or that operation fails, or it and all after it, as on a full disk.

    Returns
    -------
    list of (Path, int)
        The last one was not cut off. Ended by a signal: below 0.
    """
    told = [sys.executable, __file__, str(template), str(places), save, how]
    done = subprocess.run(told, capture_output=True, text=True, check=True)
    return [(Path(place), code) for place, code in json.loads(done.stdout)]


def _cut_off(template: Path, places: Path, save: str, how: str) -> Iterator[tuple[str, int]]:
    for nth in count():
        place = places / f"{nth:03}"
        shutil.copytree(template, place, symlinks=True)
        told, tell = os.pipe()
        child = os.fork()
        if child == 0:
            os._exit(_child(place, SAVES[save], how, nth, tell))
        os.close(tell)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        with open(told, "rb") as said:
            reached = bool(said.read())
        yield str(place), code
        if not reached:
            return


def _child(place: Path, save: Callable[[Path], None], how: str, nth: int, tell: int) -> int:
    """Save, and be cut off before the n-th operation below the folder."""
    seen, flush = count(), os.fsync

    def before_operation() -> None:
        number = next(seen)
        if number == nth or (number > nth and how == "on"):
            os.write(tell, b"reached")
            if how == "killed":
                os.kill(os.getpid(), signal.SIGKILL)
            raise OSError(errno.ENOSPC, "No space left on device")

    def heard(event: str, arguments: tuple[Any, ...]) -> None:
        named = event in CHANGES or (event == "open" and (how == "killed" or arguments[2] & WRITES))
        if named and str(arguments[0]).startswith(str(place)):
            before_operation()

    def flushed(handle: int) -> None:
        before_operation()
        flush(handle)

    sys.addaudithook(heard)
    os.fsync = flushed
    try:
        save(place)
    except mt.TakeoffError:
        return REFUSED
    return DONE


if __name__ == "__main__":
    given = sys.argv[1:]
    found = list(_cut_off(Path(given[0]), Path(given[1]), given[2], given[3]))
    sys.stdout.write(json.dumps(found))
