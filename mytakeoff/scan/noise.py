"""How much a scan scatters by itself, and keeping that from turning into hollows.

A straightedge over a flat but noisy face rests on the points that scatter outward and finds hollows where
they scatter inward. So the noise of a cell's value is estimated from the points in it, and a field noisier
than `CALM_MM` is smoothed just where its ups and downs are no larger than that noise.

Notes
-----
The noise of single points is what those of a cell, or neighbours at no distance, differ by. The smoothing is
Lee's filter: a cell moves towards the mean about it by the share of the local variance that noise explains.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from mytakeoff.survey.survey import Floats

CALM_MM = 0.5  # a cell known better than this is left as it is: plaster is not laid closer
WINDOWS = (3, 5, 7)  # cells across which ups and downs are judged; the smallest that averages the noise away
SURE = 2.0  # times the noise's own variance that ups and downs must exceed to be taken as the wall's
NEIGHBOURS, BINS = 8, 6  # of each point that it is compared with, and steps of distance
SAMPLE = 20_000  # points among which neighbours are compared
EDGE_NOISES = 7.0  # worst gap on flat walls of 4 × 2.6 m made noisy, in noises of a cell: 6.8 to 7.2 measured


def point_noise_mm(spread_mm: Floats, median_mm: Floats) -> float:
    """Standard deviation of single points about the face, from their scatter in cells [mm].

    What the face itself rises and falls within a cell, judged by its neighbours, is taken out.

    Parameters
    ----------
    spread_mm, median_mm : (nz, nx) float
        Of `CellStatistic`; NaN where unknown [mm].

    Returns
    -------
    float
        Mean over the cells without the tenth that scatters most; 0 where no cell tells [mm].

    Examples
    --------
    >>> point_noise_mm(np.full((2, 3), 2.0), np.zeros((2, 3)))
    2.0
    """
    slope = sum((_difference(median_mm, axis) ** 2 for axis in (0, 1)), np.zeros_like(median_mm)) / 12.0
    scatter = np.sqrt(np.clip(spread_mm**2 - slope, 0.0, None))
    known = np.sort(scatter[np.isfinite(scatter)])
    return float(known[: max(1, int(0.9 * known.size))].mean()) if known.size else 0.0


def _difference(values: Floats, axis: int) -> Floats:
    """What a field changes from one cell to the next, 0 where that cannot be told."""
    if values.shape[axis] < 2:
        return np.zeros_like(values)
    change = np.asarray(np.gradient(values, axis=axis))
    return np.where(np.isfinite(change), change, 0.0)


def neighbour_noise_mm(x_m: Floats, z_m: Floats, proud_mm: Floats) -> float:
    """Standard deviation of single points, from each one's difference to its nearest neighbours [mm].

    For clouds too thin to have several points in a cell. What neighbours differ by grows with the square of
    their distance where the wall is rough; what is left at no distance is noise. Points at one place are the
    same point.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places [m].
    proud_mm : (n,) float
        With the wall's turn and lean taken out [mm].
    """
    pick = np.linspace(0, x_m.size - 1, min(x_m.size, SAMPLE)).astype(np.intp)
    places = np.column_stack([x_m, z_m])
    count = min(NEIGHBOURS + 1, x_m.size)
    if count < 2:
        return 0.0
    away, index = (np.asarray(part) for part in cKDTree(places).query(places[pick], k=count))
    apart = away > 1e-9
    distance = away[apart] ** 2
    difference = np.abs(proud_mm[index] - proud_mm[pick][:, None])[apart]
    if difference.size < 10 * BINS:
        return 0.0
    bins = np.array_split(np.argsort(distance), BINS)
    squared = [(float(np.median(difference[one])) / (0.6745 * np.sqrt(2.0))) ** 2 for one in bins]
    means = [float(distance[one].mean()) for one in bins]
    growth, at_once = np.polyfit(means, squared, 1)
    return float(np.sqrt(max(at_once if growth > 0 else np.mean(squared), 0.0)))


def cell_noise_mm(point_mm: float, count: NDArray[np.int64]) -> Floats:
    """Standard error of the median of so many points; NaN of none [mm].

    Examples
    --------
    >>> cell_noise_mm(2.0, np.array([1, 100])).round(2).tolist()
    [2.0, 0.25]

    Notes
    -----
    ``sigma * sqrt(pi / 2 / n)`` for normal scatter; up to two points the median is the mean.
    """
    many = np.where(count > 2, np.pi / 2, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(count > 0, point_mm * np.sqrt(many / count), np.nan)


def calm(field_mm: Floats, noise_mm: Floats) -> tuple[Floats, Floats]:
    """A field with its noise taken out where its ups and downs are no larger than the noise.

    Each value moves towards the weighted mean of the cells about it by the share of the local variance that
    the noise explains. A bump that stands out of the noise stays.

    Parameters
    ----------
    field_mm, noise_mm : (nz, nx) float
        Values, with turn and lean taken out, and their standard errors; NaN where unknown [mm].

    Returns
    -------
    field, noise : (nz, nx) float
        The calmer field, and what noise is left in it [mm].

    References
    ----------
    J.-S. Lee, "Digital image enhancement and noise filtering by use of local statistics", IEEE Transactions
    on Pattern Analysis and Machine Intelligence 2 (1980): the local linear filter. The factor `SURE` is ours.
    """
    known = np.isfinite(field_mm) & np.isfinite(noise_mm)
    usual = float(np.sqrt(np.mean(noise_mm[known] ** 2)))
    window = next((size for size in WINDOWS if usual / size <= 1.2 * CALM_MM), WINDOWS[-1])
    value, error = np.where(known, field_mm, 0.0), np.where(known, noise_mm, 1.0)
    weight = known / np.maximum(error, 1e-6) ** 2
    total = _around(weight, window)
    safe = np.where(total > 0, total, 1.0)
    mean = _around(weight * value, window) / safe
    variance = np.clip(_around(weight * value**2, window) / safe - mean**2, 0.0, None)
    expected = SURE * _around(np.asarray(known, dtype=np.float64), window) / safe
    keep = np.divide(variance - expected, variance, out=np.zeros_like(variance), where=variance > expected)
    left = np.hypot(keep * error, (1.0 - keep) / np.sqrt(safe))
    return np.where(known, mean + keep * (value - mean), field_mm), np.where(known, left, np.nan)


def _around(values: Floats, window: int) -> Floats:
    """Sum over the window about each cell, nothing beyond the rim."""
    for axis in (0, 1):
        margin = [(window // 2, window // 2) if k == axis else (0, 0) for k in (0, 1)]
        values = sliding_window_view(np.pad(values, margin), window, axis=axis).sum(axis=-1)
    return values


def false_gap_mm(cell_mm: float) -> float:
    """The hollow that noise alone is likely to show under a straightedge on a flat wall [mm].

    Parameters
    ----------
    cell_mm : float
        Standard error of a cell's value [mm].

    Examples
    --------
    >>> false_gap_mm(0.5)
    3.5
    """
    return EDGE_NOISES * cell_mm
