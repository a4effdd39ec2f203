"""The ways of treating a wall: for each its stages and what the rest has to know of it.

A new way is a module with its stages and a line in `WAYS`. Its name, which is its treatment's kind, then
stands in ``job.toml`` and in the lists to choose from; what it costs follows from the `WallResult` it gives.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from difflib import get_close_matches

from mytakeoff.errors import Check
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.treatments import AS_IT_IS, FLOAT_LEANING, FLOAT_PLUMB, PATCH, STRAIGHTEN, Treatment
from mytakeoff.treatment.floated import floated_wall
from mytakeoff.treatment.treat import (
    leaning_plane,
    left_as_it_is,
    patched,
    plumb_plane,
    straightened,
    to_a_plane,
)
from mytakeoff.treatment.wall_result import WallResult


@dataclass(frozen=True)
class Way:
    """One way of treating a wall.

    Parameters
    ----------
    offered : Treatment
        As it stands among the standard options; its kind names the way.
    stages : function of the job, the wall, the treatment and the job that decides what is taken down
        Gives the wall, treated. The jobs come with the plane of this way, if it has one.
    plane : function of the job and the treatment, or None
        The plane that the wall is brought to; None where it is brought to none.
    straightens : bool
        Hollows are filled as far as the grade asks, so what nobody read between the readings counts.
    gives : str
        What it does to the walls, as a client reads it; empty: its name says it.
    """

    offered: Treatment
    stages: Callable[[Job, JobWall, Treatment, Job], WallResult]
    plane: Callable[[Job, Treatment], PlaneChoice] | None = None
    straightens: bool = False
    gives: str = ""

    def with_plane(self, job: Job, treatment: Treatment) -> Job:
        """The job with the plane of this way, if it has one."""
        return job if self.plane is None else replace(job, plane=self.plane(job, treatment))


WAYS: dict[str, Way] = {
    way.offered.kind: way
    for way in (  # least work first
        Way(Treatment("as it is", AS_IT_IS, skim=False), left_as_it_is, gives="nothing is done"),
        Way(Treatment("patch and skim", PATCH), patched, gives="holes are filled"),
        Way(
            Treatment("straighten and skim", STRAIGHTEN, take_down=True),
            straightened,
            straightens=True,
            gives="hollows and holes are filled",
        ),
        Way(
            Treatment("float following the lean", FLOAT_LEANING, take_down=True),
            to_a_plane,
            leaning_plane,
            gives="flat, not made plumb",
        ),
        Way(
            Treatment("float plumb", FLOAT_PLUMB, take_down=True),
            to_a_plane,
            plumb_plane,
            gives="flat and plumb",
        ),
    )
}


def way_of(treatment: Treatment) -> Way:
    """The way that a treatment names.

    Raises
    ------
    TakeoffError
        There is none of that name.
    """
    check, kind = Check(f"option {treatment.name!r}"), treatment.kind
    near = get_close_matches(kind, WAYS, 1)
    remedy = f"write {near[0]!r}" if near else f"choose from {', '.join(map(repr, WAYS))}"
    check.that(kind in WAYS, f"{kind!r}", "a way of treating a wall is a known one", remedy)
    check.done()
    return WAYS[kind]


def straightens(wall: WallResult) -> bool:
    """Whether the hollows of a treated wall were straightened."""
    return wall.treatment is not None and way_of(wall.treatment).straightens


def cut_by_price(job: Job, entry: JobWall) -> bool:
    """Whether prices decide how much of a wall is taken down."""
    treatment = entry.treatment or job.treatment
    return treatment is not None and treatment.take_down


def cut_by_choice(job: Job, entry: JobWall) -> bool:
    """Whether a wall is taken down by the depth that the job has for its plane."""
    treatment = entry.treatment or job.treatment
    return treatment is None or (way_of(treatment).plane is not None and not treatment.take_down)


def standard_treatments(take_down: bool = True) -> tuple[Treatment, ...]:
    """Every way to choose from, least work first; high spots taken down where it pays, or left.

    Examples
    --------
    >>> [treatment.name for treatment in standard_treatments()][-1]
    'float plumb'
    """
    offered = (way.offered for way in WAYS.values())
    return tuple(replace(each, take_down=each.take_down and take_down) for each in offered)


def treated_wall(job: Job, entry: JobWall, treatment: Treatment, decided_by: Job | None = None) -> WallResult:
    """Every stage of one wall up to its coats, treated in one way.

    Parameters
    ----------
    job : Job
    entry : JobWall
        One of its walls.
    treatment : Treatment
    decided_by : Job or None
        The job, of the same walls, that decides what is taken down; None: this one.

    Returns
    -------
    WallResult

    Raises
    ------
    TakeoffError
        A way that is not known, and whatever a stage finds wrong with what was entered.
    """
    way = way_of(treatment)
    planed = way.with_plane(job, treatment)
    decided = planed if decided_by is None else way.with_plane(decided_by, treatment)
    return way.stages(planed, entry, treatment, decided)


def evaluate_wall(job: Job, entry: JobWall, decided_by: Job | None = None) -> WallResult:
    """Every stage of one wall up to its coats, treated as the wall or the job has it.

    `decided_by` is as in `evaluate`.

    Raises
    ------
    TakeoffError
        Whatever a stage finds wrong with what was entered.
    """
    treatment = entry.treatment or job.treatment
    if treatment is None:
        return floated_wall(job, entry)
    return treated_wall(job, entry, treatment, decided_by)
