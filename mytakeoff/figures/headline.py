"""The figures that a job is known by, as every screen and file says them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from mytakeoff.programme.programme import booked
from mytakeoff.ranges.band import Band
from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.result import Result


@dataclass(frozen=True)
class Headline:
    """The figures that a job is known by: no text, no rounding beyond that of money.

    Parameters
    ----------
    total : Decimal
        With tax; the amounts of the cost table add up to it.
    measured_l : float
        In place, on the faces through the readings [l].
    allowance_l : float
        Priced on top for what lies between the readings and cannot be seen in them [l].
    litres : float
        `measured_l + allowance_l`: what is priced, bought, weighed, carried and gauged [l].
    litres_10, litres_50, litres_90 : float or None
        What one such job in ten, half, and nine in ten stay within [l]; None where no range was worked out.
    total_10, total_50, total_90 : Decimal or None
        The same of the total.
    enough_in : float or None
        In how many such jobs of a hundred `litres` are enough [-]; None where no range was worked out.
    bags : int
        Whole bags of all mixes that are priced and ordered [-].
    dry_kg : float
        Dry weight of what is mixed, waste included [kg].
    work_days : float
        Plasterers' hours ÷ (plasterers × hours a day) [d].
    site_days : int
        Days of the calendar on which somebody works [d].
    visits : int
        Stays without a gap of more than half a working day [-].
    paint_from : date or None
        First day on which every wall may take paint; None where none is painted.
    mean_mm, max_mm : float
        Thickness over what is priced [mm].
    coats : int
        Most on any wall, finish included [-].
    """

    total: Decimal
    measured_l: float
    allowance_l: float
    litres: float
    litres_10: float | None
    litres_50: float | None
    litres_90: float | None
    total_10: Decimal | None
    total_50: Decimal | None
    total_90: Decimal | None
    enough_in: float | None
    bags: int
    dry_kg: float
    work_days: float
    site_days: int
    visits: int
    paint_from: date | None
    mean_mm: float
    max_mm: float
    coats: int


def headline(result: Result, ranges: JobRanges | None = None) -> Headline:
    """The figures that a job is known by.

    Parameters
    ----------
    result : Result
    ranges : JobRanges or None
        How sure they are, where it was worked out.

    Examples
    --------
    A wall of 10 m² that takes 120 l through its readings and is priced with 8 l on top has `measured_l` 120,
    `allowance_l` 8, `litres` 128 and, since its map shows what was measured, `mean_mm` 12.
    """
    programme = booked(result)
    together = result.left_open
    litres = Band.of(together.litres + result.volume_l) if together is not None else None
    enough = together.enough_share(result.allowance_l) if together is not None else None
    if ranges is not None:
        litres, enough = ranges.litres, ranges.enough_share
    total = ranges.total_money if ranges is not None else (None, None, None)
    return Headline(
        total=result.cost.total,
        measured_l=result.volume_l,
        allowance_l=result.allowance_l,
        litres=result.litres,
        litres_10=litres.low if litres else None,
        litres_50=litres.middle if litres else None,
        litres_90=litres.high if litres else None,
        total_10=total[0],
        total_50=total[1],
        total_90=total[2],
        enough_in=100 * enough if enough is not None else None,
        bags=result.bags,
        dry_kg=result.dry_kg,
        work_days=result.days,
        site_days=programme.days_on_site,
        visits=programme.visits,
        paint_from=programme.paint_from,
        mean_mm=result.mean_mm,
        max_mm=result.max_mm,
        coats=result.coats,
    )
