"""The options worked out in small pieces, a wall at a time, for a screen that stays alive meanwhile."""

from __future__ import annotations

from collections.abc import Iterator

from mytakeoff.chain import evaluate_wall
from mytakeoff.errors import TakeoffError
from mytakeoff.job.edits import with_compare
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import AS_IT_IS, PlumbThing, Treatment
from mytakeoff.options.compare import (
    OptionResult,
    Refused,
    carry,
    option_or_refused,
    options_of,
    remains_of,
    wall_by_wall_or_refused,
)
from mytakeoff.options.price_curve import CurvePoint, curve_tolerances, price_curve, straightened_job
from mytakeoff.treatment.filled import edge_gap_mm


def wall_pieces(job: Job, treatment: Treatment) -> Iterator[None]:
    """Each wall of one way by itself, so that the way as a whole finds its walls done."""
    carried = carry(job, treatment)
    for entry in carried.priced_walls:
        try:
            wall = evaluate_wall(carried, entry)
            yield
            remains_of(carried, wall)
            yield
        except TakeoffError:
            return  # the whole way is refused, and says why


def option_pieces(job: Job) -> Iterator[OptionResult | Refused | None]:
    """The options of `compare`, one by one in its order, with None between them after each wall."""
    done: list[OptionResult | Refused] = []
    for treatment in options_of(job):
        yield from wall_pieces(job, treatment)
        done.append(option_or_refused(job, treatment))
        yield done[-1]
    if len(job.priced_walls) > 1:
        yield wall_by_wall_or_refused(job, [each.treatment for each in done])


def curve_pieces(job: Job) -> Iterator[CurvePoint | None]:
    """The points of `price_curve`, one by one, with None between them after each wall."""
    points = price_curve(job)
    yield next(points)
    for tolerance in curve_tolerances(job):
        treated = straightened_job(job, tolerance)
        for entry in treated.priced_walls:
            edge_gap_mm(evaluate_wall(treated, entry).build_up, job.compare.straightedge_m)
            yield None
        yield next(points)


def standing(job: Job, thing: PlumbThing) -> Job:
    """The job with something plumb against one of its walls; one of the same name gives way.

    Raises
    ------
    TakeoffError
        A wall that the job has not, or a place where its wall was not measured.
    """
    others = tuple(each for each in job.compare.beside if each.name != thing.name)
    changed = with_compare(job, beside=(*others, thing))
    bare = Treatment("bare", AS_IT_IS, skim=False)
    remains_of(changed, evaluate_wall(carry(changed, bare), changed.wall(thing.wall)))
    return changed
