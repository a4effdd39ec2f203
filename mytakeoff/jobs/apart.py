"""One folder of many, priced in whatever process: its row and the files that it hangs on, or its mistakes."""

from __future__ import annotations

from dataclasses import astuple
from pathlib import Path
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.open_job import job_text, parsed
from mytakeoff.io.job.shape import JOB_FILE, PACK_FILE, PRICE_FILE
from mytakeoff.jobs.kept import Kept, Priced, digests
from mytakeoff.jobs.pricing import price_folder
from mytakeoff.jobs.rows import row_of


def priced_row(folder: str, base: str) -> Priced:
    """Price a folder as it was named in another, in which this process may not be.

    What its files held is looked at before they are read: what changes meanwhile is worked out again.
    """
    path = str(Path(base, folder))
    files = digests(path, files_of(path))
    priced = price_folder(path)
    if priced.result is None:
        return None, tuple(_as_named(mistake, path, folder) for mistake in priced.mistakes)
    return Kept(files, row_of(folder, priced.result)), ()


def _as_named(mistake: Mistake, path: str, folder: str) -> Mistake:
    return Mistake(*(text.replace(path, folder) for text in astuple(mistake)))


def files_of(folder: str) -> tuple[str, ...]:
    """The files that a job is read from, by what its ``job.toml`` says now."""
    try:
        walls = parsed(job_text(Path(folder))).get("wall", [])
    except (TakeoffError, OSError):
        walls = []
    surveys = (wall.get("survey") for wall in walls if isinstance(wall, dict)) if _is_list(walls) else ()
    named = (survey.get("file") for survey in surveys if isinstance(survey, dict))
    own = (name for name in named if isinstance(name, str))
    return tuple(dict.fromkeys((JOB_FILE, PRICE_FILE, PACK_FILE, *own)))


def _is_list(found: Any) -> bool:
    return isinstance(found, list)
