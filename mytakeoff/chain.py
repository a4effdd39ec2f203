"""The chain: from what the user entered to each stage's result.

Each stage is cached by what it depends on (arrays by identity, small types by value), so an edit recomputes
only what follows from it: a price edit the prices, a rule the plane and what comes after, a survey everything
of its wall. A test counts the calls.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from mytakeoff.cost.cost import price_job
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.choices import Margins
from mytakeoff.job.edits import mixes_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.packs import Buying, PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.measure.materials import MixNeed, mix_needs
from mytakeoff.result import Result
from mytakeoff.takeoff.purchases import as_bought
from mytakeoff.takeoff.takeoff import Takeoff, takeoff_lines
from mytakeoff.treatment.floated import floated_wall
from mytakeoff.treatment.left_open import with_allowances
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import evaluate_wall

CACHE_SIZE = 16  # takeoffs kept: each holds every wall of its job


def square_litres(job: Job, entry: JobWall) -> float | None:
    """What a wall would take plumb and square to its measured corner [l]; None where no corner was measured.

    A plane that is free to turn may swing for tenths of a millimetre: this says what squaring it costs.
    """
    if entry.square_turn_mm_per_m is None or not entry.survey.plumb:
        return None
    square = replace(job, plane=replace(job.plane, kind="square"))
    return floated_wall(square, entry).build_up.volume_l


NO_PRICES = PriceList()
NO_MARGINS = Margins()


@lru_cache(maxsize=CACHE_SIZE)
def takeoff_stage(job: Job, walls: tuple[WallResult, ...]) -> Takeoff:
    """Cached `takeoff_lines`; the job comes without prices and margins, which it does not read."""
    return takeoff_lines(job, walls)


@lru_cache(maxsize=CACHE_SIZE)
def needs_stage(job: Job, walls: tuple[WallResult, ...]) -> tuple[MixNeed, ...]:
    """Cached `mix_needs`; the job comes without prices and margins."""
    return mix_needs(job, walls)


UNREAD: dict[str, Any] = {"scenarios": (), "learnt": (), "folder": ""}  # by any stage


def unpriced(job: Job) -> Job:
    """The job without what no stage up to the takeoff reads, so that changing that recomputes no takeoff."""
    chosen, mixes = Buying(chosen=job.buying.chosen), frozenset(mix.name for mix in mixes_of(job))
    packs = _sizes(job.packs, mixes)
    left_out: dict[str, Any] = {"prices": NO_PRICES, "margins": NO_MARGINS, **UNREAD}
    return replace(job, buying=chosen, packs=packs, **left_out)


@lru_cache(maxsize=CACHE_SIZE)
def _sizes(packs: PackList, mixes: frozenset[str]) -> PackList:
    """Packs without prices but those that the number of a mix's bags hangs on: where more cost less each."""
    breaks = {tiers for mix in mixes for tiers in packs.of(mix) if len(tiers) > 1}
    kept = {row for tiers in breaks for row in tiers}
    return PackList(tuple(row if row in kept else replace(row, price=Decimal(0)) for row in packs.rows))


def takeoff_of(job: Job, walls: tuple[WallResult, ...]) -> Takeoff:
    """The takeoff of walls that were evaluated, remembered."""
    return takeoff_stage(unpriced(job), walls)


def evaluate(job: Job, decided_by: Job | None = None) -> Result:
    """The whole chain.

    Parameters
    ----------
    job : Job
    decided_by : Job or None
        The job, of the same walls, whose prices and rules decide how much of the high spots is taken down;
        None: this one. With another, what was decided once is priced as things turn out.

    Returns
    -------
    Result
        Pure: the same job gives the same result, and nothing else is touched.

    Raises
    ------
    TakeoffError
        Every mistake found in what the user entered, over all walls at once.
    """
    check = Check()
    walls: list[WallResult] = []
    for entry in job.priced_walls:
        try:
            walls.append(evaluate_wall(job, entry, decided_by))
        except TakeoffError as error:
            check.add(error)
    check.done()
    return priced_with(job, with_allowances(job, walls))


def priced_with(job: Job, walls: tuple[WallResult, ...]) -> Result:
    """The stages that follow the walls: what a job comes to where they take what these take.

    Parameters
    ----------
    job : Job
    walls : tuple of WallResult
        Treated, with what is priced or known on top of their readings.
    """
    bare = unpriced(job)
    takeoff = as_bought(job, takeoff_stage(bare, walls))
    return Result(job, walls, needs_stage(bare, walls), price_job(job, walls, takeoff))
