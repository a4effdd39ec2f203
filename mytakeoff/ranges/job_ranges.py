"""How sure a job's figures are: ranges of litres, bags and money, and what they come of."""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property, partial

import numpy as np

from mytakeoff.cost.cost import job_cost
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.ranges import DENSITY, LABOUR, UNCHANGED, WASTE
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane
from mytakeoff.ranges.bags_needed import at_stake_of, bags_needed, litre_price, order_of, wastes_of
from mytakeoff.ranges.bags_to_order import BagChance, BagOrder, chances_of, enough_share
from mytakeoff.ranges.band import Band, PricedBand
from mytakeoff.ranges.fill_range import FillRange, fill_range_steps
from mytakeoff.ranges.inputs import ranges_of, total_with
from mytakeoff.ranges.reading_saves import AtStake, BestReadings, Saving, best_readings, saved_by_readings
from mytakeoff.ranges.wall_prices import Ranges, case_steps
from mytakeoff.result import Result
from mytakeoff.simulation.next_reading import NextReading, next_readings
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.simulation.wall_range import FloatedRange, Measured, faces_steps, range_steps
from mytakeoff.steps import Cache, run
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.left_open import (
    SAMPLES,
    Together,
    drawn_more_steps,
    left_open_steps,
    measured_of,
)
from mytakeoff.treatment.wall_result import WallResult

CACHE_SIZE = 64  # ranges of floated walls, each by one rule
ALL_WALLS = "all walls"
BETWEEN, READING = "what lies between the readings", "reading error"
INPUTS = (DENSITY, WASTE, LABOUR)


@dataclass(frozen=True, eq=False)
class WallRanges:
    """How sure one wall is.

    Parameters
    ----------
    name : str
    range : FloatedRange or FillRange
    litres : Band
        At 10, 50 and 90 % [l].
    stake : function
        Gives what depends on how well it is known.
    places : int
        Decimal places of an amount [-].
    """

    name: str
    range: FloatedRange | FillRange
    litres: Band
    stake: Callable[[], AtStake]
    places: int

    @cached_property
    def readings(self) -> tuple[NextReading, ...]:
        """Where to measure next, looked for when it is asked for."""
        drawn_faces = self.range.drawn_faces
        return next_readings(drawn_faces, self.range.drawn) if drawn_faces is not None else ()

    @cached_property
    def at_stake(self) -> AtStake:
        """What depends on how well the wall is known, put together when it is asked for."""
        return self.stake()

    @cached_property
    def savings(self) -> tuple[Saving, ...]:
        """What each of those readings saves on average, after those before it."""
        return saved_by_readings(self.at_stake, [each.narrows_share for each in self.readings], self.places)


@dataclass(frozen=True)
class MixRanges:
    """Bags of one mix, as density and waste may turn out too, and the order for them.

    Parameters
    ----------
    mix : Mix
    bags : Band
        At 10, 50 and 90 % [-].
    order : BagOrder
        With density and waste as they are priced.
    chances : tuple of BagChance
        Of the numbers of bags that may be needed.
    enough_share : float
        In how many such jobs of one the bags ordered last [-].
    """

    mix: Mix
    bags: Band
    order: BagOrder
    chances: tuple[BagChance, ...]
    enough_share: float

    @classmethod
    def of(cls, mix: Mix, needed: Floats, order: BagOrder) -> MixRanges:
        """From bags needed in drawn cases (k,) [-]."""
        bags = order.bags
        return cls(mix, Band.of(needed), order, chances_of(needed, bags), enough_share(needed, bags))


@dataclass(frozen=True, eq=False)
class JobRanges:
    """How sure a job's figures are.

    Parameters
    ----------
    result : Result
        What they are the range of.
    walls : tuple of WallRanges
        The walls that are worked on: one that is left as it is takes nothing and has no range.
    litres : Band
        Plaster on all priced walls [l].
    total : Band
        Price with tax, in the job's currency [-].
    survey_total : Band
        The same if only what lies between the readings were not known [-].
    bags : Band
        Of all mixes that are bought by the bag [-].
    mixes : tuple of MixRanges
        Those bought by the bag.
    litre_shares, total_shares : tuple of (str, float)
        What the range of litres and of the price comes of, the largest first: shares of the variance [-].
    enough_share : float
        In how many such jobs of one the litres that are priced are enough [-].
    """

    result: Result
    walls: tuple[WallRanges, ...]
    litres: Band
    total: Band
    survey_total: Band
    bags: Band
    mixes: tuple[MixRanges, ...]
    litre_shares: tuple[tuple[str, float], ...]
    total_shares: tuple[tuple[str, float], ...]
    enough_share: float

    def wall(self, name: str) -> WallRanges | None:
        """How sure the wall of that name is; None where no range was worked out."""
        return next((wall for wall in self.walls if wall.name == name), None)

    @property
    def litre_bands(self) -> tuple[PricedBand, ...]:
        """Each wall's litres through its readings, its range and what is priced; those of all walls last."""
        measured = {wall.entry.name: wall for wall in self.result.walls}
        through = {wall.name: wall.range.priced_l for wall in self.walls}
        return (
            *(
                PricedBand(
                    wall.name, through[wall.name], wall.litres,
                    through[wall.name] + measured[wall.name].allowance_l,
                )
                for wall in self.walls
            ),
            PricedBand(ALL_WALLS, self.result.volume_l, self.litres, self.result.litres),
        )  # fmt: skip

    @property
    def best_readings(self) -> BestReadings | None:
        """Where the next readings save most each, over all walls."""
        savings = {wall.name: wall.savings for wall in self.walls}
        return best_readings(savings, self.result.job.money_places)

    @property
    def varies(self) -> bool:
        """Whether the readings leave anything between them that moves what a wall takes."""
        return any(wall.range.drawn_faces is not None for wall in self.walls)

    @property
    def total_money(self) -> tuple[Decimal, Decimal, Decimal]:
        """`total` rounded to the currency's places."""
        return self.total.rounded(self.result.job.money_places)


def _range_steps(
    measured: Measured, rule: PlaneRule, plane: TargetPlane, priced_l: float, drawn: Drawn
) -> Generator[None, None, FloatedRange]:
    """`range_steps`, remembered by wall and rule; its faces are not, which are kept by their wall alone."""

    def without_faces() -> Generator[None, None, FloatedRange]:
        made = yield from range_steps(measured, rule, plane, priced_l, drawn)
        return replace(made, drawn_faces=None)

    made = yield from _kept.steps((measured, rule, plane, priced_l), without_faces)
    made = replace(made, drawn=drawn)  # which hangs on how far places stray, too
    if measured.is_uncertain:
        drawn_faces = yield from faces_steps(measured)
        made = replace(made, drawn_faces=drawn_faces)
    return made


_kept: Cache[tuple[Measured, PlaneRule, TargetPlane, float], FloatedRange] = Cache(CACHE_SIZE)


def _made(job: Job, wall: WallResult) -> Generator[None, None, FloatedRange | FillRange]:
    """The range of one wall that is worked on, step by step."""
    more, priced_l = (yield from drawn_more_steps(job, wall)), wall.build_up.volume_l
    drawn = Drawn(more.litres + priced_l, more.weights)
    if wall.floated:
        return (yield from _range_steps(measured_of(job, wall), wall.rule, wall.plane, priced_l, drawn))
    return (yield from fill_range_steps(job, wall, drawn))


def _inputs_steps(job: Job) -> Generator[None, None, dict[str, tuple[Floats, Floats]]]:
    """Totals at the ends and the middle of each input's range, step by step."""
    table: dict[str, tuple[Floats, Floats]] = {}
    for each in ranges_of(job):
        if each.name in INPUTS:
            at = np.unique([each.low, UNCHANGED[each.name], each.high])
            totals = []
            for value in at:
                totals.append(float(total_with(job, {each.name: float(value)})))
                yield
            table[each.name] = at, np.array(totals)
    return table


def ranges_steps(result: Result, seed: int = 1) -> Generator[None, None, JobRanges]:
    """`job_ranges` step by step."""
    job = by_the_hour(result.job)
    bare = tuple(replace(wall, allowance=()) for wall in result.walls)
    ranges: Ranges = {}
    opens: list[LeftOpen] = []
    for nth, wall in enumerate(bare):
        opens.append((yield from left_open_steps(job, wall)))
        if wall.worked:
            made = yield from _made(job, wall)
            cases = yield from case_steps(job, bare, nth, made)
            ranges[nth] = made, cases
    inputs = yield from _inputs_steps(job)
    return _put_together(result, bare, Together.of(opens), ranges, inputs, np.random.default_rng(seed))


def savings_steps(sure: JobRanges) -> Generator[None, None, dict[str, tuple[Saving, ...]]]:
    """Where to measure next on each wall, and what that saves, a wall a step; what is found is kept."""
    found = {}
    for wall in sure.walls:
        found[wall.name] = wall.savings
        yield
    return found


def by_the_hour(job: Job) -> Job:
    """The job with hours as they are: each wall's own half day would be added up, where they share one."""
    return replace(job, rates=replace(job.rates, least_half_days=0))


def job_ranges(result: Result, seed: int = 1) -> JobRanges:
    """How sure a job's litres, bags and price are, and where to measure next.

    Parameters
    ----------
    result : Result
    seed : int
        0 or more; the same seed gives the same ranges [-].

    Returns
    -------
    JobRanges

    Notes
    -----
    Each wall's litres come of faces drawn between its readings: of a floated wall each with its own exact
    plane, of a straightened one each with its own hollows filled. Walls are taken as independent of one
    another. Mix density, waste and the labour rate are drawn from triangles over their ranges (the user's, or
    marked defaults). The least thickness is not among them: it is chosen, and rails keep it. Effects on the
    price are taken to add up. Labour is rounded to half days once, as it is priced: a case takes the hours
    that it takes.
    """
    return run(ranges_steps(result, seed))


@dataclass(frozen=True, eq=False)
class _Samples:
    """Drawn cases: litres of each wall [l], each input, and what each does to the total."""

    litres: dict[int, Floats]
    inputs: dict[str, Floats]
    effects: dict[str, Floats]


def _samples(
    together: Together,
    ranges: Ranges,
    inputs: dict[str, tuple[Floats, Floats]],
    rng: np.random.Generator,
) -> _Samples:
    litres = {nth: made.priced_l + together.walls[nth] for nth, (made, _) in ranges.items()}
    drawn, effects = {}, {}
    for name, (at, totals) in inputs.items():
        drawn[name] = (
            rng.triangular(at[0], UNCHANGED[name], at[-1], SAMPLES)
            if at.size > 1
            else np.full(SAMPLES, at[0])
        )
        effects[name] = np.interp(drawn[name], at, totals - np.interp(UNCHANGED[name], at, totals))
    return _Samples(litres, drawn, effects)


def _put_together(
    result: Result,
    bare: Sequence[WallResult],
    together: Together,
    ranges: Ranges,
    inputs: dict[str, tuple[Floats, Floats]],
    rng: np.random.Generator,
) -> JobRanges:
    """Ranges and shares from drawn cases."""
    job = by_the_hour(result.job)
    drawn = _samples(together, ranges, inputs, rng)
    costs_bare, costs_priced, none = job_cost(job, bare), job_cost(job, result.walls), np.zeros(SAMPLES)
    base, price = float(costs_bare.total), litre_price(costs_bare, costs_priced, result.allowance_l)
    moved = {nth: cases.total_at(drawn.litres[nth]) - base for nth, (_, cases) in ranges.items()}
    rounding = float(result.cost.total - costs_priced.total)
    survey = rounding + base + sum(moved.values(), none)
    reading = {nth: made.reading_share for nth, (made, _) in ranges.items()}
    parts = _split({nth: float(drawn.litres[nth].var()) for nth in ranges}, reading)
    costs = _split({nth: float(moved[nth].var()) for nth in ranges}, reading)
    costs |= {name: float(effect.var()) for name, effect in drawn.effects.items()}
    wastes = wastes_of(job, bare, ranges)
    bags = bags_needed(job, wastes, ranges, drawn.litres, drawn.inputs[DENSITY], drawn.inputs[WASTE])
    as_priced = bags_needed(job, wastes, ranges, drawn.litres)
    orders = {mix: order_of(result, mix, as_priced[mix]) for mix in bags}
    return JobRanges(
        result,
        tuple(
            WallRanges(
                bare[nth].entry.name,
                made,
                Band.of(drawn.litres[nth]),
                partial(at_stake_of, result, nth, drawn.litres, ranges, wastes, orders, price),
                job.money_places,
            )
            for nth, (made, _) in ranges.items()
        ),
        Band.of(together.litres + result.volume_l),
        Band.of(survey + sum(drawn.effects.values(), none)),
        Band.of(survey),
        Band.of(sum(bags.values(), none)),
        tuple(MixRanges.of(mix, each, orders[mix]) for mix, each in bags.items()),
        _shares(parts),
        _shares(costs),
        together.enough_share(result.allowance_l),
    )


def _split(variances: dict[int, float], reading: dict[int, float]) -> dict[str, float]:
    """The walls' variances by what they come of."""
    error = sum(variance * reading[nth] for nth, variance in variances.items())
    return {BETWEEN: sum(variances.values()) - error, READING: error}


def _shares(variances: dict[str, float]) -> tuple[tuple[str, float], ...]:
    """Each as a share of their sum, the largest first; none where nothing varies."""
    whole_variance = sum(variances.values())
    if whole_variance <= 0:
        return ()
    shares = ((name, variance / whole_variance) for name, variance in variances.items())
    return tuple(sorted(shares, key=lambda share: -share[1]))
