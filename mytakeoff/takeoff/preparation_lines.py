"""Takeoff lines before the plaster: protection, and rubble to the tip with gypsum kept apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mytakeoff.formats.formats import Formats
from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.job import Job
from mytakeoff.job.mixing import whole
from mytakeoff.measure.line import PREPARATION, Quantity, present, quantity
from mytakeoff.measure.materials import MixNeed
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.treatment.wall_result import WallResult


@dataclass(frozen=True)
class Rubble:
    """Something for the tip: litres as it stood [l], weight [kg], whether it is gypsum, and from where."""

    litres: float
    kg: float
    gypsum: bool
    words: str


def protection_lines(job: Job, measures: Iterable[Measures]) -> tuple[Quantity, ...]:
    """Floor protection, a line for each room with a priced wall."""
    rooms = {m.room for m in measures}
    return present(
        *(
            quantity(
                catalogue.PROTECTION, room.floor_area_m2, f"floor of {room.name}", PREPARATION,
                f"{catalogue.PROTECTION}, {room.name}",
            )
            for room in job.rooms
            if room.name in rooms
        )
    )  # fmt: skip


def disposal_lines(
    job: Job, walls: Sequence[WallResult], measures: Sequence[Measures], needs: Iterable[MixNeed]
) -> tuple[Quantity, ...]:
    """The tip by weight and sacks by bulk, mixed rubble and gypsum each on its own."""
    heap = [
        *(
            part
            for wall, m in zip(walls, measures, strict=True)
            for part in _off_the_wall(wall, m, job.formats)
        ),
        *(_mixing_waste(need, job.formats) for need in needs),
    ]
    lines: list[Quantity | None] = []
    for gypsum, item in ((False, catalogue.RUBBLE), (True, catalogue.GYPSUM_RUBBLE)):
        parts = [part for part in heap if part.gypsum == gypsum and part.kg > 0.005]
        lines += _tip(item, parts, job.formats)
    return present(*lines)


def _off_the_wall(wall: WallResult, measures: Measures, formats: Formats) -> list[Rubble]:
    """Old plaster hacked off, what lies on the floor already, and high spots taken down."""
    number, short = formats.number, formats.short
    gypsum = wall.entry.old_plaster_gypsum
    old_kg_per_l = catalogue.OLD_GYPSUM_KG_PER_L if gypsum else catalogue.OLD_PLASTER_KG_PER_L
    plaster_cut = background_of(wall.entry.background).old_plaster
    cut_kg_per_l = old_kg_per_l if plaster_cut else catalogue.MASONRY_KG_PER_L
    name, off_l, fallen_l, cut_l = measures.name, measures.hacked_l, measures.fallen_l, measures.cut_l
    return [
        Rubble(
            off_l, off_l * old_kg_per_l, gypsum,
            f"{name}: {number(measures.hacked_m2, 2)} m² hacked off, {number(off_l, 2)} l × "
            f"{short(old_kg_per_l)} kg/l",
        ),
        Rubble(
            fallen_l, fallen_l * old_kg_per_l, gypsum,
            f"{name}: {number(measures.fallen_m2, 2)} m² fallen, {number(fallen_l, 2)} l × "
            f"{short(old_kg_per_l)} kg/l",
        ),
        Rubble(
            cut_l, cut_l * cut_kg_per_l, gypsum and plaster_cut,
            f"{name}: {number(measures.cut_m2, 2)} m² of high spots, {number(cut_l, 2)} l × "
            f"{short(cut_kg_per_l)} kg/l",
        ),
    ]  # fmt: skip


def _mixing_waste(need: MixNeed, formats: Formats) -> Rubble:
    """What is mixed, the allowance with it, and does not stay on the wall."""
    litres, words = need.priced_l * need.waste_share, f"{formats.number(need.waste_kg, 2)} kg"
    return Rubble(litres, need.waste_kg, need.mix.family == "gypsum", f"{need.mix.name} wasted: {words}")


def _tip(item: str, parts: Sequence[Rubble], formats: Formats) -> tuple[Quantity | None, Quantity | None]:
    number, short = formats.number, formats.short
    kg, bulk_l = sum(part.kg for part in parts), sum(part.litres for part in parts) * catalogue.BULKING
    words = "; ".join(part.words for part in parts)
    heap = item.removeprefix("tipping, ")
    bulk = (
        f"{heap}: {number(bulk_l, 1)} l loose ({short(catalogue.BULKING)} × in place), "
        f"{short(catalogue.SACK_L)} l a sack"
    )
    sacks, label = whole(bulk_l / catalogue.SACK_L), f"{catalogue.SACKS}, {heap}"
    return (
        quantity(item, kg, words, PREPARATION),
        quantity(catalogue.SACKS, sacks, bulk, PREPARATION, label),
    )
