"""Job folders that lie in a folder, and what one says of itself without being priced."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mytakeoff.errors import TakeoffError
from mytakeoff.io.files.journal import half_done
from mytakeoff.io.job.open_job import job_text, parsed
from mytakeoff.io.job.shape import JOB_FILE
from mytakeoff.jobs.rows import COLUMNS, Row, blank

OWN_WORDS = ("title", "place", "client", "state")


def is_job(folder: Path) -> bool:
    """Whether a folder holds a job, be it one whose save was cut off."""
    return (folder / JOB_FILE).is_file() or half_done(folder)


def folders_inside(folder: Path) -> tuple[str, ...]:
    """Names of the folders in a folder, in their order; hidden ones are nobody's jobs."""
    try:
        return tuple(sorted(each.name for each in folder.iterdir() if each.is_dir() and each.name[0] != "."))
    except OSError:  # away, or the drive is
        return ()


def job_folders(folder: Path) -> tuple[str, ...]:
    """Names of the folders in a folder that hold a job each, in their order; no deeper ones."""
    return tuple(name for name in folders_inside(folder) if is_job(folder / name))


def unpriced(place: Path, name: str, mistakes: str = "") -> Row:
    """The row of a job that is not priced: why, and what its file says of it all the same.

    Parameters
    ----------
    place : Path
        The folder that the job's folder lies in.
    name : str
        Of the job's folder.
    mistakes : str
    """
    return blank(name, mistakes) | _said(place / name)


def _said(folder: Path) -> Row:
    try:
        document: Any = parsed(job_text(folder))
    except (TakeoffError, OSError):
        return {}
    found = {key: document.get(key) for key in OWN_WORDS if key in COLUMNS}
    return {key: str(value) for key, value in found.items() if isinstance(value, str)}
