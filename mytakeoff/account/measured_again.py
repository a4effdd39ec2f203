"""What second and third surveys say of the plaster that is on the walls."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from mytakeoff.account.check import WHERE
from mytakeoff.bounds import Within, bounds_of
from mytakeoff.chain import evaluate
from mytakeoff.change.between import change_between
from mytakeoff.change.change import Change
from mytakeoff.change.fixed import FixedRow
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.finished.finished_wall import FinishedWall, SettledCoat
from mytakeoff.finished.record import Finished
from mytakeoff.formats.formats import Formats
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.survey import Survey
from mytakeoff.treatment.left_open import likely_of

Surveys = Mapping[str, Mapping[str, Survey]]  # by wall, then by the name of the file
THICK, OFF = (bounds_of(FinishedWall)[name] for name in ("mean_mm", "uncertainty_mm"))
SETTLES = bounds_of(SettledCoat)["change_mm"]
CACHE_SIZE = 32  # changes kept with their surveys: an edit of one wall asks for those of all
NO_SETTLING = (
    "What the fixed places leave open of how far the face went back is more than any coat settles: it counts "
    "for nothing. Read them again."
)

_change = lru_cache(CACHE_SIZE)(change_between)


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
    laid_by, settled_by : tuple of str
        Names of the fixed places that tie either, in the order of its `residual_mm`.
    cut_mm : float
        What is priced to be taken down of the wall first, on average over its priced area: `laid` is net of
        that [mm].
    """

    wall: str
    laid: Change | None
    settled: Change | None
    laid_by: tuple[str, ...] = ()
    settled_by: tuple[str, ...] = ()
    cut_mm: float = 0.0

    @property
    def put_on_mm(self) -> float | None:
        """Mean thickness that was put on: what `laid` says and what was taken down before [mm]."""
        return None if self.laid is None or self.laid.mean_mm is None else self.laid.mean_mm + self.cut_mm

    @property
    def thickness_mm(self) -> tuple[float, float] | None:
        """That, and how far it may be off as a standard deviation; None where it is no thickness [mm, mm]."""
        return _figure(self.put_on_mm, self.laid, THICK)

    @property
    def settled_mm(self) -> tuple[float, float] | None:
        """How far the face came, below 0 back, and its standard deviation; None where nothing settles so
        [mm, mm]."""
        return _figure(None if self.settled is None else self.settled.mean_mm, self.settled, SETTLES)


def _figure(mean_mm: float | None, change: Change | None, within: Within) -> tuple[float, float] | None:
    """A mean that may be written down, with the standard uncertainty of its change [mm, mm]."""
    if mean_mm is None or change is None or change.uncertainty_mm is None or not change.factor:
        return None
    off_mm = change.uncertainty_mm / change.factor
    holds = (within, mean_mm), (OFF, off_mm)
    return None if any(each.mistake("mm", mm, "") for each, mm in holds) else (mean_mm, off_mm)


def measure_again(
    job: Job, finished: Finished, surveys: Surveys, where: str = WHERE
) -> tuple[MeasuredAgain, ...]:
    """What was put on each finished wall, and how far it settled, where surveys tell.

    Parameters
    ----------
    job : Job
    finished : Finished
    surveys : mapping of str to mapping of str to Survey
        Of the finished walls, by wall and by the file that `finished` names.
    where : str
        The file that `finished` stands in, for messages.

    Returns
    -------
    tuple of MeasuredAgain
        Walls without such a survey are left out. What of it counts for nothing is told by the notices of its
        changes.

    Raises
    ------
    TakeoffError
        What `change_between` refuses, of all walls together, each at its wall; whatever `evaluate` finds
        wrong with the job.

    Notes
    -----
    The bare wall is held to what is likely on it, as it is priced; the finished face to what is likely on
    plaster that was floated once, with this job's own error of a reading. Old plaster that comes off is grown
    as it is priced.
    """
    entries = {entry.name: entry for entry in job.walls}
    there = [
        wall for wall in finished.walls
        if wall.name in entries and wall.after and wall.after in surveys.get(wall.name, {})
    ]  # fmt: skip
    cut_mm = _cut_mm(job) if there else {}
    check = Check(where)
    made = []
    for wall in there:
        again = partial(_again, job, entries[wall.name], wall, surveys[wall.name])
        try:
            made.append(_told(replace(again(), cut_mm=cut_mm.get(wall.name, 0.0)), job.formats))
        except TakeoffError as error:
            place = f"{where}, wall ({wall.name})"
            check.add(TakeoffError(*(_at(place, mistake) for mistake in error.mistakes)))
    check.done()
    return tuple(made)


def _at(place: str, mistake: Mistake) -> Mistake:
    return replace(mistake, place=f"{place}, {mistake.place}")


def _cut_mm(job: Job) -> dict[str, float]:
    """What is taken down of each priced wall, on average over its priced area [mm]."""
    built = {wall.entry.name: wall.build_up for wall in evaluate(job).walls}
    return {name: each.cut_l / each.area_m2 for name, each in built.items() if each.area_m2 > 0}


def _again(job: Job, entry: JobWall, wall: FinishedWall, surveys: Mapping[str, Survey]) -> MeasuredAgain:
    after, floated = surveys[wall.after], LikelyWall(reading_mm=job.sureness.likely.reading_mm)
    rows = tuple(_rows(entry, wall))
    laid = _change(
        entry.survey, after, rows, loose=entry.loose, reach_m=job.reach_m,
        likely_before=likely_of(job, entry), likely_after=floated, growth_share=job.loose_growth_share,
        formats=job.formats,
    )  # fmt: skip
    later = surveys.get(wall.later) if wall.later else None
    if later is None:
        return MeasuredAgain(wall.name, laid, None, _names(rows))
    again = tuple(_rows(entry, wall, later=True))
    settled = _change(
        after, later, again, reach_m=job.reach_m, likely_before=floated, likely_after=floated,
        same_face=True, formats=job.formats,
    )  # fmt: skip
    return MeasuredAgain(wall.name, laid, settled, _names(rows), _names(again))


def _names(rows: tuple[FixedRow, ...]) -> tuple[str, ...]:
    return tuple(str(row[-1]) for row in rows)


def _rows(entry: JobWall, wall: FinishedWall, *, later: bool = False) -> Iterator[FixedRow]:
    """The fixed places that were read both times."""
    again = {each.name: each for each in wall.fixed_again}
    for place in (place for place in entry.fixed_places if place.name in again):
        read = again[place.name]
        first, second = (read.after_mm, read.later_mm) if later else (place.proud_mm, read.after_mm)
        if first is not None and second is not None:
            yield (place.x_m, place.z_m, first, second, place.name)


def _told(measured: MeasuredAgain, formats: Formats) -> MeasuredAgain:
    """With what of it counts for nothing among the notices of its changes."""
    laid, settled = measured.laid, measured.settled
    if laid is not None and laid.mean_mm is not None and measured.thickness_mm is None:
        laid = replace(laid, notices=(*laid.notices, _no_thickness(measured, formats)))
    if settled is not None and settled.mean_mm is not None and measured.settled_mm is None:
        settled = replace(settled, notices=(*settled.notices, NO_SETTLING))
    return replace(measured, laid=laid, settled=settled)


def _no_thickness(measured: MeasuredAgain, formats: Formats) -> str:
    mean_mm = measured.put_on_mm or 0.0
    mean = formats.depth(abs(mean_mm), places=1)
    why = (
        f"On average the finished face lies {mean} behind the wall as it was, which is no thickness"
        if mean_mm <= 0
        else f"{mean} on average is not told surely enough to be a thickness"
    )
    return f"{why}: the wall counts as not measured. Read the fixed places again, or write its mean by hand."


def with_measured(finished: Finished, measured: tuple[MeasuredAgain, ...]) -> Finished:
    """What was written down, with what the surveys say where nobody wrote a figure by hand.

    Parameters
    ----------
    finished : Finished
    measured : tuple of MeasuredAgain

    Returns
    -------
    Finished
        Nothing is filled in of a wall whose fixed places do not tie its surveys, nor a mean that is no
        thickness: the notices of its changes say so.

    Notes
    -----
    `FinishedWall.mean_mm` is over the priced area, all of the wall that the first survey knows; a `Change` is
    told where the second one knows it, too. Where that one saw less, its mean stands for the rest as well,
    and a notice of the change says how much that is. A change is net of what was taken down: that is added
    as it is priced.

    Uncertainties of a `Change` are expanded ones; a `FinishedWall` has standard ones.
    """
    by_wall = {each.wall: each for each in measured}
    walls = tuple(
        _filled(wall, by_wall[wall.name]) if wall.name in by_wall else wall for wall in finished.walls
    )
    return replace(finished, walls=walls)


def _filled(wall: FinishedWall, measured: MeasuredAgain) -> FinishedWall:
    if wall.mean_mm is None and (thickness := measured.thickness_mm) is not None:
        wall = replace(wall, mean_mm=thickness[0], uncertainty_mm=thickness[1])
    if not wall.settled and (settled := measured.settled_mm) is not None:
        wall = replace(wall, settled=(SettledCoat(*settled),))
    return wall
