"""What drives the price: how far the total moves when an input is off, and the band of prices that gives."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from mytakeoff import defaults
from mytakeoff.chain import evaluate
from mytakeoff.edits import mixes_of, with_mix, with_plane, with_price
from mytakeoff.errors import Check
from mytakeoff.job import Job
from mytakeoff.survey import Floats
from mytakeoff.treatments import (
    DEFAULT_RANGES,
    DENSITY,
    LABOUR,
    LEAST,
    SURVEY,
    UNCHANGED,
    WASTE,
    Range,
)
from mytakeoff.units import decimal_of, round_money
from mytakeoff.wallstages import allowance_mm

FINEST_TOLERANCE_MM = 0.5
POINTS = {LEAST: 5, SURVEY: 5}  # these place the plaster anew; others only price it
POINTS_ELSE = 9
CHECKS = 12
# Deciding anew what is taken down moved totals by up to a quarter of a per cent where it was tried.
DECIDED_ONCE_SHARE = 0.005


@dataclass(frozen=True)
class Driver:
    """How far one input moves the total.

    Parameters
    ----------
    range : Range
        From where to where the input may be.
    low_total, base_total, high_total : Decimal
        Total with tax at the low end, as entered, at the high end.
    """

    range: Range
    low_total: Decimal
    base_total: Decimal
    high_total: Decimal

    @property
    def name(self) -> str:
        """The input."""
        return self.range.name

    @property
    def effect(self) -> Decimal:
        """Between the dearest and the cheapest of the three totals, 0 or more."""
        totals = (self.low_total, self.base_total, self.high_total)
        return max(totals) - min(totals)


@dataclass(frozen=True)
class PriceBand:
    """Totals under which one price in ten, half, and nine in ten would come.

    Parameters
    ----------
    p10, p50, p90 : Decimal
        With tax.
    error : Decimal
        Furthest that the sampled model was from the job evaluated in full, at the places tried.
    samples, seed : int
        What was drawn.
    """

    p10: Decimal
    p50: Decimal
    p90: Decimal
    error: Decimal
    samples: int
    seed: int


def ranges_of(job: Job) -> tuple[Range, ...]:
    """The user's ranges, and the marked defaults for the inputs that have none.

    Examples
    --------
    >>> DEFAULT_RANGES[0].source
    'common practice, no source'
    """
    own = {each.name: each for each in job.ranges}
    return tuple(own.get(each.name, each) for each in DEFAULT_RANGES)


def with_input(job: Job, name: str, value: float) -> Job:
    """The job with one input off by so much.

    Parameters
    ----------
    job : Job
    name : str
        "mix density", "waste", "least thickness", "labour rate" or "survey".
    value : float
        As `Range` has it: a factor or a share added [-], or millimetres [mm].

    Raises
    ------
    TakeoffError
        An input that is not known, or a figure that the job cannot have.
    """
    check = Check("what drives the price")
    check.that(name in UNCHANGED, f"{name!r}", "its input is known", f"choose from {', '.join(UNCHANGED)}")
    check.done()
    if value == UNCHANGED[name]:
        return job
    change = {DENSITY: _density, WASTE: _waste, LEAST: _least, LABOUR: _labour, SURVEY: _survey}[name]
    return change(job, value)


def _density(job: Job, factor: float) -> Job:
    for mix in mixes_of(job):
        job = with_mix(job, mix.name, density_kg_per_l=mix.density_kg_per_l * factor)
    return job


def _waste(job: Job, added: float) -> Job:
    coats, patches = (
        min(max(share + added, 0.0), 0.99) for share in (job.waste_share, job.patch_waste_share)
    )
    return replace(job, waste_share=coats, patch_waste_share=patches)


def _least(job: Job, added_mm: float) -> Job:
    """The least thickness, where it was entered; else that of each backing mix, up to its greatest coat."""
    if job.plane.least_mm is not None:
        return with_plane(job, least_mm=max(job.plane.least_mm + added_mm, 0.0))
    systems = (job.system, *(wall.system for wall in job.walls if wall.system is not None))
    for mix in {system.backing.name: system.backing for system in systems}.values():
        least = min(max(mix.least_coat_mm + added_mm, 0.0), mix.max_coat_mm)
        job = with_mix(job, mix.name, least_coat_mm=least)
    return job


def _labour(job: Job, factor: float) -> Job:
    for who in (defaults.PLASTERER, defaults.LABOURER):
        job = with_price(job, who, job.prices.of(who).price * decimal_of(factor))
    return job


def _survey(job: Job, missed_mm: float) -> Job:
    """The allowance for missed high spots, and the tolerance that hollows are judged by."""
    walls = tuple(
        replace(wall, missed_high_spot_mm=max(allowance_mm(job, wall) + missed_mm, 0.0)) for wall in job.walls
    )
    tolerance = max(job.compare.tolerance_mm - missed_mm, min(FINEST_TOLERANCE_MM, job.compare.tolerance_mm))
    return replace(job, walls=walls, compare=replace(job.compare, tolerance_mm=tolerance))


def total_with(job: Job, changes: Mapping[str, float], decided: bool = True) -> Decimal:
    """Total with tax when inputs are off by so much, each as `with_input` has it [-] or [mm].

    What is taken down of high spots stays as the job without the changes decides it: work is planned by what
    was entered, and only then turns out otherwise. With `decided` False it is decided anew.
    """
    changed = job
    for name, value in changes.items():
        changed = with_input(changed, name, value)
    return evaluate(changed, job if decided else None).cost.total


def price_driver(job: Job, each: Range) -> Driver:
    """How far one input moves the total of a job."""
    low, base, high = (total_with(job, {each.name: v}) for v in (each.low, UNCHANGED[each.name], each.high))
    return Driver(each, low, base, high)


def price_drivers(job: Job, ranges: Sequence[Range] | None = None) -> tuple[Driver, ...]:
    """How far each input moves the total of a job, one at a time, the strongest first.

    Parameters
    ----------
    job : Job
    ranges : sequence of Range or None
        None: the user's own, and marked defaults.

    Returns
    -------
    tuple of Driver

    Raises
    ------
    TakeoffError
        A range that takes a figure where the job cannot have it.
    """
    drivers = [price_driver(job, each) for each in (ranges_of(job) if ranges is None else ranges)]
    return tuple(sorted(drivers, key=lambda driver: -driver.effect))


def price_band(
    job: Job, ranges: Sequence[Range] | None = None, seed: int = 1, samples: int = 2000
) -> PriceBand:
    """Totals at 10, 50 and 90 % when every input may be off at once.

    Each input is drawn from a triangle over its range with its top at what was entered. The total is the
    job's, moved for each input by what that input alone does: it is evaluated at five to nine values of each
    and interpolated between them, and inputs are taken to add up. How wrong that is is tried at the first
    dozen samples, evaluated in full, and stated as `error`. What is taken down of high spots is decided once,
    by what was entered, and stays for all of them: the depth of a floated wall, the places and depths of a
    straightened one. Where anything is, half a per cent of the total is added to `error` for it. Beyond that
    a sample can be half a day off, since hours are rounded up to half days.

    Parameters
    ----------
    job : Job
    ranges : sequence of Range or None
        None: the user's own, and marked defaults.
    seed : int
        0 or more; the same seed gives the same band [-].
    samples : int
        10 or more [-].

    Returns
    -------
    PriceBand

    Raises
    ------
    TakeoffError
        Too few samples, or a range that takes a figure where the job cannot have it.
    """
    *_, band = band_steps(job, ranges, seed, samples)
    if band is None:
        raise AssertionError("the last step is the band")
    return band


def band_steps(
    job: Job, ranges: Sequence[Range] | None = None, seed: int = 1, samples: int = 2000
) -> Iterator[PriceBand | None]:
    """`price_band` step by step, None after each evaluation and the band at the end, for a progress bar."""
    check = Check("price band")
    check.that(samples >= 10 and seed >= 0, f"{samples} samples, seed {seed}",
               "10 samples or more, a seed of 0 or more", "2000 and 1 are usual")  # fmt: skip
    check.done()
    ranges = ranges_of(job) if ranges is None else tuple(ranges)
    entered = evaluate(job)
    base = float(entered.cost.total)
    rng = np.random.default_rng(seed)
    drawn = {each.name: _draw(rng, each, samples) for each in ranges}
    sums = np.full(samples, base)
    for each in ranges:
        at, totals = places_of(each), []
        for value in at:
            totals.append(float(total_with(job, {each.name: float(value)})))
            yield None
        sums += np.interp(drawn[each.name], at, totals) - base
    error = 0.0
    for pick in range(min(CHECKS, samples)):
        exact = total_with(job, {name: float(values[pick]) for name, values in drawn.items()})
        error = max(error, abs(float(exact) - float(sums[pick])))
        yield None
    if any(wall.build_up.cut_l > 0 for wall in entered.walls):
        error += DECIDED_ONCE_SHARE * base
    p10, p50, p90 = (_money(value, job) for value in np.percentile(sums, (10, 50, 90)))
    yield PriceBand(p10, p50, p90, _money(error, job), samples, seed)


def places_of(each: Range) -> Floats:
    """Values of an input at which a job is evaluated: its ends, what was entered, and between them."""
    middle, half = UNCHANGED[each.name], POINTS.get(each.name, POINTS_ELSE) // 2
    down, up = np.linspace(each.low, middle, half + 1), np.linspace(middle, each.high, half + 1)
    return np.unique(np.concatenate([down, up]))


def _draw(rng: np.random.Generator, each: Range, samples: int) -> Floats:
    if each.low == each.high:
        return np.full(samples, each.low)
    return rng.triangular(each.low, UNCHANGED[each.name], each.high, samples)


def _money(value: float, job: Job) -> Decimal:
    return round_money(decimal_of(float(value)), job.money_places)
