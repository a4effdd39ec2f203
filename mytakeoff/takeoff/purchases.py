"""What is bought is what is priced: needs as packs, each product from one supplier, and what those charge.

Nothing is searched for here: a product is bought as the job has chosen it, else in the pack listed first.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.job import catalogue
from mytakeoff.job.job import Job
from mytakeoff.job.mixing import whole
from mytakeoff.job.packs import Supplier
from mytakeoff.measure.line import SUNDRIES, Quantity, without_zeros
from mytakeoff.takeoff.needs import Need, is_bought
from mytakeoff.takeoff.offers import Offer, priced_offer
from mytakeoff.takeoff.takeoff import Takeoff
from mytakeoff.units import decimal_of, round_money

BY_PRICE_LIST = "by the price list"
LUMP_SUM = "lump sum"
NOTHING = Decimal(0)


@dataclass(frozen=True)
class Charge:
    """What one supplier charges beside the packs.

    Parameters
    ----------
    supplier : str
        "" for what is bought by the price list.
    goods : Decimal
        The packs [currency].
    delivery : Decimal
        [currency]
    up_to : Decimal
        What more is spent there to come up to the least order, or to free delivery where that is cheaper than
        paying for it [currency].
    loads : int
        By the price list's delivery, where the supplier has none of its own [-].
    weight_kg : float
        Of the packs whose weight is known, where they come by the load [kg].
    up_to_what : str
        What `up_to` comes up to.
    """

    supplier: str
    goods: Decimal
    delivery: Decimal = NOTHING
    up_to: Decimal = NOTHING
    loads: int = 0
    weight_kg: float = 0.0
    up_to_what: str = ""

    @property
    def total(self) -> Decimal:
        """All of it [currency]."""
        return self.goods + self.delivery + self.up_to

    @property
    def parts(self) -> tuple[tuple[str, Decimal], ...]:
        """What is charged beside the packs, each with its name."""
        parts = ((catalogue.DELIVERY, self.delivery), (f"extra, to {self.up_to_what}", self.up_to))
        return tuple((word, amount) for word, amount in parts if amount > 0)


@dataclass(frozen=True)
class Purchases:
    """What is bought, what its suppliers charge, and what is taken from stock."""

    bought: tuple[Offer, ...]
    charges: tuple[Charge, ...]
    from_stock: tuple[Offer, ...] = ()


def purchases(job: Job, needs: Sequence[Need]) -> Purchases:
    """What a job buys for its needs.

    Parameters
    ----------
    job : Job
        With its packs, prices and choices.
    needs : sequence of Need

    Raises
    ------
    TakeoffError
        Packs in a unit that a need is not counted in: all told at once.
    """
    check = Check("packs")
    offers = [offer for need in needs if (offer := priced_offer(job, need, check)) is not None]
    check.done()
    stock = tuple(offer for offer in offers if offer.need.item in job.buying.in_stock)
    bought = tuple(offer for offer in offers if offer not in stock and offer.packs > 0)
    return Purchases(bought, charges_of(job, bought), stock)


def charges_of(job: Job, bought: Iterable[Offer]) -> tuple[Charge, ...]:
    """What the suppliers of some packs charge, by their names."""
    by_supplier: dict[str, list[Offer]] = {}
    for offer in bought:
        by_supplier.setdefault(offer.pack.supplier, []).append(offer)
    return tuple(_charge(job, name, by_supplier[name]) for name in sorted(by_supplier))


def _charge(job: Job, name: str, bought: Sequence[Offer]) -> Charge:
    supplier, places = job.buying.supplier(name), job.money_places
    goods = sum((round_money(offer.amount, places) for offer in bought), NOTHING)
    if supplier is None:
        weight_kg = sum(offer.weight_kg for offer in bought)
        loads = whole(weight_kg / catalogue.LOAD_KG)
        return Charge(name, goods, round_money(loads * load_price(job), places), NOTHING, loads, weight_kg)
    delivery, up_to = (round_money(each, places) for each in cheaper_way(supplier, goods))
    what = "free delivery" if supplier.delivery_price > 0 and not delivery else "the least that is delivered"
    return Charge(name, goods, delivery, up_to, up_to_what=what)


def load_price(job: Job) -> Decimal:
    """One delivery by the price list [currency]."""
    return job.prices.of(catalogue.DELIVERY).price if catalogue.DELIVERY in job.prices else NOTHING


def cheaper_way(supplier: Supplier, goods: Decimal) -> tuple[Decimal, Decimal]:
    """Delivery, and what more is spent on goods, whichever way costs less.

    Parameters
    ----------
    supplier : Supplier
    goods : Decimal
        What is needed from it [currency].

    Returns
    -------
    tuple of Decimal
        Delivery, and what is missing to the least order or to free delivery [currency].

    Examples
    --------
    Goods for 90.00 where delivery is 15.00 and free from 100.00 on: 10.00 more in goods is cheaper.

    >>> cheaper_way(Supplier("near", 15.0, free_delivery_from=100.0), Decimal(90))
    (Decimal('0'), Decimal('10.0'))
    """
    least = max(decimal_of(supplier.least_order) - goods, NOTHING)
    paid = decimal_of(supplier.delivery_price), least
    if supplier.free_delivery_from is None:
        return paid
    free = NOTHING, max(decimal_of(supplier.free_delivery_from) - goods, least)
    return min(free, paid, key=sum)


def as_bought(job: Job, takeoff: Takeoff) -> Takeoff:
    """A takeoff with what is bought in the packs that are bought, at their prices, and its delivery.

    Parameters
    ----------
    job : Job
    takeoff : Takeoff

    Returns
    -------
    Takeoff
        One line for each product that is bought; all others as they are.

    Raises
    ------
    TakeoffError
        As `purchases`.
    """
    made = purchases(job, takeoff.needs)
    lines = {offer.need.item: _bought_line(job, offer) for offer in made.bought}
    lines |= {offer.need.item: _stock_line(job, offer) for offer in made.from_stock}
    found: list[Quantity] = []
    done: set[str] = set()
    for line in takeoff.quantities:
        if line.item not in lines or not is_bought(line, job):
            found.append(line)
        elif line.item not in done:
            done.add(line.item)
            found.append(replace(lines[line.item], group=line.group))
    found += (line for charge in made.charges for line in _charge_lines(job, charge))
    return replace(takeoff, quantities=tuple(found))


def pack_words(offer: Offer, formats: Formats) -> str:
    """How many of which pack: "15 × bag of 25 kg", or "3 × bag" where the unit is the pack."""
    return f"{offer.packs} × {unit_words(offer, formats)}"


def unit_words(offer: Offer, formats: Formats) -> str:
    """One pack: "tub of 5 kg", or its unit where that is the pack."""
    pack = offer.pack
    if pack.holds == 1 and pack.pack in (pack.unit, "pack"):
        return pack.unit
    return f"{pack.pack} of {amount_words(float(pack.holds), pack.unit, formats)}"


def amount_words(value: float, unit: str, formats: Formats) -> str:
    """An amount with its unit, to two decimals at most [-].

    Examples
    --------
    >>> amount_words(8.172, "m²", Formats()), amount_words(34, "piece", Formats())
    ('8.17 m²', '34 pieces')
    """
    shown = formats.short(round(value, 2) + 0.0)
    return f"{shown} pieces" if unit == "piece" and shown != "1" else f"{shown} {unit}"


def _bought_line(job: Job, offer: Offer) -> Quantity:
    """So many packs, and how the need leads to them."""
    formats, need = job.formats, offer.need
    over = f", {amount_words(offer.over, need.unit, formats)} over" if offer.over >= 0.005 else ""
    packs = f"{amount_words(need.amount, need.unit, formats)}: {pack_words(offer, formats)}{over}"
    words = [need.basis] if need.is_mix else [need.basis, packs]  # a mix says its bags itself
    if offer.packs > offer.enough:
        words.append(f"{offer.enough} would do, but fewer cost more or are not sold")
    if offer.pack not in job.packs.rows and need.item in job.packs:
        words.append(f"{BY_PRICE_LIST}, for packs.csv lists no {unit_words(offer, formats)}")
    words += [f"from {offer.pack.supplier}"] if offer.pack.supplier else []
    count, unit = Decimal(offer.packs), unit_words(offer, formats)
    return Quantity(need.item, need.item, count, unit, "; ".join(words), "", price=offer.price)


def _stock_line(job: Job, offer: Offer) -> Quantity:
    """What is used of something that the user keeps, at what it costs in its pack."""
    need, words = offer.need, f"from stock, at the price of a {unit_words(offer, job.formats)}"
    amount = without_zeros(round_money(decimal_of(need.amount), 2))
    price = without_zeros(round_money(offer.price / decimal_of(offer.holds), 6))
    return Quantity(need.item, need.item, amount, need.unit, f"{need.basis}; {words}", "", price=price)


def _charge_lines(job: Job, charge: Charge) -> Iterable[Quantity]:
    """Delivery of one supplier, and what is missing to what has to be ordered there."""
    formats, supplier = job.formats, job.buying.supplier(charge.supplier)
    if charge.loads:
        seller = f"from {charge.supplier}" if charge.supplier else BY_PRICE_LIST
        weight, load = formats.number(charge.weight_kg), formats.short(catalogue.LOAD_KG)
        words = f"{weight} kg {seller}, {load} kg a load"
        item, count = catalogue.DELIVERY, Decimal(charge.loads)
        label = f"{item}, {charge.supplier}" if charge.supplier else item
        yield Quantity(item, label, count, catalogue.UNITS[item], words, SUNDRIES)
    if supplier is None:
        return
    words = f"goods for {formats.money(charge.goods)}{_rules(supplier, formats)}"
    for word, amount in charge.parts:
        label = f"{word}, {charge.supplier}"
        yield Quantity("", label, Decimal(1), LUMP_SUM, words, SUNDRIES, price=amount)


def _rules(supplier: Supplier, formats: Formats) -> str:
    """What a supplier asks for, as it follows the goods."""
    least, free = supplier.least_order, supplier.free_delivery_from
    rules = [f"an order is {formats.money(decimal_of(least))} at least"] if least > 0 else []
    rules += [f"delivery is free from {formats.money(decimal_of(free))}"] if free is not None else []
    return "".join(f", {rule}" for rule in rules)
