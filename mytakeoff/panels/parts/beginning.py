"""What a workbook says first of a job that nothing can be worked out of yet."""

from __future__ import annotations

from mytakeoff.job.job import Job
from mytakeoff.panels.parts.html import Html, element

JOB_WORKBOOK = "job.ipynb"
OR_A_FILE = "or read a file of them in survey.ipynb"


def first_step(job: Job) -> str:
    """What to do first, in one sentence; "" once a wall is read.

    Parameters
    ----------
    job : Job
        As it is shown.
    """
    if not job.walls:
        return f"This job has no wall yet: open {JOB_WORKBOOK} and enter its rooms and walls there first."
    if not job.read_walls:
        name = job.walls[0].name
        return f"No wall is read yet: open {JOB_WORKBOOK} and type the readings of {name} there, {OR_A_FILE}."
    if not job.priced_walls:
        name = job.chosen_walls[0].name
        start = "No wall that is to be priced is read yet"
        return f"{start}: open {JOB_WORKBOOK} and type the readings of {name} there, {OR_A_FILE}."
    return ""


def first_line(job: Job) -> Html:
    """That sentence as HTML; nothing where there is none."""
    said = first_step(job)
    return element("p", said, css="mt-first", role="status") if said else Html()
