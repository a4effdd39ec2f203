"""The arithmetic of one mix: litres in place to dry powder, and a site mix to its parts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mytakeoff.job.mixes import Mix, Recipe

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


def whole(amount: float) -> int:
    """The amount rounded up to whole ones, without buying one for a rounding of the last digits [-].

    Examples
    --------
    >>> whole(7.35), whole(8.000000001)
    (8, 8)
    """
    return max(0, math.ceil(amount - FUZZ))


def whole_bags(kg: float, bag_kg: float, waste_kg: float = 0.0, slack_share: float = 0.0) -> int:
    """Whole bags for a weight; what goes over them by less than the slack comes out of the waste [-].

    Parameters
    ----------
    kg : float
        To mix, waste included, 0 or more [kg].
    bag_kg : float
        In a bag, more than 0 [kg].
    waste_kg : float
        How much of it does not stay on the wall: no more is taken out of the waste than there is [kg].
    slack_share : float
        Of one bag; a share less than this is not worth another bag, 0 <= share < 1 [-].

    Notes
    -----
    ``n = floor(kg / bag)`` where ``kg - n · bag < slack · bag`` and no more than the waste, else one more.

    Examples
    --------
    50.02 kg are two bags of 25 kg, 50.6 kg are three; without any waste so are 50.02 kg.

    >>> [whole_bags(kg, 25, waste, 0.02) for kg, waste in ((50.02, 4.5), (50.6, 4.5), (50.02, 0))]
    [2, 3, 3]
    """
    bags = whole(kg / bag_kg)
    over_kg = kg - (bags - 1) * bag_kg
    return bags - 1 if bags > 1 and over_kg < slack_share * bag_kg and over_kg <= waste_kg else bags


def dry_kg(litres: float, kg_per_l: float, waste_share: float) -> float:
    """Dry powder to mix for litres in place [kg].

    Parameters
    ----------
    litres : float
        0 or more [l].
    kg_per_l : float
        Dry powder for each litre that stays, as `Mix.kg_per_l` has it, more than 0 [kg/l].
    waste_share : float
        Extra mixed, as a share of what stays on the wall [-].

    Examples
    --------
    The sum done in the head: 4.2 × 2.6 m at 17 mm is 186 l.

    >>> round(dry_kg(186, 0.9, 0.1))
    184
    """
    return litres * kg_per_l * (1 + waste_share)


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


def site_mix(mix: Mix, litres: float, waste_share: float) -> RecipeNeed | None:
    """Parts of a site mix for litres that stay [l] and a waste share [-], or None for a bagged mix."""
    if mix.recipe is None:
        return None
    laid_l = litres / (1.0 - mix.shrinkage_share)
    return recipe_need(laid_l * (1 + waste_share) / 1000, mix.recipe, lime_binder=mix.family == "lime")
