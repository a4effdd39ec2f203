"""The products that go on the wall, and what may go on what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check

FAMILIES = ("gypsum", "lime", "cement-lime", "cement")
SHEET = "take it from the product's sheet"
COAT = Within(0.2, 300.0, usual=SHEET)  # polished lime goes on in coats of 0.3 mm
NO_COAT_MM = 0.01  # a coat whose deepest place is under this does not exist
LEAST_COAT = Within(0.0, 300.0, usual=SHEET)
FinishDepth = Annotated[float, Within(0.0, 100.0, usual=SHEET)]
Parts = Annotated[float, Within(0.0, 50.0, usual="write parts to one part of binder")]
Bulk = Annotated[float, Within(100.0, 3000.0, usual="cement has 1440, sand 1600, lime 600 kg/m³")]


@dataclass(frozen=True)
class Recipe:
    """A site mix by volume, for one part of cement (or lime where there is no cement).

    Parameters
    ----------
    sand_parts : float
        Parts of sand to one part of binder, more than 0 [-].
    lime_parts : float
        Parts of lime to one part of cement, 0 or more [-].
    wet_to_dry : float
        Loose dry volume needed for a volume of fresh mortar, 1 or more: 1.33 of the 1.22, 1.33, 4/3 and 1.35
        that worked examples use (lceted.com 2022/09, valuerworld.com 2022/01/11, civilatwork.blogspot.com
        2019/09, engineeringdiscoveries.com 2019/07/06: all secondary) [-].
    cement_kg_per_m3, sand_kg_per_m3, lime_kg_per_m3 : float
        Loose bulk densities. Cement 1440 as in the same examples, 830 blown in to 1650 shaken down
        (answers.com, secondary). Sand 1600, where 1550 to 1650 is typical and 1450 to 2080 the range
        (hpdconstructions.com, secondary). Hydrated lime 600: common practice, no source [kg/m³].
    """

    sand_parts: Annotated[float, Within(0.0, 50.0, above=True, usual="write parts to one part of binder")]
    lime_parts: Parts = 0.0
    wet_to_dry: Annotated[float, Within(1.0, 3.0, usual="1.33 is usual")] = 1.33
    cement_kg_per_m3: Bulk = 1440.0
    sand_kg_per_m3: Bulk = 1600.0
    lime_kg_per_m3: Bulk = 600.0

    def __post_init__(self) -> None:
        check = Check("recipe")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class Mix:
    """A plaster as its sheet describes it.

    What a mix of the user's own leaves out is common practice, no source: the figures of a bagged gypsum
    (`dry_days_per_mm` is a rule of thumb for all of them: hausjournal.net, Wartezeit, secondary). So for lime
    and cement the water, the setting and the days kept damp belong in the mix.

    Parameters
    ----------
    name : str
    density_kg_per_l : float
        Dry powder for each litre in place, so also kg per m² per mm, more than 0 [kg/l].
    bag_kg : float
        More than 0 [kg].
    least_coat_mm, max_coat_mm : float
        Thinnest and thickest single coat, 0 < least <= max [mm].
    max_total_mm : float
        Thickest build-up of all coats, at least `max_coat_mm` [mm].
    family : "gypsum", "lime", "cement-lime" or "cement"
        What it is bound with: decides what it may go on.
    water_l_per_kg : float
        Mixing water [l/kg].
    pot_life_min : float
        How long one gauging stays workable [min].
    set_h : float
        Wait before the next coat [h].
    cure_days : float
        Days it is kept damp, 0 for gypsum; 7 for cement plaster: IS 1661:1972 clause 16 (secondary) [d].
    dry_days_per_mm : float
        Wait before paint for each mm [d/mm].
    recipe : Recipe or None
        Given for a site mix; then no bags of the mix itself are bought.
    source : str
        Where the figures come from.
    shrinkage_share : float
        What it loses of its thickness while it sets and dries: so much more is laid that what stays is as
        thick as is asked for. 0 <= share <= 0.3; 0 unless it was seen on finished walls (common practice, no
        source) [-].

    Raises
    ------
    TakeoffError
        A figure outside its range.

    Examples
    --------
    >>> mix = Mix("light gypsum backing", 0.9, 25, 8, 15, 35)
    >>> round(mix.m2_per_bag_at_10_mm, 2)
    2.78
    """

    name: str
    density_kg_per_l: Annotated[float, Within(0.1, 5.0, usual=SHEET)]  # from perlite to barytes
    bag_kg: Annotated[float, Within(0.1, 2000.0, usual=SHEET)]
    least_coat_mm: Annotated[float, LEAST_COAT]
    max_coat_mm: Annotated[float, COAT]
    max_total_mm: Annotated[float, Within(0.2, 1000.0, usual=SHEET)]
    family: str = "gypsum"
    water_l_per_kg: Annotated[float, Within(0.0, 5.0, usual=SHEET)] = 0.5
    pot_life_min: Annotated[float, Within(1.0, 100_000.0, usual=SHEET)] = 90.0  # lime keeps for weeks
    set_h: Annotated[float, Within(0.0, 2400.0, usual=SHEET)] = 24.0
    cure_days: Annotated[float, Within(0.0, 365.0, usual=SHEET)] = 0.0
    dry_days_per_mm: Annotated[float, Within(0.0, 30.0, usual=SHEET)] = 1.0
    recipe: Recipe | None = None
    source: str = ""
    shrinkage_share: Annotated[float, Within(0.0, 0.3, usual="0 unless you have seen it shrink")] = 0.0

    def __post_init__(self) -> None:
        check = Check(f"mix {self.name!r}")
        check_numbers(self, check)
        check.that(
            self.least_coat_mm <= self.max_coat_mm <= self.max_total_mm,
            f"least coat {self.least_coat_mm} mm, greatest coat {self.max_coat_mm} mm, "
            f"greatest total {self.max_total_mm} mm",
            "least coat ≤ greatest coat ≤ greatest total",
            "take all three from the product's sheet",
        )
        check.that(
            not 0 < self.least_coat_mm < NO_COAT_MM,
            f"least coat {self.least_coat_mm} mm",
            f"a coat is {NO_COAT_MM:g} mm or more, or runs out to nothing",
            "write 0 for a mix that runs out to nothing, or take it from the product's sheet",
        )
        check.that(
            self.family in FAMILIES,
            f"family {self.family!r}",
            f"a mix is one of {', '.join(FAMILIES)}",
            "write what binds it",
        )
        check.done()

    @property
    def kg_per_l(self) -> float:
        """Dry powder for each litre that stays, what it shrinks by made up for [kg/l].

        Examples
        --------
        >>> Mix("backing", 0.98, 25, 8, 15, 35, shrinkage_share=0.02).kg_per_l
        1.0
        """
        return self.density_kg_per_l / (1.0 - self.shrinkage_share)

    @property
    def m2_per_bag_at_10_mm(self) -> float:
        """Area that one bag covers 10 mm thick, without waste [m²]."""
        return self.bag_kg / (self.kg_per_l * 10.0)


@dataclass(frozen=True)
class System:
    """The mixes of one wall from the background out: dubbing out, backing, finish.

    Parameters
    ----------
    backing : Mix
        Brings the wall to its plane; the live sliders act on it.
    finish : Mix or None
        Inside the plane, `finish_mm` of it.
    finish_mm : float
        0 where the backing is its own finish; else as thick as a coat may be at least, 0.2 [mm].
    dubbing : Mix or None
        Fills what is deeper than one backing coat; None: the backing mix does.
    """

    backing: Mix
    finish: Mix | None = None
    finish_mm: FinishDepth = 0.0
    dubbing: Mix | None = None

    def __post_init__(self) -> None:
        check = Check("system")
        check_numbers(self, check)
        check.that(
            (self.finish is not None) == (self.finish_mm > 0),
            f"finish of {self.finish_mm} mm, finish mix {self.finish.name if self.finish else 'none'}",
            "a finish has a mix and a thickness above zero, or neither",
            "give both, or leave the finish out",
        )
        check.that(
            not 0 < self.finish_mm < COAT.low,
            f"finish of {self.finish_mm} mm",
            f"nobody lays a finish thinner than {COAT.low:g} mm",
            f"write {self.finish_mm * 1000:g} if you meant metres, or take it from the product's sheet",
        )
        check.done()

    @property
    def mixes(self) -> tuple[Mix, ...]:
        """The mixes in the order in which they go on."""
        return tuple(mix for mix in (self.dubbing, self.backing, self.finish) if mix is not None)
