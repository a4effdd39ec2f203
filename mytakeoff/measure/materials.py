"""What to mix and to buy: litres on the walls to dry kilograms, whole bags, water and gaugings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mytakeoff.job import Job
from mytakeoff.labour import LabourRates
from mytakeoff.mixes import Mix, Recipe
from mytakeoff.wallresult import WallResult

PATCH_ROLES = ("patches", "thin patches")
FUZZ = 1e-6  # of a bag: what adding floats may leave over a whole number


@dataclass(frozen=True)
class RecipeNeed:
    """A site mix: loose dry volumes [m³] and weights [kg] of binder, lime and sand.

    The binder is cement, or lime in a mix that has no cement.
    """

    binder_m3: float
    lime_m3: float
    sand_m3: float
    binder_kg: float
    lime_kg: float
    sand_kg: float

    @property
    def dry_kg(self) -> float:
        """All of it [kg]."""
        return self.binder_kg + self.lime_kg + self.sand_kg


@dataclass(frozen=True)
class MixNeed:
    """What one mix takes over all walls.

    Parameters
    ----------
    mix : Mix
    litres : float
        In place, reveals among them, without waste [l].
    allowance_l : float
        In place, for the high spots that the readings missed [l].
    dry_kg : float
        For `litres`, waste included [kg].
    bags : int
        Whole bags for `dry_kg`; 0 for a site mix, whose parts are bought [-].
    allowance_bags : int
        Bags on top where the allowance is needed too [-].
    water_l : float
        For `dry_kg` [l].
    gaugings : int
        Bucketfuls, each laid within the pot life [-].
    recipe, allowance_recipe : RecipeNeed or None
        Parts of a site mix, for `litres` and for the allowance.
    waste_share : float
        Extra mixed, as a share of `litres`: patches waste more than coats [-].
    """

    mix: Mix
    litres: float
    allowance_l: float
    dry_kg: float
    bags: int
    allowance_bags: int
    water_l: float
    gaugings: int
    recipe: RecipeNeed | None = None
    allowance_recipe: RecipeNeed | None = None
    waste_share: float = 0.0


def whole(amount: float) -> int:
    """The amount rounded up to whole ones, without buying one for a rounding of the last digits [-].

    Examples
    --------
    >>> whole(7.35), whole(8.000000001)
    (8, 8)
    """
    return max(0, math.ceil(amount - FUZZ))


def dry_kg(litres: float, density_kg_per_l: float, waste_share: float) -> float:
    """Dry powder to mix for litres in place [kg].

    Parameters
    ----------
    litres : float
        0 or more [l].
    density_kg_per_l : float
        Dry powder for each litre in place, more than 0 [kg/l].
    waste_share : float
        Extra mixed, as a share of what stays on the wall [-].

    Examples
    --------
    The sum done in the head: 4.2 × 2.6 m at 17 mm is 186 l.

    >>> round(dry_kg(186, 0.9, 0.1))
    184
    """
    return litres * density_kg_per_l * (1 + waste_share)


def recipe_need(volume_m3_wet: float, recipe: Recipe, lime_binder: bool = False) -> RecipeNeed:
    """Parts of a site mix for a volume of fresh mortar, waste included.

    Parameters
    ----------
    volume_m3_wet : float
        0 or more [m³].
    recipe : Recipe
    lime_binder : bool
        The one part is lime: the mix has no cement.

    Notes
    -----
    ``V_dry = V_wet · f``, ``binder = V_dry / (1 + sand + lime)``, each other part by its share of the binder.

    Examples
    --------
    1 m³ of 1:6 with f = 1.33 takes 0.19 m³ of cement and 1.14 m³ of sand.

    >>> need = recipe_need(1.0, Recipe(sand_parts=6, wet_to_dry=1.33))
    >>> round(need.binder_m3, 2), round(need.sand_m3, 2), round(need.binder_kg, 1)
    (0.19, 1.14, 273.6)
    """
    binder = volume_m3_wet * recipe.wet_to_dry / (1 + recipe.sand_parts + recipe.lime_parts)
    lime, sand = binder * recipe.lime_parts, binder * recipe.sand_parts
    binder_density = recipe.lime_kg_per_m3 if lime_binder else recipe.cement_kg_per_m3
    return RecipeNeed(
        binder,
        lime,
        sand,
        binder * binder_density,
        lime * recipe.lime_kg_per_m3,
        sand * recipe.sand_kg_per_m3,
    )


def reveal_area_m2(walls: Iterable[WallResult]) -> float:
    """Plastered reveals, metres × depth [m²]."""
    return sum(o.reveal_m * o.reveal_mm / 1000 for w in walls for o in w.entry.wall.openings)


def gauging_l(mix: Mix, role: str, rates: LabourRates) -> float:
    """Litres in place of one bucketful: a bag, or less where the crew cannot lay a bag within the pot life.

    Examples
    --------
    At 0.3 h/m² and 2 mm a plasterer skims 6.7 l an hour, so 10 l in 90 minutes.

    >>> round(gauging_l(Mix("skim", 1.25, 25, 2, 3, 5, pot_life_min=90), "finish", LabourRates()), 6)
    10.0
    """
    pot_l = pot_litres(mix, role, rates)
    return min(mix.bag_kg / mix.density_kg_per_l, pot_l) or mix.bag_kg / mix.density_kg_per_l


def pot_litres(mix: Mix, role: str, rates: LabourRates) -> float:
    """What the crew can lay within the pot life, in place [l]; without bound where laying takes no time."""
    if role == "finish":
        laid_l_per_h = mix.least_coat_mm / rates.skim_h_per_m2 if rates.skim_h_per_m2 else math.inf
    else:
        laid_l_per_h = rates.float_to_mm / rates.float_h_per_m2 if rates.float_h_per_m2 else math.inf
    return rates.crew * laid_l_per_h * mix.pot_life_min / 60


def _litres_by_mix(job: Job, walls: Sequence[WallResult]) -> dict[tuple[Mix, str], list[float]]:
    """Litres and allowance of each mix in its role, reveals counted, in the order in which they go on."""
    litres: dict[tuple[Mix, str], list[float]] = {}
    for wall in walls:
        reveals, system = reveal_area_m2([wall]), wall.system
        on_wall = [(layer.mix, layer.role, layer.volume_l, 0.0) for layer in reversed(wall.layers)]
        if wall.floated:
            on_wall.append((system.backing, "backing", reveals * job.reveal_thickness_mm, wall.allowance_l))
            if system.finish is not None:
                on_wall.append((system.finish, "finish", reveals * system.finish_mm, 0.0))
        on_wall += [(coat.mix, coat.role, reveals * coat.thickness_mm, 0.0) for coat in reversed(wall.skim)]
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
    return tuple(need for need in needs if need.litres + need.allowance_l > 0)


def _need(mix: Mix, parts: Sequence[tuple[str, float, float]], job: Job) -> MixNeed:
    litres, allowance_l = sum(main for _, main, _ in parts), sum(more for _, _, more in parts)
    waste = _waste_share(parts, job)
    wasted = {role: job.patch_waste_share if role in PATCH_ROLES else job.waste_share for role, _, _ in parts}
    gaugings = sum(
        whole(main * (1 + wasted[role]) / gauging_l(mix, role, job.rates)) for role, main, _ in parts
    )
    recipe, more = (site_mix(mix, volume, waste) for volume in (litres, allowance_l))
    if recipe is not None:
        dry, bags, all_bags = recipe.dry_kg, 0, 0
    else:
        dry = dry_kg(litres, mix.density_kg_per_l, waste)
        bags = whole(dry / mix.bag_kg)
        all_bags = whole(dry_kg(litres + allowance_l, mix.density_kg_per_l, waste) / mix.bag_kg)
    water = dry * mix.water_l_per_kg
    return MixNeed(mix, litres, allowance_l, dry, bags, all_bags - bags, water, gaugings, recipe, more, waste)


def _waste_share(parts: Sequence[tuple[str, float, float]], job: Job) -> float:
    """Waste over all roles of a mix: that of coats and that of patches by their litres [-]."""
    litres = sum(main for _, main, _ in parts)
    patches = sum(main for role, main, _ in parts if role in PATCH_ROLES)
    if not patches:
        return job.waste_share
    return job.waste_share + (job.patch_waste_share - job.waste_share) * patches / litres


def site_mix(mix: Mix, litres: float, waste_share: float) -> RecipeNeed | None:
    """Parts of a site mix for litres in place [l] and a waste share [-], or None for a bagged mix."""
    if mix.recipe is None:
        return None
    return recipe_need(litres * (1 + waste_share) / 1000, mix.recipe, lime_binder=mix.family == "lime")
