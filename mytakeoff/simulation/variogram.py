"""How rough a wall is between its readings: the variograms that the readings make likely.

A wall is taken as a plane plus a random field whose neighbouring places resemble one another: the covariance
of two places falls off with their distance by Matérn's function. Sill, length and smoothness are not known;
readings make some of them likely and others not. What a survey cannot tell (a survey with few readings, and
roughness shorter than its step) comes from marked defaults for a likely old wall.

Notes
-----
Variograms are weighed on a table: one eigendecomposition serves every sill and noise.

Short roughness is known beforehand, to a factor of two: a grid of readings cannot tell it from roughness as
long as its step. With more room it took the blame for that, faces got a spike in every cell, and ranges lay
too high where the wall is rough but not at a hand's width.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import k1

from mytakeoff.job.confidence import LikelyWall
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats

SMOOTHNESS = (1.0, 1.5)  # a rough face and a wavy one: what lies between readings depends on which
LENGTHS, SILLS, SHORTS = 12, 24, 9
SHORTEST_M = 0.1
FITTED_MOST = 160  # readings that the variogram is fitted to; all of them bind the face
TABLE_TO, TABLE_STEPS = 20, 1000  # lengths, and steps in each
NEAREST = 1e-6  # of the length: nearer places are one, and K₁ has no value at 0
TREND = 3  # unknowns of the plane
RELIEF_SPREAD, LENGTH_SPREAD, SHORT_SPREAD = 1.5, 1.2, 0.7  # standard deviations of their logarithms


@dataclass(frozen=True)
class Variogram:
    """One way in which a wall may be rough.

    Parameters
    ----------
    smoothness : float
        Matérn's ν: 0.5, 1 or 1.5 [-].
    length_m : float
        Scale of the distance over which places resemble one another [m].
    sill_mm2 : float
        Variance of what readings show [mm²].
    short_mm2 : float
        Variance that each reading adds to it: its error and what is shorter than a hand [mm²].
    """

    smoothness: float
    length_m: float
    sill_mm2: float
    short_mm2: float

    def covariance(self, away_m: Floats) -> Floats:
        """Covariance of two places by their distance [m], without what is short [mm²].

        Examples
        --------
        >>> float(Variogram(0.5, 1.0, 4.0, 1.0).covariance(np.array(0.0)))
        4.0
        """
        return self.sill_mm2 * matern(away_m / self.length_m, self.smoothness)


def matern(ratio: Floats, smoothness: float) -> Floats:
    """Matérn's correlation for a distance over the length [-] and a smoothness of 0.5, 1 or 1.5 [-].

    ``exp(-r)``, ``√2 r K₁(√2 r)`` and ``(1 + √3 r) exp(-√3 r)``.

    References
    ----------
    C. E. Rasmussen, C. K. I. Williams, "Gaussian Processes for Machine Learning", MIT Press 2006, eq. 4.17.

    Examples
    --------
    >>> matern(np.array([0.0, 1.0]), 0.5).round(4).tolist()
    [1.0, 0.3679]
    """
    if smoothness == 0.5:
        return np.asarray(np.exp(-ratio))
    if smoothness == 1.0:
        return _looked_up(ratio) if ratio.dtype == np.float32 else _whittle(ratio)
    scaled = np.sqrt(3.0) * ratio
    return np.asarray((1.0 + scaled) * np.exp(-scaled))


def _whittle(ratio: Floats) -> Floats:
    near = np.maximum(np.sqrt(2.0) * ratio, NEAREST)
    return np.asarray(near * k1(near))


@lru_cache(maxsize=1)
def _whittle_table() -> tuple[Floats, Floats]:
    """`_whittle` at even steps, and the differences from each to the next, in single precision."""
    values = _whittle(np.arange(TABLE_TO * TABLE_STEPS + 2) / TABLE_STEPS)
    return np.asarray(values[:-1].astype(np.float32)), np.asarray(np.diff(values).astype(np.float32))


def _looked_up(ratio: Floats) -> Floats:
    """`_whittle` in single precision from a table, straight between its steps: a fraction of the time."""
    values, steps = _whittle_table()
    at = np.minimum(ratio * np.float32(TABLE_STEPS), np.float32(TABLE_TO * TABLE_STEPS))
    below = at.astype(np.int32)
    return np.asarray(values[below] + (at - below).astype(np.float32) * steps[below])


def plane_terms(x_m: Floats, z_m: Floats) -> Floats:
    """The trend's terms at places [m]: one, x and z (n, 3)."""
    return np.column_stack([np.ones_like(x_m), x_m, z_m])


@dataclass(frozen=True, eq=False)
class Likely:
    """Variograms (k, 4) as smoothness [-], length [m], sill and short variance [mm²], and their weights (k,).

    The weights add up to 1 [-].
    """

    table: Floats
    weights: Floats

    def picked(self, count: int, rng: np.random.Generator) -> tuple[Variogram, ...]:
        """So many of them, each about as often as its weight says, evenly spread over the table [-]."""
        at = (np.arange(count) + rng.uniform()) / count
        rows = np.searchsorted(np.cumsum(self.weights), at).clip(max=len(self.weights) - 1)
        return tuple(Variogram(*(float(value) for value in self.table[row])) for row in rows)


def likely_variograms(readings: Readings, wall: LikelyWall | None = None) -> Likely:
    """The variograms that the readings make likely, weighed against one another.

    Parameters
    ----------
    readings : Readings
    wall : LikelyWall or None
        None: the marked defaults.

    Returns
    -------
    Likely

    Notes
    -----
    The weight of each is its restricted likelihood (of what is left of the readings once a plane is taken
    out, H. D. Patterson and R. Thompson, Biometrika 58, 1971) times what was taken for likely before: the
    logarithms of relief, length and short roughness spread normally around the defaults. On a table rather
    than by an optimiser: a survey of a few dozen readings leaves much open, and ranges that come of the
    single best variogram are too narrow.

    One correlation matrix serves every sill and short variance, by its eigenvalues.
    """
    wall = wall or LikelyWall()
    readings = _thinned(readings)
    x, z = readings.x_m, readings.z_m
    contrasts = np.linalg.qr(plane_terms(x - x.mean(), z - z.mean()), mode="complete")[0][:, TREND:]
    left = contrasts.T @ readings.proud_mm
    away = np.hypot(x[:, None] - x, z[:, None] - z)
    shape = _before(wall, float(left @ left) / max(left.size, 1), float(away.max()))
    tables, logs = [], []
    for smoothness in SMOOTHNESS:
        for length_m, before in zip(shape.length_m, shape.length_log, strict=True):
            between = contrasts.T @ matern(away / length_m, smoothness) @ contrasts
            log = _restricted(between, left, shape.sill_mm2, shape.short_mm2)
            logs.append((log + before + shape.sill_log[:, None] + shape.short_log).ravel())
            sill, short = np.meshgrid(shape.sill_mm2, shape.short_mm2, indexing="ij")
            row = np.column_stack([np.full(sill.size, length_m), sill.ravel(), short.ravel()])
            tables.append(np.column_stack([np.full(sill.size, smoothness), row]))
    log = np.concatenate(logs)
    weights = np.exp(log - log.max())
    return Likely(np.vstack(tables), weights / weights.sum())


@dataclass(frozen=True, eq=False)
class _Before:
    """Values that are tried and the logarithm of how likely each was before anything was read."""

    length_m: Floats
    length_log: Floats
    sill_mm2: Floats
    sill_log: Floats
    short_mm2: Floats
    short_log: Floats


def _before(wall: LikelyWall, left_mm2: float, size_m: float) -> _Before:
    lengths = np.geomspace(SHORTEST_M, max(2.0 * size_m, 2.0 * SHORTEST_M), LENGTHS)
    middle = max(left_mm2, (wall.relief_mm / 4) ** 2)
    sills = middle * np.geomspace(0.03, 30.0, SILLS)
    steps = np.linspace(-2.0, 2.0, SHORTS)
    shorts = wall.reading_mm**2 + (wall.short_mm * np.exp(SHORT_SPREAD * steps)) ** 2
    return _Before(
        lengths,
        -0.5 * (np.log(lengths / wall.length_m) / LENGTH_SPREAD) ** 2,
        sills,
        -0.5 * (0.5 * np.log(sills / wall.relief_mm**2) / RELIEF_SPREAD) ** 2,
        shorts,
        -0.5 * steps**2,
    )


def _restricted(between: Floats, left: Floats, sill_mm2: Floats, short_mm2: Floats) -> Floats:
    """Restricted log-likelihood for each sill and short variance (sills, shorts), up to a constant."""
    values, vectors = np.linalg.eigh(between)
    power = (vectors.T @ left) ** 2
    variance = sill_mm2[:, None, None] * values.clip(min=0.0) + short_mm2[None, :, None]
    return np.asarray(-0.5 * (np.log(variance) + power / variance).sum(axis=-1))


def _thinned(readings: Readings) -> Readings:
    """At most so many readings as the fit takes, every so many-th of them."""
    count = readings.x_m.size
    if count <= FITTED_MOST:
        return readings
    dropped: NDArray[np.bool_] = np.ones(count, dtype=bool)
    dropped[np.linspace(0, count - 1, FITTED_MOST).round().astype(int)] = False
    return readings.without(dropped)
