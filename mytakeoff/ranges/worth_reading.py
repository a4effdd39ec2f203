"""Where to read a wall next, what each reading narrows in litres and saves in money, and when to stop."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import sqrt

from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.ranges.reading_saves import Saving, best_readings, reading_price, saved_by_readings
from mytakeoff.simulation.next_reading import NextReading, next_readings
from mytakeoff.steps import run


@dataclass(frozen=True)
class NextPlace:
    """A place to read next.

    Parameters
    ----------
    reading : NextReading
        Where, and what is likely there.
    narrows_l : float
        By how much the wall's range of litres is narrower then, after those before it [l].
    saving : Saving
        What it saves on average, after those before it.
    """

    reading: NextReading
    narrows_l: float
    saving: Saving


@dataclass(frozen=True)
class WorthReading:
    """What is still to be read on a wall.

    Parameters
    ----------
    places : tuple of NextPlace
        The best first; none where nothing is to be gained.
    saves : Decimal
        What the next readings save each, at most, in the job's currency.
    price : Decimal
        What it costs to take one.
    """

    places: tuple[NextPlace, ...]
    saves: Decimal
    price: Decimal

    @property
    def is_enough(self) -> bool:
        """Whether the range is narrow enough for the price: a further reading saves no more than it takes."""
        return self.saves <= self.price


def worth_reading_steps(
    sure: JobRanges, wall: str, among: Sequence[tuple[float, float]] | None = None
) -> Generator[None, None, WorthReading | None]:
    """Where to read a wall next, in steps.

    Parameters
    ----------
    sure : JobRanges
    wall : str
        Its name.
    among : sequence of (x, z), optional
        Places that are to be read anyhow; anywhere on the wall unless given, or where none of them tells
        anything [m, m].

    Returns
    -------
    WorthReading or None
        None where the wall has no range.
    """
    found, job = sure.wall(wall), sure.result.job
    if found is None:
        return None
    faces, readings = found.range.drawn_faces, tuple[NextReading, ...]()
    if faces is not None:
        readings = next_readings(faces, found.range.drawn, among=among) if among else ()
        readings = readings or found.readings
    yield
    shares = [each.narrows_share for each in readings]
    savings = saved_by_readings(found.at_stake, shares, found.places) if readings else ()
    yield
    best = best_readings({wall: savings}, found.places)
    narrower = _narrower(found.litres.high - found.litres.low, shares)
    places = zip(readings, narrower, savings, strict=True)
    return WorthReading(
        tuple(NextPlace(*each) for each in places),
        best.each.total if best is not None else Decimal(0),
        reading_price(job),
    )


def worth_reading(
    sure: JobRanges, wall: str, among: Sequence[tuple[float, float]] | None = None
) -> WorthReading | None:
    """Where to read a wall next; see `worth_reading_steps` [m, m]."""
    return run(worth_reading_steps(sure, wall, among))


def _narrower(width_l: float, shares: Sequence[float]) -> list[float]:
    """By how much a range is narrower with each reading that takes a share of its variance away [l].

    Examples
    --------
    >>> _narrower(10.0, [0.64, 0.2])
    [4.0, 2.0]
    """
    left = [sqrt(max(1.0 - sum(shares[:nth]), 0.0)) for nth in range(len(shares) + 1)]
    return [round(width_l * (before - after), 6) for before, after in pairwise(left)]
