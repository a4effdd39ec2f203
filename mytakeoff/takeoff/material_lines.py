"""Takeoff lines of what goes on the wall: treatment, mesh, mixes by the bag or by recipe, the allowance.

Notes
-----
The allowance for a missed high spot buys bags as a line of its own; it does not move the plane.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from mytakeoff.formats import HOUSE, Formats, counted
from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import NO_TREATMENT
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.mixing import RecipeNeed, dry_kg, whole
from mytakeoff.measure.line import MATERIALS, Quantity, present, quantity
from mytakeoff.measure.materials import MixNeed
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.treatment.wall_result import WallResult


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
        f"{m.name} {formats.number(m.mesh_m2, 2)} m² over {formats.short(m.mesh_above_mm)} mm" for m in mesh
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


def mix_lines(
    job: Job, walls: Sequence[WallResult], needs: Sequence[MixNeed], gaugings: Mapping[Mix, int]
) -> tuple[Quantity, ...]:
    """Each mix with how often it is mixed [-], then the allowance for missed high spots as its own line."""
    formats = job.formats
    most = max((wall.allowance_mm for wall in walls), default=0.0)
    lines: list[Quantity | None] = []
    for need in needs:
        if need.recipe is not None:
            lines += _recipe(need, need.recipe, need.litres, "", formats)
        else:
            lines.append(_bags(need, gaugings[need.mix], formats))
    for need in (need for need in needs if need.allowance_l > 0):
        label = f"{need.mix.name}, missed high spots"
        if need.allowance_recipe is not None:
            lines += _recipe(need, need.allowance_recipe, need.allowance_l, label, formats)
        else:
            lines.append(_allowance(need, label, _allowed_words(job, most), formats))
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


def bag_words(litres: float, need: MixNeed, waste_share: float, formats: Formats) -> str:
    """How litres [l] become bags by the waste share [-], as one would check it by hand."""
    number, short = formats.number, formats.short
    mix, kg = need.mix, dry_kg(litres, need.mix.density_kg_per_l, waste_share)
    return (
        f"{number(litres)} l × {short(mix.density_kg_per_l)} kg/l × "
        f"{times_waste(waste_share, formats)} = {number(kg)} kg, "
        f"{number(kg / mix.bag_kg, 1)} bags of {short(mix.bag_kg)} kg"
    )


def _bags(need: MixNeed, gaugings: int, formats: Formats) -> Quantity | None:
    allowed = ", those of the allowance among them" if need.allowance_l > 0 else ""
    mixing = f"{formats.number(need.water_l)} l of water, {counted(gaugings, 'gauging')}{allowed}"
    words = f"{bag_words(need.litres, need, need.waste_share, formats)}; {mixing}"
    return quantity(need.mix.name, need.bags, words, MATERIALS, unit="bag")


def _allowed_words(job: Job, most_mm: float) -> str:
    """What the allowance of up to so many millimetres is for [mm]."""
    formats = job.formats
    if job.missed_high_spot_mm is None:
        share = formats.number(100 * job.sureness.confidence_share)
        return (
            f"up to {formats.short(most_mm)} mm that the readings leave open, to last in {share} jobs of 100"
        )
    return f"up to {formats.short(most_mm)} mm where the wall was not swept"


def _allowance(need: MixNeed, label: str, allowed: str, formats: Formats) -> Quantity | None:
    """Bags on top; the line stands even where the last bag already holds enough."""
    number = formats.number
    words = (
        f"{allowed}, {number(need.allowance_l)} l on top: "
        f"{bag_words(need.litres + need.allowance_l, need, need.waste_share, formats)}, {need.bags} "
        "of them above"
    )
    return quantity(need.mix.name, need.allowance_bags, words, MATERIALS, label, unit="bag", keep_zero=True)


def _recipe(
    need: MixNeed, parts: RecipeNeed, litres: float, label: str, formats: Formats
) -> list[Quantity | None]:
    """Cement, lime and sand of a site mix, or lime and sand where lime is the binder."""
    number, short = formats.number, formats.short
    mix, recipe = need.mix, need.mix.recipe
    if recipe is None:
        return []
    name = label or mix.name
    wet = (
        f"{number(litres)} l × {times_waste(need.waste_share, formats)}, {short(recipe.wet_to_dry)} l "
        "of dry parts a litre"
    )
    binder, bag_kg = (
        (catalogue.LIME, catalogue.LIME_BAG_KG) if mix.family == "lime" else (catalogue.CEMENT, mix.bag_kg)
    )
    return [
        _bagged_part(binder, parts.binder_m3, parts.binder_kg, bag_kg, name, wet, formats),
        _bagged_part(catalogue.LIME, parts.lime_m3, parts.lime_kg, catalogue.LIME_BAG_KG, name, wet, formats),
        quantity(
            catalogue.SAND, parts.sand_kg, f"{name}: {wet}; {number(parts.sand_m3, 3)} m³ of sand", MATERIALS,
            f"{catalogue.SAND} for {name}",
        ),
    ]  # fmt: skip


def _bagged_part(
    item: str, m3: float, kg: float, bag_kg: float, name: str, wet: str, formats: Formats
) -> Quantity | None:
    number, short = formats.number, formats.short
    words = (
        f"{name}: {wet}; {number(m3, 3)} m³ = {number(kg)} kg, {number(kg / bag_kg, 1)} bags of "
        f"{short(bag_kg)} kg"
    )
    return quantity(item, whole(kg / bag_kg), words, MATERIALS, f"{item} for {name}")
