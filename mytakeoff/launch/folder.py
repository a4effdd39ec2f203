"""Make job folders. A file that is already there is never written over."""

from __future__ import annotations

import errno
import shutil
import tomllib
from datetime import date
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import check_free, write_all
from mytakeoff.io.files.text import as_typed
from mytakeoff.job.calendar import Calendar
from mytakeoff.jobs.found import is_job, job_folders
from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import (
    FIRST_WORKBOOK,
    JOB_FILE,
    JOB_WORKBOOKS,
    JOBS_WORKBOOK,
    NEW_WORKBOOK,
    WORKBOOK_PANELS,
    demo_folder,
    starting_job_folder,
)

NO_START = "# start = "  # the line of the starting job that the first day is written over


def new_job_folder(folder: Path, demo: bool = False, today: date | None = None) -> Path:
    """Make a job folder with the package's workbooks and a job to start from.

    Parameters
    ----------
    folder : Path
        Not there yet, or empty.
    demo : bool
        Start from the demo job instead of the starting job.
    today : date or None
        A new job begins on the next day after it that is worked on, so that every workbook reckons from the
        same day; the clock's unless given.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    TakeoffError
        If the folder holds anything, or cannot be written.
    """
    check_free(folder)
    job = demo_folder() if demo else starting_job_folder()
    try:
        _copy_into(folder, job)
        add_missing_workbooks(folder)
        text = (job / JOB_FILE).read_text(encoding="utf-8")
        _write_last(folder / JOB_FILE, text if demo else _started(text, today or date.today()))
    except OSError as error:
        raise _cannot_write(folder, error) from error
    return folder


def workbooks_of(folder: Path) -> tuple[str, ...]:
    """Names of the workbooks that belong into a folder: those of a job, or the one over many job folders."""
    return (JOBS_WORKBOOK,) if holds_jobs(folder) else JOB_WORKBOOKS


def holds_jobs(folder: Path) -> bool:
    """Whether a folder is none of a job, and holds some."""
    return not is_job(folder) and bool(job_folders(folder))


def add_missing_workbooks(folder: Path) -> tuple[Path, ...]:
    """Copy those of the package's workbooks that belong into a folder and have no file of that name there.

    Returns
    -------
    tuple of Path
        The workbooks added.
    """
    added, names = [], workbooks_of(folder)
    for own in own_workbooks():
        place = folder / own.name
        if own.stem in names and not place.exists():
            _copy_new(own, place)
            added.append(place)
    return tuple(added)


def check_job_folder(folder: Path) -> None:
    """Raise `TakeoffError` unless `folder` is a folder with a job in it, or one of such folders."""
    if not folder.is_dir():
        found, remedy = "no such folder", f"make it with: mytakeoff new {as_typed(folder)}"
    elif not is_job(folder) and not job_folders(folder):
        found, remedy = (
            f"no {JOB_FILE} in it",
            "name the folder that holds your job, or make one: mytakeoff new",
        )
    else:
        return
    raise TakeoffError(Mistake(found, f"a job folder holds a {JOB_FILE}", remedy, str(folder)))


def first_workbook(folder: Path) -> str:
    """Name of the workbook that a folder opens with: of a new job, without any readings, where it is entered.

    The folder is looked at, not opened as a job: that would keep the page waiting. What cannot be read opens
    as any job does, and is told there.
    """
    if holds_jobs(folder):
        return JOBS_WORKBOOK
    new = NEW_WORKBOOK in WORKBOOK_PANELS and not _has_readings(folder)
    return NEW_WORKBOOK if new else FIRST_WORKBOOK


def _has_readings(folder: Path) -> bool:
    """Whether a wall of the job names a survey that is there, or the job cannot be read."""
    try:
        job = tomllib.loads((folder / JOB_FILE).read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):
        return True
    walls = job.get("wall")
    surveys = (
        [wall.get("survey") for wall in walls if isinstance(wall, dict)] if isinstance(walls, list) else []
    )
    files = [survey.get("file") for survey in surveys if isinstance(survey, dict)]
    return any(isinstance(file, str) and (folder / file).is_file() for file in files)


def _copy_into(folder: Path, source: Path) -> None:
    """Copy the files below `source` into `folder`, hidden ones and the job file left out."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in sorted(source.rglob("*")):
        inside = path.relative_to(source)
        hidden = any(part.startswith(".") for part in inside.parts)
        if path.is_file() and not hidden and inside != Path(JOB_FILE):
            place = folder / inside
            place.parent.mkdir(parents=True, exist_ok=True)
            _copy_new(path, place)


def _started(text: str, today: date) -> str:
    """The text of a new job with its first day said."""
    start = f"start = {Calendar().begun(today).start}"
    said = f"{start:<28}# first day on site\n"
    return "".join(said if line.startswith(NO_START) else line for line in text.splitlines(keepends=True))


def _write_last(job_file: Path, text: str) -> None:
    """Write the job file once everything else is there: a folder that holds one is whole."""
    if job_file.exists():
        raise FileExistsError(errno.EEXIST, "there is a job by now", str(job_file))
    write_all({job_file: text.encode()})


def _copy_new(source: Path, place: Path) -> None:
    """Copy a file's bytes; the "x" refuses a file that turned up in the meantime."""
    with source.open("rb") as read, place.open("xb") as write:
        shutil.copyfileobj(read, write)


def _cannot_write(folder: Path, error: OSError) -> TakeoffError:
    """Say what the system said, and where."""
    found = f"cannot write here ({error.strerror or error})"
    return TakeoffError(
        Mistake(found, "a job is kept in files", "choose a folder that you may write to", str(folder))
    )
