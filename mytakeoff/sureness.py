"""How sure a job's figures are: ranges of litres, bags and money, and what they come of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

import numpy as np

from mytakeoff import defaults
from mytakeoff.buildup import full_coat
from mytakeoff.chain import Result
from mytakeoff.coats import layers
from mytakeoff.cost import job_cost
from mytakeoff.drawnplanes import quantile
from mytakeoff.drivers import ranges_of, total_with
from mytakeoff.job import Job
from mytakeoff.materials import mix_needs, whole
from mytakeoff.mixes import Mix
from mytakeoff.nextreading import NextReading, next_readings
from mytakeoff.sureorder import Order, order_for
from mytakeoff.survey import Floats
from mytakeoff.treatments import DENSITY, LABOUR, UNCHANGED, WASTE
from mytakeoff.units import decimal_of, round_money
from mytakeoff.wallrange import Measured, WallRange, range_steps
from mytakeoff.wallresult import WallResult

if TYPE_CHECKING:
    import pandas as pd

SAMPLES = 2000
LIFTS = 5  # thicknesses at which a wall is priced; between them straight
BETWEEN, READING = "what lies between the readings", "reading error"
INPUTS = (DENSITY, WASTE, LABOUR)


@dataclass(frozen=True)
class Band:
    """Values that one case in ten, half, and nine in ten stay within; in the unit of what is named [-]."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, values: Floats, weights: Floats | None = None) -> Band:
        """10, 50 and 90 % of values, all of the same weight unless told otherwise [-]."""
        weights = np.full(values.size, 1.0 / values.size) if weights is None else weights
        low, middle, high = (quantile(values, weights, share) for share in (0.1, 0.5, 0.9))
        return cls(low, middle, high)


@dataclass(frozen=True, eq=False)
class WallSureness:
    """How sure one wall is: its range, litres at 10, 50 and 90 % [l], and where to measure next."""

    name: str
    range: WallRange
    litres: Band
    readings: tuple[NextReading, ...]


@dataclass(frozen=True)
class MixSureness:
    """Bags of one mix at 10, 50 and 90 % [-], and the order for them."""

    mix: Mix
    bags: Band
    order: Order


@dataclass(frozen=True, eq=False)
class JobSureness:
    """How sure a job's figures are.

    Parameters
    ----------
    result : Result
        What they are the range of.
    walls : tuple of WallSureness
        The walls that are floated to a plane; of the others no range is worked out.
    litres : Band
        Plaster on all priced walls, those without a range at what they are priced at [l].
    total : Band
        Price with tax, in the job's currency [-].
    mixes : tuple of MixSureness
        Those bought by the bag.
    litre_shares, total_shares : tuple of (str, float)
        What the range of litres and of the price comes of, the largest first: shares of the variance [-].
    """

    result: Result
    walls: tuple[WallSureness, ...]
    litres: Band
    total: Band
    mixes: tuple[MixSureness, ...]
    litre_shares: tuple[tuple[str, float], ...]
    total_shares: tuple[tuple[str, float], ...]

    def wall(self, name: str) -> WallSureness | None:
        """How sure the wall of that name is; None where no range was worked out."""
        return next((wall for wall in self.walls if wall.name == name), None)

    @property
    def total_money(self) -> tuple[Decimal, Decimal, Decimal]:
        """`total` rounded to the currency's places."""
        places = self.result.job.money_places
        low, middle, high = (
            round_money(decimal_of(value), places)
            for value in (self.total.low, self.total.middle, self.total.high)
        )
        return low, middle, high


RANGE_COLUMNS = ("figure", "unit", "low_10", "middle_50", "high_90")


def range_frame(sure: JobSureness) -> pd.DataFrame:
    """The ranges as a table: litres by wall and in all, bags and the order for each mix, price, places.

    Returns
    -------
    pandas.DataFrame
        Columns figure, unit, low_10, middle_50, high_90; numbers are Decimal.
    """
    import pandas as pd

    rows = [_row(f"plaster, {wall.name}", "l", wall.litres, 1) for wall in sure.walls]
    rows.append(_row("plaster, all walls", "l", sure.litres, 1))
    for mix in sure.mixes:
        order = Decimal(mix.order.bags)
        rows.append(_row(mix.mix.name, "bag", mix.bags, 0))
        rows.append((f"{mix.mix.name}, to order", "bag", order, order, order))
    rows.append(("price with tax", sure.result.job.currency, *sure.total_money))
    for wall in sure.walls:
        for number, place in enumerate(wall.readings, start=1):
            where = f"measure next on {wall.name}, {number}: x {place.x_m:.2f} m, z {place.z_m:.2f} m"
            off = Band(-place.guess_mm - place.give_mm, -place.guess_mm, -place.guess_mm + place.give_mm)
            rows.append(_row(f"{where}, off the line", "mm", off, 1))
    return pd.DataFrame(rows, columns=list(RANGE_COLUMNS))


def _row(figure: str, unit: str, band: Band, places: int) -> tuple[str, str, Decimal, Decimal, Decimal]:
    low, middle, high = (
        round_money(decimal_of(value), places) for value in (band.low, band.middle, band.high)
    )
    return figure, unit, low, middle, high


@dataclass(frozen=True, eq=False)
class Lifted:
    """What a wall takes at several thicknesses: litres (k,) [l], of each mix [l], and the job's total [-]."""

    litres: Floats
    by_mix: dict[Mix, Floats]
    total: Floats


def measured_of(job: Job, wall: WallResult) -> Measured:
    """What a wall's faces are drawn from."""
    return Measured(
        wall.entry.survey, wall.entry.loose, job.reach_m, job.loose_growth_share, job.sureness.likely
    )


def lifted(wall: WallResult, by_mm: float) -> WallResult:
    """A floated wall with its plane further out by so much [mm], and nothing for missed high spots."""
    rule = replace(
        wall.rule,
        least_mm=max(wall.rule.least_mm + by_mm, 0.0),
        rail_least_mm=max(wall.rule.rail_least_mm + by_mm, 0.0),
    )
    plane = replace(wall.plane, a_mm=wall.plane.a_mm + rule.least_mm - wall.rule.least_mm)
    build_up = full_coat(wall.surface, plane, rule)
    return replace(
        wall,
        rule=rule,
        plane=plane,
        build_up=build_up,
        layers=layers(build_up, wall.system),
        allowance_mm=0.0,
    )


def _lifted_steps(
    result: Result, bare: Sequence[WallResult], nth: int, made: WallRange
) -> Iterator[Lifted | None]:
    """What a wall takes from its least to its most, step by step."""
    job, wall = result.job, bare[nth]
    over = (made.drawn.litres - made.priced_l) / max(wall.build_up.area_m2, 1e-9)
    litres, totals, by_mix = [], [], []
    for by_mm in np.unique(np.linspace(over.min(), over.max(), LIFTS)):
        one = lifted(wall, float(by_mm))
        litres.append(one.build_up.volume_l)
        by_mix.append({need.mix: need.litres for need in mix_needs(job, [one])})
        totals.append(float(job_cost(job, [*bare[:nth], one, *bare[nth + 1 :]]).total))
        yield None
    names = dict.fromkeys(mix for mixes in by_mix for mix in mixes)
    table = {mix: np.array([mixes.get(mix, 0.0) for mixes in by_mix]) for mix in names}
    yield Lifted(np.array(litres), table, np.array(totals))


def _inputs_steps(job: Job) -> Iterator[dict[str, tuple[Floats, Floats]] | None]:
    """Totals at the ends and the middle of each input's range, step by step."""
    table: dict[str, tuple[Floats, Floats]] = {}
    for each in ranges_of(job):
        if each.name in INPUTS:
            at = np.unique([each.low, UNCHANGED[each.name], each.high])
            totals = []
            for value in at:
                totals.append(float(total_with(job, {each.name: float(value)})))
                yield None
            table[each.name] = at, np.array(totals)
    yield table


def sureness_steps(result: Result, seed: int = 1) -> Iterator[JobSureness | None]:
    """`job_sureness` step by step: None after each step, what is found at the end."""
    job = result.job
    bare = tuple(replace(wall, allowance_mm=0.0) for wall in result.walls)
    ranges: dict[int, tuple[WallRange, Lifted]] = {}
    for nth in (nth for nth, wall in enumerate(bare) if wall.floated):
        wall, made, up = bare[nth], None, None
        for made in range_steps(measured_of(job, wall), wall.rule, wall.plane, wall.build_up.volume_l):
            if made is None:
                yield None
        if made is not None:
            for up in _lifted_steps(result, bare, nth, made):
                if up is None:
                    yield None
        if made is not None and up is not None:
            ranges[nth] = made, up
    inputs = None
    for inputs in _inputs_steps(job):
        if inputs is None:
            yield None
    yield _put_together(result, bare, ranges, inputs or {}, np.random.default_rng(seed))


def job_sureness(result: Result, seed: int = 1) -> JobSureness:
    """How sure a job's litres, bags and price are, and where to measure next.

    Parameters
    ----------
    result : Result
    seed : int
        0 or more; the same seed gives the same ranges [-].

    Returns
    -------
    JobSureness

    Notes
    -----
    Each floated wall's litres come of faces drawn between its readings, each with its own exact plane; walls
    are taken as independent of one another. Mix density, waste and the labour rate are drawn from triangles
    over their ranges (the user's, or marked defaults). Mixes and price follow the litres by walls priced at
    several thicknesses; effects on the price are taken to add up.
    """
    *_, found = sureness_steps(result, seed)
    if found is None:
        raise AssertionError("the last step is what was found")
    return found


@dataclass(frozen=True, eq=False)
class _Samples:
    """Drawn cases: litres of each wall [l], each input, and what each does to the total."""

    litres: dict[int, Floats]
    inputs: dict[str, Floats]
    effects: dict[str, Floats]


def _samples(
    job: Job,
    ranges: dict[int, tuple[WallRange, Lifted]],
    inputs: dict[str, tuple[Floats, Floats]],
    rng: np.random.Generator,
) -> _Samples:
    litres = {
        nth: rng.choice(made.drawn.litres, SAMPLES, p=made.drawn.weights) for nth, (made, _) in ranges.items()
    }
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
    ranges: dict[int, tuple[WallRange, Lifted]],
    inputs: dict[str, tuple[Floats, Floats]],
    rng: np.random.Generator,
) -> JobSureness:
    """Ranges and shares from drawn cases."""
    job = result.job
    drawn = _samples(job, ranges, inputs, rng)
    base = float(job_cost(job, bare).total)
    rest = sum(wall.build_up.volume_l for nth, wall in enumerate(bare) if nth not in ranges)
    litres = rest + sum(drawn.litres.values(), np.zeros(SAMPLES))
    moved = {
        nth: _at(ranges[nth][1].litres, ranges[nth][1].total - base, drawn.litres[nth]) for nth in ranges
    }
    total = base + sum((*moved.values(), *drawn.effects.values()), np.zeros(SAMPLES))
    reading = {nth: made.reading_share for nth, (made, _) in ranges.items()}
    parts = _split({nth: float(drawn.litres[nth].var()) for nth in ranges}, reading)
    costs = _split({nth: float(moved[nth].var()) for nth in ranges}, reading)
    costs |= {name: float(effect.var()) for name, effect in drawn.effects.items()}
    return JobSureness(
        result,
        tuple(_wall(bare[nth], made) for nth, (made, _) in ranges.items()),
        Band.of(litres),
        Band.of(total),
        _mixes(job, bare, ranges, drawn),
        _shares(parts),
        _shares(costs),
    )


def _wall(wall: WallResult, made: WallRange) -> WallSureness:
    drawn = made.drawn
    readings = next_readings(made.between, drawn) if made.between is not None else ()
    return WallSureness(wall.entry.name, made, Band.of(drawn.litres, drawn.weights), readings)


def _at(places: Floats, values: Floats, wanted: Floats) -> Floats:
    """Values between places, straight."""
    order = np.argsort(places)
    return np.asarray(np.interp(wanted, places[order], values[order]))


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


def _mixes(
    job: Job,
    bare: Sequence[WallResult],
    ranges: dict[int, tuple[WallRange, Lifted]],
    drawn: _Samples,
) -> tuple[MixSureness, ...]:
    """Bags of each mix, rounded up for the whole job in each case, and the order for them."""
    still = {
        need.mix: need.litres for need in mix_needs(job, [w for n, w in enumerate(bare) if n not in ranges])
    }
    factor, more = drawn.inputs.get(DENSITY, 1.0), drawn.inputs.get(WASTE, 0.0)
    found = []
    for need in mix_needs(job, bare):
        if need.recipe is not None:
            continue
        litres = np.full(SAMPLES, still.get(need.mix, 0.0))
        for nth, (_, up) in ranges.items():
            if need.mix in up.by_mix:
                litres = litres + _at(up.litres, up.by_mix[need.mix], drawn.litres[nth])
        kg = litres * need.mix.density_kg_per_l * factor * (1 + np.maximum(need.waste_share + more, 0.0))
        bags = np.array([float(whole(each)) for each in kg / need.mix.bag_kg])
        found.append(MixSureness(need.mix, Band.of(bags), _order(job, need.mix, bags)))
    return tuple(found)


def _order(job: Job, mix: Mix, bags: Floats) -> Order:
    choice, prices = job.sureness, job.prices
    bag = float(prices.of(mix.name).price) if mix.name in prices else 0.0
    delivery = float(prices.of(defaults.DELIVERY).price) if defaults.DELIVERY in prices else 0.0
    trip = delivery if choice.extra_trip_price is None else choice.extra_trip_price
    return order_for(bags, choice.confidence_share, choice.unused_bag_share * bag, trip)
