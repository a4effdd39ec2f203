"""What really happened on a finished job, as the user wrote it down."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from mytakeoff.bounds import MOST_PRICE, Money, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.taped_width import TapedWidth

Many = Annotated[float, Within(0.0, 1e6, usual="count it as the cost table does")]
Agreed = Annotated[float, Within(-MOST_PRICE, MOST_PRICE, usual="below 0 for what was left out")]
Spent = Annotated[float, Within(0.0, 10_000.0, usual="add up the hours of all hands")]


@dataclass(frozen=True)
class Delivered:
    """A product that came to the site, counted as its line of the cost table is: by the bag, roll or kg.

    Parameters
    ----------
    item : str
        As the price list names it.
    delivered : float
        In the line's unit, 0 or more [-].
    day : date or None
    brought_back : float
        Of the product, no more than came [-].
    used : float or None
        What was used of it; None: what came and was not brought back [-].
    wasted : float or None
        Of what was used, what did not stay on the wall; None: nobody looked [-].
    price : float or None
        Really paid for one; None: as priced [currency].
    credit : float or None
        Really paid back for all that was brought back; None: its price less what the job's `restocking_share`
        keeps [currency].

    Raises
    ------
    TakeoffError
        Every figure out of its range.
    """

    item: str
    delivered: Many
    day: date | None = None
    brought_back: Many = 0.0
    used: Many | None = None
    wasted: Many | None = None
    price: Money | None = None
    credit: Money | None = None

    def __post_init__(self) -> None:
        check = Check(f"delivery of {self.item!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class HoursSpent:
    """Hours of all hands at one task on one day.

    Parameters
    ----------
    task : str
        As the cost table names it: "float backing", "labourer".
    hours : float
        0 or more [h].
    day : date or None
    price : float or None
        Really paid for an hour; None: as priced [currency].
    """

    task: str
    hours: Spent
    day: date | None = None
    price: Money | None = None

    def __post_init__(self) -> None:
        check = Check(f"hours of {self.task!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class AgreedVariation:
    """Work that was agreed on top of the price, or left out of it.

    Parameters
    ----------
    words : str
        What was agreed.
    amount : float
        Before tax, below 0 for what was left out [currency].
    day : date or None
    """

    words: str
    amount: Agreed
    day: date | None = None

    def __post_init__(self) -> None:
        check = Check(f"variation {self.words!r}")
        check_numbers(self, check)
        check.that(bool(self.words.strip()), "no words", "a variation says what was agreed", "write it down")
        check.done()


@dataclass(frozen=True)
class ReturnTrip:
    """A trip that the programme did not have.

    Parameters
    ----------
    why : str
    hours : float
        Of a plasterer on the way and there, where they are not among the hours by task [h].
    amount : float
        What else it cost [currency].
    day : date or None
    """

    why: str = ""
    hours: Spent = 0.0
    amount: Money = 0.0
    day: date | None = None

    def __post_init__(self) -> None:
        check = Check(f"trip {self.why!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class Finished:
    """All that was written down of a finished job. What was not counts as priced, and is told.

    Parameters
    ----------
    deliveries : tuple of Delivered
    hours : tuple of HoursSpent
    variations : tuple of AgreedVariation
    trips : tuple of ReturnTrip
    walls : tuple of FinishedWall
    clear_widths : tuple of TapedWidth
    """

    deliveries: tuple[Delivered, ...] = ()
    hours: tuple[HoursSpent, ...] = ()
    variations: tuple[AgreedVariation, ...] = ()
    trips: tuple[ReturnTrip, ...] = ()
    walls: tuple[FinishedWall, ...] = ()
    clear_widths: tuple[TapedWidth, ...] = ()
