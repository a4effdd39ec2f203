"""What the user says about how sure the figures are to be, and what is taken for a likely wall."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from mytakeoff.errors import Check


@dataclass(frozen=True)
class LikelyWall:
    """What is taken for likely before anything is read (common practice, no source).

    Parameters
    ----------
    relief_mm : float
        How far a wall stands off its mean plane, as a standard deviation, more than 0 [mm].
    length_m : float
        Over what distance it does so, more than 0 [m].
    short_mm : float
        Roughness shorter than a hand, which no grid of readings shows, as a standard deviation [mm].
    reading_mm : float
        Error of a reading, that of whole millimetres included, as a standard deviation, more than 0 [mm].

    Raises
    ------
    TakeoffError
        A figure that is not more than 0.
    """

    relief_mm: float = 4.0
    length_m: float = 0.8
    short_mm: float = 1.0
    reading_mm: float = 0.6

    def __post_init__(self) -> None:
        check = Check("what is taken for a likely wall")
        for word, value, unit, usual in (
            ("relief", self.relief_mm, "mm", 4),
            ("length", self.length_m, "m", 0.8),
            ("short roughness", self.short_mm, "mm", 1),
            ("error of a reading", self.reading_mm, "mm", 0.6),
        ):
            check.that(
                0 < value < math.inf,
                f"{word} {value:g} {unit}",
                "it is more than 0",
                f"{usual} {unit} is usual",
            )
        check.done()


@dataclass(frozen=True)
class Confidence:
    """How sure the user wants to be, and what being wrong costs.

    Parameters
    ----------
    confidence_share : float
        Bags are ordered so that they last in so many jobs of one, more than 0 and under 1 (common practice,
        no source) [-].
    price_at_confidence : bool
        The allowance for missed high spots is what the readings leave open at that confidence, instead of the
        millimetres entered. Off unless chosen.
    unused_bag_share : float
        What a bag that is left over loses of its price, 0 to 1 (common practice, no source) [-].
    extra_trip_price : float or None
        What fetching more costs beyond the bags, in the job's currency, 0 or more [-]; None: the price of one
        delivery.
    likely : LikelyWall

    Raises
    ------
    TakeoffError
        A share or a price out of its range.

    Examples
    --------
    >>> Confidence().confidence_share
    0.9
    """

    confidence_share: float = 0.9
    price_at_confidence: bool = False
    unused_bag_share: float = 0.5
    extra_trip_price: float | None = None
    likely: LikelyWall = field(default_factory=LikelyWall)

    def __post_init__(self) -> None:
        check = Check("how sure")
        check.that(
            0 < self.confidence_share < 1,
            f"confidence {self.confidence_share:.0%}",
            "it is more than 0 % and under 100 %: nothing is certain",
            "0.9 is usual",
        )
        check.that(
            0 <= self.unused_bag_share <= 1 and 0 <= (self.extra_trip_price or 0.0) < math.inf,
            f"{self.unused_bag_share:.0%} of an unused bag, {self.extra_trip_price or 0:g} for a trip",
            "a bag left over loses 0 to 100 % of its price, a trip costs 0 or more",
            "ask the merchant what is taken back",
        )
        check.done()
