"""A change of a signed job: what it comes to at the signed rates, by line and in all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from mytakeoff.chain import evaluate
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.job.job import Job
from mytakeoff.quotation.fingerprint import Mark, fingerprint_of
from mytakeoff.result import Result
from mytakeoff.variations.client_lines import VariationLine, client_lines
from mytakeoff.variations.priced_lines import PricedChange, priced_changes
from mytakeoff.variations.signed_rates import at_signed_rates, said_as

PLACE = "variation"
Changes = Callable[[Job, Job], tuple[str, ...]]
"""What one job says otherwise than another, a phrase for each thing."""


@dataclass(frozen=True)
class SignedJob:
    """A job as it was signed.

    Parameters
    ----------
    number : int
        0 for the job itself, 1 for it with its first variation, and so on [-].
    job : Job
        It evaluates to `total`.
    signed_on : date
    total : Decimal
        With tax [currency].
    fingerprint : str
        Of the job; the page that was signed bears it.
    """

    number: int
    job: Job
    signed_on: date
    total: Decimal
    fingerprint: str

    @property
    def name(self) -> str:
        """What was signed, in words."""
        return f"variation {self.number}" if self.number else "the job"


@dataclass(frozen=True, eq=False)
class Variation:
    """What is to be signed on top of what was signed, or comes off it.

    Parameters
    ----------
    signed : SignedJob
        What it changes.
    base, changed : Result
        The job as signed, and as it stands now at the signed rates.
    lines : tuple of VariationLine
        The client's: finished work that is added, taken out or changed. With tax they add up to `gross`.
    priced : tuple of PricedChange
        The estimator's: every line of the price, tax too. They add up to `gross`.
    told : tuple of str
        What changed, a phrase for each thing, as the estimator reads it; none where only prices did.
    not_counted : tuple of str
        Prices and rates that have changed since it was signed, and count for nothing.
    mark : Mark
        What its pages are traced by.
    """

    signed: SignedJob
    base: Result
    changed: Result
    lines: tuple[VariationLine, ...]
    priced: tuple[PricedChange, ...]
    told: tuple[str, ...]
    not_counted: tuple[str, ...]
    mark: Mark

    @property
    def number(self) -> int:
        """1 for the first variation of the job [-]."""
        return self.signed.number + 1

    @property
    def net(self) -> Decimal:
        """By how much the price moves before tax [currency]."""
        return self.changed.cost.before_tax - self.base.cost.before_tax

    @property
    def tax(self) -> Decimal:
        """By how much the tax moves [currency]."""
        return self.changed.cost.tax - self.base.cost.tax

    @property
    def gross(self) -> Decimal:
        """By how much the total moves, tax included [currency]."""
        return self.changed.cost.total - self.base.cost.total

    @property
    def formats(self) -> Formats:
        """How numbers and days are written in it."""
        return self.changed.job.formats

    @property
    def todays(self) -> tuple[PricedChange, ...]:
        """Lines at today's price, since nothing was signed for them."""
        return tuple(each for each in self.priced if each.todays)

    @property
    def since(self) -> str:
        """What it changes, and since when that holds, in words."""
        return f"{self.signed.name} was signed on {self.formats.day(self.signed.signed_on)}"


def variation_of(signed: SignedJob, now: Job, changes: Changes, version: str) -> Variation:
    """The variation that a job is, against what was signed.

    Parameters
    ----------
    signed : SignedJob
    now : Job
        As it stands.
    changes : function of two jobs
        What the second says otherwise.
    version : str
        Of the program.

    Returns
    -------
    Variation
        Where no work has changed, one that costs nothing, with nothing `told`.

    Raises
    ------
    TakeoffError
        Another currency; this version of the program comes to another total of the
        signed job; what cannot be evaluated.
    """
    base_job = said_as(now, signed.job)
    changed_job = at_signed_rates(base_job, now)
    told, not_counted = changes(base_job, changed_job), changes(changed_job, now)
    base, changed = evaluate(base_job), evaluate(changed_job)
    _check_total(signed, base)
    mark = Mark(version, f"{fingerprint_of(changed_job)} on {signed.fingerprint}")
    lines = client_lines(base, changed) if told else ()
    priced = priced_changes(signed.job, base.cost, changed.cost)
    return Variation(signed, base, changed, lines, priced, told, not_counted, mark)


def _check_total(signed: SignedJob, base: Result) -> None:
    """See that the signed job comes to what was signed."""
    if base.cost.total != signed.total:
        amount = base.job.formats.amount
        raise TakeoffError(
            Mistake(
                f"{signed.name} as it was signed comes to {amount(base.cost.total)} here",
                f"{amount(signed.total)} were signed, and a variation is reckoned from that",
                "work it out with the version of mytakeoff that it was signed with",
                PLACE,
            )
        )


def check_changed(variation: Variation) -> None:
    """See that something is another one than it was signed.

    Raises
    ------
    TakeoffError
        Neither work nor prices nor rates are.
    """
    if not (variation.told or variation.not_counted):
        found = f"nothing has changed since {variation.since}"
        rule = "a variation is a change of what was signed"
        raise TakeoffError(Mistake(found, rule, "change the job first", PLACE))


def check_signable(variation: Variation) -> None:
    """See that there is something to hand over and to sign, and that its price is the last word.

    Raises
    ------
    TakeoffError
        Nothing has changed, or only prices and rates; what lies between the readings is still worked out.
    """
    check_changed(variation)
    found, remedy = "", "change what is done first"
    if not variation.told:
        found = f"only prices and rates have changed since {variation.since}, and signed rates hold"
    elif variation.changed.held:
        found, remedy = "what lies between the readings is being worked out", "wait a moment and press again"
    if found:
        raise TakeoffError(Mistake(found, "a variation is a change of the work", remedy, PLACE))
