"""Make job folders. A file that is already there is never written over."""

from __future__ import annotations

import errno
import shutil
import tomllib
from datetime import date
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import check_free, write_all
from mytakeoff.io.files.journal import half_done
from mytakeoff.job.calendar import Calendar
from mytakeoff.launch.own_workbooks import own_workbooks
from mytakeoff.resources import (
    FIRST_WORKBOOK,
    JOB_FILE,
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


def add_missing_workbooks(folder: Path) -> tuple[Path, ...]:
    """Copy those of the package's workbooks that a job folder has no file of that name for.

    Returns
    -------
    tuple of Path
        The workbooks added.
    """
    added = []
    for own in own_workbooks():
        place = folder / own.name
        if not place.exists():
            _copy_new(own, place)
            added.append(place)
    return tuple(added)


def check_job_folder(folder: Path) -> None:
    """Raise `TakeoffError` unless `folder` is a folder with a job in it."""
    if not folder.is_dir():
        found, remedy = "no such folder", f"make it with: mytakeoff new {as_typed(folder)}"
    elif not (folder / JOB_FILE).is_file() and not half_done(folder):
        found, remedy = (
            f"no {JOB_FILE} in it",
            "name the folder that holds your job, or make one: mytakeoff new",
        )
    else:
        return
    raise TakeoffError(Mistake(found, f"a job folder holds a {JOB_FILE}", remedy, str(folder)))


def first_workbook(folder: Path) -> str:
    """Name of the workbook that a job opens with: of a new one, without any readings, where it is entered.

    The folder is looked at, not opened as a job: that would keep the page waiting. What cannot be read opens
    as any job does, and is told there.
    """
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


def as_typed(folder: Path) -> str:
    """A folder as one has to type it in a command: in quotes where its name has blanks.

    Examples
    --------
    >>> as_typed(Path("flat-3")), as_typed(Path("flat 3"))
    ('flat-3', '"flat 3"')
    """
    return f'"{folder}"' if len(str(folder).split()) > 1 else str(folder)


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
