"""A wall's points out of a cloud of any size: all of them while there is room, then some of each small cell.

Each point has a number drawn from its own place. Of every cell those with the lowest numbers stay, and how
many stay shrinks as the cloud grows: what is left is an even sample of each cell whatever the order of the
points, dense and thin places alike keep points, and a point that comes twice stays once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey import Floats

MOST_POINTS = 12_000_000  # 400 MB while they are collected
CELL_M = 0.01
MOST_IN_A_CELL = 4096
MIXERS = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9)  # odd, bits evenly set


class CellSample:
    """Collects the points of one wall.

    Parameters
    ----------
    cell_m : float
        Of the cells in which points are counted [m].
    most : int
        Points kept at most, about.
    """

    def __init__(self, cell_m: float = CELL_M, most: int = MOST_POINTS) -> None:
        self._cell_m = cell_m
        self._most = most
        self._in_a_cell = MOST_IN_A_CELL
        self._parts: list[tuple[Floats, NDArray[np.uint64]]] = []
        self._held = 0
        self.seen = 0

    def add(self, points_m: Floats, places: Floats) -> None:
        """Take in some points.

        Parameters
        ----------
        points_m : (n, 3) float
            Distance, height, proud [m].
        places : (n, 3) float
            The same points as they stand in the file, which their numbers are drawn from [any].
        """
        self.seen += len(points_m)
        self._parts.append((points_m, _drawn(places)))
        self._held += len(points_m)
        while self._held > self._most:
            self._thin()

    def points(self) -> Floats:
        """The points that stayed, each once (n, 3) [m]."""
        self._merge()
        return self._parts[0][0] if self._parts else np.empty((0, 3))

    def _merge(self) -> None:
        """One array of points, those that came twice once."""
        if not self._parts:
            return
        points, drawn = (np.concatenate(list(part)) for part in zip(*self._parts, strict=True))
        self._parts = []
        _, first = np.unique(drawn, return_index=True)
        if first.size < drawn.size:
            first.sort()
            points, drawn = points[first], drawn[first]
        self._parts, self._held = [(points, drawn)], len(points)

    def _thin(self) -> None:
        """Keep fewer in each cell, until half the room is free."""
        self._merge()
        points, drawn = self._parts[0]
        columns = np.floor(points[:, :2] / self._cell_m).astype(np.int64)
        columns -= columns.min(axis=0)
        cell = columns[:, 0] * (columns[:, 1].max() + 1) + columns[:, 1]
        order = np.lexsort([drawn, cell])
        ordered = cell[order]
        starts = np.flatnonzero(np.diff(ordered, prepend=-1))
        rank = np.arange(order.size) - np.repeat(starts, np.diff(starts, append=order.size))
        self._held = int((rank < self._in_a_cell).sum())
        while self._held > self._most // 2 and self._in_a_cell > 1:
            self._in_a_cell //= 2
            self._held = int((rank < self._in_a_cell).sum())
        stay = np.sort(order[rank < self._in_a_cell])
        self._parts = [(points[stay], drawn[stay])]
        if self._in_a_cell == 1 and self._held > self._most // 2:
            self._cell_m *= 2.0
            self._in_a_cell = 2


def _drawn(places: Floats) -> NDArray[np.uint64]:
    """A number for each point, the same wherever it stands in the file."""
    bits = np.ascontiguousarray(places + 0.0, dtype=np.float64).view(np.uint64)
    mixed = np.zeros(len(places), dtype=np.uint64)
    for column, mixer in enumerate(MIXERS):
        mixed ^= bits[:, column] * np.uint64(mixer)
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(MIXERS[0])
    return np.asarray(mixed ^ (mixed >> np.uint64(32)))
