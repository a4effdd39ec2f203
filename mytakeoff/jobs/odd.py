"""Which jobs cost more or less a square metre than jobs of their thickness do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

LEAST_JOBS = 8  # of fewer nobody can tell which is odd; common practice, no source
FURTHER = 3.5  # times the usual distance: Iglewicz and Hoaglin 1993, see `price_line`
NORMAL_MAD = NormalDist().inv_cdf(0.75)  # 0.6745: what the median distance is of one standard deviation
ROUND_PLACES = 3  # of millimetres: two jobs that differ by less are of one thickness
WORTH_SHARE = 0.05  # of the middle price: nearer ones are not worth a word; common practice, no source


@dataclass(frozen=True)
class PricePoint:
    """A job on the chart.

    Parameters
    ----------
    name : str
    mean_mm : float
        Thickness over what is priced, 0 or more [mm].
    per_m2 : float
        Price with tax over the priced area [currency/m²].
    """

    name: str
    mean_mm: float
    per_m2: float


@dataclass(frozen=True)
class PriceLine:
    """What a square metre costs by its thickness, and which jobs stand far from that.

    Parameters
    ----------
    at_0 : float
        Price at no thickness [currency/m²].
    per_mm : float
        By how much a millimetre moves it [currency/(m²·mm)].
    usual : float
        Usual distance from the line, the median one ÷ 0.6745 [currency/m²].
    limit : float
        Distance from which on a job is odd [currency/m²].
    odd : tuple of PricePoint
        The furthest first.
    """

    at_0: float
    per_mm: float
    usual: float
    limit: float
    odd: tuple[PricePoint, ...]

    def at(self, mean_mm: float) -> float:
        """The line's price at a mean thickness [mm → currency/m²]."""
        return self.at_0 + self.per_mm * mean_mm


def price_line(points: Sequence[PricePoint]) -> PriceLine | None:
    """The line through jobs of one currency that a few odd ones do not move; None for under `LEAST_JOBS`.

    Parameters
    ----------
    points : sequence of PricePoint

    Notes
    -----
    The line is Theil's: its slope is the median of the slopes between any two jobs (H. Theil 1950; P. K. Sen
    1968), its height the median of what remains. With r the distance from it and
    MAD the median of |r|, a job is odd where ``0.6745 |r| / MAD > 3.5`` (B. Iglewicz and D. C. Hoaglin, *How
    to Detect and Handle Outliers*, ASQC 1993, section 3.3: the limit of their modified z-score, by a
    secondary copy) and where |r| is more than a twentieth of the middle price, so that nothing is named for
    cents where all other jobs lie on the line.

    Examples
    --------
    Eight jobs at 80 + 2 a mm, one of them 50 dearer:

    >>> points = [PricePoint(str(mm), mm, 80 + 2 * mm + (50 if mm == 14 else 0)) for mm in range(10, 18)]
    >>> line = price_line(points)
    >>> line.per_mm, line.at_0, [each.name for each in line.odd]
    (2.0, 80.0, ['14'])
    """
    if len(points) < LEAST_JOBS:
        return None
    mean_mm, per_m2 = (np.array(each) for each in zip(*((p.mean_mm, p.per_m2) for p in points), strict=True))
    per_mm = _slope(np.round(mean_mm, ROUND_PLACES), per_m2)
    at_0 = float(np.median(per_m2 - per_mm * mean_mm))
    far = np.abs(per_m2 - per_mm * mean_mm - at_0)
    usual = float(np.median(far)) / NORMAL_MAD
    limit = max(FURTHER * usual, WORTH_SHARE * float(np.median(per_m2)))
    odd = sorted(((distance, at) for at, distance in enumerate(far) if distance > limit), reverse=True)
    return PriceLine(at_0, per_mm, usual, limit, tuple(points[at] for _, at in odd))


def _slope(mean_mm: NDArray[np.float64], per_m2: NDArray[np.float64]) -> float:
    """Theil's slope; 0 where all are of one thickness.

    scipy's `theilslopes` gives the same, and warns of the confidence that it works out beside it wherever
    many jobs are of one thickness.
    """
    one, other = np.triu_indices(mean_mm.size, 1)
    across, up = mean_mm[other] - mean_mm[one], per_m2[other] - per_m2[one]
    apart = across != 0
    return float(np.median(up[apart] / across[apart])) if apart.any() else 0.0
