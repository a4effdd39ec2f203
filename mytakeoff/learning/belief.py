"""What is believed of a figure: distributions that are updated in closed form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincinv, gammaln, stdtrit

from mytakeoff.survey.survey import Floats


@dataclass(frozen=True)
class RatioBelief:
    """A figure above 0 whose logarithm is normal from job to job, with mean and spread both unknown.

    Parameters
    ----------
    log_mean : float
        Of ``ln(value + plus)`` [-].
    strength : float
        How many jobs the mean is worth, more than 0 [-].
    freedom : float
        How many jobs the spread is worth, more than 0 [-].
    spread : float
        Standard deviation of the logarithm from job to job, more than 0 [-].
    plus : float
        Added before the logarithm is taken: 1 for a share that is added to 1, else 0 [-].

    Notes
    -----
    Normal–inverse-gamma: ``σ² ~ Inv-χ²(ν, s²)``, ``μ | σ² ~ N(m, σ²/κ)``. Values ``yᵢ ~ N(μ, σ²/wᵢ)`` with
    known weights give ``κ' = κ + Σw``, ``m' = (κm + Σwy)/κ'``, ``ν' = ν + n`` and ``ν's'² = νs² +
    Σw(y − ȳ)² + κΣw/κ' · (ȳ − m)²``; the next job is Student's t with ν degrees of freedom about m, scaled by
    s·√(1 + 1/κ) (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3; from memory, held to numerical
    integration by a test).
    """

    log_mean: float
    strength: float
    freedom: float
    spread: float
    plus: float = 0.0

    @property
    def mean(self) -> float:
        """The geometric mean, which is the median too [the figure's unit]."""
        return math.exp(self.log_mean) - self.plus

    @property
    def scale(self) -> float:
        """Of the next job's logarithm [-]."""
        return self.spread * math.sqrt(1 + 1 / self.strength)

    def quantile(self, share: float) -> float:
        """What a share [-] of jobs stay within [the figure's unit].

        Examples
        --------
        >>> round(RatioBelief(math.log(0.8), 2.0, 4.0, 0.05).quantile(0.5), 6)
        0.8
        """
        value = math.exp(self.log_mean + self.scale * float(stdtrit(self.freedom, share))) - self.plus
        return max(value, 0.0)

    def density(self, values: Floats) -> Floats:
        """Probability density at some values (k,) above 0 [1 / the figure's unit]."""
        shifted, freedom = np.asarray(values) + self.plus, self.freedom
        t = (np.log(shifted) - self.log_mean) / self.scale
        top = gammaln((freedom + 1) / 2) - gammaln(freedom / 2) - 0.5 * math.log(freedom * math.pi)
        return np.asarray(np.exp(top - (freedom + 1) / 2 * np.log1p(t**2 / freedom)) / self.scale / shifted)

    def after(self, values: Sequence[float], weights: Sequence[float]) -> RatioBelief:
        """The belief once some values were seen.

        Parameters
        ----------
        values : sequence of float
            One a job [the figure's unit].
        weights : sequence of float
            Of each, 1 for a job that is known as well as any, less where it is not [-].
        """
        if not values:
            return self
        logs = np.log(np.asarray(values) + self.plus)
        by = np.asarray(weights)
        whole = float(by.sum())
        seen = float((by * logs).sum()) / whole
        strength, freedom = self.strength + whole, self.freedom + logs.size
        apart = float((by * (logs - seen) ** 2).sum())
        apart += self.strength * whole / strength * (seen - self.log_mean) ** 2
        mean = (self.strength * self.log_mean + whole * seen) / strength
        spread = math.sqrt((self.freedom * self.spread**2 + apart) / freedom)
        return RatioBelief(mean, strength, freedom, spread, self.plus)


@dataclass(frozen=True)
class RateBelief:
    """How often something is found on a square metre.

    Parameters
    ----------
    count : float
        What was found, as good as, more than 0 [-].
    area_m2 : float
        On so much, as good as, more than 0 [m²].

    Notes
    -----
    Gamma–Poisson: a rate ``λ ~ Gamma(count, area)`` and k found on A give ``Gamma(count + k, area + A)``.

    Examples
    --------
    >>> RateBelief(6.0, 40.0).after([10], [20.0]).mean == 16 / 60
    True
    """

    count: float
    area_m2: float

    @property
    def mean(self) -> float:
        """Mean of the rate [1/m²]."""
        return self.count / self.area_m2

    def quantile(self, share: float) -> float:
        """What the rate stays within in a share [-] of cases [1/m²]."""
        return float(gammaincinv(self.count, share)) / self.area_m2

    def density(self, values: Floats) -> Floats:
        """Probability density of the rate at some values (k,) above 0 [m²]."""
        rates = np.asarray(values) * self.area_m2
        return np.asarray(
            np.exp((self.count - 1) * np.log(rates) - rates - gammaln(self.count)) * self.area_m2
        )

    def after(self, found: Sequence[float], areas_m2: Sequence[float]) -> RateBelief:
        """The belief once so many [-] were found on areas [m²]."""
        return RateBelief(self.count + sum(found), self.area_m2 + sum(areas_m2))
