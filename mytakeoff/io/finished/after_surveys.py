"""The surveys of finished walls that ``finished.toml`` names, in any form that a first survey may have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from functools import partial
from pathlib import Path

from mytakeoff.change.same_wall import check_enough
from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.io.files.spreadsheet import read_cells
from mytakeoff.io.files.text import path_inside
from mytakeoff.io.finished.finished_file import FINISHED_FILE
from mytakeoff.io.job.open_job import FoundBeside, read_entry
from mytakeoff.io.job.shape import SurveyEntry
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.io.survey.found_rows import found_in
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.survey import Survey

AfterSurveys = dict[str, dict[str, Survey]]  # by wall, then by the name of the file


def read_after(job: Job, finished: Finished, folder: str | Path) -> AfterSurveys:
    """Every survey that was written down of the finished walls of a job.

    Parameters
    ----------
    job : Job
        What its first surveys say of a scan or of headings holds for these, too.
    finished : Finished
    folder : str or Path
        Holds the job.

    Returns
    -------
    dict of str to dict of str to Survey
        By the wall's name, then by the file's. Walls that the job does not have are passed over.

    Raises
    ------
    TakeoffError
        Whatever is wrong with any of the files, together: a name that leads out of the folder, what
        `read_survey` tells, fewer than three readings that count.

    Notes
    -----
    High spots and laid edges that stand under the readings of a sheet, as a form has them, belong to its
    survey; the other things there do not: a wall's fixed places read again stand in ``finished.toml``.
    A scan that was read is not read again as long as somebody holds its survey and its file is the same.
    """
    entries = {entry.name: entry for entry in job.walls}
    found: AfterSurveys = {}
    check = Check(FINISHED_FILE)
    for wall in (wall for wall in finished.walls if wall.name in entries):
        for name in dict.fromkeys(named_surveys(wall)):
            survey = check.made(partial(_read, Path(folder), name, wall, entries[wall.name]))
            if survey is not None:
                check_enough(survey, name, check)
                found.setdefault(wall.name, {})[name] = survey
    check.done()
    return found


def named_surveys(wall: FinishedWall) -> Iterator[str]:
    """Files that a finished wall names."""
    return filter(None, (wall.after, wall.later, *(each.survey for each in wall.rounds)))


def _read(folder: Path, name: str, wall: FinishedWall, entry: JobWall) -> Survey:
    """One of them, read as the wall's first survey is."""
    path = path_inside(folder, name, f"{FINISHED_FILE}, wall ({wall.name})")
    swept, beside = (False, FoundBeside()) if is_scan(path) else _found_beside(path, name)
    scan = asdict(entry.survey.scan)
    return read_entry(path, SurveyEntry(name, plumb=wall.plumb, swept=swept, **scan), entry.wall, beside)


def _found_beside(path: Path, name: str) -> tuple[bool, FoundBeside]:
    """What a sheet says under its readings: whether the wall was swept all over, spots and edges."""
    said = found_in(read_cells(path, name))
    return said.swept is True, FoundBeside(said.findings.high_spots, said.findings.sweeps)
