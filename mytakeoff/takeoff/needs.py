"""What has to be bought: how much of each item the job takes, in the unit that it is counted in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mytakeoff.job import catalogue
from mytakeoff.job.job import Job
from mytakeoff.job.mixing import dry_kg
from mytakeoff.job.packs import KG
from mytakeoff.measure.line import MATERIALS, Quantity
from mytakeoff.measure.materials import MixNeed
from mytakeoff.rails.cut_list import Piece
from mytakeoff.rails.rails import rail_names
from mytakeoff.treatment.wall_result import WallResult

# bought although they stand among the preparation or the sundries
ALSO_BOUGHT = (catalogue.PROTECTION, catalogue.SACKS, catalogue.SOCKET)
# among the materials, but made of the backing mix on site
MADE_ON_SITE = (catalogue.RAIL_DAB,)


@dataclass(frozen=True)
class Need:
    """How much of an item has to be there.

    Parameters
    ----------
    item : str
        As it stands in the price list.
    amount : float
        That is priced and ordered, in `unit`.
    likely : float
        That is used when nothing goes wrong: the rest comes back or stays.
    unit : str
        kg for a mix, else that of the takeoff.
    basis : str
        Where the amount comes from, in words.
    bag_kg : float
        What a bag holds, where the item is sold by the bag; else 0 [kg].
    pieces : tuple of Piece
        What is cut from bought lengths; empty: bought by the metre or piece.
    waste : float
        Of the amount, what does not stay on the wall, in `unit`.
    """

    item: str
    amount: float
    likely: float
    unit: str
    basis: str
    bag_kg: float = 0.0
    pieces: tuple[Piece, ...] = ()
    waste: float = 0.0

    @property
    def is_mix(self) -> bool:
        """Whether it is a mix, counted by its weight in bags."""
        return self.bag_kg > 0 and self.unit == KG


def is_bought(line: Quantity, job: Job) -> bool:
    """Whether a line of the takeoff is something that is bought: of extras, what a pack is listed for."""
    if line.item in MADE_ON_SITE or line.quantity <= 0:
        return False
    if line.group == MATERIALS or line.item in ALSO_BOUGHT:
        return True
    return line.item in job.packs and any(extra.item == line.item for extra in job.extras)


def needs_of(
    job: Job, walls: Sequence[WallResult], mixed: Sequence[MixNeed], lines: Sequence[Quantity]
) -> tuple[Need, ...]:
    """What a job takes, item by item, as its takeoff has it.

    Parameters
    ----------
    job : Job
        For the packs that extras are sold in.
    walls : sequence of WallResult
    mixed : sequence of MixNeed
        What each mix takes over all of them.
    lines : sequence of Quantity
        The lines of its takeoff.

    Returns
    -------
    tuple of Need
        In the order of the lines, each item once; mixes by weight.
    """
    mixes = {need.mix.name: need for need in mixed if need.recipe is None}
    by_item: dict[str, list[Quantity]] = {}
    for line in lines:
        if is_bought(line, job):
            by_item.setdefault(line.item, []).append(line)
    return tuple(
        _mix(mixes[item], lines[0]) if item in mixes else _item(job, item, lines, walls, mixed)
        for item, lines in by_item.items()
    )


def _mix(need: MixNeed, line: Quantity) -> Need:
    """A mix by its dry weight; what was only allowed for likely stays in its bags."""
    likely = dry_kg(need.litres, need.mix.kg_per_l, need.waste_share)
    return Need(need.mix.name, need.dry_kg, likely, KG, line.basis, need.mix.bag_kg, waste=need.waste_kg)


def _item(
    job: Job, item: str, lines: Sequence[Quantity], walls: Sequence[WallResult], mixed: Sequence[MixNeed]
) -> Need:
    """What stands in the takeoff under one item; an extra is counted as its pack is."""
    amount = float(sum(line.quantity for line in lines))
    words = "; ".join(line.basis for line in lines)
    bag_kg, likely = _bag_kg(mixed, item), amount
    site = [need for need in mixed if need.recipe is not None]
    if site and (bag_kg > 0 or item == catalogue.SAND):
        likely *= sum(need.litres for need in site) / sum(need.priced_l for need in site)
    pieces = tuple(p for wall in walls for p in pieces_of(wall)) if item == catalogue.RAIL else ()
    sold = (*(line.unit for line in lines), *(tiers[0].unit for tiers in job.packs.of(item)))
    unit = next(filter(None, sold), catalogue.UNITS.get(item, ""))
    return Need(item, amount, likely, unit, words, bag_kg, pieces)


def _bag_kg(mixed: Sequence[MixNeed], item: str) -> float:
    """What a bag of cement or lime is counted as in the takeoff; 0 for anything else [kg]."""
    site_mixes = [need.mix for need in mixed if need.recipe is not None]
    if item == catalogue.LIME and site_mixes:
        return catalogue.LIME_BAG_KG
    bound = (mix.bag_kg for mix in site_mixes if mix.family != "lime")
    return next(bound, 0.0) if item == catalogue.CEMENT else 0.0


def pieces_of(wall: WallResult) -> tuple[Piece, ...]:
    """What is cut for one wall, to the whole millimetre and never longer."""
    return tuple(
        Piece(f"{wall.entry.name}, rail {name}", int(rail.length_m * 1000 + 1e-6))
        for name, rail in zip(rail_names(wall.rails), wall.rails, strict=True)
    )
