"""How much rougher than everywhere a wall is here and there, as its readings tell.

Each reading is foretold from all others. Where they miss by more than the variogram says, the wall is rougher
there; where by less, smoother; away from readings nothing tells, and it is as rough as everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from mytakeoff.simulation.kriging import Kriging
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats

EVERYWHERE = 2.0  # readings that "as rough as everywhere" is worth
REACH_STEPS = 1.0  # of the readings' own distance: over which roughness carries


@dataclass(frozen=True, eq=False)
class LocalScale:
    """How much rougher than everywhere a wall is about its readings.

    Parameters
    ----------
    readings : Readings
    missed2 : (n,) float
        Square of what each reading is missed by when foretold from all others, over what the variogram
        says of it: 1 on average where the variogram is right [-].
    reach_m : float
        Distance over which it carries, as a standard deviation [m].

    References
    ----------
    The leave-one-out miss (P d)ᵢ / √Pᵢᵢ, with P the readings' block of the inverse kriging matrix:
    O. Dubrule, "Cross validation of kriging in a unique neighborhood", Mathematical Geology 15 (1983).
    """

    readings: Readings
    missed2: Floats
    reach_m: float

    @classmethod
    def of(cls, krigings: Sequence[Kriging]) -> LocalScale:
        """On average over the variograms that the readings make likely."""
        readings = krigings[0].readings
        missed2 = np.mean([kriging.missed(readings.proud_mm) ** 2 for kriging in krigings], axis=0)
        places = np.column_stack([readings.x_m, readings.z_m])
        away, _ = KDTree(places).query(places, k=[2])
        return cls(readings, np.asarray(missed2), REACH_STEPS * float(np.median(away)))

    def at(self, away_m: Floats) -> Floats:
        """The factor at places so far from each reading (places, n) [m] (places,) [-].

        ``s² = (κ + Σ wᵢ zᵢ²) / (κ + Σ wᵢ)`` with ``wᵢ = exp(-½ (distance / reach)²)``: the mean of a variance
        of which one knew beforehand as much as κ readings tell.
        """
        weight = np.exp(-0.5 * (away_m / self.reach_m) ** 2)
        told = EVERYWHERE + weight @ self.missed2
        return np.asarray(np.sqrt(told / (EVERYWHERE + weight.sum(axis=1))))
