"""A job back to its folder: only what differs is written, the rest stays as the user wrote it."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import put_all, writing_in
from mytakeoff.io.job.merging import NOTHING_BROUGHT, contents_of, on_disk
from mytakeoff.job.job import Job


def save_job(job: Job, folder: str | Path, opened: Job | None = None) -> None:
    """Write a job to its folder, or to a new one.

    Parameters
    ----------
    job : Job
        Where it and the files differ, the job wins. Survey files that stand there are never changed; a wall
        whose survey has no file, or other readings than its file, gets one.
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
    are replaced, comments and layout kept, and all files are put in place together: ``job.toml`` last, and
    all of them or none, even if the program is killed.

    A job that was opened from one folder and is saved into a new one takes along the files of its surveys as
    they are, and the remarks and layout of its own files.
    """
    write_job(job, folder, opened)


def write_job(
    job: Job, folder: str | Path, opened: Job | None, brought: Mapping[str, Path] = NOTHING_BROUGHT
) -> None:
    """The same with survey files from elsewhere, by where they shall stand in the folder."""
    if not str(folder):
        raise TakeoffError(
            Mistake("no folder", "a job is saved in a folder", "name one", f"job {job.title!r}")
        )
    folder = Path(folder)
    made = _made(folder)
    try:
        with writing_in(folder):
            contents = contents_of(job, folder, opened, brought)
            changed = {path: content for path, content in contents.items() if on_disk(path) != content}
            put_all(folder, changed)
    except BaseException:
        if made:
            with suppress(OSError):
                folder.rmdir()
        raise


def _made(folder: Path) -> bool:
    """See that a folder is there; whether it was not."""
    there = folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise TakeoffError(
            Mistake(f"{error.strerror}", "a job is saved in a folder", "choose another folder", str(folder))
        ) from error
    return not there
