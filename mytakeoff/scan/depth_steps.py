"""Depth that an instrument gives in steps, told apart from what its points scatter by.

A depth camera, or a program that rounds, gives few different depths with nothing between them. Where single
points scatter by less than a step, all points of a place give the same depth: their scatter is nothing, and
the wall may still stand half a step to either side. More points do not help then.

Notes
-----
Steps are seen by few different depths in the file, evenly apart, that lie about no plane of their own. An
export that was turned hides its steps.

Where points scatter by less than a step, the scatter in a cell is nothing or the step, and quartiles took one
for the other: 0.0 mm was said of cells that were 3 mm out. There a cell is right to ``step / √12``, noise is
what Sheppard's correction leaves, and under half a step it cannot be told.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.interpolate import Readings, Trend
from mytakeoff.survey.survey import Floats

MOST_LEVELS = 2000  # different depths; more of them are no steps
LEAST_LEVELS = 2
POINTS_A_LEVEL = 20  # on average; an instrument without steps hardly gives a depth twice
A_FEW = 4096
LEAST_MM = 0.5  # a smaller step is less than a ruler shows
EVEN_GAPS = 2.0  # most gaps between depths lie within so many times each other
OFF_SHARE = (
    0.05  # of a step: depths that lie nearer to a plane than this are a plane's own, read in even rows
)
SAMPLE = 200_000


class DepthLevels:
    """Counts the different depths of points, as they stand in a file."""

    def __init__(self) -> None:
        self._levels: Floats = np.empty(0)
        self._count: NDArray[np.int64] = np.empty(0, dtype=np.int64)
        self._many = False

    def add(self, depth: Floats) -> None:
        """Take in some depths (n,) [any unit]."""
        if self._many or np.unique(depth[:A_FEW]).size > MOST_LEVELS:
            self._many = True
            return
        levels, count = np.unique(depth, return_counts=True)
        both, place = np.unique(np.concatenate([self._levels, levels]), return_inverse=True)
        weights = np.concatenate([self._count, count])
        self._levels, self._count = both, np.bincount(place, weights=weights).astype(np.int64)
        self._many = both.size > MOST_LEVELS

    @property
    def step(self) -> float:
        """What neighbouring depths lie apart where most points are; 0 if depths are no steps [same unit].

        Examples
        --------
        >>> levels = DepthLevels()
        >>> levels.add(np.repeat([2.0, 2.5, 3.0, 3.5], 50))
        >>> levels.step
        0.5
        """
        few = self._levels.size < LEAST_LEVELS or self._count.sum() < POINTS_A_LEVEL * self._levels.size
        if self._many or few:
            return 0.0
        gaps, weight = np.diff(self._levels), np.minimum(self._count[:-1], self._count[1:])
        order = np.argsort(gaps)
        at = np.searchsorted(np.cumsum(weight[order]), weight.sum() * np.array([0.1, 0.5, 0.9]))
        low, middle, high = gaps[order][at].tolist()
        return float(middle) if high <= EVEN_GAPS * low else 0.0


def step_that_shows(step_mm: float, readings: Readings) -> float:
    """A step if a wall shows it, else 0: a true plane read in even rows has few depths too [mm].

    Parameters
    ----------
    step_mm : float
        Between the depths of its points [mm].
    readings : Readings
        Those points on the wall.
    """
    if step_mm < LEAST_MM:
        return 0.0
    some = readings.without(np.arange(readings.x_m.size) % (readings.x_m.size // SAMPLE + 1) > 0)
    off = some.proud_mm - Trend.of(some).at(some.x_m, some.z_m)
    return step_mm if float(off.std()) >= OFF_SHARE * step_mm else 0.0


def noise_beside_steps_mm(cell: NDArray[np.int32], depth_mm: Floats, step_mm: float) -> float:
    """Standard deviation of single points before their depth was rounded to steps [mm].

    Parameters
    ----------
    cell : (n,) int
        In which cell each point lies.
    depth_mm : (n,) float
        With the wall's turn, lean and bow taken out [mm].
    step_mm : float
        More than 0 [mm].

    Returns
    -------
    float
        0 where it is under half a step: then the steps hide it [mm].

    References
    ----------
    W. F. Sheppard, Proceedings of the London Mathematical Society 29 (1898), from memory: rounding to steps
    adds ``step² / 12`` to a variance that is not small against the step.
    """
    count = np.bincount(cell)
    many = count >= 2
    sums, squares = (np.bincount(cell, weights=depth_mm**power)[many] for power in (1, 2))
    left = (squares - sums**2 / count[many]).sum() / (count[many] - 1).sum()
    noise = float(np.sqrt(max(left - step_mm**2 / 12.0, 0.0)))
    return noise if noise >= step_mm / 2.0 else 0.0


def depth_axis(out: Floats) -> tuple[int, float]:
    """The file's axis that runs most towards the room, and how much of its length does [-]."""
    axis = int(np.argmax(np.abs(out)))
    return axis, float(abs(out[axis]))
