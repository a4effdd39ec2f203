"""The median of a dense cloud in each cell, and how far its points scatter there.

Cell and reading are packed into one whole number, so that a single sort in place puts every cell's readings
side by side and in order. The median and the quartiles are then look-ups, and nothing of the cloud's size is
held beside the points but that one array.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from mytakeoff.bysteps import AT_ONCE, sorting, to_the_end
from mytakeoff.survey import Floats

BLOCK = 1 << 16  # points packed at once: the block stays in the processor's cache
MOST_BITS = 51  # of a reading in its key; a float holds whole numbers of that size exactly
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
        Medians to a billionth of the range of the readings or better.

    Examples
    --------
    >>> x, z = np.array([0.1, 0.2, 0.3, 0.9]), np.full(4, 0.5)
    >>> cell_statistic(x, z, np.array([1.0, 9.0, 2.0, 5.0]), (1.0, 1.0), (1, 2)).median_mm.round(9).tolist()
    [[2.0, 5.0]]
    """
    return to_the_end(cell_statistic_steps(x_m, z_m, proud_mm, size_m, shape))


def cell_statistic_steps(
    x_m: Floats, z_m: Floats, proud_mm: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> Generator[None, None, CellStatistic]:
    """The same in steps."""
    cells = shape[0] * shape[1]
    bits = min(MOST_BITS, 63 - max(cells - 1, 1).bit_length())
    low = float(proud_mm.min())
    step = max(float(proud_mm.max()) - low, 1e-9) / (2.0**bits - 2.0)
    keys = yield from _keys(x_m, z_m, proud_mm, size_m, shape, bits, low, step)
    yield from sorting(keys)
    starts = np.searchsorted(keys, np.arange(cells + 1, dtype=np.int64) << bits)
    first, count = starts[:-1], np.diff(starts)

    def ordered(nth: NDArray[np.int64]) -> Floats:
        """The nth smallest reading of each cell [mm]; of an empty one anything."""
        found = keys[np.minimum(first + nth, keys.size - 1)] & ((1 << bits) - 1)
        return np.asarray(low + step * found.astype(np.float64))

    middle = (ordered(np.maximum(count - 1, 0) // 2) + ordered(count // 2)) / 2
    median = np.where(count > 0, middle, np.nan)
    lower, upper = count // 4, np.maximum(count - 1 - count // 4, 0)
    between = ordered(upper) - ordered(lower)
    spread = np.where(count >= LEAST_FOR_SPREAD, between / _normal_width(lower, upper, count), np.nan)
    return CellStatistic(median.reshape(shape), spread.reshape(shape), count.reshape(shape))


def _keys(
    x_m: Floats,
    z_m: Floats,
    proud_mm: Floats,
    size_m: tuple[float, float],
    shape: tuple[int, int],
    bits: int,
    low: float,
    step: float,
) -> Generator[None, None, NDArray[np.int64]]:
    """Cell number above, reading in steps below, for each point; block by block."""
    keys = np.empty(x_m.size, dtype=np.int64)
    value = np.empty(BLOCK)
    row, column = np.empty(BLOCK, dtype=np.int32), np.empty(BLOCK, dtype=np.int32)
    # adding 2^52 leaves a whole number in a float's lower bits: quicker than converting each
    whole, lower_bits = 2.0**52, (1 << 52) - 1
    for start in range(0, x_m.size, BLOCK):
        part = slice(start, start + BLOCK)
        key = keys[part]
        v, r, c = value[: key.size], row[: key.size], column[: key.size]
        _numbers(z_m[part], size_m[1], shape[0], v, r)
        _numbers(x_m[part], size_m[0], shape[1], v, c)
        r *= shape[1]
        r += c
        key[:] = r
        key <<= bits
        np.subtract(proud_mm[part], low, out=v)
        v *= 1.0 / step
        v += whole
        reading = v.view(np.int64)
        reading &= lower_bits
        key |= reading
        if start % AT_ONCE == 0:
            yield
    return keys


def _numbers(places_m: Floats, length_m: float, count: int, room: Floats, into: NDArray[np.int32]) -> None:
    """Which of `count` equal cells each place falls in."""
    np.multiply(places_m, count / length_m, out=room)
    np.maximum(room, 0.0, out=room)
    np.minimum(room, count - 1, out=room)
    into[:] = room


def cell_numbers(
    x_m: Floats, z_m: Floats, size_m: tuple[float, float], shape: tuple[int, int]
) -> NDArray[np.int32]:
    """The cell that each point falls in, counted along the rows from the floor.

    Parameters
    ----------
    x_m, z_m : (n,) float
        Places [m].
    size_m : (width, height)
        Of the wall [m].
    shape : (rows, columns)
    """
    row, column = np.empty(x_m.size, dtype=np.int32), np.empty(x_m.size, dtype=np.int32)
    room = np.empty(x_m.size)
    _numbers(z_m, size_m[1], shape[0], room, row)
    _numbers(x_m, size_m[0], shape[1], room, column)
    row *= shape[1]
    row += column
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
