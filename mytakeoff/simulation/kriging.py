"""Kriging: the best linear guess at a wall's face from its readings, and how far off it may be."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from mytakeoff.simulation.variogram import TREND, Variogram, matern, plane_terms
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats

NOTHING = 1e-9  # of what a reading tells on its own: rounding

SAME_PLACES = 6  # decimals of a metre


@dataclass(frozen=True, eq=False)
class Kriging:
    """Universal kriging: the best linear guess from readings, with a plane of unknown slopes under it.

    Parameters
    ----------
    variogram : Variogram
    readings : Readings
    matrix : (n + 3, n + 3) float
        Covariances of the readings, and in the last rows and columns the plane's terms [mm² and less].

    References
    ----------
    N. A. C. Cressie, "Statistics for Spatial Data", Wiley 1993, section 3.4.
    """

    variogram: Variogram
    readings: Readings
    matrix: Floats

    @classmethod
    def of(cls, variogram: Variogram, readings: Readings) -> Kriging:
        """The kriging matrix of the readings."""
        count = readings.x_m.size
        matrix = np.zeros((count + TREND, count + TREND))
        correlation = _among_readings(readings, *_shape(variogram))
        matrix[:count, :count] = variogram.sill_mm2 * correlation + variogram.short_mm2 * np.eye(count)
        matrix[:count, count:] = plane_terms(readings.x_m, readings.z_m)
        matrix[count:, :count] = matrix[:count, count:].T
        return cls(variogram, readings, matrix)

    @cached_property
    def inverse(self) -> Floats:
        """Of the matrix (n + 3, n + 3)."""
        return np.asarray(np.linalg.inv(self.matrix))

    def missed(self, values_mm: Floats) -> Floats:
        """By how many standard deviations each value at a reading (n,) [mm] stands before what all others
        foretell; negative behind it [-]."""
        count = values_mm.size
        among = self.inverse[:count, :count]
        alone, foretold = np.diag(among), among @ values_mm
        told = (
            alone * self.variogram.short_mm2 > NOTHING
        )  # three readings: each is needed for the plane itself
        return np.where(told, foretold / np.sqrt(np.where(told, alone, 1.0)), 0.0)

    def through(self, places: Locations, values_mm: Floats) -> Floats:
        """The guess at places from values at the readings (n, k) [mm] (places, k) [mm]."""
        return self._towards(places, self.inverse[:, : len(values_mm)] @ values_mm)

    def lean_on(self, places: Locations, cell: int) -> tuple[Floats, float]:
        """Covariance of places with one of them, given the readings [mm²], and the guess there [mm]."""
        one = np.concatenate([self.variogram.covariance(places.away_m[cell]), places.terms[cell]])
        weighed = np.asarray(np.linalg.solve(self.matrix, one))
        alone = np.hypot(places.x_m - places.x_m[cell], places.z_m - places.z_m[cell])
        guess = float(weighed[: self.readings.x_m.size] @ self.readings.proud_mm)
        return self.variogram.covariance(alone) - self._towards(places, weighed[:, None])[:, 0], guess

    def _towards(self, places: Locations, weighed: Floats) -> Floats:
        """Covariances with the readings and the plane's terms of places, times (n + 3, k) weights."""
        count = self.readings.x_m.size
        correlation = _correlation(places, *_shape(self.variogram))
        weights = (self.variogram.sill_mm2 * weighed[:count]).astype(correlation.dtype)
        return np.asarray(correlation @ weights + places.terms @ weighed[count:])


@dataclass(frozen=True, eq=False)
class Locations:
    """Places to guess at: x and z (places,) [m] and how far they are from each reading (places, n) [m]."""

    x_m: Floats
    z_m: Floats
    away_m: Floats

    @classmethod
    def of(cls, readings: Readings, x_m: Floats, z_m: Floats) -> Locations:
        """Places [m]; distances in single precision, which is plenty and half the time.

        To the micrometre, so that of two readings equally near the same is the nearest in inches, too.
        """
        return cls(x_m, z_m, np.round(away_m(readings, x_m, z_m), SAME_PLACES).astype(np.float32))

    @property
    def terms(self) -> Floats:
        """The plane's terms there (places, 3)."""
        return plane_terms(self.x_m, self.z_m)


def _shape(variogram: Variogram) -> tuple[float, float]:
    return variogram.smoothness, variogram.length_m


@lru_cache(maxsize=16)
def _among_readings(readings: Readings, smoothness: float, length_m: float) -> Floats:
    """Correlations of readings with one another, which every sill and short variance has in common."""
    return matern(away_m(readings, readings.x_m, readings.z_m) / length_m, smoothness)


@lru_cache(maxsize=2)
def _correlation(places: Locations, smoothness: float, length_m: float) -> Floats:
    """Correlations of places with readings; variograms of one shape follow one another, so it is kept."""
    return matern(places.away_m / np.float32(length_m), smoothness)


def away_m(readings: Readings, x_m: Floats, z_m: Floats) -> Floats:
    """Distances of places from readings (places, n) [m]."""
    return np.hypot(x_m[:, None] - readings.x_m, z_m[:, None] - readings.z_m)
