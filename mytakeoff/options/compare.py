"""The ways of treating the walls side by side: what each costs, and what it leaves behind.

All at once (`compare`), or a wall at a time for a screen that stays alive meanwhile (`option_steps_by_wall`).
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache

from mytakeoff.chain import evaluate
from mytakeoff.coats.build_up import BuildUp
from mytakeoff.errors import TakeoffError
from mytakeoff.flatness.grades import Grade
from mytakeoff.job.edits import floated, with_compare
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import AS_IT_IS, FLOAT_PLUMB, PlumbThing, Treatment
from mytakeoff.options.price_curve import CurvePoint, curve_tolerances, price_curve, straightened_job
from mytakeoff.options.result import OptionResult, Refused, best_of
from mytakeoff.options.what_is_left import Remains, weight_kg, what_remains
from mytakeoff.treatment.filled import edge_gap_mm
from mytakeoff.treatment.room_planes import may_come_square
from mytakeoff.treatment.treat import chosen_grade
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import evaluate_wall, standard_treatments, straightens, way_of

__all__ = [
    "OptionResult",
    "Refused",
    "best_of",
    "carry",
    "compare",
    "option_or_refused",
    "option_result",
    "option_steps",
    "options_of",
    "remains_of",
    "wall_by_wall",
]

CACHE_SIZE = 128  # remains of a few options for each wall of a flat
WALL_BY_WALL = "each wall its own way"

AS_THE_JOB = "as the job has it"
SQUARE_IN_ROOM = Treatment("float square in the room", FLOAT_PLUMB, in_room=True)


def options_of(job: Job) -> tuple[Treatment, ...]:
    """The standard ways, and those that the user added; one of a standard name takes its place.

    Square in the room is among them where a corner of a room was measured.

    Examples
    --------
    ``[treatment.name for treatment in options_of(job)]``
    """
    squared = (SQUARE_IN_ROOM,) if may_come_square(job) else ()
    offered = (*standard_treatments(job.compare.take_down), *squared, *job.treatments)
    ways = {way.name: way for way in offered}
    return tuple(ways.values())


def carry(job: Job, treatment: Treatment) -> Job:
    """The job whose budget is this way of treating its walls.

    Parameters
    ----------
    job : Job
    treatment : Treatment

    Returns
    -------
    Job
        Of a floated wall without high spots taken down where it pays: with that choice of plane. Of any
        other: with the treatment kept in the job.
    """
    bare, way = floated(job), way_of(treatment)
    if way.plane is not None and not treatment.take_down:
        return way.with_plane(bare, treatment)
    return replace(bare, treatment=treatment)


@lru_cache(maxsize=CACHE_SIZE)
def remains_stage(
    build_up: BuildUp,
    grade: Grade,
    straightedge_m: float,
    tolerance_mm: float,
    plumb: bool,
    beside: tuple[tuple[float, float], ...],
    by_edge: bool = False,
) -> Remains:
    """Cached `what_remains`, without the weight; things beside it as (x, width) [m]."""
    return what_remains(build_up, grade, straightedge_m, tolerance_mm, plumb, beside, by_edge)


def remains_of(job: Job, wall: WallResult) -> Remains:
    """What is left of one treated wall, judged as the job asks.

    Raises
    ------
    TakeoffError
        A grade that is not known, or a plumb thing that does not stand on the wall.
    """
    compare, entry = job.compare, wall.entry
    beside = tuple((thing.x_m, thing.width_m) for thing in compare.beside if thing.wall == entry.name)
    left = remains_stage(
        wall.build_up,
        chosen_grade(compare),
        compare.straightedge_m,
        compare.tolerance_mm,
        entry.survey.plumb,
        beside,
        wall.floated or straightens(wall),
    )
    dry = weight_kg([(layer.mix, layer.volume_l) for layer in wall.layers])
    return replace(left, dry_kg=dry, dry_kg_per_m2=dry / wall.build_up.area_m2)


def option_result(job: Job, treatment: Treatment) -> OptionResult:
    """One way of treating all priced walls of a job, priced and judged.

    Parameters
    ----------
    job : Job
        Its own treatments are not read.
    treatment : Treatment

    Returns
    -------
    OptionResult
        ``evaluate(carry(job, option.treatment))`` has the same total. Where high spots may be taken down and
        leaving them passes as well for less money, once hours and bags are whole, its treatment leaves them.

    Raises
    ------
    TakeoffError
        What a stage finds wrong: plumb without a plumb line, square without a corner, a mix that does not go
        on its background, an item without a price.
    """
    done = _option(treatment.name, carry(job, treatment), treatment)
    return _left_alone(job, done, treatment) or done if treatment.take_down else done


def _left_alone(job: Job, cut: OptionResult, treatment: Treatment) -> OptionResult | None:
    """The same way without taking down, if that is cheaper and passes where the other does.

    How deep it pays to cut weighs unrounded litres and hours; half-days and bags may turn the balance.
    """
    uncut = replace(treatment, take_down=False)
    try:
        if evaluate(carry(job, uncut)).cost.total >= cut.total:
            return None
        left = _option(treatment.name, carry(job, uncut), uncut)
    except TakeoffError:  # it asks too much of the mix, say: then taking down is the only way
        return None
    return left if left.passes or not cut.passes else None


def _option(name: str, carried: Job, treatment: Treatment | None) -> OptionResult:
    result = evaluate(carried)
    return OptionResult(name, result, tuple(remains_of(carried, wall) for wall in result.walls), treatment)


def option_or_refused(job: Job, treatment: Treatment) -> OptionResult | Refused:
    """`option_result`, or the reason why there is none."""
    try:
        return option_result(job, treatment)
    except TakeoffError as error:
        return Refused(treatment.name, error, treatment)


def option_steps(job: Job) -> Iterator[OptionResult | Refused]:
    """Every option of a job, one at a time, and last each wall its own way: for a table that fills up."""
    done = []
    for treatment in options_of(job):
        done.append(option_or_refused(job, treatment))
        yield done[-1]
    if len(job.priced_walls) > 1:
        yield wall_by_wall_or_refused(job, [each.treatment for each in done])


def wall_by_wall_or_refused(job: Job, treatments: Sequence[Treatment | None]) -> OptionResult | Refused:
    """`wall_by_wall`, or the reason why there is none."""
    try:
        return wall_by_wall(job, treatments)
    except TakeoffError as error:
        return Refused(WALL_BY_WALL, error)


def compare(job: Job) -> tuple[OptionResult | Refused, ...]:
    """Every option of a job side by side.

    Parameters
    ----------
    job : Job

    Returns
    -------
    tuple of OptionResult or Refused
        In the order of `options_of`; with several walls, last each wall its own way.
    """
    return tuple(option_steps(job))


def wall_by_wall(job: Job, treatments: Sequence[Treatment | None] | None = None) -> OptionResult:
    """Each wall treated in the cheapest way that passes the grade on it.

    Parameters
    ----------
    job : Job
    treatments : sequence of Treatment or None
        To choose from; None: the options of the job.

    Returns
    -------
    OptionResult
        A wall that passes in no way is floated plumb where that is among the ways, else treated in the last.
        Walls are compared priced alone, so that a price that they share does not decide; no wall is square
        in its room by itself.
    """
    chosen = options_of(job) if treatments is None else treatments
    ways = [way for way in chosen if way is not None and not way.in_room]
    best = {entry.name: _cheapest(replace(job, only=(entry.name,)), ways) for entry in job.priced_walls}
    walls = tuple(replace(wall, treatment=best.get(wall.name)) for wall in job.walls)
    return _option(WALL_BY_WALL, replace(job, treatment=None, walls=walls), None)


def _cheapest(one_wall: Job, ways: Sequence[Treatment]) -> Treatment:
    done = [each for way in ways if isinstance(each := option_or_refused(one_wall, way), OptionResult)]
    best, able = best_of(done), [each.treatment for each in done if each.treatment is not None]
    if best is not None and best.treatment is not None:
        return best.treatment
    return next((way for way in able if way.kind == FLOAT_PLUMB), able[-1] if able else ways[-1])


def ways_of(job: Job) -> list[str]:
    """What the walls may be treated as: as the job has it, then its options."""
    return [AS_THE_JOB, *(treatment.name for treatment in options_of(job))]


def with_way(job: Job, saved: Job, name: str) -> Job:
    """The job with its walls treated in a way of that name; everything else stays as it is.

    Parameters
    ----------
    job : Job
    saved : Job
        Whose treatment "as the job has it" goes back to.
    name : str
        One of `ways_of`.
    """
    own = {wall.name: wall.treatment for wall in saved.walls}
    walls = tuple(replace(wall, treatment=own.get(wall.name)) for wall in job.walls)
    back = replace(job, treatment=saved.treatment, plane=saved.plane, walls=walls)
    chosen = next((treatment for treatment in options_of(job) if treatment.name == name), None)
    return back if chosen is None else carry(back, chosen)


def treated_walls_steps(job: Job, treatment: Treatment) -> Iterator[None]:
    """Each wall of one way by itself, so that the way as a whole finds its walls done."""
    with suppress(TakeoffError):  # the whole way is refused, and says why
        yield from _walls_steps(carry(job, treatment))


def _walls_steps(job: Job) -> Iterator[None]:
    """Each wall of a job by itself, so that the whole finds its walls done."""
    for entry in job.priced_walls:
        wall = evaluate_wall(job, entry)
        yield
        remains_of(job, wall)
        yield


def judged_steps(name: str, job: Job) -> Generator[None, None, OptionResult]:
    """A job as it stands, priced and judged; in steps, for a screen that stays alive meanwhile.

    Raises
    ------
    TakeoffError
        As `evaluate` and `remains_of`.
    """
    yield from _walls_steps(job)
    return _option(name, job, None)


def option_steps_by_wall(job: Job) -> Iterator[OptionResult | Refused | None]:
    """The options of `compare`, one by one in its order, with None between them after each wall."""
    done: list[OptionResult | Refused] = []
    for treatment in options_of(job):
        yield from treated_walls_steps(job, treatment)
        done.append(option_or_refused(job, treatment))
        yield done[-1]
    if len(job.priced_walls) > 1:
        yield wall_by_wall_or_refused(job, [each.treatment for each in done])


def curve_steps(job: Job) -> Iterator[CurvePoint | None]:
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
