"""What each wall and each room comes to: money that adds up to the cent, litres and square metres.

What walls have in common is there once, and shared out by one rule: the one that the client's rows follow, so
that both read the same of a wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.cost.client import WHOLE_JOB
from mytakeoff.cost.cost import TAX, Cost
from mytakeoff.treatment.wall_result import WallResult

if TYPE_CHECKING:
    import pandas as pd

RULE = (
    "The price before tax is shared among the walls by what each would cost by itself: delivery, whole bags, "
    "half days and margins, which they have in common, are in it once. What is finished in a room is priced "
    "apart."
)
COLUMNS = ("room", "wall", "area_m2", "litres", "amount", "currency", SHOWN_TO)


@dataclass(frozen=True)
class Share:
    """One wall, or a finished thing in a room, and what it comes to.

    Parameters
    ----------
    name : str
        Of the wall or thing.
    amount : Decimal
        Its part of the price before tax [currency].
    area_m2 : float
        Priced, 0 for a thing [m²].
    litres : float
        In place, with what lies between the readings [l].
    """

    name: str
    amount: Decimal
    area_m2: float = 0.0
    litres: float = 0.0


@dataclass(frozen=True)
class RoomShare:
    """A room and what stands in it; "" for what is in none.

    Parameters
    ----------
    name : str
    parts : tuple of Share
        Its walls and things [currency, m², l].
    """

    name: str
    parts: tuple[Share, ...]

    @property
    def amount(self) -> Decimal:
        """What it comes to before tax [currency]."""
        return sum((part.amount for part in self.parts), Decimal(0))

    @property
    def area_m2(self) -> float:
        """Priced [m²]."""
        return sum(part.area_m2 for part in self.parts)

    @property
    def litres(self) -> float:
        """In place, with what lies between the readings [l]."""
        return sum(part.litres for part in self.parts)


def by_room(cost: Cost, walls: Sequence[WallResult]) -> tuple[RoomShare, ...]:
    """What each wall and room comes to before tax.

    Parameters
    ----------
    cost : Cost
    walls : sequence of WallResult
        Those that are priced.

    Returns
    -------
    tuple of RoomShare
        In the order of the walls; a wall on which nothing is done comes to nothing. Their amounts add up to
        `cost.before_tax`.
    """
    bought = {row.wall: row for row in cost.client_rows if row.wall}
    found: dict[str, list[Share]] = {}
    for wall in walls:
        name, litres = wall.entry.name, wall.build_up.volume_l + wall.allowance_l
        amount = bought[name].amount if name in bought else Decimal(0)
        share = Share(name, amount, wall.build_up.area_m2, litres)
        found.setdefault(wall.entry.room, []).append(share)
    for row in cost.client_rows:
        if not row.wall and row.item != TAX and (row.amount or row.item != WHOLE_JOB):
            found.setdefault(row.room, []).append(Share(row.item, row.amount))
    return tuple(RoomShare(name, tuple(parts)) for name, parts in found.items())


def wall_frame(cost: Cost, walls: Sequence[WallResult]) -> pd.DataFrame:
    """The same as a table for a file, a row a wall or thing and last the tax; no row is a sum.

    Returns
    -------
    pandas.DataFrame
        Columns room, wall, area_m2, litres (None for a thing), amount (Decimal; they add up to `cost.total`),
        currency, shown_to.
    """
    import pandas as pd

    rows = [
        (room.name, part.name, round(part.area_m2, 2) if part.area_m2 else None,
         round(part.litres, 1) if part.area_m2 else None, part.amount, cost.currency, ESTIMATOR)
        for room in by_room(cost, walls) for part in room.parts
    ]  # fmt: skip
    rows.append(("", TAX, None, None, cost.tax, cost.currency, ESTIMATOR))
    return pd.DataFrame(rows, columns=list(COLUMNS))
