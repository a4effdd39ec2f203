"""A cloud of any size thinned to one point in each of equal cubes, as its chunks come by.

The cubes start small and double whenever there are too many, so that neither the size of the cloud nor its
unit has to be known before. What is kept is the mean of each cube's points and their number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

MOST_CUBES = 150_000
START_SHARE = 1 / 512  # of the first chunk's size: the side of the first cubes
BITS = 21  # of a cube's number along one axis; what lies further out than that is no part of a building
HALF = 1 << (BITS - 1)
FAR_SHARE = 0.001  # of the points at each end that may be strays, when a cloud's size is judged


@dataclass(frozen=True, eq=False)
class ThinCloud:
    """One point for each cube that holds any.

    Parameters
    ----------
    points : (n, 3) float
        Mean of the cube's points [the file's unit].
    count : (n,) float
        How many they are.
    side : float
        Of the cubes [the file's unit].
    total, strays : int
        Points seen, and those that lay too far out to be part of it.
    """

    points: Floats
    count: Floats
    side: float
    total: int
    strays: int

    @property
    def extent(self) -> Floats:
        """Size along each axis without the strays (3,) [the file's unit]."""
        ends = np.quantile(self.points, [FAR_SHARE, 1.0 - FAR_SHARE], axis=0)
        return np.asarray(ends[1] - ends[0])

    def coarser(self, side: float) -> ThinCloud:
        """The same cloud in cubes of at least a given side [the file's unit]."""
        thinner = Thinner(self.points.min(axis=0), self.side)
        thinner.add(self.points, self.count)
        while thinner.side < side:
            thinner.double()
        thin = thinner.done()
        return ThinCloud(thin.points, thin.count, thin.side, self.total, self.strays)


class Thinner:
    """Takes the chunks of a cloud one after the other.

    Parameters
    ----------
    origin : (3,) float, optional
    side : float, optional
        Of the cubes to start with; from the first chunk unless given [the file's unit].
    """

    def __init__(self, origin: Floats | None = None, side: float = 0.0) -> None:
        self._origin = np.zeros(3) if origin is None else origin
        self.side = side
        self._keys: NDArray[np.int64] = np.empty(0, dtype=np.int64)
        self._sums: Floats = np.empty((0, 4))  # x, y, z about the origin, and the number of points
        self._total = self._strays = 0

    def add(self, points: Floats, count: Floats | None = None) -> None:
        """Take in some finite points (n, 3) [the file's unit], each standing for `count`."""
        if len(points) == 0:
            return
        self._total += len(points)
        if self.side <= 0.0:
            self._start(points)
        from_origin: Floats = points - self._origin
        with np.errstate(over="ignore", invalid="ignore"):
            cube: Floats = np.floor(from_origin / self.side)
        near = (np.abs(cube) < HALF).all(axis=1)
        if not near.all():
            self._strays += int(near.size - np.count_nonzero(near))
            from_origin, cube = from_origin[near], cube[near]
            count = None if count is None else count[near]
        number = cube.astype(np.int64) + HALF
        keys: NDArray[np.int64] = (number[:, 0] << (2 * BITS)) | (number[:, 1] << BITS) | number[:, 2]
        ones = np.ones(len(keys)) if count is None else count
        self._merge(keys, np.column_stack([from_origin * ones[:, None], ones]))
        while self._keys.size > MOST_CUBES:
            self.double()

    def _start(self, points: Floats) -> None:
        """Lay the cubes out by the first points."""
        few = points[:: max(1, len(points) // 10_000)]
        low, middle, high = np.quantile(few, [0.02, 0.5, 0.98], axis=0)
        self._origin = middle
        size = float(np.max(high - low))
        self.side = (size if 0 < size < np.inf else 1.0) * START_SHARE

    def _merge(self, keys: NDArray[np.int64], sums: Floats) -> None:
        """Add up what falls into the same cube."""
        known, place = np.unique(keys, return_inverse=True)
        columns = [np.bincount(place, weights=column, minlength=known.size) for column in sums.T]
        new: Floats = np.column_stack(columns).astype(np.float64)
        if self._keys.size == 0:
            self._keys, self._sums = known, new
            return
        both, place = np.unique(np.concatenate([self._keys, known]), return_inverse=True)
        stacked = np.concatenate([self._sums, new])
        self._sums = np.column_stack([np.bincount(place, weights=one) for one in stacked.T]).astype(
            np.float64
        )
        self._keys = both

    def double(self) -> None:
        """Cubes of twice the side, eight in one."""
        mask = (1 << BITS) - 1
        number = [((self._keys >> shift) & mask) - HALF for shift in (2 * BITS, BITS, 0)]
        x, y, z = ((one >> 1) + HALF for one in number)
        self.side *= 2.0
        keys, sums = (x << (2 * BITS)) | (y << BITS) | z, self._sums
        self._keys = keys[:0]
        self._merge(keys, sums)

    def done(self) -> ThinCloud:
        """The thinned cloud."""
        count = self._sums[:, 3]
        points = self._sums[:, :3] / np.maximum(count, 1e-300)[:, None] + self._origin
        return ThinCloud(points, count, self.side, self._total, self._strays)
