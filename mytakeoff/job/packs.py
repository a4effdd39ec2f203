"""How things are sold: packs, their prices by number, and who sells them. All of it is the user's."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Annotated

from mytakeoff.bounds import MOST_PRICE, Money, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.job.mixing import whole_bags
from mytakeoff.job.prices import same_unit

REMEDY = "write it as the supplier's list has it"
KG, BAG = "kg", "bag"
NO_RULE = "leave it out where there is no such rule"
Packs = Annotated[int, Within(1, 1_000_000, usual=NO_RULE)]
Tiers = tuple["Pack", ...]  # one pack at its prices, by number of packs


@dataclass(frozen=True)
class Pack:
    """What a pack of an item holds and costs, from a number of packs on.

    Parameters
    ----------
    item : str
        As it stands in the price list.
    holds : Decimal
        In `unit`, more than 0.
    unit : str
        kg, l, m, m², piece, bag …: that of the price list, or kg for a mix.
    price : Decimal
        Of one pack before tax, 0 or more, in the job's currency.
    pack : str
        Bag, tub, length, box …
    supplier : str
        "" where it does not matter.
    from_packs : int
        The price holds for every pack of an order of so many or more, 1 or more [-].
    least_packs : int
        Fewer are not sold, 1 or more [-].
    weight_kg : Decimal
        Of one pack; 0: that of what it holds if that is in kg, else not known [kg].
    note : str
    """

    item: str
    holds: Annotated[Decimal, Within(0.001, 1e6, usual=REMEDY)]
    unit: str
    price: Annotated[Decimal, Within(0.0, MOST_PRICE, usual=REMEDY)]
    pack: str = "pack"
    supplier: str = ""
    from_packs: Packs = 1
    least_packs: Packs = 1
    weight_kg: Annotated[Decimal, Within(0.0, 10_000.0, usual=REMEDY)] = Decimal(0)
    note: str = ""

    def __post_init__(self) -> None:
        check = Check(f"pack of {self.item!r}")
        check_numbers(self, check)
        check.done()

    @property
    def kind(self) -> tuple[str, str, str, Decimal, str]:
        """What two rows share that differ only in the number of packs."""
        return self.item, self.supplier, self.pack, self.holds, self.unit

    def held(self, unit: str, bag_kg: float = 0.0) -> float | None:
        """What it holds in another unit, where a bag is so many kilograms [kg]; None: not to be compared.

        Examples
        --------
        >>> Pack("cement", Decimal(40), "kg", Decimal(9)).held("bag", 25)
        1.6
        """
        holds = float(self.holds)
        if same_unit(self.unit, unit):
            return holds
        if bag_kg > 0 and same_unit(self.unit, BAG) and unit == KG:
            return holds * bag_kg
        return holds / bag_kg if bag_kg > 0 and self.unit == KG and same_unit(unit, BAG) else None


@dataclass(frozen=True)
class PackList:
    """All packs of a job, in the order of the user's file.

    Raises
    ------
    TakeoffError
        Price breaks of one pack out of order, twice from one number, or dearer from more packs on; two
        rules for the least number of packs: all told at once.
    """

    rows: tuple[Pack, ...] = ()

    def __post_init__(self) -> None:
        check = Check("packs")
        for tiers in self.kinds().values():
            _check_breaks(tiers, check)
        check.done()

    def kinds(self) -> dict[tuple[str, str, str, Decimal, str], Tiers]:
        """Rows by item, supplier and size: the price breaks of each."""
        found: dict[tuple[str, str, str, Decimal, str], list[Pack]] = {}
        for row in self.rows:
            found.setdefault(row.kind, []).append(row)
        return {kind: tuple(rows) for kind, rows in found.items()}

    @cached_property
    def _by_item(self) -> dict[str, tuple[Tiers, ...]]:
        found: dict[str, tuple[Tiers, ...]] = {}
        for tiers in self.kinds().values():
            found[tiers[0].item] = (*found.get(tiers[0].item, ()), tiers)
        return found

    def of(self, item: str) -> tuple[Tiers, ...]:
        """Every pack that an item is sold in, as they are listed."""
        return self._by_item.get(item, ())

    def __contains__(self, item: str) -> bool:
        return item in self._by_item

    def with_price(self, tiers: Tiers, was: Decimal, price: Decimal) -> PackList:
        """The same list with another price for a pack where it costs what it `was`.

        Fewer packs then cost no less each, more packs no more.
        """
        at = next((nth for nth, tier in enumerate(tiers) if tier.price == was), 0)
        asked = [max(tier.price, price) for tier in tiers[:at]]
        asked += [price, *(min(tier.price, price) for tier in tiers[at + 1 :])]
        new = {tier: replace(tier, price=each) for tier, each in zip(tiers, asked, strict=True)}
        return replace(self, rows=tuple(new.get(row, row) for row in self.rows))


def price_of(tiers: Sequence[Pack], packs: int) -> Decimal:
    """Of one pack when so many are bought [currency]."""
    return next(tier.price for tier in reversed(tiers) if packs >= tier.from_packs or tier is tiers[0])


def packs_for(
    tiers: Sequence[Pack], holds: float, amount: float, waste: float = 0.0, slack_share: float = 0.0
) -> int:
    """How many packs are bought for an amount: what covers it, or more where a price break is cheaper.

    Parameters
    ----------
    tiers : sequence of Pack
        One pack at its prices; none: only what covers the amount.
    holds, amount, waste : float
        In the same unit; see `whole_bags`.
    slack_share : float
        Of one pack [-].

    Examples
    --------
    Nine bags at 10.00 cost more than ten at 8.50.

    >>> bag = Pack("plaster", Decimal(25), "kg", Decimal(10))
    >>> packs_for((bag, replace(bag, price=Decimal("8.5"), from_packs=10)), 25.0, 220.0)
    10
    """
    return packs_covering(tiers, whole_bags(amount, holds, waste, slack_share))


def packs_covering(tiers: Sequence[Pack], least: int) -> int:
    """How many of a pack are bought where `least` of it cover the amount [-]."""
    if not tiers or not least:
        return least
    least = max(least, tiers[0].least_packs)
    counts = (least, *(tier.from_packs for tier in tiers if tier.from_packs > least))
    return min(counts, key=lambda count: (count * price_of(tiers, count), count))


def _check_breaks(tiers: tuple[Pack, ...], check: Check) -> None:
    first = tiers[0]
    name = f"{first.item}, {first.pack} of {first.holds} {first.unit}"
    place = f"{name}, {first.supplier}" if first.supplier else name
    for before, after in pairwise(tiers):
        check.that(
            after.from_packs > before.from_packs,
            f"from {before.from_packs} packs, then from {after.from_packs}",
            "price breaks stand in the order of their numbers, each number once",
            "sort the rows by from_packs",
            place,
        )
        check.that(
            after.price <= before.price,
            f"{after.price} each from {after.from_packs} packs, {before.price} from {before.from_packs}",
            "a pack is not dearer when more are bought",
            "see whether two prices changed places",
            place,
        )
        check.that(
            after.least_packs == before.least_packs,
            f"{before.least_packs} packs at least in one row, {after.least_packs} in another",
            "a pack has one least number",
            "write the same in each of its rows",
            place,
        )


@dataclass(frozen=True)
class Supplier:
    """Who sells packs, and what an order there costs beside them.

    Parameters
    ----------
    name : str
        As it stands in the list of packs.
    delivery_price : float
        For each order, 0 or more, in the job's currency [-].
    least_order : float
        What an order costs at least, without delivery, in the job's currency; 0: no such rule [-].
    free_delivery_from : float or None
        From this order value on nothing is charged for delivery, in the job's currency; None: never [-].
    """

    name: str
    delivery_price: Money = 0.0
    least_order: Money = 0.0
    free_delivery_from: Money | None = None

    def __post_init__(self) -> None:
        check = Check(f"supplier {self.name!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class Chosen:
    """The one supplier and pack that a product is bought from; what is left out is as it is first listed.

    Parameters
    ----------
    item : str
        As it stands in the list of packs.
    supplier, pack : str or None
    holds : float or None
        In the pack's unit, more than 0 [-].
    """

    item: str
    supplier: str | None = None
    pack: str | None = None
    holds: Annotated[float, Within(0.001, 1e6, usual=REMEDY)] | None = None

    def __post_init__(self) -> None:
        check = Check(f"{self.item!r}, as it is bought")
        check_numbers(self, check)
        check.done()

    def fits(self, pack: Pack) -> bool:
        """Whether a pack is the one that is meant."""
        said = ((self.supplier, pack.supplier), (self.pack, pack.pack), (self.holds, float(pack.holds)))
        return self.item == pack.item and all(own in (None, listed) for own, listed in said)

    @property
    def words(self) -> str:
        """What is chosen, as a message says it."""
        size = self.pack if self.holds is None else f"{self.pack or 'pack'} of {self.holds:g}"
        return ": ".join(filter(None, (self.item, ", ".join(filter(None, (size, self.supplier))))))


@dataclass(frozen=True)
class Buying:
    """How the job is bought for and carried up (common practice, no source; the user's own figures win).

    Parameters
    ----------
    suppliers : tuple of Supplier
        Those that have delivery and a least order of their own; all others deliver as the price list says.
    restocking_share : float
        What a supplier keeps of an unopened pack that is brought back, 0 to 1 [-].
    return_trip_price : float
        One trip to bring packs back, 0 or more [currency].
    carry_kg : float
        Carried up at a time, more than 0 [kg].
    stack_m2 : float
        Floor that the packs stand on, more than 0 [m²].
    floor_limit_kn_per_m2 : float
        What the floor may be loaded with, more than 0: 1.5 for rooms of dwellings, UK annex to EN 1991-1-1
        (from memory, unconfirmed) [kN/m²].
    chosen : tuple of Chosen
        Supplier and pack of a product; one that is not named is bought in the pack that is listed first.
    in_stock : tuple of str
        Items that the user keeps: what is used of them is priced, and none is ordered.

    Raises
    ------
    TakeoffError
        Everything that is out of its range, told at once.
    """

    suppliers: tuple[Supplier, ...] = ()
    restocking_share: Annotated[float, Within(0.0, 1.0, usual="0.15 is usual")] = 0.15
    return_trip_price: Money = 20.0
    carry_kg: Annotated[float, Within(1.0, 1000.0, usual="25 kg is usual")] = 25.0
    stack_m2: Annotated[float, Within(0.01, 1000.0, usual="1 m² is usual")] = 1.0
    floor_limit_kn_per_m2: Annotated[float, Within(0.01, 100.0, usual="1.5 kN/m² is usual")] = 1.5
    chosen: tuple[Chosen, ...] = ()
    in_stock: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        check = Check("buying")
        names = [supplier.name for supplier in self.suppliers]
        for name in sorted({name for name in names if names.count(name) > 1}):
            check.that(False, f"supplier {name!r} stands twice", "each has one entry", "take one out")
        items = [chosen.item for chosen in self.chosen]
        for item in sorted({item for item in items if items.count(item) > 1}):
            rule = "each product has one supplier and one pack"
            check.that(False, f"{item!r} is chosen twice", rule, "take one out")
        check_numbers(self, check)
        check.done()

    def supplier(self, name: str) -> Supplier | None:
        """The supplier of that name; None for one that delivers as the price list says."""
        return next((each for each in self.suppliers if each.name == name), None)

    def chosen_for(self, item: str) -> Chosen:
        """Supplier and pack of a product, or whatever is listed first."""
        return next((each for each in self.chosen if each.item == item), Chosen(item))


def bought_as(packs: PackList, buying: Buying, item: str, length_m: float | None = None) -> Tiers:
    """The pack that a product is bought in, at its prices; none where no pack of it is listed.

    Parameters
    ----------
    packs : PackList
    buying : Buying
        Which is chosen: else it is the first that is listed.
    item : str
    length_m : float or None
        Of what is cut from lengths: only those so long are looked at, the chosen supplier's first [m].
    """
    chosen, listed = buying.chosen_for(item), packs.of(item)
    if length_m is None:
        return next((tiers for tiers in listed if chosen.fits(tiers[0])), ())
    long = [tiers for tiers in listed if math.isclose(float(tiers[0].holds), length_m, abs_tol=1e-6)]
    return min(
        long,
        key=lambda tiers: (not chosen.fits(tiers[0]), tiers[0].supplier != chosen.supplier),
        default=(),
    )
