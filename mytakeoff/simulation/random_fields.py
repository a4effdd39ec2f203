"""Random fields with the covariance of a variogram, as sums of waves (random Fourier features)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.simulation.variogram import Variogram
from mytakeoff.survey.survey import Floats

WAVES = 400  # that a field is made of


@dataclass(frozen=True, eq=False)
class RandomField:
    """Random fields as sums of waves, whose directions and lengths follow the variogram.

    A Matérn covariance of smoothness ν is that of waves whose numbers follow a t distribution of 2ν degrees
    of freedom, scaled by the length.

    Parameters
    ----------
    across, up, phase : (waves,) float
        Wave numbers [rad/m] and phases [rad].
    height_mm : (waves, n) float
        Of each wave in each field [mm].

    References
    ----------
    M. Shinozuka, C.-M. Jan, "Digital simulation of random processes and its applications", Journal of Sound
    and Vibration 25 (1972); Rasmussen and Williams 2006, eq. 4.15, for the spectral density.
    """

    across: Floats
    up: Floats
    phase: Floats
    height_mm: Floats

    @classmethod
    def of(cls, variogram: Variogram, count: int, rng: np.random.Generator) -> RandomField:
        """So many random fields as rough as a variogram says [-]."""
        freedom = 2.0 * variogram.smoothness
        length_m = np.sqrt(rng.chisquare(freedom, WAVES) / freedom) * variogram.length_m
        across, up = rng.standard_normal((2, WAVES)) / length_m
        height = rng.standard_normal((WAVES, count)) * np.sqrt(2.0 * variogram.sill_mm2 / WAVES)
        return cls(across, up, rng.uniform(0.0, 2.0 * np.pi, WAVES), height.astype(np.float32))

    def at(self, x_m: Floats, z_m: Floats) -> Floats:
        """The fields at places [m] (places, n) [mm]."""
        places = np.column_stack([x_m, z_m, np.ones_like(x_m)]).astype(np.float32)
        angle = places @ np.stack([self.across, self.up, self.phase]).astype(np.float32)
        return np.asarray(np.cos(angle, out=angle) @ self.height_mm)
