"""How things are sold: packs, their prices by number, and who sells them. All of it is the user's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from mytakeoff.errors import Check

REMEDY = "write it as the supplier's list has it"


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
    holds: Decimal
    unit: str
    price: Decimal
    pack: str = "pack"
    supplier: str = ""
    from_packs: int = 1
    least_packs: int = 1
    weight_kg: Decimal = Decimal(0)
    note: str = ""

    def __post_init__(self) -> None:
        check = Check(f"pack of {self.item!r}")
        check.that(
            self.holds.is_finite() and self.holds > 0,
            f"it holds {self.holds} {self.unit}",
            "a pack holds something",
            REMEDY,
        )
        check.that(
            self.price.is_finite() and self.price >= 0 and self.weight_kg.is_finite() and self.weight_kg >= 0,
            f"price {self.price}, weight {self.weight_kg} kg",
            "both are 0 or more",
            REMEDY,
        )
        check.that(
            self.from_packs >= 1 and self.least_packs >= 1,
            f"from {self.from_packs} packs, {self.least_packs} at least",
            "both are 1 or more",
            "leave them out where there is no such rule",
        )
        check.done()

    @property
    def kind(self) -> tuple[str, str, str, Decimal, str]:
        """What two rows share that differ only in the number of packs."""
        return self.item, self.supplier, self.pack, self.holds, self.unit


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

    def kinds(self) -> dict[tuple[str, str, str, Decimal, str], tuple[Pack, ...]]:
        """Rows by item, supplier and size: the price breaks of each."""
        found: dict[tuple[str, str, str, Decimal, str], list[Pack]] = {}
        for row in self.rows:
            found.setdefault(row.kind, []).append(row)
        return {kind: tuple(rows) for kind, rows in found.items()}

    def __contains__(self, item: str) -> bool:
        return any(row.item == item for row in self.rows)


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
    delivery_price: float = 0.0
    least_order: float = 0.0
    free_delivery_from: float | None = None

    def __post_init__(self) -> None:
        check = Check(f"supplier {self.name!r}")
        free = self.free_delivery_from or 0.0
        check.that(
            min(self.delivery_price, self.least_order, free) >= 0
            and math.isfinite(self.delivery_price + self.least_order + free),
            f"delivery {self.delivery_price:g}, order of {self.least_order:g} at least, free from {free:g}",
            "amounts are 0 or more",
            "leave out what this supplier has no rule for",
        )
        check.done()


@dataclass(frozen=True)
class Buying:
    """How the job is bought for and carried up (common practice, no source; the user's own figures win).

    Parameters
    ----------
    suppliers : tuple of Supplier
        Those that charge for delivery or have a least order.
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

    Raises
    ------
    TakeoffError
        Everything that is out of its range, told at once.
    """

    suppliers: tuple[Supplier, ...] = ()
    restocking_share: float = 0.15
    return_trip_price: float = 20.0
    carry_kg: float = 25.0
    stack_m2: float = 1.0
    floor_limit_kn_per_m2: float = 1.5

    def __post_init__(self) -> None:
        check = Check("buying")
        names = [supplier.name for supplier in self.suppliers]
        for name in sorted({name for name in names if names.count(name) > 1}):
            check.that(False, f"supplier {name!r} stands twice", "each has one entry", "take one out")
        check.that(
            0 <= self.restocking_share <= 1 and 0 <= self.return_trip_price < math.inf,
            f"{self.restocking_share:.0%} kept of what is brought back, {self.return_trip_price:g} a trip",
            "a share lies between 0 and 1, a trip costs 0 or more",
            "0.15 and the price of half an hour with the van are usual",
        )
        sizes = (self.carry_kg, self.stack_m2, self.floor_limit_kn_per_m2)
        check.that(
            min(sizes) > 0 and math.isfinite(sum(sizes)),
            f"{self.carry_kg:g} kg carried, {self.stack_m2:g} m² of floor, {self.floor_limit_kn_per_m2:g} "
            "kN/m² allowed",
            "each is more than 0",
            "25 kg, 1 m² and 1.5 kN/m² are usual",
        )
        check.done()

    def supplier(self, name: str) -> Supplier:
        """The supplier of that name; one that is not listed charges nothing beside its packs."""
        return next((each for each in self.suppliers if each.name == name), Supplier(name))
