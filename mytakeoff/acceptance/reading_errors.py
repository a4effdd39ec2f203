"""How exact a finished wall was read."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check

ReadTo = Annotated[float, Within(0.0, 20.0, above=True, usual="0.6 mm is usual")]
WedgeTo = Annotated[float, Within(0.0, 20.0, above=True, usual="0.3 mm is usual")]
PlumbTo = Annotated[float, Within(0.0, 20.0, usual="0.2 mm/m is usual with a laser")]


@dataclass(frozen=True)
class ReadingErrors:
    """Standard uncertainties of what a finished wall was read with (common practice, no source).

    Parameters
    ----------
    reading_mm : float
        Of one reading by hand off a plane, whole millimetres included, more than 0. A scan brings its own
        [mm].
    wedge_mm : float
        Of a gap under a straightedge by wedge or feeler, more than 0: half a millimetre either way, all of it
        equally likely, is ``0.5 / √3`` (JCGM 100:2008, 4.3.7) [mm].
    plumb_mm_per_m : float
        Of the plumb plane itself, 0 or more: an instrument that is good to 0.3 mm on a metre either way; no
        number of readings averages it out [mm/m].

    Raises
    ------
    TakeoffError
        A figure out of its range.

    Examples
    --------
    >>> ReadingErrors(reading_mm=1.0).plumb_mm_per_m
    0.2
    """

    reading_mm: ReadTo = 0.6
    wedge_mm: WedgeTo = 0.3
    plumb_mm_per_m: PlumbTo = 0.2

    def __post_init__(self) -> None:
        check = Check("how exact it was read")
        check_numbers(self, check)
        check.done()


def standard_of(either_way: float) -> float:
    """Standard uncertainty of what is known to lie within so much either way, and no more [same unit].

    References
    ----------
    JCGM 100:2008, 4.3.7 (from memory): ``a / √3`` for a rectangular distribution of half-width a.

    Examples
    --------
    >>> round(standard_of(2.0), 3)
    1.155
    """
    return either_way / math.sqrt(3.0)
