"""The wall's face between its readings, and as far beyond them as they can be trusted.

Between readings: bilinear on a grid, piecewise linear on the triangles of a list (a scan has its own file).
Beyond them and inside gaps, up to a reach: the least-squares plane plus the nearest residual.

Notes
-----
Beyond a grid the residual is interpolated along the grid's rim: at the readings it is the nearest one's, and
it has no steps between them. A blank in a grid takes the residual of the nearest reading, the mean of equally
near ones, so that a mirrored survey gives the mirrored face.

High spots found by sweeping raise the face around them as far as half the readings' step (`bumps`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import cKDTree

from mytakeoff.survey.said import where_said
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.triangles import between_readings

Flags = NDArray[np.bool_]
SAME_M = 1e-6
MOST_EQUALLY_NEAR = 16  # readings by hand around one gap
SAME_SPOT_M = 0.005  # a high spot and a reading, or two high spots, nearer than this are at one place


@dataclass(frozen=True, eq=False)
class Readings:
    """Places [m] and heights [mm] that the face goes through, (n,) each."""

    x_m: Floats
    z_m: Floats
    proud_mm: Floats

    def without(self, dropped: Flags) -> Readings:
        """Those that are not dropped; nothing is copied where all stay."""
        if not dropped.any():
            return self
        return Readings(self.x_m[~dropped], self.z_m[~dropped], self.proud_mm[~dropped])

    def and_more(self, more: Readings) -> Readings:
        """These readings with others after them."""
        both = (
            np.concatenate([getattr(each, name) for each in (self, more)])
            for name in ("x_m", "z_m", "proud_mm")
        )
        return Readings(*both)


def readings_of(survey: Survey) -> Readings:
    """A survey's readings without those that the user has left out: all that is worked out starts from these.

    What stands off a scan was left out when it was read.
    """
    all_of_them = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    if not survey.said or survey.layout == "scan":
        return all_of_them
    return all_of_them.without(where_said(survey.said, "left out", survey.x_m, survey.z_m))


@dataclass(frozen=True)
class Trend:
    """The least-squares plane ``a + b (x - x0) + c (z - z0)`` [mm]."""

    x0_m: float
    z0_m: float
    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float

    @classmethod
    def of(cls, readings: Readings) -> Trend:
        """Fitted to the readings (ordinary least squares on centred places)."""
        x0, z0 = float(readings.x_m.mean()), float(readings.z_m.mean())
        columns = [np.ones_like(readings.x_m), readings.x_m - x0, readings.z_m - z0]
        a, b, c = np.linalg.lstsq(np.column_stack(columns), readings.proud_mm, rcond=None)[0]
        return cls(x0, z0, float(a), float(b), float(c))

    def at(self, x_m: Floats, z_m: Floats) -> Floats:
        """Its height at places that broadcast together [mm]."""
        return self.a_mm + self.b_mm_per_m * (x_m - self.x0_m) + self.c_mm_per_m * (z_m - self.z0_m)


def _places(readings: Readings) -> Floats:
    return np.column_stack([readings.x_m, readings.z_m])


def _residual(readings: Readings, trend: Trend) -> Floats:
    return readings.proud_mm - trend.at(readings.x_m, readings.z_m)


def nearest_residual(
    readings: Readings, trend: Trend, x_m: Floats, z_m: Floats, most: int = 4
) -> tuple[Floats, Floats]:
    """Residual of the nearest reading at each place [mm], and its distance [m].

    Of equally near ones, up to so many, the mean, which keeps the face of a mirrored survey the mirror of the
    face.
    """
    tree = cKDTree(_places(readings))
    count = min(most, readings.x_m.size)
    found = tree.query(np.column_stack([x_m, z_m]), k=count)
    distance, index = (np.asarray(part).reshape(-1, count) for part in found)
    tied = distance <= distance[:, :1] + SAME_M
    residual = _residual(readings, trend)[index]
    return np.where(tied, residual, 0.0).sum(axis=1) / tied.sum(axis=1), distance[:, 0]


def _weights(nodes_m: Floats, places_m: Floats) -> Floats:
    """Linear weights (places, nodes) of each place between its two nodes; the end node beyond the ends."""
    at = np.clip(places_m, nodes_m[0], nodes_m[-1])
    upper = np.clip(np.searchsorted(nodes_m, at, side="right"), 1, nodes_m.size - 1)
    share = (at - nodes_m[upper - 1]) / (nodes_m[upper] - nodes_m[upper - 1])
    weights = np.zeros((places_m.size, nodes_m.size))
    rows = np.arange(places_m.size)
    weights[rows, upper - 1] = 1.0 - share
    weights[rows, upper] += share
    return weights


def _lines(places_m: Floats) -> tuple[Floats, NDArray[np.intp]]:
    """The distinct columns (or rows) of a grid [m], and the one that each reading stands in."""
    _, index = np.unique(np.round(places_m / SAME_M), return_inverse=True)
    index = index.ravel()
    return np.bincount(index, weights=places_m) / np.bincount(index), index


def from_grid(readings: Readings, x_m: Floats, z_m: Floats) -> tuple[Floats, Flags]:
    """Bilinear face of a grid of readings at every crossing of x and z, and where it is known by readings.

    A blank crossing takes the trend plus the nearest residual; what leans on one is not known.
    """
    trend = Trend.of(readings)
    columns, column = _lines(readings.x_m)
    rows, row = _lines(readings.z_m)
    nodes = np.full((rows.size, columns.size), np.nan)
    nodes[row, column] = _residual(readings, trend)
    blank = np.isnan(nodes)
    if blank.any():
        at_row, at_column = np.nonzero(blank)
        nodes[blank] = nearest_residual(readings, trend, columns[at_column], rows[at_row], MOST_EQUALLY_NEAR)[
            0
        ]
    across, up = _weights(columns, x_m), _weights(rows, z_m)
    face = up @ nodes @ across.T + trend.at(x_m[None, :], z_m[:, None])
    known = (up @ blank.astype(float) @ across.T) <= 1e-9
    known &= ((x_m >= columns[0] - SAME_M) & (x_m <= columns[-1] + SAME_M))[None, :]
    known &= ((z_m >= rows[0] - SAME_M) & (z_m <= rows[-1] + SAME_M))[:, None]
    return face, known


def from_list(readings: Readings, x_m: Floats, z_m: Floats) -> tuple[Floats, Flags]:
    """Piecewise linear face between single readings at places of any shape, and where it is known by them."""
    trend = Trend.of(readings)
    at = np.column_stack([x_m.ravel(), z_m.ravel()])
    face = between_readings(_places(readings), _residual(readings, trend), at).reshape(x_m.shape)
    return _carried_on(readings, trend, face, x_m, z_m, MOST_EQUALLY_NEAR)


def from_cloud(readings: Readings, x_m: Floats, z_m: Floats) -> tuple[Floats, Flags]:
    """The same between the points of a scan at every crossing of x and z, its triangles as they are found."""
    grid_x, grid_z = np.meshgrid(x_m, z_m)
    trend = Trend.of(readings)
    face = LinearNDInterpolator(_places(readings), _residual(readings, trend))(grid_x, grid_z)
    return _carried_on(readings, trend, face, grid_x, grid_z)


def _carried_on(
    readings: Readings, trend: Trend, face: Floats, x_m: Floats, z_m: Floats, most: int = 4
) -> tuple[Floats, Flags]:
    """The face, residuals no longer, with the nearest reading's beyond the readings; where it was known."""
    known = ~np.isnan(face)
    beyond = ~known
    if beyond.any():
        face[beyond] = nearest_residual(readings, trend, x_m[beyond], z_m[beyond], most)[0]
    return face + trend.at(x_m, z_m), known


def distance_m(readings: Readings, x_m: Floats, z_m: Floats) -> Floats:
    """From each place to the nearest reading (n,) [m]."""
    tree = cKDTree(_places(readings))
    return np.asarray(tree.query(np.column_stack([x_m, z_m]))[0])


def step_m(readings: Readings) -> float:
    """Typical distance between neighbouring readings: the side of the square that each stands for [m]."""
    width, height = np.ptp(readings.x_m), np.ptp(readings.z_m)
    per_row = max(np.sqrt(readings.x_m.size) - 1.0, 1.0)
    return float(np.sqrt(width * height) / per_row)


def bumps(
    spots: Readings, fixed: Readings, miss_mm: Floats, radius_m: float, x_m: Floats, z_m: Floats
) -> Floats:
    """What single high spots add to a face so that it goes through them (nz, nx) [mm].

    Each spot raises the face around it, fading to nothing at `radius_m`; readings near by stay as they are,
    but one at the spot's own place gives way to it.
    The fading is the compactly supported function ``(1 - r/R)²`` for ``r < R``, positive definite in the
    plane, so the face goes through every spot and reading exactly.

    References
    ----------
    H. Wendland, "Piecewise polynomial, positive definite and compactly supported radial functions of
    minimal degree", Advances in Computational Mathematics 4 (1995), on Askey's truncated power.
    """
    near = np.zeros(fixed.x_m.size, dtype=bool)
    if fixed.x_m.size:
        away = distance_m(spots, fixed.x_m, fixed.z_m)
        near = (away >= SAME_SPOT_M) & (away < radius_m)
    at_x = np.concatenate([spots.x_m, fixed.x_m[near]])
    at_z = np.concatenate([spots.z_m, fixed.z_m[near]])
    wanted = np.concatenate([miss_mm, np.zeros(int(near.sum()))])

    def fade(away_m: Floats) -> Floats:
        return np.asarray(np.clip(1.0 - away_m / radius_m, 0.0, None) ** 2)

    between = fade(np.hypot(at_x[:, None] - at_x, at_z[:, None] - at_z))
    added = np.zeros((z_m.size, x_m.size))
    for weight, x, z in zip(np.linalg.solve(between, wanted), at_x, at_z, strict=True):
        added += weight * fade(np.hypot(x_m[None, :] - x, z_m[:, None] - z))
    return added
