"""Money against the gap that is left: what each step of flatness costs, in whole bags and half days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from mytakeoff.chain import evaluate
from mytakeoff.errors import Check
from mytakeoff.figures.headline import headline
from mytakeoff.flatness.grades import OWN
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import AS_IT_IS, STRAIGHTEN, Treatment
from mytakeoff.ranges.inputs import held_as
from mytakeoff.result import Result
from mytakeoff.treatment.filled import edge_gap_mm

FINEST_MM = 2.0
STEPS = 16


@dataclass(frozen=True)
class CurvePoint:
    """The job at one tolerance.

    Parameters
    ----------
    tolerance_mm : float or None
        Hollows deeper than this are straightened; None: the bare wall, nothing done [mm].
    gap_mm : float
        Greatest gap that is left under the edge on any wall [mm].
    total : Decimal
        With tax.
    bags : int
        Of all mixes [-].
    days : float
        On site, in half days [d].
    patches : int
        Places filled [-].
    wall : str
        On which the gap is.
    """

    tolerance_mm: float | None
    gap_mm: float
    total: Decimal
    bags: int
    days: float
    patches: int
    wall: str = ""


def bare_gap_mm(job: Job) -> float:
    """Greatest gap under the job's edge on any wall with nothing done [mm]."""
    left = Treatment("bare", AS_IT_IS, skim=False)
    return _gap(evaluate(_treated(job, left, job.compare.tolerance_mm)))[0]


def curve_tolerances(job: Job, steps: int = STEPS, finest_mm: float = FINEST_MM) -> tuple[float, ...]:
    """Tolerances from the bare wall's own gap down to the finest, closer together where they are small.

    Parameters
    ----------
    job : Job
    steps : int
        2 or more [-].
    finest_mm : float
        More than 0 [mm].

    Returns
    -------
    tuple of float
        Falling; the finest alone where the bare wall is as flat as that [mm].
    """
    start = bare_gap_mm(job)
    if start <= finest_mm:
        return (finest_mm,)
    falling = np.geomspace(start, finest_mm, steps)
    return (*(round(float(value), 2) for value in falling[:-1]), finest_mm)


def price_curve(
    job: Job, tolerances_mm: Sequence[float] | None = None, skim: bool = True
) -> Iterator[CurvePoint]:
    """The bare wall, then the job at each tolerance, one point at a time.

    Hollows are straightened to the tolerance under the job's own edge and ruled flush; high spots are left.
    What lies between the readings is priced at every tolerance as at the job's own.
    The geometry of a point is kept: after an edit of a price it comes back at once.

    Parameters
    ----------
    job : Job
    tolerances_mm : sequence of float or None
        Each more than 0; None: `curve_tolerances` [mm].
    skim : bool
        Whether a straightened wall is skimmed.

    Yields
    ------
    CurvePoint
        Loosest first. A finer tolerance takes at least the plaster and the money of a looser one.

    Raises
    ------
    TakeoffError
        A tolerance that is not more than 0, or whatever a stage finds wrong.
    """
    wanted = curve_tolerances(job) if tolerances_mm is None else tuple(tolerances_mm)
    _check(wanted)
    yield _point(job, None, Treatment("bare", AS_IT_IS, skim=False))
    asked = held_as(job, evaluate(straightened_job(job, job.compare.tolerance_mm, skim)))
    for tolerance in sorted(wanted, reverse=True):
        yield _point(asked, tolerance, Treatment("straightened", STRAIGHTEN, skim=skim))


def _check(tolerances_mm: Sequence[float]) -> None:
    check = Check("budget curve")
    for value in tolerances_mm:
        check.that(
            bool(0 < value < np.inf),
            f"tolerance {value:g} mm",
            "a tolerance is more than 0",
            f"{FINEST_MM:g} mm is as fine as hands work",
        )
    check.done()


def _treated(job: Job, treatment: Treatment, tolerance_mm: float) -> Job:
    """The job with every wall treated so, judged by the user's own tolerance."""
    walls = tuple(replace(wall, treatment=None) for wall in job.walls)
    compare = replace(job.compare, grade=OWN, tolerance_mm=tolerance_mm)
    return replace(job, treatment=treatment, walls=walls, compare=compare)


def straightened_job(job: Job, tolerance_mm: float, skim: bool = True) -> Job:
    """The job of one point of the curve: hollows straightened to a tolerance under its own edge [mm]."""
    return _treated(job, Treatment("straightened", STRAIGHTEN, skim=skim), tolerance_mm)


def _point(job: Job, tolerance_mm: float | None, treatment: Treatment) -> CurvePoint:
    result = evaluate(_treated(job, treatment, tolerance_mm or job.compare.tolerance_mm))
    patches = sum(len(wall.patches) for wall in result.walls)
    gap_mm, wall = _gap(result)
    head = headline(result)
    return CurvePoint(tolerance_mm, gap_mm, head.total, head.bags, head.work_days, patches, wall)


def _gap(result: Result) -> tuple[float, str]:
    """The greatest gap [mm], and on which wall it is."""
    length = result.job.compare.straightedge_m
    gaps = ((edge_gap_mm(wall.build_up, length), wall.entry.name) for wall in result.walls)
    return max(gaps, key=lambda each: each[0], default=(0.0, ""))
