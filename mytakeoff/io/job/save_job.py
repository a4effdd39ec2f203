"""A job back to its folder: only what differs is written, the rest stays as the user wrote it."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.job.merging import contents_of, on_disk
from mytakeoff.job.job import Job


def save_job(job: Job, folder: str | Path, opened: Job | None = None) -> None:
    """Write a job to its folder, or to a new one.

    Parameters
    ----------
    job : Job
        Where it and the files differ, the job wins. Survey files that stand there are never changed; a wall
        whose survey has no file gets one.
    folder : str or Path
        Made if it is not there.
    opened : Job or None
        The job as it was opened or last saved. Given, only what has changed since is written, and what
        somebody else has changed in the files meanwhile stays.

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job, or cannot be written. Nothing was changed then.

    Notes
    -----
    A job that says what the files say leaves every byte of them. Else only the keys and cells that differ
    are replaced, comments and layout kept, and all files are put in place together.
    """
    if not str(folder):
        raise TakeoffError(
            Mistake("no folder", "a job is saved in a folder", "name one", f"job {job.title!r}")
        )
    folder = Path(folder)
    contents = contents_of(job, folder, opened)
    changed = {path: content for path, content in contents.items() if on_disk(path) != content}
    try:
        for path in changed:
            path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise TakeoffError(
            Mistake(f"{error.strerror}", "a job is saved in a folder", "choose another folder", str(folder))
        ) from error
    write_all(changed)
