"""How sure the figures are to be, what is taken for a likely wall, and what was worked out from both."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from mytakeoff.bounds import Money, Share, Within, check_numbers
from mytakeoff.errors import Check

OR_LEFT_OUT = "leave it out for what is usual on the wall's background"
StandsUp = Annotated[float, Within(0.0, 1.0, usual=OR_LEFT_OUT)]
Alike = Annotated[float, Within(0.0, 0.5, usual=OR_LEFT_OUT)]
Nibs = Annotated[float, Within(0.0, 20.0, usual=OR_LEFT_OUT)]
NibHeight = Annotated[float, Within(0.0, 50.0, usual=OR_LEFT_OUT)]


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

    relief_mm: Annotated[float, Within(0.01, 500.0, usual="4 mm is usual")] = 4.0
    length_m: Annotated[float, Within(0.01, 20.0, usual="0.8 m is usual")] = 0.8
    short_mm: Annotated[float, Within(0.0001, 100.0, usual="1 mm is usual")] = 1.0
    reading_mm: Annotated[float, Within(0.0, 100.0, above=True, usual="0.6 mm is usual")] = 0.6
    short_share: StandsUp | None = None
    short_m: Alike | None = None
    nibs_per_m2: Nibs | None = None
    nib_mm: NibHeight | None = None

    def __post_init__(self) -> None:
        check = Check("what is taken for a likely wall")
        check_numbers(self, check)
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
    strayed_ratio : float
        How far places that are not read stray from what is said of them, as a ratio of standard deviations,
        0.2 to 5; 1 unless finished walls showed otherwise [-].

    Raises
    ------
    TakeoffError
        A share or a price out of its range.

    Examples
    --------
    >>> Confidence().confidence_share
    0.8
    """

    confidence_share: Annotated[float, Within(0.0, 1.0, above=True, under=True, usual="0.8 is usual")] = 0.8
    unused_bag_share: Share = 0.5
    extra_trip_price: Money | None = None
    likely: LikelyWall = field(default_factory=LikelyWall)
    strayed_ratio: Annotated[float, Within(0.2, 5.0, usual="1 unless your finished walls show it")] = 1.0

    def __post_init__(self) -> None:
        check = Check("how sure")
        check_numbers(self, check)
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
    more_l: tuple[Annotated[float, Within(-1e6, 1e6)], ...]

    def __post_init__(self) -> None:
        check = Check(f"what was worked out for wall {self.wall!r}")
        check_numbers(self, check)
        check.done()

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
