"""What was learnt, offered as the next job's figures: looked at once, taken over by name, or left."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from mytakeoff.bounds import bounds_of
from mytakeoff.errors import Check
from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.confidence import Confidence
from mytakeoff.job.edits import mixes_of, with_mix
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.ranges import DENSITY, LABOUR, UNCHANGED, WASTE, Range
from mytakeoff.job.rates import DUB_OUT_H_PER_M2_PER_10_MM, FLOAT_H_PER_M2, FURTHER_H_PER_M2, LabourRates
from mytakeoff.learning.evidence import RATES_OF
from mytakeoff.learning.learn import Lessons
from mytakeoff.learning.learnt import Learnt
from mytakeoff.learning.priors import ALL_TASKS

PLACES = 4  # that a figure is taken over with
ROUNDS = 200  # that the ends of a triangle settle in long before


@dataclass(frozen=True)
class LearntOffer:
    """What one figure would change in a job.

    Parameters
    ----------
    name : str
        What it is accepted by.
    was, becomes : float
        What the job has, and what it would have [the figure's unit].
    learnt : Learnt
        Why.
    """

    name: str
    was: float
    becomes: float
    learnt: Learnt


def learnt_offers(job: Job, lessons: Lessons) -> tuple[LearntOffer, ...]:
    """What was learnt that a job can use and does not have yet, one look for all of it."""
    found = (_offer(job, each) for each in lessons.learnt if each.is_offered)
    return tuple(offer for offer in found if offer is not None and not math.isclose(offer.was, offer.becomes))


def _offer(job: Job, learnt: Learnt) -> LearntOffer | None:
    """One figure against what the job has; None where the job has no use for it."""
    after = _with(job, learnt)
    was, becomes = (figure_in(each, learnt.prior.kind, learnt.prior.of) for each in (job, after))
    if was is None or becomes is None or after == job:
        return None
    return LearntOffer(learnt.name, was, becomes, learnt)


def figure_in(job: Job, kind: str, of: str) -> float | None:
    """What a job has for a figure that is learnt; hours as a factor on the default rate [the figure's unit].

    Parameters
    ----------
    job : Job
    kind, of : str
        As `Prior` has them.

    Returns
    -------
    float or None
        None where the job has no such figure.
    """
    if kind == "mix density":
        return next((mix.density_kg_per_l for mix in mixes_of(job) if mix.name == of), None)
    if kind == "waste":
        return job.waste_share
    if kind == "hours":
        return _rate_factor(job, of)
    if kind == "high spots":
        walls = (wall for wall in job.walls if wall.background == of)
        return next((wall.nibs_per_m2 or likely_on(of).nibs_per_m2 for wall in walls), None)
    return job.sureness.strayed_ratio if kind == "strayed" else None


def _rate_factor(job: Job, task: str) -> float | None:
    """The job's rate of a task against the default; None of all tasks, which have no rate [-]."""
    if task not in RATES_OF:
        return None
    name = RATES_OF[task][0]
    usual, own = _default_rate(job, name), getattr(job.rates, name)
    return 1.0 if own is None or not usual else own / usual


def _default_rate(job: Job, name: str) -> float:
    """The marked default of a rate; where it goes by the mix, its mean over the job's walls by their size."""
    usual = getattr(LabourRates(), name)
    by_mix = {"float_h_per_m2": FLOAT_H_PER_M2, "further_coat_h_per_m2": FURTHER_H_PER_M2}
    if name == "dub_out_h_per_m2_per_10_mm":
        return DUB_OUT_H_PER_M2_PER_10_MM
    if name not in by_mix:
        return float(usual)
    walls = [
        (each.wall.width_m * each.wall.height_m, job.system_of(each).backing) for each in job.chosen_walls
    ]
    whole_m2 = sum(area_m2 for area_m2, _ in walls)
    if not walls:
        return by_mix[name][job.system.backing.family]
    return sum(area_m2 * by_mix[name][mix.family] for area_m2, mix in walls) / whole_m2


def with_learnt(job: Job, lessons: Lessons | Iterable[Learnt], accepted: Collection[str]) -> Job:
    """The job with what was learnt, as far as it was accepted; what was not stays as it is.

    Parameters
    ----------
    job : Job
    lessons : Lessons or iterable of Learnt
    accepted : collection of str
        Names of figures: "mix density: gypsum skim", "waste", "hours: rails".

    Returns
    -------
    Job
        With each figure, and with the range of density, waste or hours that its jobs leave open.

    Raises
    ------
    TakeoffError
        A name that nothing was learnt of: all of them at once.

    Notes
    -----
    Hours of all tasks set the range of the labour rate alone: how much longer each task takes is taken over
    task by task. A rate that goes by the mix is taken over as one for all mixes of the job. How far places
    strayed widens or narrows what lies between the readings, in the price and in its ranges.
    """
    learnt = lessons.learnt if isinstance(lessons, Lessons) else tuple(lessons)
    check, names = Check("learnt"), [each.name for each in learnt]
    for name in accepted:
        check.that(name in names, f"{name!r}", "only what was learnt is taken over",
                   f"choose from {', '.join(map(repr, names)) or 'nothing'}")  # fmt: skip
    check.done()
    taken = [each for each in learnt if each.name in accepted]
    for each in taken:
        job = _with(job, each)
    tasks = [each.prior.of for each in learnt if each.prior.kind == "hours" and each.prior.of != ALL_TASKS]
    return _with_ranges(job, taken, _as_entered(job, tasks))


def _as_entered(job: Job, tasks: Iterable[str]) -> float:
    """How much longer than at the default rates the job is priced for some tasks, on average [-]."""
    logs = [math.log(factor) for task in tasks if (factor := _rate_factor(job, task))]
    return math.exp(sum(logs) / len(logs)) if logs else 1.0


def _with(job: Job, learnt: Learnt) -> Job:
    """The job with one figure, within what it may be."""
    kind, of, value = learnt.prior.kind, learnt.prior.of, learnt.value
    if kind == "mix density":
        density = round(bounds_of(Mix)["density_kg_per_l"].nearest(value), PLACES)
        return with_mix(job, of, density_kg_per_l=density)
    if kind == "waste":
        return replace(job, waste_share=round(bounds_of(Job)["waste_share"].nearest(value), PLACES))
    if kind == "hours":
        return (
            replace(job, rates=replace(job.rates, **dict(_rates(job, of, value)))) if of != ALL_TASKS else job
        )
    if kind == "high spots":
        nibs = round(bounds_of(JobWall)["nibs_per_m2"].nearest(value), PLACES)
        own = tuple(replace(w, nibs_per_m2=nibs) if w.background == of else w for w in job.walls)
        return replace(job, walls=own)
    ratio = round(bounds_of(Confidence)["strayed_ratio"].nearest(value), PLACES)
    return replace(job, sureness=replace(job.sureness, strayed_ratio=ratio))


def _rates(job: Job, task: str, factor: float) -> Iterator[tuple[str, Any]]:
    """Each rate of a task, so many times its default, within what it may be."""
    for name in RATES_OF[task]:
        yield name, round(bounds_of(LabourRates)[name].nearest(_default_rate(job, name) * factor), PLACES)


def _with_ranges(job: Job, taken: Sequence[Learnt], hours_factor: float) -> Job:
    """The job with the ranges that the next job's figures have, by what was learnt."""
    found = {each.name: each for each in _ranges(job, taken, hours_factor)}
    kept = tuple(each for each in job.ranges if each.name not in found)
    return replace(job, ranges=(*kept, *found.values())) if found else job


def _ranges(job: Job, taken: Sequence[Learnt], hours_factor: float) -> Iterator[Range]:
    densities = {each.prior.of: each for each in taken if each.prior.kind == "mix density"}
    of_job = [densities[mix.name] for mix in mixes_of(job) if mix.name in densities]
    backing = densities.get(job.system.backing.name)
    if backing or of_job:
        learnt = backing or of_job[0]
        yield _range(DENSITY, learnt, learnt.value)
    for each in taken:
        if each.prior.kind == "waste":
            yield _range(WASTE, each, each.value)
        if each.name == f"hours: {ALL_TASKS}":
            yield _range(LABOUR, each, hours_factor)


def _range(name: str, learnt: Learnt, entered: float) -> Range:
    """The range of an input in the next job: a triangle whose 10 and 90 % are those of what was learnt.

    Density and hours as factors on what is entered, waste as a share added to it [-]. What is entered is in
    the range, wherever that lies.
    """
    low, high = triangle_about(*(learnt.after.quantile(share) for share in (0.1, 0.5, 0.9)))
    ends = (low - entered, high - entered) if name == WASTE else (low / entered, high / entered)
    held = min(ends[0], UNCHANGED[name]), max(ends[1], UNCHANGED[name])
    held = _may_be(name, held[0]), _may_be(name, held[1])
    jobs = len(learnt.evidence)
    source = f"your own {'job' if jobs == 1 else f'{jobs} jobs'}"
    return Range(name, *held, source)


def _may_be(name: str, end: float) -> float:
    """An end within what a range may have: one wild job is not to keep all others from being taken over."""
    least = 10.0**-PLACES if UNCHANGED[name] else -math.inf  # a factor is above 0
    return max(round(bounds_of(Range)["low"].nearest(end), PLACES), least)


def triangle_about(low: float, middle: float, high: float) -> tuple[float, float]:
    """The ends of a triangular distribution whose top is in the middle and whose 10 and 90 % are given.

    Parameters
    ----------
    low, middle, high : float
        ``low <= middle <= high`` [any unit].

    Returns
    -------
    (float, float)
        In the same unit; the lower end above 0 where all three are.

    Notes
    -----
    ``(L − p)² = (L + U)·L / 10`` and ``(U − q)² = (L + U)·U / 10`` for the arms L and U and the distances p
    and q of the two quantiles, iterated until they hold.

    Examples
    --------
    >>> low, high = triangle_about(9.0, 10.0, 11.0)
    >>> round(low, 3), round(high, 3)
    (8.191, 11.809)
    """
    near, far = middle - low, high - middle
    left, right = near, far
    for _ in range(ROUNDS):
        left, right = (
            near + math.sqrt(0.1 * (left + right) * left),
            far + math.sqrt(0.1 * (left + right) * right),
        )
    return max(middle - left, low / 2 if low > 0 else middle - left), middle + right
