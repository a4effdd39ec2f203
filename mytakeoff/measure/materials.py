"""What to mix and to buy: litres on the walls to dry kilograms, whole bags and water."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, partial

from mytakeoff.coats.coats import PATCH_ROLES
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.mixing import RecipeNeed, dry_kg, site_mix, whole, whole_bags
from mytakeoff.job.packs import KG, packs_covering
from mytakeoff.job.rates import LabourRates
from mytakeoff.treatment.wall_result import WallResult

CRUMB_L = 0.1  # a coat of less is laid with what goes on next


@dataclass(frozen=True)
class MixNeed:
    """What one mix takes over all walls; weight, bags and water are for all that is priced.

    Parameters
    ----------
    mix : Mix
    litres : float
        In place as measured, reveals among them, without waste [l].
    allowance_l : float
        In place on top, for what the readings do not show [l].
    dry_kg : float
        Waste included [kg].
    bags : int
        As they are bought; 0 for a site mix, whose parts are bought [-].
    bag_kg : float
        In one of them [kg].
    water_l : float
    recipe : RecipeNeed or None
        Parts of a site mix.
    waste_share : float
        Extra mixed, as a share of what stays on the wall: patches waste more than coats [-].
    """

    mix: Mix
    litres: float
    allowance_l: float
    dry_kg: float
    bags: int
    bag_kg: float
    water_l: float
    recipe: RecipeNeed | None = None
    waste_share: float = 0.0

    @property
    def priced_l(self) -> float:
        """In place, measured and allowed for [l]."""
        return self.litres + self.allowance_l

    @property
    def waste_kg(self) -> float:
        """Of `dry_kg`, what does not stay on the wall [kg]."""
        return self.dry_kg * self.waste_share / (1 + self.waste_share)


def bag_kg_of(job: Job, mix: Mix) -> float:
    """What a bag of a mix holds as the job buys it; the mix's own where no pack of it is listed [kg]."""
    tiers = job.tiers_of(mix.name)
    return (tiers[0].held(KG, mix.bag_kg) if tiers else None) or mix.bag_kg


def bags_of(job: Job, mix: Mix, kg: float, waste_share: float) -> int:
    """Bags of a mix that are bought for a weight: for price, order, ranges and sheets alike [-].

    Parameters
    ----------
    job : Job
        For the bag that the mix is bought in, and what is not worth another one.
    mix : Mix
    kg : float
        Waste included, 0 or more [kg].
    waste_share : float
        Of what stays on the wall [-].
    """
    return bags_of_each(job, mix, [kg], [waste_share])[0]


def bags_of_each(job: Job, mix: Mix, kg: Iterable[float], waste_shares: Iterable[float]) -> list[int]:
    """`bags_of` for many weights [kg], each with its waste [-]; the packs are looked up once [-]."""
    tiers, bag_kg, slack = job.tiers_of(mix.name), bag_kg_of(job, mix), job.bag_slack_share
    covering = cache(partial(packs_covering, tiers))
    return [
        covering(whole_bags(each, bag_kg, each * share / (1 + share), slack))
        for each, share in zip(kg, waste_shares, strict=True)
    ]


def reveal_area_m2(walls: Iterable[WallResult]) -> float:
    """Plastered reveals, metres × depth [m²]."""
    return sum(o.reveal_m * o.reveal_mm / 1000 for w in walls for o in w.entry.wall.openings)


def keys_l(wall: WallResult) -> float:
    """What goes between the laths and behind them where plaster is laid on lath [l]."""
    return background_of(wall.entry.background).keys_l_per_m2 * wall.build_up.covered_area_m2


def gauging_l(mix: Mix, role: str, rates: LabourRates) -> float:
    """Litres in place of one bucketful: a bag, or less where the crew cannot lay a bag within the pot life.

    Examples
    --------
    At 0.3 h/m² and 2 mm a plasterer skims 6.7 l an hour, so 10 l in 90 minutes.

    >>> round(gauging_l(Mix("skim", 1.25, 25, 2, 3, 5, pot_life_min=90), "finish", LabourRates()), 6)
    10.0
    """
    pot_l = pot_litres(mix, role, rates)
    return min(mix.bag_kg / mix.kg_per_l, pot_l) or mix.bag_kg / mix.kg_per_l


def pot_litres(mix: Mix, role: str, rates: LabourRates) -> float:
    """What the crew can lay within the pot life, in place [l]; without bound where laying takes no time."""
    if role == "finish":
        laid_l_per_h = mix.least_coat_mm / rates.skim_h_per_m2 if rates.skim_h_per_m2 else math.inf
    else:
        float_h_per_m2 = rates.float_for(mix)
        laid_l_per_h = rates.float_to_mm / float_h_per_m2 if float_h_per_m2 else math.inf
    return rates.crew * laid_l_per_h * mix.pot_life_min / 60


def waste_share_of(role: str, job: Job) -> float:
    """What is mixed and does not stay on the wall, by what is laid, as a share of what stays [-]."""
    return job.patch_waste_share if role in PATCH_ROLES else job.waste_share


def gaugings_of(litres: float, mix: Mix, role: str, job: Job) -> int:
    """How often a coat on one wall is mixed for, waste among it [-].

    Parameters
    ----------
    litres : float
        In place, of one coat on one wall [l].
    mix : Mix
    role : str
        Of the layer.
    job : Job

    Notes
    -----
    A gauging is a bucketful, mixed for one coat on one wall: what is left in the bucket when a coat is done
    has gone off before the next begins (common practice, no source). Less than a tenth of a litre is no
    gauging: what was left on the hawk does.

    Examples
    --------
    A bag of 25 kg holds 31 l of a plaster of 0.8 kg/l; 70 l and a tenth for waste are 77 l: three bags.
    """
    if litres < CRUMB_L:
        return 0
    return whole(litres * (1 + waste_share_of(role, job)) / gauging_l(mix, role, job.rates))


def _litres_by_mix(job: Job, walls: Sequence[WallResult]) -> dict[tuple[Mix, str], list[float]]:
    """Litres and allowance of each mix in its role, reveals counted, in the order in which they go on."""
    litres: dict[tuple[Mix, str], list[float]] = {}
    for wall in walls:
        reveals, system = reveal_area_m2([wall]), wall.system
        on_wall = [(layer.mix, layer.role, layer.volume_l, 0.0) for layer in reversed(wall.layers)]
        if on_wall:
            mix, role, main, _ = on_wall[0]
            on_wall[0] = (mix, role, main + keys_l(wall), 0.0)
        if wall.floated:
            on_wall.append((system.backing, "backing", reveals * job.reveal_thickness_mm, 0.0))
            if system.finish is not None:
                on_wall.append((system.finish, "finish", reveals * system.finish_mm, 0.0))
        on_wall += [(coat.mix, coat.role, reveals * coat.thickness_mm, 0.0) for coat in reversed(wall.skim)]
        on_wall += [(part.mix, part.role, 0.0, part.litres) for part in wall.allowance]
        for mix, role, main, allowance in on_wall:
            sums = litres.setdefault((mix, role), [0.0, 0.0])
            sums[0] += main
            sums[1] += allowance
    return litres


def mix_needs(job: Job, walls: Sequence[WallResult]) -> tuple[MixNeed, ...]:
    """What each mix takes over all the walls: whole bags are rounded once, by job and mix.

    Parameters
    ----------
    job : Job
        For waste, reveals and labour rates.
    walls : sequence of WallResult

    Returns
    -------
    tuple of MixNeed
        In the order in which the mixes go on; those that take nothing are left out.
    """
    by_mix: dict[Mix, list[tuple[str, float, float]]] = {}
    for (mix, role), (main, allowance) in _litres_by_mix(job, walls).items():
        by_mix.setdefault(mix, []).append((role, main, allowance))
    needs = (_need(mix, parts, job) for mix, parts in by_mix.items())
    return tuple(need for need in needs if need.priced_l > 0)


def _need(mix: Mix, parts: Sequence[tuple[str, float, float]], job: Job) -> MixNeed:
    litres, allowance_l = sum(main for _, main, _ in parts), sum(more for _, _, more in parts)
    waste = _waste_share(parts, job)
    recipe = site_mix(mix, litres + allowance_l, waste)
    dry = recipe.dry_kg if recipe else dry_kg(litres + allowance_l, mix.kg_per_l, waste)
    bags = 0 if recipe else bags_of(job, mix, dry, waste)
    water = dry * mix.water_l_per_kg
    return MixNeed(mix, litres, allowance_l, dry, bags, bag_kg_of(job, mix), water, recipe, waste)


def _waste_share(parts: Sequence[tuple[str, float, float]], job: Job) -> float:
    """Waste over all roles of a mix: that of coats and that of patches by their litres [-]."""
    litres = sum(main + more for _, main, more in parts)
    patches = sum(main + more for role, main, more in parts if role in PATCH_ROLES)
    if not patches:
        return job.waste_share
    return job.waste_share + (job.patch_waste_share - job.waste_share) * patches / litres
