"""The cheapest order that covers what a job takes: a whole-number programme, solved exactly.

Packs, price breaks for all packs of a kind, the least number of packs, a charge for delivery, a least order
and free delivery from an order value on all take part at once, so that a dearer pack from a supplier who
comes anyway can win.

Notes
-----
One programme covers all suppliers, so that a price break, a least order and free delivery weigh against each
other. What it finds is priced anew in `Decimal` and checked without it. What is cut from lengths keeps to one
length, so that the cut list holds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job.packs import Buying, Pack, Supplier
from mytakeoff.takeoff.offers import Offer
from mytakeoff.units import decimal_of

MOST_NODES = 5000  # of the search tree: a bound on work, so that a busy machine gives the same order
TIE = 1e-3  # under half a cent over the whole order: of equally dear orders the one with fewest packs
CACHE_SIZE = 64


@dataclass(frozen=True)
class Bought:
    """So many of one pack at one price.

    Parameters
    ----------
    offer : Offer
    packs : int
        1 or more [-].
    price : Decimal
        Of one pack.
    """

    offer: Offer
    packs: int
    price: Decimal

    @property
    def amount(self) -> Decimal:
        """What they cost together."""
        return self.price * self.packs

    @property
    def holds(self) -> float:
        """What they hold together, in the need's unit."""
        return self.packs * self.offer.holds

    @property
    def weight_kg(self) -> float:
        """Of all of them; 0 where it is not known [kg]."""
        return self.packs * self.offer.weight_kg

    @property
    def pack(self) -> Pack:
        """The pack as it is listed."""
        return self.offer.first


@dataclass(frozen=True)
class Charge:
    """What one supplier charges beside its packs: delivery, and what is missing to the least order."""

    supplier: str
    goods: Decimal
    delivery: Decimal
    up_to_least: Decimal

    @property
    def total(self) -> Decimal:
        """Packs, delivery and what is missing to the least order."""
        return self.goods + self.delivery + self.up_to_least


@dataclass(frozen=True)
class Basket:
    """What is bought, and that nothing cheaper covers the needs.

    Parameters
    ----------
    bought : tuple of Bought
        By supplier, then in the order of the needs.
    charges : tuple of Charge
        One for each supplier that something is bought from.
    at_least : Decimal
        No order that covers the needs costs less than this.
    exact : bool
        Whether it is proved that nothing cheaper does; else it is the best found within a bound on work.
    """

    bought: tuple[Bought, ...]
    charges: tuple[Charge, ...]
    at_least: Decimal
    exact: bool

    @property
    def total(self) -> Decimal:
        """All of it, before tax."""
        return sum((charge.total for charge in self.charges), Decimal(0))


@dataclass(frozen=True)
class _Tier:
    """A pack at one price: which offer, from and up to how many packs."""

    offer: int
    price: Decimal
    least: int
    most: int


@lru_cache(maxsize=CACHE_SIZE)
def cheapest_basket(offers: tuple[Offer, ...], buying: Buying) -> Basket:
    """The cheapest way to cover the needs of some offers.

    Parameters
    ----------
    offers : tuple of Offer
        Every pack that may be bought.
    buying : Buying
        For the suppliers' charges.

    Returns
    -------
    Basket
        Checked again: every need is covered and every rule of the packs is kept.

    Raises
    ------
    TakeoffError
        No number of packs covers the needs within a bound on work.
    """
    wanted = tuple(offer for offer in offers if offer.packs > 0)
    if not wanted:
        return Basket((), (), Decimal(0), True)
    model = _Model(wanted, buying)
    counts, at_least, exact = model.solve()
    bought = _bought(wanted, counts)
    charges = tuple(_charge(buying.supplier(name), bought) for name in _suppliers(bought))
    basket = Basket(_by_supplier(bought), charges, at_least, exact)
    verify(basket, wanted)
    return basket


def _bought(offers: Sequence[Offer], counts: Sequence[int]) -> list[Bought]:
    return [
        Bought(offer, count, offer.price_of(count))
        for offer, count in zip(offers, counts, strict=True)
        if count > 0
    ]


def _suppliers(bought: Sequence[Bought]) -> list[str]:
    return sorted({each.pack.supplier for each in bought})


def _by_supplier(bought: Sequence[Bought]) -> tuple[Bought, ...]:
    return tuple(sorted(bought, key=lambda each: each.pack.supplier))


def _charge(supplier: Supplier, bought: Sequence[Bought]) -> Charge:
    """What an order there costs beside its packs; free delivery is reckoned on packs alone."""
    goods = sum((each.amount for each in bought if each.pack.supplier == supplier.name), Decimal(0))
    free = supplier.free_delivery_from
    delivered = free is not None and goods >= decimal_of(free)
    delivery = Decimal(0) if delivered else decimal_of(supplier.delivery_price)
    return Charge(supplier.name, goods, delivery, max(decimal_of(supplier.least_order) - goods, Decimal(0)))


def verify(basket: Basket, offers: Sequence[Offer]) -> None:
    """See that an order covers every need and keeps every rule, without the programme that found it.

    Raises
    ------
    TakeoffError
        It does not.
    """
    for need in dict.fromkeys(offer.need for offer in offers):
        mine = [each for each in basket.bought if each.offer.need == need]
        if any(each.offer.cut for each in mine):
            covered = len(mine) == 1 and mine[0].packs >= mine[0].offer.packs
        else:
            covered = sum(each.holds for each in mine) >= need.amount * (1 - 1e-9)
        kept = all(each.packs >= each.pack.least_packs for each in mine)
        if not (covered and kept):
            raise TakeoffError(
                Mistake(
                    f"{need.item}: {need.amount:g} {need.unit} not covered",
                    "an order covers what the job takes",
                    "order by hand, and tell us",
                    "order",
                )
            )


class _Model:
    """Variables: packs and a choice for each tier; for each supplier a choice, free delivery, a top-up."""

    def __init__(self, offers: Sequence[Offer], buying: Buying) -> None:
        self.offers, self.buying = offers, buying
        self.suppliers = [buying.supplier(n) for n in sorted({o.first.supplier for o in offers})]
        self.tiers = [tier for at, _ in enumerate(offers) for tier in self._tiers(at)]
        self.count = 2 * len(self.tiers) + 3 * len(self.suppliers)
        self.rows: list[dict[int, float]] = []
        self.low: list[float] = []
        self._cover()
        self._choose()
        self._charge()

    # -- places of the variables: packs of a tier, its choice, a supplier, free delivery there, a top-up

    def n(self, tier: int) -> int:
        return tier

    def y(self, tier: int) -> int:
        return len(self.tiers) + tier

    def z(self, supplier: int) -> int:
        return 2 * len(self.tiers) + supplier

    def free(self, supplier: int) -> int:
        return 2 * len(self.tiers) + len(self.suppliers) + supplier

    def top_up(self, supplier: int) -> int:
        return 2 * len(self.tiers) + 2 * len(self.suppliers) + supplier

    def _tiers(self, at: int) -> list[_Tier]:
        """The tiers of an offer, each with the packs at which its price holds."""
        offer = self.offers[at]
        supplier = self.buying.supplier(offer.first.supplier)
        threshold = max(supplier.least_order, supplier.free_delivery_from or 0.0)
        cheapest = float(offer.tiers[-1].price)
        more = math.ceil(threshold / cheapest) if cheapest > 0 else 0
        least = offer.first.least_packs
        most = max(offer.packs, least, *(tier.from_packs for tier in offer.tiers)) + more
        ends = [*(tier.from_packs - 1 for tier in offer.tiers[1:]), most]
        made = (
            _Tier(at, tier.price, max(tier.from_packs if nth else 1, least), end)
            for nth, (tier, end) in enumerate(zip(offer.tiers, ends, strict=True))
        )
        return [tier for tier in made if tier.least <= tier.most]

    def _at_least(self, row: dict[int, float], low: float = 0.0) -> None:
        self.rows.append(row)
        self.low.append(low)

    def _cover(self) -> None:
        """Every need is covered; what is cut comes from one length only."""
        for need in dict.fromkeys(offer.need for offer in self.offers):
            mine = [t for t, tier in enumerate(self.tiers) if self.offers[tier.offer].need == need]
            if any(self.offers[self.tiers[t].offer].cut for t in mine):
                self._at_least({self.y(t): 1.0 for t in mine}, 1.0)
                self._at_least({self.y(t): -1.0 for t in mine}, -1.0)
                for t in mine:
                    self._at_least(
                        {self.n(t): 1.0, self.y(t): -float(self.offers[self.tiers[t].offer].packs)}
                    )
            else:
                row = {self.n(t): self.offers[self.tiers[t].offer].holds for t in mine}
                self._at_least(row, need.amount * (1 - 1e-10))

    def _choose(self) -> None:
        """At most one price of a pack, within its numbers, from a supplier that is ordered from."""
        names = [supplier.name for supplier in self.suppliers]
        for at, offer in enumerate(self.offers):
            mine = [t for t, tier in enumerate(self.tiers) if tier.offer == at]
            self._at_least({self.y(t): -1.0 for t in mine}, -1.0)
            supplier = self.z(names.index(offer.first.supplier))
            for t in mine:
                self._at_least({self.n(t): 1.0, self.y(t): -float(self.tiers[t].least)})
                self._at_least({self.n(t): -1.0, self.y(t): float(self.tiers[t].most)})
                self._at_least({supplier: 1.0, self.y(t): -1.0})

    def _goods(self, supplier: Supplier) -> dict[int, float]:
        return {
            self.n(t): float(tier.price)
            for t, tier in enumerate(self.tiers)
            if self.offers[tier.offer].first.supplier == supplier.name
        }

    def _charge(self) -> None:
        """The least order, and free delivery where the packs are worth enough."""
        for s, supplier in enumerate(self.suppliers):
            goods = self._goods(supplier)
            self._at_least({**goods, self.top_up(s): 1.0, self.z(s): -supplier.least_order})
            self._at_least({self.z(s): 1.0, self.free(s): -1.0})
            if supplier.free_delivery_from is not None:
                self._at_least({**goods, self.free(s): -supplier.free_delivery_from})

    def _costs(self) -> np.ndarray:
        """What each variable costs, and next to nothing for each pack."""
        tie = TIE / (1 + sum(tier.most for tier in self.tiers))
        costs = np.zeros(self.count)
        for t, tier in enumerate(self.tiers):
            costs[self.n(t)] = float(tier.price) + tie
        for s, supplier in enumerate(self.suppliers):
            costs[self.z(s)], costs[self.top_up(s)] = supplier.delivery_price, 1.0
            costs[self.free(s)] = -supplier.delivery_price
        return costs

    def _bounds(self) -> Bounds:
        high = np.ones(self.count)
        for t, tier in enumerate(self.tiers):
            high[self.n(t)] = tier.most
        for s, supplier in enumerate(self.suppliers):
            high[self.free(s)] = float(supplier.free_delivery_from is not None)
            high[self.top_up(s)] = supplier.least_order
        return Bounds(np.zeros(self.count), high)

    def solve(self) -> tuple[list[int], Decimal, bool]:
        """Packs of each offer, the bound that was proved, and whether it is reached."""
        whole = np.ones(self.count, dtype=np.int64)
        whole[self.top_up(0) :] = 0
        at = [(r, c, value) for r, row in enumerate(self.rows) for c, value in row.items()]
        rows, columns, values = zip(*at, strict=True)
        matrix = csr_array((values, (rows, columns)), shape=(len(self.rows), self.count))
        solved = milp(
            self._costs(),
            integrality=whole,
            bounds=self._bounds(),
            constraints=LinearConstraint(matrix, lb=np.array(self.low)),
            options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
        )
        if solved.x is None:
            raise TakeoffError(
                Mistake(
                    f"no order was found ({solved.message})",
                    "packs cover what the job takes",
                    "see that the packs' sizes and least numbers are right",
                    "order",
                )
            )
        counts = [0] * len(self.offers)
        for t, tier in enumerate(self.tiers):
            counts[tier.offer] += round(solved.x[self.n(t)])
        bound = float(solved.mip_dual_bound) - TIE
        return counts, decimal_of(round(max(bound, 0.0), 2)), solved.status == 0
