"""What one line of the cost table comes to where some things were as they really were, others as priced."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from mytakeoff.account.shapley import parts_in_order, shapley_parts
from mytakeoff.units import decimal_of, round_money, rounded_together

THICKNESS, DENSITY, WASTE = "thickness", "density", "waste"
QUANTITIES, HOURS, TRIPS, PRICES = "quantities", "hours", "return trips", "prices"
CAUSES = (THICKNESS, DENSITY, WASTE, QUANTITIES, HOURS, TRIPS, PRICES)
NOTHING = Decimal(0)


@dataclass(frozen=True)
class Powder:
    """What makes the packs of a mix: as priced, and as it was.

    Parameters
    ----------
    litres, kg_per_l, waste_share : (float, float)
        In place [l], powder for each [kg/l], what was mixed on top [-].
    unit_kg : float
        In one of what is counted [kg].
    """

    litres: tuple[float, float]
    kg_per_l: tuple[float, float]
    waste_share: tuple[float, float]
    unit_kg: float

    def packs(self, taken: frozenset[str]) -> Decimal:
        """Packs where those causes were as they were, the others as priced [-]."""
        litres, kg_per_l = self.litres[THICKNESS in taken], self.kg_per_l[DENSITY in taken]
        return decimal_of(litres * kg_per_l * (1 + self.waste_share[WASTE in taken]) / self.unit_kg)


@dataclass(frozen=True)
class LineWorth:
    """A line of the account: ``price × quantity + charge``, each as it was priced or as it was.

    Parameters
    ----------
    prices : (Decimal, Decimal)
        Of one unit, as priced and as paid on average [currency].
    quantities : (Decimal, Decimal)
        As priced, and as it would be priced for the thickness that was measured [-].
    really : Decimal
        As it was [-].
    charge : Decimal
        What was really paid beyond price × quantity: kept of what was brought back, rounding [currency].
    cause : str
        What a quantity that is not that of the thickness is put down to.
    powder : Powder or None
        Where the quantity is that of a mix.
    places : int
        Decimal places of the currency [-].
    """

    prices: tuple[Decimal, Decimal]
    quantities: tuple[Decimal, Decimal]
    really: Decimal
    charge: Decimal = NOTHING
    cause: str = QUANTITIES
    powder: Powder | None = None
    places: int = 2

    def at(self, taken: frozenset[str]) -> Decimal:
        """What the line comes to where those causes were as they were [currency]."""
        charge = self.charge if self.cause in taken else NOTHING
        return round_money(self.prices[PRICES in taken] * self._quantity(taken) + charge, self.places)

    def _quantity(self, taken: frozenset[str]) -> Decimal:
        if self.powder is None:
            base = self.quantities[THICKNESS in taken]
            return base + (self.really - self.quantities[1] if self.cause in taken else NOTHING)
        over = (
            self.really - self.powder.packs(frozenset(CAUSES))
            if self.cause in taken
            else self.quantities[0] - self.powder.packs(frozenset())
        )
        return self.powder.packs(taken) + over

    @property
    def priced(self) -> Decimal:
        """As it was agreed [currency]."""
        return self.at(frozenset())

    @property
    def spent(self) -> Decimal:
        """As it was [currency]."""
        return self.at(frozenset(CAUSES))

    @cached_property
    def parts(self) -> dict[str, Decimal]:
        """What each cause made of the difference, over all orders; adds up to it to the cent [currency]."""
        moving = [cause for cause in CAUSES if self._moves(cause)]
        exact = shapley_parts(moving, self.at)
        decimals = [Decimal(part.numerator) / Decimal(part.denominator) for part in exact.values()]
        rounded = rounded_together(decimals, self.spent - self.priced, self.places) if moving else ()
        return dict(zip(moving, rounded, strict=True))

    def in_order(self, order: tuple[str, ...]) -> dict[str, Decimal]:
        """What each cause adds where they are told in that order [currency]."""
        return parts_in_order(order, self.at)

    def _moves(self, cause: str) -> bool:
        """Whether a cause may move this line at all: one that cannot has no part in it in any order."""
        powder = self.powder
        if cause == THICKNESS:
            two = powder.litres if powder else self.quantities
            return two[0] != two[1]
        if cause == DENSITY:
            return powder is not None and powder.kg_per_l[0] != powder.kg_per_l[1]
        if cause == WASTE:
            return powder is not None and powder.waste_share[0] != powder.waste_share[1]
        return self.prices[0] != self.prices[1] if cause == PRICES else cause == self.cause
