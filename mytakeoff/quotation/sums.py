"""Net, tax and with tax, room by room, so that they add up to the total to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from mytakeoff.cost.client import ClientRow
from mytakeoff.cost.cost import TAX, Cost
from mytakeoff.units import decimal_of, round_money

ALL_ROOMS = "all rooms"


@dataclass(frozen=True)
class RoomSum:
    """What one room comes to: its rows before tax, the tax on them, both together."""

    room: str
    rows: tuple[ClientRow, ...]
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        """With tax."""
        return self.net + self.tax


def room_sums(cost: Cost, tax_share: float) -> tuple[RoomSum, ...]:
    """The rooms of the client's table, in its order.

    Parameters
    ----------
    cost : Cost
    tax_share : float
        0 or more [-].

    Notes
    -----
    A room's tax is what the tax grows by with it, as the rooms are added up: so the rooms' taxes add up to
    the tax of the whole to the cent, and a spreadsheet can work them out so.

    Examples
    --------
    Three rooms of 0.33 at 20 %: 0.07 of 0.33, 0.13 of 0.66, 0.20 of 0.99.

    >>> rows = tuple(ClientRow("work", room, Decimal("0.33")) for room in "abc")
    >>> [str(each) for each in taxes([row.amount for row in rows], 0.2, 2)]
    ['0.07', '0.06', '0.07']
    """
    rooms: dict[str, list[ClientRow]] = {}
    for row in cost.client_rows:
        if row.item != TAX:
            rooms.setdefault(row.room, []).append(row)
    nets = [sum((row.amount for row in rows), Decimal(0)) for rows in rooms.values()]
    parts = zip(rooms.items(), nets, taxes(nets, tax_share, cost.money_places), strict=True)
    return tuple(RoomSum(room or ALL_ROOMS, tuple(rows), net, tax) for (room, rows), net, tax in parts)


def taxes(nets: Sequence[Decimal], tax_share: float, places: int) -> list[Decimal]:
    """What the tax grows by with each amount [currency]; see `room_sums`. `tax_share` [-], `places` [-]."""
    share, so_far, taxed, found = decimal_of(tax_share), Decimal(0), Decimal(0), []
    for net in nets:
        so_far += net
        whole = round_money(so_far * share, places)
        found.append(whole - taxed)
        taxed = whole
    return found
