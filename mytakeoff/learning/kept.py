"""What became of offers: taken into a job with the reason, or left as long as finished jobs say the same."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from mytakeoff.job.job import Job
from mytakeoff.job.ranges import LearntFigure
from mytakeoff.learning.learn import Lessons
from mytakeoff.learning.offers import PLACES, LearntOffer, figure_in, learnt_offers, with_learnt
from mytakeoff.learning.priors import ALL_TASKS, HOURS_OF

SAME = 1e-3  # of a figure: less is the rounding that it was taken over with


def still_offered(job: Job, lessons: Lessons) -> tuple[LearntOffer, ...]:
    """What was learnt that a job can use and does not have, without what was left as it was.

    What was left is offered again once finished jobs say something else.
    """
    left = {each.name: each.becomes for each in job.learnt if not each.taken}
    return tuple(
        offer
        for offer in learnt_offers(job, lessons)
        if offer.name not in left or not _same(left[offer.name], round(offer.becomes, PLACES))
    )


def with_offers_taken(job: Job, lessons: Lessons, names: Collection[str]) -> Job:
    """The job with some offers taken, and why it has them.

    Parameters
    ----------
    job : Job
    lessons : Lessons
    names : collection of str
        Of offers; hours of any task bring the range of the labour rate along.

    Returns
    -------
    Job
        As `with_learnt` makes it, with a `LearntFigure` for each.

    Raises
    ------
    TakeoffError
        A name that nothing was learnt of.
    """
    offers = [offer for offer in learnt_offers(job, lessons) if offer.name in names]
    every = f"{HOURS_OF}: {ALL_TASKS}"
    hours = any(offer.learnt.prior.kind == HOURS_OF for offer in offers)
    along = {every} if hours and any(each.name == every for each in lessons.learnt) else set()
    began = {each.name: each.was for each in reasons_in(job)}
    return _noted(with_learnt(job, lessons, {*names, *along}), offers, began, taken=True)


def with_offers_left(job: Job, offers: Iterable[LearntOffer]) -> Job:
    """The job as it is, and that these offers are not wanted."""
    return _noted(job, list(offers), {}, taken=False)


def with_offers_again(job: Job) -> Job:
    """The job without a word of what was left, so that it is offered again."""
    return replace(job, learnt=tuple(each for each in job.learnt if each.taken))


def _noted(job: Job, offers: Sequence[LearntOffer], began: Mapping[str, float], *, taken: bool) -> Job:
    """With a word of each offer; of one that was taken before, `began` says where it began."""
    new = tuple(
        LearntFigure(
            offer.name,
            round(began.get(offer.name, offer.was), PLACES),
            round(offer.becomes, PLACES),
            len(offer.learnt.evidence),
            offer.learnt.since,
            taken,
        )
        for offer in offers
    )
    names = {each.name for each in new}
    return replace(job, learnt=(*(each for each in job.learnt if each.name not in names), *new))


def reasons_in(job: Job) -> tuple[LearntFigure, ...]:
    """What was taken from finished jobs and still is what the job has."""
    return tuple(each for each in job.learnt if each.taken and _has(job, each))


def _has(job: Job, each: LearntFigure) -> bool:
    kind, _, of = each.name.partition(": ")
    now = figure_in(job, kind, of)
    return now is not None and _same(round(now, PLACES), each.becomes)


def _same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=SAME, abs_tol=SAME**2)
