"""How each need can be met: the packs that are sold for it, and how many of them are bought."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from mytakeoff.errors import Check
from mytakeoff.job.job import Job
from mytakeoff.job.packs import KG, Pack, Tiers, packs_for, price_of
from mytakeoff.measure.line import without_zeros
from mytakeoff.rails.cut_list import CutList, Piece, cut_list
from mytakeoff.takeoff.needs import Need
from mytakeoff.units import decimal_of, round_money

CACHE_SIZE = 64


@dataclass(frozen=True)
class Offer:
    """So many of one pack that meet a need.

    Parameters
    ----------
    need : Need
    tiers : tuple of Pack
        The pack at its prices, by number of packs.
    holds : float
        One of them, in the need's unit.
    packs : int
        That are bought where this pack is [-].
    enough : int
        That would do: more are bought where fewer cost more, or are not sold [-].
    """

    need: Need
    tiers: Tiers
    holds: float
    packs: int
    enough: int

    @property
    def pack(self) -> Pack:
        """The pack as it is listed."""
        return self.tiers[0]

    @property
    def price(self) -> Decimal:
        """Of one pack [currency]."""
        return price_of(self.tiers, self.packs)

    @property
    def amount(self) -> Decimal:
        """What they cost together [currency]."""
        return self.price * self.packs

    @property
    def held(self) -> float:
        """What they hold together, in the need's unit."""
        return self.packs * self.holds

    @property
    def over(self) -> float:
        """What is left when all that is needed is used, in the need's unit."""
        return max(self.held - self.need.amount, 0.0)

    @property
    def pack_kg(self) -> float:
        """Of one pack; 0 where it is not known [kg]."""
        if self.pack.weight_kg > 0:
            return float(self.pack.weight_kg)
        return self.holds if self.need.unit == KG else self.holds * self.need.bag_kg

    @property
    def weight_kg(self) -> float:
        """Of all of them; 0 where it is not known [kg]."""
        return self.packs * self.pack_kg


def priced_offer(job: Job, need: Need, check: Check) -> Offer | None:
    """How a need is met as the job has it: by the pack chosen, the first that is listed, or the price list.

    Parameters
    ----------
    job : Job
    need : Need
    check : Check
        Takes what cannot be compared.

    Returns
    -------
    Offer or None
        None where nothing has a price.

    Notes
    -----
    Rails are cut from lengths of `rails.stock_m`, on the sheet and here: a listed length counts where it is
    that long. Without packs the unit of the price list is the pack.
    """
    tiers = job.tiers_of(need.item)
    if not tiers and need.item in job.prices:
        pack = _by_the_unit(job, need)
        tiers = () if pack.held(need.unit, need.bag_kg) is None else (pack,)
    return _offer(job, need, tiers, check) if tiers else None


def offers_for(job: Job, needs: Iterable[Need]) -> tuple[Offer, ...]:
    """Every pack that some needs can be met with.

    Parameters
    ----------
    job : Job
        With its packs and prices. An item that no pack is listed for is bought as the price list has it.
    needs : iterable of Need

    Raises
    ------
    TakeoffError
        A pack in a unit that the need is not counted in, lengths that are all shorter than a piece: all told
        at once.
    """
    check = Check("packs")
    found: list[Offer] = []
    for need in needs:
        kinds = job.packs.of(need.item)
        fits = [tiers for tiers in kinds if all(p.length_mm <= _length_mm(tiers[0]) for p in need.pieces)]
        offers = [_offer(job, need, tiers, check) for tiers in fits]
        if need.pieces or not kinds:
            offers.append(priced_offer(job, need, check))
        made = list(dict.fromkeys(offer for offer in offers if offer is not None))
        if kinds and not fits and not made:
            _check_lengths(need, kinds, check)
        found += made
    check.done()
    return tuple(found)


def _length_mm(pack: Pack) -> int:
    return round(1000 * float(pack.holds))


def _by_the_unit(job: Job, need: Need) -> Pack:
    """The pack of what no pack is listed for: the price list's unit, of rails a length."""
    price = job.prices.of(need.item)
    if not need.pieces:
        return Pack(need.item, Decimal(1), price.unit, price.price, price.unit)
    stock = decimal_of(job.rails.stock_m)
    each = without_zeros(round_money(price.price * stock, 4))
    return Pack(need.item, stock, price.unit, each, "length")


def _check_lengths(need: Need, kinds: Sequence[Tiers], check: Check) -> None:
    """Note that a supplier sells no length for all of the rails."""
    longest = max(need.pieces, key=lambda piece: piece.length_mm)
    lengths = ", ".join(f"{tiers[0].holds:g} m" for tiers in kinds)
    check.that(
        False,
        f"{need.item} in lengths of {lengths}, {longest.name} is {longest.length_mm} mm",
        "a length gives the whole of what is cut from it, not a part",
        "list a longer one, or say the length at hand under rails, stock_m",
        "packs.csv",
    )


def _offer(job: Job, need: Need, tiers: Tiers, check: Check) -> Offer | None:
    """A pack, with how many of it are bought; None with a mistake noted where it cannot be compared."""
    holds = tiers[0].held(need.unit, need.bag_kg)
    if holds is None:
        check.that(
            False,
            f"{need.item}: a {tiers[0].pack} of {tiers[0].holds} {tiers[0].unit}",
            f"what it takes is counted by the {need.unit}",
            f"write how many {need.unit} the {tiers[0].pack} holds",
        )
        return None
    amount = need.amount
    if need.pieces:
        amount = holds * cuts_of(need.pieces, _length_mm(tiers[0]), job.rails.kerf_mm).count
    asked = holds, amount, need.waste, job.bag_slack_share
    return Offer(need, tiers, holds, packs_for(tiers, *asked), packs_for((), *asked))


def cuts_of(pieces: Sequence[Piece], stock_mm: int, kerf_mm: float) -> CutList:
    """What is cut from which length: for the price, the order and the sheet alike.

    Parameters
    ----------
    pieces : sequence of Piece
        One that is longer than the stock is joined: a whole length and the rest of it.
    stock_mm : int
        More than 0 [mm].
    kerf_mm : float
        What the saw takes, 0 or more [mm].
    """
    return _cuts(tuple(_joined(pieces, stock_mm)), stock_mm, math.ceil(kerf_mm - 1e-9))


def _joined(pieces: Iterable[Piece], stock_mm: int) -> Iterable[Piece]:
    for piece in pieces:
        left = piece.length_mm
        while left > stock_mm > 0:
            yield Piece(piece.name, stock_mm)
            left -= stock_mm
        yield Piece(piece.name, left)


@lru_cache(maxsize=CACHE_SIZE)
def _cuts(pieces: tuple[Piece, ...], stock_mm: int, kerf_mm: int) -> CutList:
    """Cached cut list."""
    return cut_list(pieces, stock_mm, kerf_mm)
