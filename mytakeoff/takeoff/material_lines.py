"""Takeoff lines of what goes on the wall: treatment, mesh, mixes by the bag or by recipe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from mytakeoff.formats.formats import HOUSE, Formats, counted
from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import NO_TREATMENT
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.mixing import RecipeNeed, dry_kg, whole_bags
from mytakeoff.job.packs import BAG
from mytakeoff.measure.line import MATERIALS, Quantity, present, quantity, without_zeros
from mytakeoff.measure.materials import MixNeed, bags_of
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.units import decimal_of, round_money


def treatment_lines(job: Job, measures: Sequence[Measures]) -> tuple[Quantity, ...]:
    """Primer, bonding agent or spatterdash by background, and mesh where the plaster is deep."""
    formats = job.formats
    by_item: dict[str, list[Measures]] = {}
    for m in measures:
        if m.treatment != NO_TREATMENT:
            by_item.setdefault(m.treatment, []).append(m)
    mesh = [m for m in measures if m.mesh_m2 > 0]
    mesh_m2 = sum(m.mesh_m2 for m in mesh) * (1 + catalogue.MESH_OVERLAP_SHARE)
    mesh_words = ", ".join(
        f"{m.name} {formats.number(m.mesh_m2, 2)} m² over {formats.depth(m.mesh_above_mm)}" for m in mesh
    )
    overlaps = f"overlaps {formats.short(100 * catalogue.MESH_OVERLAP_SHARE)} %"
    return present(
        *(_treatment(item, on, formats) for item, on in by_item.items()),
        quantity(catalogue.MESH, mesh_m2, f"{mesh_words}; {overlaps}", MATERIALS),
    )


def _treatment(item: str, measures: Sequence[Measures], formats: Formats) -> Quantity | None:
    m2, rate = sum(m.treated_m2 for m in measures), catalogue.COVERAGE_PER_M2[item]
    names = ", ".join(m.name for m in measures)
    words = f"{names}: {formats.number(m2, 2)} m² × {formats.short(rate)} {catalogue.UNITS[item]}/m²"
    return quantity(item, m2 * rate, words, MATERIALS)


def mix_lines(job: Job, needs: Sequence[MixNeed], gaugings: Mapping[Mix, int]) -> tuple[Quantity, ...]:
    """A line for each mix with how often it is mixed [-], or for each part of one that is mixed on site."""
    lines: list[Quantity | None] = []
    for need in needs:
        if need.recipe is not None:
            lines += _recipe(job, need, need.recipe, gaugings)
        else:
            words = f"{bag_words(job, need)}; {mixing_words(need, gaugings, job.formats)}"
            lines.append(quantity(need.mix.name, need.bags, words, MATERIALS, unit=BAG))
    return present(*lines)


def times_waste(waste_share: float, formats: Formats = HOUSE) -> str:
    """One and the waste [-], to as many decimals as a check by hand needs.

    Examples
    --------
    >>> times_waste(0.1), times_waste(0.1375)
    ('1.10', '1.1375')
    """
    two, four = f"{1 + waste_share:.2f}", f"{1 + waste_share:.4f}"
    return formats.exact(Decimal(two if float(two) == float(four) else four))


def shrinks(mix: Mix, formats: Formats) -> str:
    """What litres are divided by because they shrink, in words; "" for a mix that does not.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from mytakeoff.job.catalogue import LIGHT_GYPSUM
    >>> shrinks(LIGHT_GYPSUM, HOUSE), shrinks(replace(LIGHT_GYPSUM, shrinkage_share=0.02), HOUSE)
    ('', ' ÷ 0.98 for shrinkage')
    """
    stays = without_zeros(round_money(decimal_of(1.0 - mix.shrinkage_share), 6))
    return f" ÷ {formats.exact(stays)} for shrinkage" if mix.shrinkage_share > 0 else ""


def bag_words(job: Job, need: MixNeed) -> str:
    """How litres become bags, as one would check it by hand: who multiplies it out gets as many bags."""
    number, short, mix, waste = job.formats.number, job.formats.short, need.mix, need.waste_share

    def agrees(places: int) -> bool:
        litres, kg = (round_money(decimal_of(each), places) for each in (need.priced_l, need.dry_kg))
        multiplied = dry_kg(float(litres), mix.kg_per_l, round(waste, 4))
        return {bags_of(job, mix, each, waste) for each in (multiplied, float(kg))} == {need.bags}

    places = next((places for places in range(3) if agrees(places)), 3)
    return (
        f"{_litre_words(job, need, places)}{shrinks(mix, job.formats)} × "
        f"{short(mix.density_kg_per_l)} kg/l × {times_waste(waste, job.formats)} = "
        f"{number(need.dry_kg, places)} kg"
        f"{over_words(need.dry_kg, places, need.bags, need.bag_kg, job.formats)}"
    )


def _litre_words(job: Job, need: MixNeed, places: int) -> str:
    """Litres that are priced; where some of them were not measured, both and what those are for."""
    formats, share = job.formats, job.formats.number(100 * job.sureness.confidence_share)
    by_mm = job.missed_high_spot_mm is not None
    why = "for high spots that were missed" if by_mm else f"to last in {share} jobs of 100"
    litres, allowed = (round_money(decimal_of(each), places) for each in (need.priced_l, need.allowance_l))
    measured, more = (formats.number(each, places) for each in (litres - allowed, abs(allowed)))
    both = f" ({measured} l measured, {more} l {'on top' if allowed >= 0 else 'less'}, {why})"
    return f"{formats.number(litres, places)} l{both if need.allowance_l else ''}"


def over_words(kg: float, places: int, bags: int, bag_kg: float, formats: Formats) -> str:
    """What a weight [kg], shown to so many places [-], is bought as.

    What stays over adds up with the weight as it is shown; what goes beyond whole bags says where it is from.

    Examples
    --------
    >>> over_words(50.02, 0, 2, 25.0, HOUSE)
    ': 2 bags of 25 kg; 0.02 kg more come out of the waste'
    >>> over_words(184.4, 0, 8, 25.0, HOUSE)
    ': 8 bags of 25 kg, 16 kg over'
    """
    words, over = f": {counted(bags, 'bag')} of {formats.short(bag_kg)} kg", bags * bag_kg - kg
    if over <= -0.005:
        return f"{words}; {formats.number(-over, 2)} kg more come out of the waste"
    left = round(bags * bag_kg - float(round_money(decimal_of(kg), places)), places)
    return f"{words}, {formats.short(left)} kg over" if left > 0 else words


def mixing_words(need: MixNeed, gaugings: Mapping[Mix, int], formats: Formats) -> str:
    """Water and gaugings of a mix."""
    return f"{formats.number(need.water_l)} l of water, {counted(gaugings[need.mix], 'gauging')}"


def _recipe(job: Job, need: MixNeed, parts: RecipeNeed, gaugings: Mapping[Mix, int]) -> list[Quantity | None]:
    """Cement, lime and sand of a site mix, or lime and sand where lime is the binder."""
    mix, recipe, formats = need.mix, need.mix.recipe, job.formats
    if recipe is None:
        return []
    wet = (
        f"{mix.name}: {_litre_words(job, need, 0)}{shrinks(mix, formats)} × "
        f"{times_waste(need.waste_share, formats)}, "
        f"{formats.short(recipe.wet_to_dry)} l of dry parts a litre"
    )
    binder, bag_kg = (
        (catalogue.LIME, catalogue.LIME_BAG_KG) if mix.family == "lime" else (catalogue.CEMENT, mix.bag_kg)
    )
    return [
        _part(job, need, binder, parts.binder_m3, parts.binder_kg, bag_kg, wet),
        _part(job, need, catalogue.LIME, parts.lime_m3, parts.lime_kg, catalogue.LIME_BAG_KG, wet),
        quantity(
            catalogue.SAND, parts.sand_kg,
            f"{wet}; {formats.number(parts.sand_m3, 3)} m³ of sand; {mixing_words(need, gaugings, formats)}",
            MATERIALS,
            f"{catalogue.SAND} for {mix.name}",
        ),
    ]  # fmt: skip


def _part(
    job: Job, need: MixNeed, item: str, m3: float, kg: float, bag_kg: float, wet: str
) -> Quantity | None:
    """Whole bags of one part of a site mix."""
    share, number = need.waste_share / (1 + need.waste_share), job.formats.number
    bags = whole_bags(kg, bag_kg, kg * share, job.bag_slack_share)
    words = f"{wet}; {number(m3, 3)} m³ = {number(kg, 1)} kg{over_words(kg, 1, bags, bag_kg, job.formats)}"
    return quantity(item, bags, words, MATERIALS, f"{item} for {need.mix.name}")
