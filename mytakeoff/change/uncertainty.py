"""Standard uncertainties put together, and the factor that makes an interval of them.

References
----------
JCGM 100:2008, "Evaluation of measurement data - Guide to the expression of uncertainty in measurement" (from
memory): 5.1.2 parts that hang on nothing in common add by their squares; G.4.1, formula G.2b (Welch and
Satterthwaite), the degrees of freedom of what they make; G.6.4 the factor from Student's t, the degrees cut
to a whole number; 6.2.1 the expanded uncertainty is the factor times the standard one; 4.3.7 of limits that
are as likely as all between them the standard deviation is half their distance over √3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, inf, isfinite, sqrt

import numpy as np
from scipy.stats import t as student

SURE_SHARE = 0.95  # of such intervals that hold what was measured


@dataclass(frozen=True)
class Part:
    """One thing that a result may be off by.

    Parameters
    ----------
    name : str
        What it comes of.
    standard : float
        As a standard deviation of the result [the result's unit].
    freedom : float
        Degrees of freedom that this standard deviation is known by; infinite where it is given [-].
    """

    name: str
    standard: float
    freedom: float = inf


@dataclass(frozen=True)
class Combined:
    """All parts together.

    Parameters
    ----------
    standard : float
        As a standard deviation [the result's unit].
    freedom : float
        Its degrees of freedom [-].
    factor : float
        From it to the expanded uncertainty [-].
    """

    standard: float
    freedom: float
    factor: float

    @property
    def expanded(self) -> float:
        """Half the width of the interval [the result's unit]."""
        return self.factor * self.standard


def combined(parts: Sequence[Part], sure_share: float = SURE_SHARE) -> Combined:
    """Parts that have nothing in common, put together.

    Parameters
    ----------
    parts : sequence of Part
    sure_share : float
        Of intervals that hold what was measured, between 0 and 1 [-].

    Examples
    --------
    Two parts of 3 and 4 make 5; known for sure, 95 of 100 lie within 1.96 times that.

    >>> both = combined([Part("readings", 3.0), Part("fixed places", 4.0)])
    >>> both.standard, round(both.expanded, 2)
    (5.0, 9.8)
    """
    standard = sqrt(sum(part.standard**2 for part in parts))
    known_by = sum(part.standard**4 / part.freedom for part in parts if part.standard > 0)
    freedom = standard**4 / known_by if known_by > 0 else inf
    whole = max(1, floor(freedom + 1e-9)) if isfinite(freedom) else np.inf
    return Combined(standard, freedom, float(student.ppf((1.0 + sure_share) / 2.0, whole)))
