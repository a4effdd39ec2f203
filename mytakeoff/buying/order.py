"""A job's order: what to buy where, what is left over, what brings money back, and what has to be carried.

The order as priced is what the price says. The cheapest one only proposes suppliers and packs: taken into the
job, it becomes the order as priced.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.buying.basket import Basket, basket_of, cheapest_basket
from mytakeoff.chain import takeoff_of
from mytakeoff.job.edits import with_packs
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Pack
from mytakeoff.result import Result
from mytakeoff.takeoff.needs import Need
from mytakeoff.takeoff.offers import Offer, offers_for
from mytakeoff.takeoff.purchases import purchases
from mytakeoff.units import decimal_of, round_money

if TYPE_CHECKING:
    import pandas as pd

NEWTON_PER_KG = 9.81
COLUMNS = (
    "supplier", "item", "pack", "holds", "unit", "packs", "price", "amount", "currency", "needed",
    "left_over", "needed_unit", "weight_kg", "computed_from",
)  # fmt: skip


@dataclass(frozen=True)
class BringingBack:
    """Unopened packs of one supplier: what they cost, what comes back of it, what the trip costs."""

    supplier: str
    packs: tuple[tuple[str, int], ...]
    value: Decimal
    refund: Decimal
    trip: Decimal

    @property
    def gain(self) -> Decimal:
        """What is left of the refund after the trip; below 0 it does not pay."""
        return self.refund - self.trip

    @property
    def pays(self) -> bool:
        """Whether more comes back than the trip costs."""
        return self.gain > 0


@dataclass(frozen=True)
class Carrying:
    """What is carried to one storey: its rooms, weight [kg] and trips [-]."""

    storey: int
    rooms: tuple[str, ...]
    weight_kg: float
    trips: int

    @property
    def flights(self) -> int:
        """Flights of stairs up with a load, all trips together [-]."""
        return self.trips * self.storey


def loads(packs_kg: Sequence[float], carry_kg: float) -> int:
    """How often somebody walks who takes up to so much at a time.

    Parameters
    ----------
    packs_kg : sequence of float
        Weight of each pack; one that is heavier than the limit goes alone [kg].
    carry_kg : float
        More than 0 [kg].

    Notes
    -----
    The heaviest first, each to the first load that has room for it, as one picks up what still goes.

    Examples
    --------
    Fourteen bags, and a primer, a roll and screws that are taken together:

    >>> loads([*[25.0] * 14, 6.0, 10.0, 7.0], 25.0)
    15
    """
    room_kg: list[float] = []
    for pack in sorted(packs_kg, reverse=True):
        at = next((nth for nth, room in enumerate(room_kg) if pack <= room + 1e-9), None)
        if at is None:
            room_kg.append(carry_kg - pack)
        else:
            room_kg[at] -= pack
    return len(room_kg)


@dataclass(frozen=True, eq=False)
class Order:
    """What to buy for a job.

    Parameters
    ----------
    job : Job
    needs : tuple of Need
    basket : Basket
        What is bought, and that nothing cheaper covers the needs.
    shares : tuple of (int, tuple of str, float)
        Storeys with their rooms, and the share of the plaster that goes there [-].
    from_stock : tuple of Offer
        What the user keeps and is not ordered.
    """

    job: Job
    needs: tuple[Need, ...]
    basket: Basket
    shares: tuple[tuple[int, tuple[str, ...], float], ...] = ()
    from_stock: tuple[Offer, ...] = ()

    @property
    def total(self) -> Decimal:
        """Packs, delivery and what is missing to least orders, before tax."""
        return self.basket.total

    @property
    def weight_kg(self) -> float:
        """Of everything whose weight is known [kg]."""
        return sum(each.weight_kg for each in self.basket.bought)

    @property
    def not_weighed(self) -> tuple[str, ...]:
        """Items whose packs have no weight in the list."""
        return tuple(dict.fromkeys(each.pack.item for each in self.basket.bought if each.pack_kg <= 0))

    @property
    def packs(self) -> tuple[Pack, ...]:
        """The pack of each product that is bought in one of packs.csv."""
        return tuple(offer.pack for offer in self.basket.bought if offer.pack in self.job.packs.rows)

    def saves_over(self, other: Order) -> Decimal:
        """How much less it costs than another order; below 0: more [currency]."""
        return other.total - self.total

    def bought_otherwise(self, other: Order) -> tuple[tuple[Offer, Offer], ...]:
        """What another order buys in another way, and how this one buys it."""
        ours = {offer.need.item: offer for offer in self.basket.bought}
        theirs = {offer.need.item: offer for offer in other.basket.bought}
        return tuple(
            (theirs[item], offer)
            for item, offer in ours.items()
            if item in theirs and theirs[item].pack.kind != offer.pack.kind
        )

    @cached_property
    def bringing_back(self) -> tuple[BringingBack, ...]:
        """What bringing unopened packs back gives, supplier by supplier."""
        packs = [(offer, count) for offer in self.basket.bought if (count := _unopened(offer))]
        names = sorted({offer.pack.supplier for offer, _ in packs})
        return tuple(
            self._back(name, [each for each in packs if each[0].pack.supplier == name]) for name in names
        )

    def _back(self, supplier: str, packs: Sequence[tuple[Offer, int]]) -> BringingBack:
        buying, places = self.job.buying, self.job.money_places
        value = sum((bought.price * count for bought, count in packs), Decimal(0))
        refund = round_money(value * (1 - decimal_of(buying.restocking_share)), places)
        named = tuple((bought.pack.item, count) for bought, count in packs)
        return BringingBack(supplier, named, value, refund, decimal_of(buying.return_trip_price))

    @cached_property
    def carrying(self) -> tuple[Carrying, ...]:
        """Weight and trips by storey, lowest first."""
        return tuple(
            Carrying(storey, rooms, self.weight_kg * share, self._trips(share))
            for storey, rooms, share in self.shares
        )

    def _trips(self, share: float) -> int:
        """Trips with whole packs, of all items together; what has no weight in the list is not counted."""
        packs = [
            each.pack_kg
            for each in self.basket.bought
            for _ in range(math.ceil(each.packs * share - 1e-9))
            if each.pack_kg > 0
        ]
        return loads(packs, self.job.buying.carry_kg)

    @property
    def heaviest_kg(self) -> float:
        """The heaviest pack [kg]."""
        return max((each.pack_kg for each in self.basket.bought), default=0.0)

    @property
    def stack_kn_per_m2(self) -> float:
        """Load where everything for the storey with most of it stands in one stack [kN/m²]."""
        most = max((each.weight_kg for each in self.carrying), default=0.0)
        return most * NEWTON_PER_KG / 1000 / self.job.buying.stack_m2

    @property
    def least_stack_m2(self) -> float:
        """Floor that the packs of that storey have to be spread over [m²]."""
        return self.stack_kn_per_m2 * self.job.buying.stack_m2 / self.job.buying.floor_limit_kn_per_m2

    @property
    def floor_holds(self) -> bool:
        """Whether the stack stays under what the floor may be loaded with."""
        return self.stack_kn_per_m2 <= self.job.buying.floor_limit_kn_per_m2

    def to_frame(self) -> pd.DataFrame:
        """The order list: a row a pack, then the charges, supplier by supplier; amounts add up to `total`.

        Returns
        -------
        pandas.DataFrame
            Columns supplier, item, pack, holds, unit, packs, price, amount, currency, needed, left_over,
            needed_unit, weight_kg, computed_from and shown_to; what is needed and over is in `needed_unit`.
        """
        import pandas as pd

        return pd.DataFrame(list(self._rows()), columns=list(COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})

    def _rows(self) -> Iterator[tuple[object, ...]]:
        currency, places = self.job.currency, self.job.money_places
        for charge in self.basket.charges:
            for each in (each for each in self.basket.bought if each.pack.supplier == charge.supplier):
                need, pack = each.need, each.pack
                yield (
                    charge.supplier, need.item, pack.pack, pack.holds, pack.unit, each.packs, each.price,
                    round_money(each.amount, places), currency, round(need.amount, 2), round(each.over, 2),
                    need.unit, round(each.weight_kg, 2) or None, need.basis,
                )  # fmt: skip
            for name, amount in charge.parts:
                yield (
                    charge.supplier, name, "", None, "", 1, amount, amount, currency, None, None, "", None, ""
                )  # fmt: skip


def _unopened(offer: Offer) -> int:
    """Packs that stay shut when only what is likely is used [-]."""
    if offer.need.pieces:
        return 0
    return min(offer.packs, max(math.floor((offer.held - offer.need.likely) / offer.holds + 1e-9), 0))


def order_as_priced(result: Result) -> Order:
    """What the price of a result buys: its rows and charges are the lines of the price, to the cent.

    Parameters
    ----------
    result : Result
        Its job has the packs, the suppliers and who each product is bought from. Without packs each item is
        bought by the unit that the price list prices it by.

    Returns
    -------
    Order

    Raises
    ------
    TakeoffError
        A pack in a unit that the need is not counted in: all told at once.
    """
    job, needs = result.job, takeoff_of(result.job, result.walls).needs
    made = purchases(job, needs)
    return Order(job, needs, basket_of(job, made.bought), storey_shares(result), made.from_stock)


def cheapest_order(result: Result) -> Order:
    """The cheapest order for what a priced job takes: each product in one pack from one supplier.

    Parameters
    ----------
    result : Result
        Its job has the packs, the suppliers and what carrying and bringing back cost.

    Returns
    -------
    Order
        Never dearer than the order as priced. Its total is what the goods cost, without labour and tax.

    Raises
    ------
    TakeoffError
        A pack in a unit that the need is not counted in, lengths shorter than a rail: all told at once.
    """
    job, needs = result.job, takeoff_of(result.job, result.walls).needs
    wanted = tuple(need for need in needs if need.item not in job.buying.in_stock)
    basket = cheapest_basket(job, offers_for(job, wanted))
    return Order(job, needs, basket, storey_shares(result), purchases(job, needs).from_stock)


def take_order(job: Job, order: Order) -> Job:
    """The job that buys as an order has it: the price then says the same."""
    return with_packs(job, order.packs)


def storey_shares(result: Result) -> tuple[tuple[int, tuple[str, ...], float], ...]:
    """Storeys that are worked on, lowest first: their rooms and their share of the plaster [-]."""
    storeys = {room.name: abs(room.storey) for room in result.job.rooms}
    litres: dict[int, float] = {}
    rooms: dict[int, list[str]] = {}
    for wall in result.walls:
        storey = storeys.get(wall.entry.room, 0)
        litres[storey] = litres.get(storey, 0.0) + wall.build_up.volume_l + wall.allowance_l
        if wall.entry.room not in rooms.setdefault(storey, []):
            rooms[storey].append(wall.entry.room)
    whole = sum(litres.values())
    return tuple(
        (storey, tuple(rooms[storey]), litres[storey] / whole if whole else 1 / len(litres))
        for storey in sorted(litres)
    )
