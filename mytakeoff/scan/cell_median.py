"""The median of a dense cloud in each cell, and how far its points scatter there.

The readings are put cell by cell in one counting pass and then sorted within each cell. Many short sorts
take a fraction of one long one, whose parts do not fit the processor's cache; median and quartiles are then
look-ups.

Notes
-----
One sort of all readings was as quick on one processor and three times slower on another.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array
from scipy.special import ndtri

from mytakeoff.steps import AT_ONCE, run
from mytakeoff.survey.survey import Floats

BLOCK = 1 << 16  # points numbered at once: the block stays in the processor's cache
LEAST_FOR_SPREAD = 4  # points in a cell from which its scatter can be told


@dataclass(frozen=True, eq=False)
class CellStatistic:
    """What the points in each cell say.

    Parameters
    ----------
    median_mm : (nz, nx) float
        NaN where there is no point [mm].
    spread_mm : (nz, nx) float
        Standard deviation of the points about it, from their quartiles; NaN under four points [mm].
    count : (nz, nx) int
        Points in the cell.
    """

    median_mm: Floats
    spread_mm: Floats
    count: NDArray[np.int64]


def cell_statistic(
    x_m: Floats, z_m: Floats, proud_mm: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> CellStatistic:
    """Median and scatter of the points in each of equal cells.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places; one beyond the wall counts to the nearest cell [m].
    proud_mm : (n,) float
        Finite [mm].
    size_m : (width, height)
        Of the wall, more than 0 [m].
    shape : (rows, columns)
        How many cells there are.

    Returns
    -------
    CellStatistic
        Exact medians.

    Examples
    --------
    >>> x, z = np.array([0.1, 0.2, 0.3, 0.9]), np.full(4, 0.5)
    >>> cell_statistic(x, z, np.array([1.0, 9.0, 2.0, 5.0]), (1.0, 1.0), (1, 2)).median_mm.tolist()
    [[2.0, 5.0]]
    """
    return run(cell_statistic_steps(x_m, z_m, proud_mm, size_m, shape))


def cell_statistic_steps(
    x_m: Floats, z_m: Floats, proud_mm: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> Generator[None, None, CellStatistic]:
    """The same in steps."""
    cell = yield from _numbered(x_m, z_m, size_m, shape)
    values, starts = by_cell(cell, proud_mm, shape[0] * shape[1])
    yield
    yield from _sorting(values, starts)
    first, count = starts[:-1], np.diff(starts)

    def ordered(nth: NDArray[np.int64]) -> Floats:
        """The nth smallest reading of each cell [mm]; of an empty one anything."""
        return np.asarray(values[np.minimum(first + nth, values.size - 1)])

    middle = (ordered(np.maximum(count - 1, 0) // 2) + ordered(count // 2)) / 2
    median = np.where(count > 0, middle, np.nan)
    lower, upper = count // 4, np.maximum(count - 1 - count // 4, 0)
    between = ordered(upper) - ordered(lower)
    spread = np.where(count >= LEAST_FOR_SPREAD, between / _normal_width(lower, upper, count), np.nan)
    return CellStatistic(median.reshape(shape), spread.reshape(shape), count.reshape(shape))


def by_cell(cell: NDArray[np.int32], values: Floats, cells: int) -> tuple[Floats, NDArray[np.int64]]:
    """Values put cell by cell, and where each cell begins and the last one ends (cells + 1,).

    A matrix of one column that holds each value in its cell's row, told row by row: one counting pass.

    Examples
    --------
    >>> values, starts = by_cell(np.array([2, 0, 2], dtype=np.int32), np.array([5.0, 6.0, 7.0]), 3)
    >>> values.tolist(), starts.tolist()
    ([6.0, 5.0, 7.0], [0, 1, 1, 3])
    """
    column = csc_array((values, cell, np.array([0, values.size], dtype=cell.dtype)), shape=(cells, 1))
    rows = column.tocsr()
    return np.asarray(rows.data), rows.indptr.astype(np.int64)


def _sorting(values: Floats, starts: NDArray[np.int64]) -> Generator[None, None, None]:
    """Sort the values of each cell in place."""
    ends, done = starts.tolist(), 0
    for start, end in pairwise(ends):
        values[start:end].sort()
        if end - done >= AT_ONCE:
            done = end
            yield


def _numbered(
    x_m: Floats, z_m: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> Generator[None, None, NDArray[np.int32]]:
    """`cell_numbers` in steps."""
    cell = np.empty(x_m.size, dtype=np.int32)
    for start in range(0, x_m.size, BLOCK):
        part = slice(start, start + BLOCK)
        cell[part] = cell_numbers(x_m[part], z_m[part], size_m, shape)
        if start % AT_ONCE == 0:
            yield
    return cell


def _numbers(
    places_m: Floats, length_m: float, count: int, room: Floats, into: NDArray[np.int32]
) -> NDArray[np.int32]:
    """Which of `count` equal cells each place falls in."""
    np.multiply(places_m, count / length_m, out=room)
    into[:] = room  # drops what is behind the point: from -1 to 1 all is 0
    return np.clip(into, 0, count - 1, out=into)


def cell_numbers(
    x_m: Floats, z_m: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> NDArray[np.int32]:
    """The cell that each point falls in, counted along the rows from the floor.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places; one beyond the wall counts to the nearest cell [m].
    size_m : (width, height)
        Of the wall [m].
    shape : (rows, columns)
    """
    row, column = np.empty(x_m.size, dtype=np.int32), np.empty(x_m.size, dtype=np.int32)
    room = np.empty(x_m.size)
    row = _numbers(z_m, size_m[1], shape[0], room, row)
    row *= shape[1]
    row += _numbers(x_m, size_m[0], shape[1], room, column)
    return row


def _normal_width(lower: NDArray[np.int64], upper: NDArray[np.int64], count: NDArray[np.int64]) -> Floats:
    """Distance to be expected between two ordered readings, by their numbers, of a normal with deviation 1.

    References
    ----------
    G. Blom, *Statistical Estimates and Transformed Beta-Variables*, 1958: the i-th of n lies near the
    quantile (i - 3/8) / (n + 1/4).
    """
    size = np.maximum(count, LEAST_FOR_SPREAD)
    high, low = (
        np.where(count >= LEAST_FOR_SPREAD, nth, default) for nth, default in ((upper, 2), (lower, 1))
    )
    return np.asarray(ndtri((high + 0.625) / (size + 0.25)) - ndtri((low + 0.625) / (size + 0.25)))
