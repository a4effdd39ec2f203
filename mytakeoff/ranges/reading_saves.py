"""What one more reading saves, in money: bags left over, trips for more, work priced and not needed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

import numpy as np
from scipy.special import ndtri

from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.measure.materials import bags_of_each
from mytakeoff.simulation.planes_over_faces import quantile
from mytakeoff.survey.survey import Floats
from mytakeoff.units import decimal_of, round_money

SAYS = 12  # answers that a reading may give, all equally likely
REACH_SD = 4.0  # how far beyond its drawn cases a wall is looked at
STEPS = 400  # litres at which bags are counted
READING_MIN = 2.0  # to go there, hold the rule, read and write it down (common practice, no source)


@dataclass(frozen=True, eq=False)
class Bagged:
    """What may be needed of a mix that is bought by the bag.

    Parameters
    ----------
    job_l, wall_l : (k,) float
        Litres of it in drawn cases: for the whole job, and on the wall that is read [l].
    lasts_l : (b,) float
        For how many litres of the job the fewest bags that may be needed last, one more, and so on [l].
    unused_price, trip_price : float
        What one bag left over, and one trip for more, costs beyond the bags; 0 or more [-].
    """

    job_l: Floats
    wall_l: Floats
    lasts_l: Floats
    unused_price: float
    trip_price: float


@dataclass(frozen=True, eq=False)
class AtStake:
    """What depends on how well one wall is known.

    Parameters
    ----------
    job_l, wall_l : (k,) float
        Litres in drawn cases: of all walls, and of this one [l].
    litre_price : float
        What a litre on top adds to the job's total in labour; 0 where no litres are priced at a confidence
        [-].
    confidence_share : float
        Priced litres are enough in so many such jobs of one [-].
    bagged : tuple of Bagged
    """

    job_l: Floats
    wall_l: Floats
    litre_price: float
    confidence_share: float
    bagged: tuple[Bagged, ...]


@dataclass(frozen=True)
class Saving:
    """What a reading saves on average, in the job's currency.

    Parameters
    ----------
    bags : Decimal
        In bags left over and trips for more.
    priced : Decimal
        In work on litres that are priced and not needed.
    """

    bags: Decimal
    priced: Decimal

    @property
    def total(self) -> Decimal:
        """Both together."""
        return self.bags + self.priced


def lasting_l(job: Job, mix: Mix, waste_share: float, job_l: Floats, wall_l: Floats) -> Floats:
    """For how many litres of a mix each number of bags lasts that may be needed; see `Bagged` [l]."""
    reach = REACH_SD * float(wall_l.std())
    litres = np.linspace(max(float(job_l.min()) - reach, 0.0), float(job_l.max()) + reach, STEPS)
    kg = litres * mix.kg_per_l * (1 + waste_share)
    bags = np.array(bags_of_each(job, mix, kg.tolist(), [waste_share] * STEPS))
    last = np.searchsorted(bags, np.arange(bags[0], bags[-1] + 1), side="right") - 1
    return np.asarray(litres[last])


def saved_by_readings(
    at_stake: AtStake, narrows_shares: Sequence[float], places: int = 2
) -> tuple[Saving, ...]:
    """What some more readings of a wall save, one after the other.

    Parameters
    ----------
    at_stake : AtStake
    narrows_shares : sequence of float
        Share of the variance of the wall's litres that each reading takes away; together at most 1 [-].
    places : int
        Decimal places of an amount [-].

    Returns
    -------
    tuple of Saving
        Of each reading after those before it; rounded, the parts first.

    Notes
    -----
    The value of information: what being unsure costs before a reading, less what it costs after it on
    average over what the reading may say. A straight-line guess from the reading moves the wall's litres by a
    normal amount and leaves the rest of their variance, as the drawn cases have it. What a reading tells of
    the roughness comes on top: on invented walls the savings said were half of those found. Being unsure
    costs

    - for each mix the cheapest order's ``unused · left over + trip · [short]`` on average (`order_for`). The
      best order for each answer is never worse than one order for all, so this part is never negative;
    - for litres that are priced at the job's confidence and are not needed, ``litre price · (quantile -
      mean)``, which shrinks as the standard deviation does; nothing where the quantile is under the mean.
      Bags are not in its price: those that are not needed are left over.

    References
    ----------
    H. Raiffa, R. Schlaifer, "Applied Statistical Decision Theory", Harvard 1961: expected value of sample
    information.

    Examples
    --------
    A wall takes 90 or 110 l as likely as not, a bag does for 100 l, a second one left over loses 6: a reading
    that tells which saves half of that.

    >>> litres = np.repeat([90.0, 110.0], 50)
    >>> mix = Bagged(litres, litres, np.array([100.0, 200.0]), unused_price=6.0, trip_price=99.0)
    >>> saved_by_readings(AtStake(litres, litres, 0.0, 0.8, (mix,)), [1.0])[0].total
    Decimal('3.00')
    """
    lost = [np.asarray(_bags_lost(each, narrows_shares)) for each in at_stake.bagged]
    bags = sum(lost, np.zeros(len(narrows_shares) + 1))
    priced = at_stake.litre_price * _margins_l(at_stake, narrows_shares)
    return tuple(
        Saving(*(_money(float(each[nth] - each[nth + 1]), places) for each in (bags, priced)))
        for nth in range(len(narrows_shares))
    )


@dataclass(frozen=True)
class BestReadings:
    """The next readings of the wall on which they save most each.

    Parameters
    ----------
    wall : str
        Its name.
    count : int
        The first so many of its places: one alone may save less than its share of several [-].
    each : Saving
        What each of them saves.
    """

    wall: str
    count: int
    each: Saving


def best_readings(savings: Mapping[str, Sequence[Saving]], places: int = 2) -> BestReadings | None:
    """Where the next readings save most each; None where there is nothing more to be read.

    Parameters
    ----------
    savings : mapping of str to sequence of Saving
        Of each wall's places, by its name.
    places : int
        Decimal places of an amount [-].

    Examples
    --------
    >>> one, two = Saving(Decimal(1), Decimal(0)), Saving(Decimal(4), Decimal(0))
    >>> best_readings({"A": [one, two], "B": [two]}).wall
    'B'
    """
    found = (
        BestReadings(wall, count, _mean(several[:count], places))
        for wall, several in savings.items()
        for count in range(1, len(several) + 1)
    )
    return max(found, key=lambda best: best.each.total, default=None)


def _mean(several: Sequence[Saving], places: int) -> Saving:
    sums = (sum((getattr(each, part) for each in several), Decimal(0)) for part in ("bags", "priced"))
    return Saving(*(round_money(whole / len(several), places) for whole in sums))


def _money(amount: float, places: int) -> Decimal:
    """An amount in the currency's places; what is less than a step of it is nothing, without a sign [-]."""
    return round_money(decimal_of(amount), places) + 0


def reading_price(job: Job) -> Decimal:
    """What it costs to take one reading: a plasterer's time, without margins."""
    hours = decimal_of(READING_MIN / 60)
    return round_money(job.prices.of(PLASTERER).price * hours, job.money_places)


@cache
def _answers() -> Floats:
    """A standard normal figure as equally likely ones of the same variance [-]."""
    middles: Floats = ndtri((np.arange(SAYS) + 0.5) / SAYS)
    return np.asarray(middles / middles.std())


def _bags_lost(mix: Bagged, narrows_shares: Sequence[float]) -> list[float]:
    """What bags left over and trips cost on average before any reading, after the first, and so on [-]."""
    sd_l, mean_l = float(mix.wall_l.std()), float(mix.wall_l.mean())
    left = np.sqrt(max(1.0 - sum(narrows_shares), 0.0)) * (mix.wall_l - mean_l)
    job_l = np.sort(mix.job_l - mix.wall_l + mean_l + left)
    room_l = mix.lasts_l
    for share in narrows_shares:  # an axis for what each reading may say
        room_l = np.subtract.outer(room_l, sd_l * np.sqrt(share) * _answers())
    chance = np.searchsorted(job_l, room_l, side="right") / job_l.size  # that so many bags last
    lost = []
    for _ in range(len(narrows_shares) + 1):
        unused = np.cumsum(chance, axis=0) - chance
        price = mix.unused_price * unused + mix.trip_price * (1.0 - chance)
        lost.append(float(price.min(axis=0).mean()))
        chance = chance.mean(axis=-1) if chance.ndim > 1 else chance  # before the last of them is read
    return lost[::-1]


def _margins_l(at_stake: AtStake, narrows_shares: Sequence[float]) -> Floats:
    """Litres priced beyond the mean before any reading, after the first, and so on [l]."""
    job_l, equal = at_stake.job_l, np.full(at_stake.job_l.size, 1.0 / at_stake.job_l.size)
    beyond_l = max(quantile(job_l, equal, at_stake.confidence_share) - float(job_l.mean()), 0.0)
    taken = np.cumsum([0.0, *narrows_shares]) * at_stake.wall_l.var()
    whole = float(job_l.var())
    return beyond_l * np.sqrt(np.maximum(1.0 - taken / whole, 0.0)) if whole > 0 else np.zeros_like(taken)
