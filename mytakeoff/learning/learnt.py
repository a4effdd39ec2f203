"""What finished jobs have moved: before, after, and the jobs that did it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from mytakeoff.learning.belief import RateBelief, RatioBelief
from mytakeoff.learning.priors import Evidence, Prior

LEAST_MOVE = 0.002  # of a figure: less is not offered


@dataclass(frozen=True)
class Learnt:
    """One figure before and after finished jobs were looked at.

    Parameters
    ----------
    prior : Prior
    evidence : tuple of Evidence
        One a job.
    before : RatioBelief or RateBelief
        At the marked default.
    after : RatioBelief or RateBelief
        For the next job; shrunk towards what others of its kind did.
    """

    prior: Prior
    evidence: tuple[Evidence, ...]
    before: RatioBelief | RateBelief
    after: RatioBelief | RateBelief

    @property
    def name(self) -> str:
        """What it is accepted by."""
        return self.prior.name

    @property
    def value(self) -> float:
        """What is offered as the next job's default [the figure's unit]."""
        return self.after.mean

    @property
    def moved_share(self) -> float:
        """By how much the default moves [-]."""
        return self.value / self.prior.default - 1 if self.prior.default else 0.0

    @property
    def is_offered(self) -> bool:
        """Whether any job was seen and it moved by more than nothing."""
        return bool(self.evidence) and abs(self.moved_share) > LEAST_MOVE

    @property
    def seen(self) -> float:
        """What the jobs themselves came out at, without the default [the figure's unit]."""
        area_m2 = sum(each.area_m2 for each in self.evidence)
        if area_m2 > 0:
            return sum(each.value for each in self.evidence) / area_m2
        spread, plus = self.prior.strength.spread_share, getattr(self.before, "plus", 0.0)
        weights = [each.weight(spread) for each in self.evidence]
        logs = (w * math.log(each.value + plus) for w, each in zip(weights, self.evidence, strict=True))
        return math.exp(sum(logs) / sum(weights)) - plus

    @property
    def since(self) -> date | None:
        """The day on which the first of the jobs began."""
        return min((each.day for each in self.evidence if each.day is not None), default=None)


def learnt_of(prior: Prior, evidence: Sequence[Evidence], shift: float = 0.0) -> Learnt:
    """What some jobs make of a figure.

    Parameters
    ----------
    prior : Prior
    evidence : sequence of Evidence
        One a job.
    shift : float
        By how much the logarithm starts elsewhere because others of its kind came out so [-].
    """
    before, seen = prior.belief(), tuple(evidence)
    if isinstance(before, RateBelief):
        after: RatioBelief | RateBelief = before.after(
            [each.value for each in seen], [each.area_m2 for each in seen]
        )
    else:
        spread = prior.strength.spread_share
        start = replace(before, log_mean=before.log_mean + shift)
        after = start.after([each.value for each in seen], [each.weight(spread) for each in seen])
    return Learnt(prior, seen, before, after)


def shared_shift(others: Sequence[tuple[Prior, Sequence[Evidence]]]) -> float:
    """By how much the logarithms of figures of one kind came out off their defaults, all in all [-].

    Parameters
    ----------
    others : sequence of (Prior, sequence of Evidence)
        Of the same kind, without the one that it is for: nothing is counted twice.

    Notes
    -----
    A job counts once, by the weighted mean of its logarithms, and the shift is shrunk towards none by as many
    jobs as the default stands for.
    """
    by_job: dict[str, list[tuple[float, float]]] = {}
    for prior, evidence in others:
        for each in evidence:
            weight = each.weight(prior.strength.spread_share)
            by_job.setdefault(each.job, []).append((weight, weight * math.log(each.value / prior.default)))
    if not by_job:
        return 0.0
    means = [sum(log for _, log in rows) / sum(weight for weight, _ in rows) for rows in by_job.values()]
    return sum(means) / (len(means) + others[0][0].strength.jobs)
