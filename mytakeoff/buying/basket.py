"""The cheapest supplier and pack for each product: a whole-number programme, solved exactly.

Price breaks, the least number of packs, charges for delivery, a least order and free delivery from an order
value on all take part at once, so that a dearer pack from a supplier who comes anyway can win.

Notes
-----
Each product is bought in one pack from one supplier, as many as it takes: so what is found can be put into
the job, and the price then says the same. What is found is priced anew in `Decimal`, without the programme.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job import catalogue
from mytakeoff.job.job import Job
from mytakeoff.job.packs import Supplier
from mytakeoff.takeoff.offers import Offer
from mytakeoff.takeoff.purchases import Charge, charges_of, load_price
from mytakeoff.units import decimal_of

MOST_NODES = 5000  # of the search tree: a bound on work, so that a busy machine gives the same order
TIE = 1e-3  # under half a cent over the whole order: of equally dear orders the one with fewest packs
CACHE_SIZE = 64


@dataclass(frozen=True)
class Basket:
    """What is bought, and that nothing cheaper meets the needs.

    Parameters
    ----------
    bought : tuple of Offer
        By supplier, then in the order of the needs.
    charges : tuple of Charge
        One for each supplier that something is bought from.
    at_least : Decimal or None
        No order that meets the needs costs less than this; None where nothing was searched for [currency].
    exact : bool
        Whether it is proved that nothing cheaper does; else it is the best found within a bound on work.
    """

    bought: tuple[Offer, ...]
    charges: tuple[Charge, ...]
    at_least: Decimal | None = None
    exact: bool = False

    @property
    def total(self) -> Decimal:
        """All of it, before tax [currency]."""
        return sum((charge.total for charge in self.charges), Decimal(0))


def basket_of(
    job: Job, bought: Sequence[Offer], at_least: Decimal | None = None, exact: bool = False
) -> Basket:
    """What is bought, with what its suppliers charge beside it."""
    by_supplier = tuple(sorted(bought, key=lambda offer: offer.pack.supplier))
    return Basket(by_supplier, charges_of(job, bought), at_least, exact)


def cheapest_basket(job: Job, offers: tuple[Offer, ...]) -> Basket:
    """The cheapest way to meet the needs of some offers, with one of them each.

    Parameters
    ----------
    job : Job
        For what its suppliers charge.
    offers : tuple of Offer
        Every pack that may be bought.

    Returns
    -------
    Basket

    Raises
    ------
    TakeoffError
        Nothing was found within a bound on work.
    """
    wanted = tuple(offer for offer in offers if offer.packs > 0)
    if not wanted:
        return Basket((), (), Decimal(0), True)
    return basket_of(job, *_solved(wanted, job.buying.suppliers, float(load_price(job))))


@lru_cache(maxsize=CACHE_SIZE)
def _solved(
    offers: tuple[Offer, ...], suppliers: tuple[Supplier, ...], load_price: float
) -> tuple[tuple[Offer, ...], Decimal, bool]:
    """The offers that are taken, the bound that was proved [currency], and whether it is reached."""
    return _Model(offers, suppliers, load_price).solve()


class _Model:
    """Variables: a choice for each offer; for each supplier a choice, free delivery, a top-up and loads."""

    def __init__(self, offers: Sequence[Offer], suppliers: Sequence[Supplier], load_price: float) -> None:
        listed = {supplier.name: supplier for supplier in suppliers}
        self.offers, self.load_price = offers, load_price
        self.names = sorted({offer.pack.supplier for offer in offers})
        self.suppliers = [listed.get(name) for name in self.names]
        self.count = len(offers) + 4 * len(self.names)
        self.rows: list[dict[int, float]] = []
        self.low: list[float] = []
        self._choose()
        self._charge()

    # -- places of a supplier's variables: whether it comes, free delivery, a top-up, loads by the price list

    def comes(self, supplier: int) -> int:
        return len(self.offers) + supplier

    def free(self, supplier: int) -> int:
        return self.comes(supplier) + len(self.names)

    def top_up(self, supplier: int) -> int:
        return self.free(supplier) + len(self.names)

    def loads(self, supplier: int) -> int:
        return self.top_up(supplier) + len(self.names)

    def _at_least(self, row: dict[int, float], low: float = 0.0) -> None:
        self.rows.append(row)
        self.low.append(low)

    def _choose(self) -> None:
        """Each need is met by one offer, from a supplier that comes."""
        for need in dict.fromkeys(offer.need for offer in self.offers):
            mine = [at for at, offer in enumerate(self.offers) if offer.need == need]
            self._at_least(dict.fromkeys(mine, 1.0), 1.0)
            self._at_least(dict.fromkeys(mine, -1.0), -1.0)
        for at, offer in enumerate(self.offers):
            self._at_least({self.comes(self.names.index(offer.pack.supplier)): 1.0, at: -1.0})

    def _of(self, name: str) -> dict[int, Offer]:
        return {at: offer for at, offer in enumerate(self.offers) if offer.pack.supplier == name}

    def _charge(self) -> None:
        """The least order, free delivery where the order is worth enough, loads by the price list."""
        for s, (name, supplier) in enumerate(zip(self.names, self.suppliers, strict=True)):
            mine = self._of(name)
            goods = {at: float(offer.amount) for at, offer in mine.items()}
            self._at_least({self.comes(s): 1.0, self.free(s): -1.0})
            if supplier is None:
                weights = {at: -offer.weight_kg for at, offer in mine.items()}
                self._at_least({**weights, self.loads(s): catalogue.LOAD_KG})
                continue
            self._at_least({**goods, self.top_up(s): 1.0, self.comes(s): -supplier.least_order})
            if supplier.free_delivery_from is not None:
                self._at_least({**goods, self.top_up(s): 1.0, self.free(s): -supplier.free_delivery_from})

    def _costs(self) -> np.ndarray:
        """What each variable costs, and next to nothing for each pack."""
        tie = TIE / (1 + sum(offer.packs for offer in self.offers))
        costs = np.zeros(self.count)
        costs[: len(self.offers)] = [float(offer.amount) + tie * offer.packs for offer in self.offers]
        for s, supplier in enumerate(self.suppliers):
            costs[self.top_up(s)] = 1.0
            costs[self.loads(s)] = self.load_price
            if supplier is not None:
                costs[self.comes(s)], costs[self.free(s)] = supplier.delivery_price, -supplier.delivery_price
        return costs

    def _bounds(self) -> Bounds:
        high = np.ones(self.count)
        for s, supplier in enumerate(self.suppliers):
            high[self.free(s)] = float(supplier is not None and supplier.free_delivery_from is not None)
            high[self.top_up(s)] = high[self.loads(s)] = np.inf
        return Bounds(np.zeros(self.count), high)

    def solve(self) -> tuple[tuple[Offer, ...], Decimal, bool]:
        """As `_solved`."""
        whole = np.ones(self.count, dtype=np.int64)
        whole[self.top_up(0) : self.loads(0)] = 0
        at = [(r, c, value) for r, row in enumerate(self.rows) for c, value in row.items()]
        rows, columns, values = zip(*at, strict=True)
        places = np.array([rows, columns], dtype=np.int32)  # scipy 1.13 hands the solver no wider ones
        matrix = csr_array((values, tuple(places)), shape=(len(self.rows), self.count))
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
                    "packs meet what the job takes",
                    "see that the packs' sizes and least numbers are right",
                    "order",
                )
            )
        taken = tuple(offer for at, offer in enumerate(self.offers) if solved.x[at] > 0.5)
        bound = float(solved.mip_dual_bound) - TIE
        return taken, decimal_of(round(max(bound, 0.0), 2)), solved.status == 0
