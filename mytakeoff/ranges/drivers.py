"""What drives the price: how far the total moves when an input is off, or when the wall is not as read.

Notes
-----
The bars say what if, other than the range of the job: the least thickness has one here, and so has a range of
the survey that the user marked in the job. Without such a range the survey's bar is 10 to 90 % of the drawn
faces, and there is none where a scan leaves nothing between its points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.chain import evaluate
from mytakeoff.job.job import Job
from mytakeoff.job.ranges import SURVEY, UNCHANGED, Range
from mytakeoff.ranges.inputs import ranges_of, total_with
from mytakeoff.ranges.job_ranges import JobRanges, job_ranges


@dataclass(frozen=True)
class Driver:
    """How far one input moves the total.

    Parameters
    ----------
    name : str
        The input.
    low_total, base_total, high_total : Decimal
        Total with tax at the low end, as entered, at the high end.
    range : Range or None
        From where to where the input may be; None where the ends are those of drawn faces.
    litres : tuple of (float, float) or None
        Of drawn faces: plaster on all walls at 10 and at 90 % of them [l].
    """

    name: str
    low_total: Decimal
    base_total: Decimal
    high_total: Decimal
    range: Range | None = None
    litres: tuple[float, float] | None = None

    @property
    def effect(self) -> Decimal:
        """Between the dearest and the cheapest of the three totals, 0 or more."""
        totals = (self.low_total, self.base_total, self.high_total)
        return max(totals) - min(totals)


def price_driver(job: Job, each: Range) -> Driver:
    """How far one input moves the total of a job."""
    low, base, high = (total_with(job, {each.name: v}) for v in (each.low, UNCHANGED[each.name], each.high))
    return Driver(each.name, low, base, high, each)


def survey_driver(sure: JobRanges) -> Driver:
    """How far the total moves with what lies between the readings: at 10 and 90 % of the drawn faces."""
    result = sure.result
    places, base = result.job.money_places, result.cost.total
    low, _, high = sure.survey_total.rounded(places)
    if not sure.varies:
        low = high = base
    return Driver(SURVEY, low, base, high, litres=(sure.litres.low, sure.litres.high))


def ranges_asked(job: Job) -> tuple[Range, ...]:
    """What the bars are drawn for beside the drawn faces: the survey only where the user gave it a range."""
    own = {each.name for each in job.ranges}
    return tuple(each for each in ranges_of(job) if each.name != SURVEY or SURVEY in own)


def price_drivers(job: Job, ranges: Sequence[Range] | None = None) -> tuple[Driver, ...]:
    """How far each input moves the total of a job, one at a time, the strongest first.

    Parameters
    ----------
    job : Job
    ranges : sequence of Range or None
        None: the user's own, and marked defaults; for the survey, where the user gave no range of it, what
        the faces drawn between the readings do.

    Returns
    -------
    tuple of Driver

    Raises
    ------
    TakeoffError
        A range that takes a figure where the job cannot have it.

    Notes
    -----
    The bars say what if. How likely the ends are is said by the band of the price (`job_ranges`).
    """
    asked = ranges_asked(job) if ranges is None else tuple(ranges)
    drivers = [price_driver(job, each) for each in asked]
    if ranges is None and SURVEY not in {each.name for each in asked}:
        drivers.append(survey_driver(job_ranges(evaluate(job))))
    return strongest_first(drivers)


def strongest_first(drivers: Sequence[Driver]) -> tuple[Driver, ...]:
    """The drivers by what they do to the total; equal ones as given."""
    return tuple(sorted(drivers, key=lambda driver: -driver.effect))
