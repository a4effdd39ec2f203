"""How a job stands against what was signed: its variation."""

from __future__ import annotations

from pathlib import Path

import mytakeoff
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.changes import renamed_walls, what_changed
from mytakeoff.io.job.open_job import open_job
from mytakeoff.io.signed.kept import last_signed
from mytakeoff.job.edits import with_wall_name
from mytakeoff.job.job import Job, State
from mytakeoff.variations.variation import SignedJob, Variation, check_changed, variation_of

STATE: State = "signed"


def variation(job: Job | str | Path) -> Variation:
    """What a job costs more or less than what was signed, at the signed rates.

    Parameters
    ----------
    job : Job, str or Path
        A job that was opened from its folder, or the folder.

    Returns
    -------
    Variation
        Against the job as it was signed, or with the last variation that was signed.

    Raises
    ------
    TakeoffError
        Nothing is signed, or nothing has changed since; what is kept of it is damaged; the currency is
        another one; this version comes to another total of what was signed.

    Examples
    --------
    ``mt.variation("my-flat").gross``
    """
    now = job if isinstance(job, Job) else open_job(job)
    signed = last_signed(now.folder) if now.folder else None
    if signed is None:
        raise TakeoffError(_not_signed(now))
    made = variation_against(signed, now)
    check_changed(made)
    return made


def variation_against(signed: SignedJob, now: Job) -> Variation:
    """The variation that a job is, be it none.

    A wall that has another name by now is called as in what was signed: on a new name nothing is owed.
    """
    for was, name in renamed_walls(signed.job, now):
        now = with_wall_name(now, name, was)
    return variation_of(signed, now, what_changed, mytakeoff.__version__)


def _not_signed(job: Job) -> Mistake:
    here = f" {job.folder}" if job.folder else ""
    found = "nothing is signed yet"
    if job.state == STATE:
        found = "the job says that it is signed, and nothing of that is kept in its folder"
    return Mistake(
        found,
        "a variation is a change of what was signed",
        f"once it is signed, have it kept as it stands: mytakeoff sign{here}",
        "variation",
    )
