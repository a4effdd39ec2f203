"""A job's order: what to buy where, what is left over, what brings money back, and what has to be carried."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.buying.basket import Basket, Bought, cheapest_basket
from mytakeoff.job.catalogue import PLASTERER
from mytakeoff.job.job import Job
from mytakeoff.result import Result
from mytakeoff.takeoff.needs import Need, SureBags, order_needs
from mytakeoff.takeoff.offers import offers_for
from mytakeoff.units import decimal_of, round_money

if TYPE_CHECKING:
    import pandas as pd

    from mytakeoff.ranges.job_ranges import JobRanges

NEWTON_PER_KG = 9.81
COLUMNS = (
    "supplier", "item", "pack", "holds", "unit", "packs", "price", "amount", "currency", "needed",
    "left_over", "weight_kg", "computed_from",
)  # fmt: skip


@dataclass(frozen=True)
class LeftOver:
    """What is over of one item.

    Parameters
    ----------
    need : Need
    bought : float
        In the need's unit [-].
    unopened : tuple of (Bought, int)
        Packs that stay shut when only the likely amount is used.
    """

    need: Need
    bought: float
    unopened: tuple[tuple[Bought, int], ...]

    @property
    def over(self) -> float:
        """When all that the order covers is used, in the need's unit."""
        return max(self.bought - self.need.amount, 0.0)


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
    """

    job: Job
    needs: tuple[Need, ...]
    basket: Basket
    shares: tuple[tuple[int, tuple[str, ...], float], ...] = ()

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
        return tuple(
            dict.fromkeys(each.pack.item for each in self.basket.bought if each.offer.weight_kg <= 0)
        )

    @cached_property
    def left_over(self) -> tuple[LeftOver, ...]:
        """What is over, item by item in the order of the needs."""
        return tuple(self._left_over(need) for need in self.needs)

    def _left_over(self, need: Need) -> LeftOver:
        mine = [each for each in self.basket.bought if each.offer.need == need]
        bought = sum(each.holds for each in mine)
        return LeftOver(need, bought, tuple(_unopened(mine, bought - need.likely)))

    @property
    def spare_packs(self) -> tuple[tuple[str, int], ...]:
        """Packs over the need even when all of it is used, by item [-]."""
        spare = []
        for left in self.left_over:
            mine = [each for each in self.basket.bought if each.offer.need == left.need]
            count = sum(packs for _, packs in _unopened(mine, left.over))
            spare += [(left.need.item, count)] if count else []
        return tuple(spare)

    @cached_property
    def bringing_back(self) -> tuple[BringingBack, ...]:
        """What bringing unopened packs back gives, supplier by supplier."""
        packs = [each for left in self.left_over for each in left.unopened]
        names = sorted({bought.pack.supplier for bought, _ in packs})
        return tuple(
            self._back(name, [each for each in packs if each[0].pack.supplier == name]) for name in names
        )

    def _back(self, supplier: str, packs: Sequence[tuple[Bought, int]]) -> BringingBack:
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
        """Trips with whole packs; several small ones go together, a heavier one than the limit goes alone."""
        trips = 0
        for each in self.basket.bought:
            if each.offer.weight_kg > 0:
                together = max(1, math.floor(self.job.buying.carry_kg / each.offer.weight_kg + 1e-9))
                trips += math.ceil(each.packs * share / together - 1e-9)
        return trips

    @property
    def heaviest_kg(self) -> float:
        """The heaviest pack [kg]."""
        return max((each.offer.weight_kg for each in self.basket.bought), default=0.0)

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
            weight_kg, computed_from and shown_to.
        """
        import pandas as pd

        return pd.DataFrame(list(self._rows()), columns=list(COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})

    def _rows(self) -> Iterator[tuple[object, ...]]:
        currency = self.job.currency
        over = {left.need.item: left for left in self.left_over}
        for charge in self.basket.charges:
            for each in (each for each in self.basket.bought if each.pack.supplier == charge.supplier):
                need, pack = each.offer.need, each.pack
                yield (
                    charge.supplier, need.item, pack.pack, pack.holds, pack.unit, each.packs, each.price,
                    each.amount, currency, f"{round(need.amount, 2):g} {need.unit}",
                    f"{round(over[need.item].over, 2):g} {need.unit}", round(each.weight_kg, 2) or None,
                    need.basis,
                )  # fmt: skip
            for name, amount in (
                ("delivery", charge.delivery),
                ("extra, to the least that is delivered", charge.up_to_least),
            ):
                if amount > 0:
                    yield (charge.supplier, name, "", None, "", 1, amount, amount, currency, "", "", None, "")


def _unopened(bought: Sequence[Bought], over: float) -> Iterator[tuple[Bought, int]]:
    """Packs that stay shut when so much of the need's unit is over [-]: the dearest first."""
    for each in sorted(bought, key=lambda each: -each.price):
        whole = math.floor(over / each.offer.holds + 1e-9)
        count = each.packs - each.offer.packs if each.offer.cut else min(each.packs, whole)
        if count > 0:
            over -= count * each.offer.holds
            yield each, count


def cheapest_order(result: Result, sure: JobRanges | None = None) -> Order:
    """The cheapest order that covers what a priced job takes.

    Parameters
    ----------
    result : Result
        Its job has the packs, the suppliers and what carrying and bringing back cost. Without packs each
        item is bought by the unit that the price list prices it by.
    sure : JobRanges or None
        Of the same result: bags that last at the job's confidence; None: the bags that are priced, those for
        missed high spots among them.

    Returns
    -------
    Order
        Its needs are the quantities of the result; its total is what the goods cost, without labour and tax.

    Raises
    ------
    TakeoffError
        A pack in a unit that the need is not counted in, lengths shorter than a rail: all told at once.
    """
    job = result.job
    extras = [extra.item for extra in job.extras if extra.item in job.packs and extra.item != PLASTERER]
    needs = order_needs(
        result.walls, result.needs, result.cost.lines, extras, _sure_bags(job, sure), job.formats
    )
    offers = offers_for(needs, job.packs, job.prices, job.rails.kerf_mm)
    return Order(job, needs, cheapest_basket(offers, job.buying), storey_shares(result))


def _sure_bags(job: Job, sure: JobRanges | None) -> dict[str, SureBags]:
    """Bags of each mix at the job's confidence, where that was worked out."""
    share = job.sureness.confidence_share
    mixes = sure.mixes if sure is not None else ()
    return {
        each.mix.name: SureBags(each.bags.middle, float(each.order.bags), share)
        for each in mixes
        if each.order.bags > 0
    }


def storey_shares(result: Result) -> tuple[tuple[int, tuple[str, ...], float], ...]:
    """Storeys that are worked on, lowest first: their rooms and their share of the plaster [-]."""
    storeys = {room.name: abs(room.storey) for room in result.job.rooms}
    litres: dict[int, float] = {}
    rooms: dict[int, list[str]] = {}
    for wall in result.walls:
        storey = storeys.get(wall.entry.room, 0)
        litres[storey] = litres.get(storey, 0.0) + wall.build_up.volume_l
        if wall.entry.room not in rooms.setdefault(storey, []):
            rooms[storey].append(wall.entry.room)
    whole = sum(litres.values())
    return tuple(
        (storey, tuple(rooms[storey]), litres[storey] / whole if whole else 1 / len(litres))
        for storey in sorted(litres)
    )
