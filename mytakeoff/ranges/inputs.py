"""Figures of a job that may turn out otherwise: how far, and what the job costs then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from mytakeoff.bounds import MOST_PRICE, bounds_of
from mytakeoff.chain import evaluate
from mytakeoff.errors import Check
from mytakeoff.job import catalogue
from mytakeoff.job.choices import PlaneChoice
from mytakeoff.job.confidence import WorkedOut
from mytakeoff.job.edits import mixes_of, with_mix, with_plane, with_price
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.ranges import DEFAULT_RANGES, DENSITY, LABOUR, LEAST, SURVEY, UNCHANGED, WASTE, Range
from mytakeoff.job.treatments import Compare
from mytakeoff.result import Result
from mytakeoff.units import decimal_of

FINEST_TOLERANCE_MM = 0.5
OF_JOB, OF_MIX, OF_PLANE = bounds_of(Job), bounds_of(Mix), bounds_of(PlaneChoice)


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
        density = OF_MIX["density_kg_per_l"].nearest(mix.density_kg_per_l * factor)
        job = with_mix(job, mix.name, density_kg_per_l=density)
    return job


def _waste(job: Job, added: float) -> Job:
    coats = OF_JOB["waste_share"].nearest(job.waste_share + added)
    patches = OF_JOB["patch_waste_share"].nearest(job.patch_waste_share + added)
    return replace(job, waste_share=coats, patch_waste_share=patches)


def _least(job: Job, added_mm: float) -> Job:
    """The least thickness, where it was entered; else that of each backing mix, up to its greatest coat."""
    if job.plane.least_mm is not None:
        return with_plane(job, least_mm=OF_PLANE["least_mm"].nearest(job.plane.least_mm + added_mm))
    systems = (job.system, *(wall.system for wall in job.walls if wall.system is not None))
    for mix in {system.backing.name: system.backing for system in systems}.values():
        least = min(max(mix.least_coat_mm + added_mm, 0.0), mix.max_coat_mm)
        job = with_mix(job, mix.name, least_coat_mm=least)
    return job


def _labour(job: Job, factor: float) -> Job:
    for who in (catalogue.PLASTERER, catalogue.LABOURER):
        price = job.prices.of(who).price * decimal_of(factor)
        job = with_price(job, who, min(price, decimal_of(MOST_PRICE)))
    return job


def _survey(job: Job, missed_mm: float) -> Job:
    """What is priced for what lies between the readings, and the tolerance that hollows are judged by."""
    priced = {wall.entry.name: wall for wall in evaluate(job).walls if wall.floated}
    missed = bounds_of(JobWall)["missed_high_spot_mm"]
    walls = tuple(
        replace(wall, missed_high_spot_mm=missed.nearest(priced[wall.name].allowance_mm + missed_mm))
        if wall.name in priced
        else wall
        for wall in job.walls
    )
    own = job.compare.tolerance_mm
    widest = bounds_of(Compare)["tolerance_mm"].high
    tolerance = min(max(own - missed_mm, min(FINEST_TOLERANCE_MM, own)), widest)
    return replace(job, walls=walls, compare=replace(job.compare, tolerance_mm=tolerance))


def total_with(job: Job, changes: Mapping[str, float]) -> Decimal:
    """Total with tax when inputs are off by so much, each as `with_input` has it [-] or [mm].

    What is taken down of high spots, and what is allowed for what lies between the readings, stays as the job
    without the changes decides it: work is planned by what was entered, and only then turns out otherwise.
    The least thickness is chosen, so with another the allowance is that one's.
    """
    changed = job
    for name, value in changes.items():
        changed = with_input(changed, name, value)
    planned = changed if LEAST in changes else held_as(changed, evaluate(job))
    return evaluate(planned, job).cost.total


def held_as(job: Job, result: Result) -> Job:
    """The job with what lies between the readings as a result of the same walls has it."""
    known = (wall.left_open for wall in result.walls)
    return replace(job, worked_out=WorkedOut(tuple(each for each in known if each is not None), held=True))
