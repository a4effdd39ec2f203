"""Finished jobs in a folder of folders: opened one by one, those that cannot be told and left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import measure_again, with_measured
from mytakeoff.chain import evaluate
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.after_surveys import named_surveys, read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished
from mytakeoff.io.job.open_job import open_job
from mytakeoff.job.job import Job
from mytakeoff.learning.evidence import FinishedJob
from mytakeoff.learning.learn import Lessons, learn


@dataclass(frozen=True)
class FinishedJobs:
    """The finished jobs in a folder.

    Parameters
    ----------
    jobs : tuple of FinishedJob
        By the names of their folders.
    left_out : tuple of Mistake
        What could not be opened or is not done yet, and why.
    """

    jobs: tuple[FinishedJob, ...]
    left_out: tuple[Mistake, ...]


def finished_jobs(folder: str | Path) -> FinishedJobs:
    """The jobs in the folders below a folder of which something was written down.

    Parameters
    ----------
    folder : str or Path
        Holds job folders; nothing in them is changed but a save that was cut off, which is finished.

    Returns
    -------
    FinishedJobs

    Raises
    ------
    TakeoffError
        The folder cannot be read.
    """
    jobs, left_out = list[FinishedJob](), list[Mistake]()
    for place in finished_below(folder):
        try:
            jobs.append(finished_job(place))
        except TakeoffError as error:
            left_out += error.mistakes
    return FinishedJobs(tuple(jobs), tuple(left_out))


def finished_job(place: Path) -> FinishedJob:
    """The finished job in a folder, with what the surveys of its finished walls say.

    Raises
    ------
    TakeoffError
        It cannot be opened, or is not done yet; each place begins with the folder's name.
    """
    try:
        job, finished = open_job(place), open_finished(place)
        done = job.state == "done"
        finished = _as_measured(job, finished, place) if done else finished
    except TakeoffError as error:
        raise TakeoffError(*(_told_of(place.name, mistake) for mistake in error.mistakes)) from None
    if not done:
        raise TakeoffError(
            Mistake(f"its state is {job.state!r}", "a job is learnt from when it is done",
                    "say that it is done on its job sheet", place.name)
        )  # fmt: skip
    return FinishedJob(place.name, job, finished)


def _as_measured(job: Job, finished: Finished, folder: Path) -> Finished:
    """What was written down of a job, with what the surveys of its finished walls say.

    Raises
    ------
    TakeoffError
        What cannot be: told before a survey is read, which may be of a wall that the job does not have.
    """
    if not any(True for wall in finished.walls for _ in named_surveys(wall)):
        return finished
    check_finished(evaluate(_held(job)), finished, FINISHED_FILE)
    surveys = read_after(job, finished, folder)
    return with_measured(finished, measure_again(job, finished, surveys, FINISHED_FILE))


def _held(job: Job) -> Job:
    """The job without what lies between its readings: no name in it and no mistake hangs on that."""
    return replace(job, worked_out=replace(job.worked_out, held=True))


def finished_below(folder: str | Path) -> Sequence[Path]:
    """The folders in a folder that hold what was written down of a job; none of them is opened.

    Raises
    ------
    TakeoffError
        The folder cannot be read.
    """
    folder = Path(folder)
    try:
        return sorted(place for place in folder.iterdir() if (place / FINISHED_FILE).is_file())
    except OSError as error:
        raise TakeoffError(
            Mistake(f"cannot be read ({error.strerror})", "finished jobs lie in folders of one folder",
                    "name the folder that holds them", str(folder))
        ) from None  # fmt: skip


def _told_of(name: str, mistake: Mistake) -> Mistake:
    return Mistake(mistake.found, mistake.rule, mistake.remedy, f"{name}, {mistake.place}")


def learn_from(folder: str | Path) -> Lessons:
    """What the finished jobs in a folder say of this user's own figures; see `learn`. Asks no network.

    Parameters
    ----------
    folder : str or Path

    Returns
    -------
    Lessons

    Raises
    ------
    TakeoffError
        The folder cannot be read; what is wrong with a job in it is told in `left_out`.
    """
    found = finished_jobs(folder)
    return learn(found.jobs, found.left_out)
