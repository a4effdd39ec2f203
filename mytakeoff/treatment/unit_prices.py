"""What a litre filled and a litre or square metre taken down cost, from a job's own price list and rates.

The stages that weigh one against the other know no price list: they get these numbers.
"""

from __future__ import annotations

from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.mixing import dry_kg, site_mix
from mytakeoff.job.packs import KG


def hour_price(job: Job, mix: Mix | None = None) -> float:
    """A plasterer's hour with the labourer's share of it, at a mix or at any other work [currency/h]."""
    prices = job.prices
    helper = job.rates.labourer_for(mix) * float(prices.of(catalogue.LABOURER).price)
    return float(prices.of(catalogue.PLASTERER).price) + helper


def mix_price_per_l(job: Job, mix: Mix, waste_share: float) -> float:
    """Material of one litre in place, its waste included [currency/l].

    Parameters
    ----------
    job : Job
    mix : Mix
        Bagged, or mixed on site of cement, lime and sand.
    waste_share : float
        Extra mixed, as a share of what stays on the wall, 0 or more [-].

    Notes
    -----
    ``kg/l · (1 + waste) · price of a bag / kg in a bag``
    """
    parts = site_mix(mix, 1.0, waste_share)
    if parts is None:
        kg = dry_kg(1.0, mix.kg_per_l, waste_share)
        return kg * _price_per_kg(job, mix.name, mix.bag_kg)
    lime_kg = _price_per_kg(job, catalogue.LIME, catalogue.LIME_BAG_KG)
    cement_kg = 0.0 if mix.family == "lime" else _price_per_kg(job, catalogue.CEMENT, mix.bag_kg)
    binder = parts.binder_kg * (lime_kg if mix.family == "lime" else cement_kg)
    return binder + parts.lime_kg * lime_kg + parts.sand_kg * _price_per_kg(job, catalogue.SAND, 1.0)


def _price_per_kg(job: Job, item: str, bag_kg: float) -> float:
    """What is paid for one kilogram, in the pack that is bought or by the price list [currency/kg]."""
    tiers = job.tiers_of(item)
    holds_kg = tiers[0].held(KG, bag_kg) if tiers else None
    return float(tiers[0].price) / holds_kg if holds_kg else float(job.prices.of(item).price) / bag_kg


def fill_price_per_l(job: Job, mix: Mix, waste_share: float) -> float:
    """One litre more in place: its material, and the hours that dubbing out takes for it [currency/l].

    Parameters
    ----------
    job : Job
    mix : Mix
    waste_share : float
        As a share of what stays on the wall, 0 or more [-].

    Notes
    -----
    A litre is 10 mm on a tenth of a square metre, so a tenth of the rate for 10 mm.
    """
    labour = job.rates.each_10_mm_h_per_m2 / 10 * hour_price(job, mix)
    return mix_price_per_l(job, mix, waste_share) + labour


def cut_price_per_m2(job: Job) -> float:
    """One square metre of high spots taken down: the hours [currency/m²]."""
    return job.rates.take_down_h_per_m2 * hour_price(job)


def cut_price_per_l(job: Job, entry: JobWall) -> float:
    """One litre taken down: to the tip by weight, in sacks by bulk [currency/l]."""
    plaster = background_of(entry.background).old_plaster
    gypsum = plaster and entry.old_plaster_gypsum
    old = catalogue.OLD_GYPSUM_KG_PER_L if gypsum else catalogue.OLD_PLASTER_KG_PER_L
    tip = job.prices.of(catalogue.GYPSUM_RUBBLE if gypsum else catalogue.RUBBLE).price
    kg = old if plaster else catalogue.MASONRY_KG_PER_L
    sacks = catalogue.BULKING / catalogue.SACK_L
    return kg * float(tip) + sacks * float(job.prices.of(catalogue.SACKS).price)
