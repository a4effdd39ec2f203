"""How sure the figures are to be, what is taken for a likely wall, and what was worked out from both."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Check

SHORT_MOST_M, NIBS_MOST_PER_M2, NIB_MOST_MM = 0.5, 20.0, 50.0


def check_usual(check: Check, word: str, value: float | None, most: float, unit: str = "") -> None:
    """Note a figure that is not from 0 to the most it may be [unit]; None is the background's."""
    check.that(
        value is None or 0 <= value <= most,
        f"{word} {value or 0:g}{unit}",
        f"it is from 0 to {most:g}{unit}",
        "leave it out for what is usual on the wall's background",
    )


def check_nibs(check: Check, per_m2: float | None, height_mm: float | None) -> None:
    """Note a number of nibs on a square metre, or a height of theirs [mm], that no wall has."""
    check_usual(check, "nibs", per_m2, NIBS_MOST_PER_M2, " a m²")
    check_usual(check, "height of a nib", height_mm, NIB_MOST_MM, " mm")


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
    short_share : float or None
        Part of the short roughness that stands up: 1 where it is grain, less where it is joints, 0 to 1 [-].
    short_m : float or None
        Over what distance the short roughness is alike: waves left by a float; 0 where each place is for
        itself, 0 to 0.5 [m].
    nibs_per_m2 : float or None
        Small high spots that no grid of readings finds, on average on a square metre, 0 to 20 [1/m²].
    nib_mm : float or None
        Their usual height, as a median, 0 to 50 [mm].

    Notes
    -----
    None stands for what is usual on the wall's background (`likely_on`).

    Raises
    ------
    TakeoffError
        A figure out of its range.
    """

    relief_mm: float = 4.0
    length_m: float = 0.8
    short_mm: float = 1.0
    reading_mm: float = 0.6
    short_share: float | None = None
    short_m: float | None = None
    nibs_per_m2: float | None = None
    nib_mm: float | None = None

    def __post_init__(self) -> None:
        check = Check("what is taken for a likely wall")
        check_usual(check, "part of the short roughness", self.short_share, 1.0)
        check_usual(check, "length of the short roughness", self.short_m, SHORT_MOST_M, " m")
        check_nibs(check, self.nibs_per_m2, self.nib_mm)
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
        What is priced and ordered is enough in so many jobs of one, more than 0 and under 1 (common practice,
        no source: 0.8) [-].
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
    0.8
    """

    confidence_share: float = 0.8
    unused_bag_share: float = 0.5
    extra_trip_price: float | None = None
    likely: LikelyWall = field(default_factory=LikelyWall)

    def __post_init__(self) -> None:
        check = Check("how sure")
        check.that(
            0 < self.confidence_share < 1,
            f"confidence {self.confidence_share:.0%}",
            "it is more than 0 % and under 100 %: nothing is certain",
            "0.8 is usual",
        )
        check.that(
            0 <= self.unused_bag_share <= 1 and 0 <= (self.extra_trip_price or 0.0) < math.inf,
            f"{self.unused_bag_share:.0%} of an unused bag, {self.extra_trip_price or 0:g} for a trip",
            "a bag left over loses 0 to 100 % of its price, a trip costs 0 or more",
            "ask the merchant what is taken back",
        )
        check.done()


@dataclass(frozen=True)
class LeftOpen:
    """What lies between one wall's readings, where it is treated in one way.

    Parameters
    ----------
    wall : str
        Its name.
    way : str
        How it is treated.
    fingerprint : str
        Of the survey, the rule and the way that it belongs to.
    more_l : tuple of float
        Litres beyond those on the face through the readings that evenly spaced shares of such walls stay
        within, the first none of them, the last all; one figure where the readings leave nothing open [l].
    """

    wall: str
    way: str
    fingerprint: str
    more_l: tuple[float, ...]

    def at(self, shares: Sequence[float] | NDArray[np.float64]) -> NDArray[np.float64]:
        """Litres beyond those through the readings that shares [-] of such walls stay within [l].

        Examples
        --------
        >>> LeftOpen("A", "float plumb", "", (0.0, 4.0, 10.0)).at([0.25, 0.5]).tolist()
        [2.0, 4.0]
        """
        return np.asarray(np.interp(shares, np.linspace(0.0, 1.0, len(self.more_l)), self.more_l))


KEPT_EACH = 12  # positions of a slider that are remembered for a wall and a way


@dataclass(frozen=True)
class WorkedOut:
    """What was worked out for a job's walls and ways, so that it need not be again.

    Parameters
    ----------
    walls : tuple of LeftOpen
        The last one learnt stands last.
    held : bool
        A screen's own, while a hand moves something: what is not known is not worked out; the last known
        figure of that wall and way stands for it, or the marked default, and the result says so.
    """

    walls: tuple[LeftOpen, ...] = ()
    held: bool = False

    def known(self, fingerprint: str) -> LeftOpen | None:
        """What belongs to a fingerprint, if it is known."""
        return next((each for each in self.walls if each.fingerprint == fingerprint), None)

    def last(self, wall: str, way: str) -> LeftOpen | None:
        """What was known last of a wall in one way."""
        return next((each for each in reversed(self.walls) if (each.wall, each.way) == (wall, way)), None)

    def learnt(self, found: Iterable[LeftOpen], most: int = KEPT_EACH) -> WorkedOut:
        """With what was found; of each wall and way so many of the latest are kept [-].

        Examples
        --------
        >>> once = WorkedOut().learnt([LeftOpen("a", "patch", "f", (0.0,))])
        >>> once.learnt([LeftOpen("a", "patch", "g", (1.0,))], most=1).walls[0].fingerprint
        'g'
        """
        latest = {each.fingerprint: each for each in self.walls}
        for each in found:
            latest.pop(each.fingerprint, None)
            latest[each.fingerprint] = each
        kept: list[LeftOpen] = []
        count: Counter[tuple[str, str]] = Counter()
        for each in reversed(latest.values()):
            count[each.wall, each.way] += 1
            if count[each.wall, each.way] <= most:
                kept.append(each)
        return replace(self, walls=tuple(reversed(kept)))
