"""The surveys of finished walls that ``finished.toml`` names, in any form that a first survey may have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from functools import partial
from pathlib import Path

from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.io.files.text import path_inside
from mytakeoff.io.finished.finished_file import FINISHED_FILE
from mytakeoff.io.survey.survey_file import read_survey
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
        Whatever is wrong with any of the files, together.
    """
    entries = {entry.name: entry for entry in job.walls}
    found: AfterSurveys = {}
    check = Check(FINISHED_FILE)
    for wall in (wall for wall in finished.walls if wall.name in entries):
        for name in dict.fromkeys(named_surveys(wall)):
            survey = check.made(partial(_read, Path(folder), name, wall, entries[wall.name]))
            if survey is not None:
                found.setdefault(wall.name, {})[name] = survey
    check.done()
    return found


def named_surveys(wall: FinishedWall) -> Iterator[str]:
    """Files that a finished wall names."""
    return filter(None, (wall.after, wall.later, *(each.survey for each in wall.rounds)))


def _read(folder: Path, name: str, wall: FinishedWall, entry: JobWall) -> Survey:
    path = path_inside(folder, name, f"{FINISHED_FILE}, wall ({wall.name})")
    return read_survey(path, entry.wall, wall.plumb, name=name, **asdict(entry.survey.scan))
