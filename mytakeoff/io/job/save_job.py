"""A job back to its folder: only what differs is written, the rest stays as the user wrote it."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import put_all, writing_in
from mytakeoff.io.files.three_way import Clash
from mytakeoff.io.job.news import note_of_save
from mytakeoff.io.job.planned import NOT_RENAMED, NOTHING_BROUGHT, planned
from mytakeoff.io.job.taken_along import finished_along, signed_along
from mytakeoff.job.job import Job


@dataclass(frozen=True)
class Saved:
    """What saving a job came to.

    Parameters
    ----------
    job : Job
        As it opens from the folder now: the edits of others that it did not know of are in it.
    clashes : tuple of Clash
        What was changed here and in the folder: it was saved as it is here.
    """

    job: Job
    clashes: tuple[Clash, ...] = ()

    @property
    def told(self) -> tuple[str, ...]:
        """The clashes in words."""
        return tuple(clash.words for clash in self.clashes)


def save_job(job: Job, folder: str | Path, opened: Job | None = None, workbook: str = "") -> Saved:
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
    workbook : str
        Which of ours saves it, for the note that it leaves for the others; none is left if empty.

    Returns
    -------
    Saved

    Raises
    ------
    TakeoffError
        The files there are no longer those of a job, edits of both sides do not go together, what would be
        saved could not be opened again, or the files cannot be written. Nothing was changed then.

    Notes
    -----
    A job that says what the files say leaves every byte of them. Else only the keys and cells that differ
    are replaced, comments and layout kept, and all files are put in place together: ``job.toml`` last, and
    all of them or none, even if the program is killed. Before that the job is opened from what is about to be
    written, and priced if it holds what somebody else has changed.

    A job that was opened from one folder and is saved into a new one takes along the files of its surveys as
    they are, the remarks and layout of its own files, what was signed, and what was written down when it was
    done.
    """
    return write_job(job, folder, opened, workbook)


def write_job(
    job: Job,
    folder: str | Path,
    opened: Job | None,
    workbook: str = "",
    brought: Mapping[str, Path] = NOTHING_BROUGHT,
    renamed: Mapping[str, str] = NOT_RENAMED,
) -> Saved:
    """The same with survey files from elsewhere, by where they shall stand in the folder, and with new names
    of walls, by their old ones, where more was changed than the name: remarks go with them."""
    if not str(folder):
        raise TakeoffError(
            Mistake("no folder", "a job is saved in a folder", "name one", f"job {job.title!r}")
        )
    folder = Path(folder)
    made = _made(folder)
    try:
        with writing_in(folder):
            plan = planned(job, folder, opened, brought, renamed)
            contents = {**signed_along(job, folder), **finished_along(job, folder), **plan.contents}
            changed = {path: now for path, now in contents.items() if _on_disk(path) != now}
            note = note_of_save(folder, changed, workbook) if changed and workbook else {}
            put_all(folder, {**note, **changed})
    except BaseException:
        if made:
            with suppress(OSError):
                folder.rmdir()
        raise
    return Saved(plan.job, plan.clashes)


def _on_disk(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


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
