"""Bags that a job may need of each mix, what being wrong with them costs, and what a reading has at stake."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from mytakeoff.cost.cost import Cost
from mytakeoff.job import catalogue
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.measure.line import LABOUR
from mytakeoff.measure.materials import bags_of_each, mix_needs
from mytakeoff.ranges.bags_to_order import BagOrder, order_for
from mytakeoff.ranges.reading_saves import AtStake, Bagged, lasting_l
from mytakeoff.ranges.wall_prices import Ranges
from mytakeoff.result import Result
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.left_open import SAMPLES, entered_mm
from mytakeoff.treatment.wall_result import WallResult

LEAST_L = 1.0  # on top: of less the price is not told from what comes in whole hours and buckets
Litres = Mapping[int, Floats]  # of each wall that is worked on, in drawn cases [l]


def wastes_of(job: Job, bare: Sequence[WallResult], ranges: Ranges) -> dict[Mix, float]:
    """What is wasted of each mix that is bought by the bag, as a share of what stays on the walls [-]."""
    waste = {need.mix: need.waste_share for need in mix_needs(job, bare)}
    # a mix that only some faces need fills their hollows
    waste |= {
        mix: job.patch_waste_share for _, cases in ranges.values() for mix in cases.by_mix if mix not in waste
    }
    return {mix: share for mix, share in waste.items() if mix.recipe is None}


def mix_litres(mix: Mix, ranges: Ranges, litres: Litres) -> dict[int, Floats]:
    """Litres of a mix on each wall, in drawn cases [l]."""
    none = {nth: np.zeros_like(each) for nth, each in litres.items()}
    return none | {
        nth: cases.mix_at(mix, litres[nth]) for nth, (_, cases) in ranges.items() if mix in cases.by_mix
    }


def bags_needed(
    job: Job,
    wastes: Mapping[Mix, float],
    ranges: Ranges,
    litres: Litres,
    factor: Floats | float = 1.0,
    more: Floats | float = 0.0,
) -> dict[Mix, Floats]:
    """Bags of each mix that is bought by the bag, rounded up for the whole job in each drawn case [-].

    Parameters
    ----------
    job : Job
    wastes : mapping of Mix to float
        From `wastes_of` [-].
    ranges : Ranges
    litres : mapping of int to (k,) float
        Of each wall [l].
    factor, more : (k,) float or float
        By which density and waste are off [-].
    """
    found = {}
    for mix, waste_share in wastes.items():
        on_walls = _in_all(mix_litres(mix, ranges, litres))
        wasted = np.broadcast_to(np.maximum(waste_share + more, 0.0), on_walls.shape)
        kg = on_walls * mix.kg_per_l * factor * (1 + wasted)
        found[mix] = np.array(bags_of_each(job, mix, kg.tolist(), wasted.tolist()), dtype=float)
    return found


def order_of(result: Result, mix: Mix, needed: Floats) -> BagOrder:
    """The bags that are priced [-], and what being wrong with them costs [-].

    Density and waste are those of the price here, so that it speaks of the confidence that is priced.
    """
    choice, tiers = result.job.sureness, result.job.tiers_of(mix.name)
    priced = sum(need.bags for need in result.needs if need.mix == mix)
    trip = choice.extra_trip_price
    if trip is None:
        trip = _delivery_price(result.job, tiers[0].supplier if tiers else "")
    return order_for(needed, priced, choice.unused_bag_share * _bag_price(result, mix), trip)


def _bag_price(result: Result, mix: Mix) -> float:
    """What a bag costs, before anything is added [-]."""
    return float(next((line.price for line in result.cost.lines if line.priced_as == mix.name), 0))


def _delivery_price(job: Job, supplier: str) -> float:
    """What one more delivery costs: from the supplier, else by the price list [-]."""
    own, listed = job.buying.supplier(supplier), catalogue.DELIVERY in job.prices
    if own is not None:
        return own.delivery_price
    return float(job.prices.of(catalogue.DELIVERY).price) if listed else 0.0


def litre_price(bare: Cost, priced: Cost, allowance_l: float) -> float:
    """What a litre on top adds to a job's total in labour; 0 where hardly any is on top [-].

    Parameters
    ----------
    bare, priced : Cost
        Of the job without and with what is priced on top.
    allowance_l : float
        That [l].
    """
    if abs(allowance_l) < LEAST_L:
        return 0.0
    return max((_labour(priced) - _labour(bare)) / allowance_l, 0.0)


def _labour(cost: Cost) -> float:
    """Labour with what is added to it, in a total [-]."""
    labour = sum(line.amount for line in cost.lines if line.group == LABOUR)
    return float(cost.total * labour / cost.subtotal) if cost.subtotal else 0.0


def at_stake_of(
    result: Result,
    nth: int,
    litres: Litres,
    ranges: Ranges,
    wastes: Mapping[Mix, float],
    orders: Mapping[Mix, BagOrder],
    price: float,
) -> AtStake:
    """What depends on how well one wall is known.

    Parameters
    ----------
    result : Result
    nth : int
        Which of its walls [-].
    litres : mapping of int to (k,) float
        Of each wall in drawn cases [l].
    ranges : Ranges
    wastes : mapping of Mix to float
        From `wastes_of` [-].
    orders : mapping of Mix to BagOrder
    price : float
        From `litre_price` [-].
    """
    job, bagged = result.job, []
    for mix, waste_share in wastes.items():
        on_walls = mix_litres(mix, ranges, litres)
        mixed_l = _in_all(on_walls)
        lasts = lasting_l(job, mix, waste_share, mixed_l, on_walls[nth])
        order = orders[mix]
        bagged.append(Bagged(mixed_l, on_walls[nth], lasts, order.unused_price, order.trip_price))
    entered = entered_mm(job, result.walls[nth]) is not None
    confidence = job.sureness.confidence_share
    return AtStake(_in_all(litres), litres[nth], 0.0 if entered else price, confidence, tuple(bagged))


def _in_all(litres: Litres) -> Floats:
    """Of all walls together, in each case (k,); nothing in as many cases where there is no wall [l]."""
    return np.asarray(sum(litres.values(), np.zeros(SAMPLES)))
