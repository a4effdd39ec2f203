"""How each need can be met: the packs that are sold for it, counted in the need's own unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.packs import Pack, PackList
from mytakeoff.job.prices import PriceList, same_unit
from mytakeoff.rails.cut_list import Piece, cut_list
from mytakeoff.takeoff.needs import KG, Need

BAG = "bag"
FUZZ = 1e-9
CACHE_SIZE = 64


@dataclass(frozen=True)
class Offer:
    """One pack that an item is sold in.

    Parameters
    ----------
    need : Need
    tiers : tuple of Pack
        The same pack at its prices, by number of packs.
    holds : float
        Of the need's unit.
    packs : int
        So many cover the need when no other pack is bought [-].
    cut : bool
        It is a length that pieces are cut from: an order keeps to one length, so that the cut list holds.
    """

    need: Need
    tiers: tuple[Pack, ...]
    holds: float
    packs: int
    cut: bool = False

    @property
    def first(self) -> Pack:
        """The pack at its first price."""
        return self.tiers[0]

    @property
    def weight_kg(self) -> float:
        """Of one pack; 0 where it is not known [kg]."""
        if self.first.weight_kg > 0:
            return float(self.first.weight_kg)
        if self.need.unit == KG:
            return self.holds
        return self.holds * self.need.bag_kg

    def price_of(self, packs: int) -> Decimal:
        """Of one pack when so many are bought."""
        return next(
            tier.price for tier in reversed(self.tiers) if packs >= tier.from_packs or tier is self.first
        )


def offers_for(
    needs: Sequence[Need], packs: PackList, prices: PriceList, kerf_mm: float = 0.0
) -> tuple[Offer, ...]:
    """Every pack that some needs can be met with.

    Parameters
    ----------
    needs : sequence of Need
    packs : PackList
    prices : PriceList
        An item that no pack is listed for is bought by the unit that it is priced by.
    kerf_mm : float
        What the saw takes at each cut of a length, 0 or more [mm].

    Raises
    ------
    TakeoffError
        A pack in a unit that the need is not counted in, lengths that are all shorter than a piece: all told
        at once.
    """
    check = Check("packs")
    found: list[Offer] = []
    for need in needs:
        kinds = [tiers for tiers in packs.kinds().values() if tiers[0].item == need.item]
        if not kinds:
            kinds = [(_by_the_unit(need, prices),)]
        offers: list[Offer] = []
        short: list[TakeoffError] = []
        for tiers in kinds:
            holds = _in_the_units_of(need, tiers[0], check)
            try:
                offers += [_offer(need, tiers, holds, kerf_mm)] if holds > 0 else []
            except TakeoffError as error:
                short.append(error)
        if short and not offers:
            check.add(short[0])
        found += offers
    check.done()
    return tuple(found)


def _by_the_unit(need: Need, prices: PriceList) -> Pack:
    price = prices.of(need.item)
    return Pack(need.item, Decimal(1), price.unit, price.price, price.unit)


def _in_the_units_of(need: Need, pack: Pack, check: Check) -> float:
    """What a pack holds in the need's unit; 0 with a mistake noted where the two cannot be compared."""
    holds = float(pack.holds)
    if same_unit(pack.unit, need.unit):
        return holds
    if need.bag_kg > 0 and same_unit(pack.unit, BAG) and need.unit == KG:
        return holds * need.bag_kg
    if need.bag_kg > 0 and pack.unit == KG and same_unit(need.unit, BAG):
        return holds / need.bag_kg
    check.that(
        False,
        f"{pack.item}: a {pack.pack} of {pack.holds} {pack.unit}",
        f"what it takes is counted by the {need.unit}",
        f"write how many {need.unit} the {pack.pack} holds",
    )
    return 0.0


def _offer(need: Need, tiers: tuple[Pack, ...], holds: float, kerf_mm: float) -> Offer:
    """A pack, with how many of it cover the need; lengths by their cut list."""
    by_length = bool(need.pieces) and need.unit == "m" and tiers[0].pack != tiers[0].unit
    if by_length:
        return Offer(need, tiers, holds, _lengths(need.pieces, round(1000 * holds), round(kerf_mm)), cut=True)
    return Offer(need, tiers, holds, max(0, math.ceil(need.amount / holds - FUZZ)))


@lru_cache(maxsize=CACHE_SIZE)
def _lengths(pieces: tuple[Piece, ...], stock_mm: int, kerf_mm: int) -> int:
    """Cached count of stock lengths that give the pieces."""
    return cut_list(pieces, stock_mm, kerf_mm).count
