"""What second and third surveys say of the plaster that is on the walls."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from mytakeoff.change.between import change_between
from mytakeoff.change.change import Change
from mytakeoff.change.fixed import FixedRow
from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall, SettledCoat
from mytakeoff.finished.record import Finished
from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.survey import Survey

Surveys = Mapping[str, Mapping[str, Survey]]  # by wall, then by the name of the file


@dataclass(frozen=True, eq=False)
class MeasuredAgain:
    """One wall between its surveys.

    Parameters
    ----------
    wall : str
    laid : Change or None
        From the first survey to the one of the finished face; None: there is none of that.
    settled : Change or None
        From that to the same face later.
    """

    wall: str
    laid: Change | None
    settled: Change | None


def measure_again(job: Job, finished: Finished, surveys: Surveys) -> tuple[MeasuredAgain, ...]:
    """What was put on each finished wall, and how far it settled, where surveys tell.

    Parameters
    ----------
    job : Job
    finished : Finished
    surveys : mapping of str to mapping of str to Survey
        Of the finished walls, by wall and by the file that `finished` names.

    Returns
    -------
    tuple of MeasuredAgain
        Walls without such a survey are left out.

    Raises
    ------
    TakeoffError
        What `change_between` refuses, of all walls together.
    """
    entries = {entry.name: entry for entry in job.walls}
    check = Check()
    made = [
        check.made(partial(_again, job, entries[wall.name], wall, surveys[wall.name]))
        for wall in finished.walls
        if wall.after and wall.name in entries and wall.after in surveys.get(wall.name, {})
    ]
    check.done()
    return tuple(each for each in made if each is not None)


def _again(job: Job, entry: JobWall, wall: FinishedWall, surveys: Mapping[str, Survey]) -> MeasuredAgain:
    likely = likely_on(entry.background, job.sureness.likely)
    laid = change_between(
        entry.survey, surveys[wall.after], tuple(_rows(entry, wall)), loose=entry.loose,
        reach_m=job.reach_m, likely_before=likely, formats=job.formats,
    )  # fmt: skip
    if wall.later not in surveys:
        return MeasuredAgain(wall.name, laid, None)
    settled = change_between(
        surveys[wall.after], surveys[wall.later], tuple(_rows(entry, wall, later=True)),
        reach_m=job.reach_m, formats=job.formats,
    )  # fmt: skip
    return MeasuredAgain(wall.name, laid, settled)


def _rows(entry: JobWall, wall: FinishedWall, *, later: bool = False) -> Iterator[FixedRow]:
    """The fixed places that were read both times."""
    again = {each.name: each for each in wall.fixed_again}
    for place in (place for place in entry.fixed_places if place.name in again):
        read = again[place.name]
        first, second = (read.after_mm, read.later_mm) if later else (place.proud_mm, read.after_mm)
        if first is not None and second is not None:
            yield (place.x_m, place.z_m, first, second, place.name)


def with_measured(finished: Finished, measured: tuple[MeasuredAgain, ...]) -> Finished:
    """What was written down, with what the surveys say where nobody wrote a figure by hand.

    Parameters
    ----------
    finished : Finished
    measured : tuple of MeasuredAgain

    Notes
    -----
    Uncertainties of a `Change` are expanded ones; a `FinishedWall` has standard ones.
    """
    by_wall = {each.wall: each for each in measured}
    walls = tuple(
        _filled(wall, by_wall[wall.name]) if wall.name in by_wall else wall for wall in finished.walls
    )
    return replace(finished, walls=walls)


def _filled(wall: FinishedWall, measured: MeasuredAgain) -> FinishedWall:
    laid, settled = measured.laid, measured.settled
    if wall.mean_mm is None and laid is not None and laid.mean_mm is not None and laid.mean_mm > 0:
        wall = replace(wall, mean_mm=laid.mean_mm, uncertainty_mm=_standard(laid))
    if not wall.settled and settled is not None and settled.mean_mm is not None:
        wall = replace(wall, settled=(SettledCoat(settled.mean_mm, _standard(settled)),))
    return wall


def _standard(change: Change) -> float:
    """Standard uncertainty of a mean [mm]."""
    assert change.uncertainty_mm is not None  # it is tied
    assert change.factor is not None
    return change.uncertainty_mm / change.factor
