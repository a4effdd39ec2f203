"""A range as three figures: what one case in ten, half, and nine in ten stay within."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from mytakeoff.simulation.planes_over_faces import quantile
from mytakeoff.survey.survey import Floats
from mytakeoff.units import decimal_of, round_money


@dataclass(frozen=True)
class Band:
    """Values that one case in ten, half, and nine in ten stay within; in the unit of what is named [-]."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, values: Floats, weights: Floats | None = None) -> Band:
        """10, 50 and 90 % of values, all of the same weight unless told otherwise [-].

        Examples
        --------
        >>> Band.of(np.array([1.0, 2.0, 3.0])).middle
        2.0
        """
        weights = np.full(values.size, 1.0 / values.size) if weights is None else weights
        low, middle, high = (quantile(values, weights, share) for share in (0.1, 0.5, 0.9))
        return cls(low, middle, high)

    def rounded(self, places: int) -> tuple[Decimal, Decimal, Decimal]:
        """The three figures to so many decimals, half up [-].

        Examples
        --------
        >>> [str(figure) for figure in Band(1.25, 2.0, 3.04).rounded(1)]
        ['1.3', '2.0', '3.0']
        """
        low, middle, high = (
            round_money(decimal_of(value), places) for value in (self.low, self.middle, self.high)
        )
        return low, middle, high


@dataclass(frozen=True)
class PricedBand:
    """Litres with their range.

    Parameters
    ----------
    name : str
        Of the wall.
    measured_l : float
        Through its readings [l].
    likely : Band
        [l]
    priced_l : float
        [l]
    """

    name: str
    measured_l: float
    likely: Band
    priced_l: float

    @property
    def beyond(self) -> tuple[float, float, float, float]:
        """Low, middle and high end and what is priced, each beyond what the readings say [l].

        Examples
        --------
        >>> PricedBand("A", 160.0, Band(168.0, 174.0, 183.0), 176.0).beyond
        (8.0, 14.0, 23.0, 16.0)
        """
        low, middle, high = self.likely.low, self.likely.middle, self.likely.high
        off = self.measured_l
        return low - off, middle - off, high - off, self.priced_l - off
