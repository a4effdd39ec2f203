"""What has to be bought: how much of each item the priced job takes, in the unit that it is bought by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from mytakeoff.formats import HOUSE, Formats
from mytakeoff.job import catalogue
from mytakeoff.job.mixing import dry_kg
from mytakeoff.measure.line import MATERIALS
from mytakeoff.measure.materials import MixNeed
from mytakeoff.rails.cut_list import Piece
from mytakeoff.treatment.wall_result import WallResult

KG = "kg"
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
        That the order covers, in `unit`.
    likely : float
        That is used when nothing goes wrong: the rest comes back or stays.
    unit : str
        kg for a mix, else the price list's.
    basis : str
        Where the amount comes from, in words.
    bag_kg : float
        What a bag holds, where the item is sold by the bag; else 0 [kg].
    pieces : tuple of Piece
        What is cut from bought lengths; empty: bought by the metre or piece.
    """

    item: str
    amount: float
    likely: float
    unit: str
    basis: str
    bag_kg: float = 0.0
    pieces: tuple[Piece, ...] = ()


@dataclass(frozen=True)
class SureBags:
    """Bags of a mix that half of such jobs take, that last at a confidence, and that share [-]."""

    likely: float
    bags: float
    confidence_share: float


class Line(Protocol):
    """A line of the takeoff, priced or not yet, as far as buying reads it."""

    @property
    def item(self) -> str:
        """Its name on the screen."""

    @property
    def priced_as(self) -> str:
        """The item of the price list."""

    @property
    def quantity(self) -> Decimal:
        """In its own unit."""

    @property
    def unit(self) -> str:
        """What it is priced by."""

    @property
    def basis(self) -> str:
        """What it was computed from, in words and numbers."""

    @property
    def group(self) -> str:
        """Preparation, materials, labour or sundries."""


def order_needs(
    walls: Sequence[WallResult],
    mixed: Sequence[MixNeed],
    takeoff: Sequence[Line],
    also: Sequence[str] = (),
    sure: Mapping[str, SureBags] | None = None,
    formats: Formats = HOUSE,
) -> tuple[Need, ...]:
    """What a job takes, item by item, as its cost table has it.

    Parameters
    ----------
    walls : sequence of WallResult
    mixed : sequence of MixNeed
        What each mix takes over all of them.
    takeoff : sequence of Line
        The lines of its table.
    also : sequence of str
        Items of extras that are bought.
    sure : mapping of str to SureBags or None
        By the mix's name, where it was worked out how many bags last at a confidence; None: as priced.
    formats : Formats

    Returns
    -------
    tuple of Need
        Mixes by weight with the allowance for missed high spots, everything else as priced.
    """
    bagged = [need for need in mixed if need.recipe is None and need.allowance_recipe is None]
    mixes = [_mix(need, (sure or {}).get(need.mix.name), formats) for need in bagged]
    names = {need.item for need in mixes}
    by_item: dict[str, list[Line]] = {}
    for line in takeoff:
        bought = line.group == MATERIALS or line.priced_as in (*ALSO_BOUGHT, *also)
        if bought and line.priced_as not in (*MADE_ON_SITE, *names) and line.quantity > 0:
            by_item.setdefault(line.priced_as, []).append(line)
    pieces = _rail_pieces(walls)
    return (*mixes, *(_item(item, lines, pieces, _bag_kg(mixed, item)) for item, lines in by_item.items()))


def _bag_kg(mixed: Sequence[MixNeed], item: str) -> float:
    """What a bag of cement or lime is counted as in the cost table; 0 for anything else [kg]."""
    if item == catalogue.LIME:
        return catalogue.LIME_BAG_KG
    site_mixes = (need.mix for need in mixed if need.mix.recipe is not None)
    bound = (mix.bag_kg for mix in site_mixes if mix.family != "lime")
    return next(bound, 0.0) if item == catalogue.CEMENT else 0.0


def _mix(need: MixNeed, sure: SureBags | None, formats: Formats) -> Need:
    """A mix by its dry weight; the allowance, or what sureness asks for, likely stays in its bags."""
    number, short, fixed = formats.number, formats.short, formats.fixed
    mix, waste = need.mix, need.waste_share
    if sure is not None:
        share = f"{fixed(100 * sure.confidence_share)} %"
        words = f"{short(sure.bags)} bags last in {share} of such jobs, {short(sure.likely)} in half of them"
        return Need(mix.name, sure.bags * mix.bag_kg, sure.likely * mix.bag_kg, KG, words, mix.bag_kg)
    most = dry_kg(need.litres + need.allowance_l, mix.density_kg_per_l, waste)
    words = (
        f"{number(need.litres)} l and {number(need.allowance_l)} l for missed high spots: {number(most)} kg"
    )
    return Need(mix.name, most, need.dry_kg, KG, words, mix.bag_kg)


def _item(item: str, lines: Sequence[Line], pieces: tuple[Piece, ...], bag_kg: float) -> Need:
    """What stands in the cost table under one item; the allowance likely stays unused."""
    amount = float(sum(line.quantity for line in lines))
    spare = float(sum(line.quantity for line in lines if line.item.endswith("missed high spots")))
    words = "; ".join(line.basis for line in lines)
    cut = pieces if item == catalogue.RAIL else ()
    return Need(item, amount, amount - spare, lines[0].unit, words, bag_kg, cut)


def _rail_pieces(walls: Sequence[WallResult]) -> tuple[Piece, ...]:
    """Every rail as it is cut, named by its wall."""
    return tuple(
        Piece(f"{wall.entry.name}, rail {nth}", round(1000 * rail.length_m))
        for wall in walls
        for nth, rail in enumerate(wall.rails, start=1)
    )
