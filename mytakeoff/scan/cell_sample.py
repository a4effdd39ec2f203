"""A wall's points out of a cloud of any size: all of them while there is room, then some of each small cell.

Each point has a number drawn from its own place. Of every cell those with the lowest numbers stay, and how
many stay shrinks as the cloud grows: what is left is an even sample of each cell whatever the order of the
points, dense and thin places alike keep points, and a point that comes twice stays once.
"""

from __future__ import annotations

from collections.abc import Generator

import numpy as np
from numpy.typing import NDArray

from mytakeoff.steps import BAND_BITS, banded, firsts, run
from mytakeoff.survey.survey import Floats

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
        run(self.add_steps(points_m, places))

    def add_steps(self, points_m: Floats, places: Floats) -> Generator[None, None, None]:
        """The same in steps, where room has to be made; `places` as for `add` [any]."""
        self.seen += len(points_m)
        self._parts.append((points_m, _drawn(places)))
        self._held += len(points_m)
        while self._held > self._most:
            yield from self._thin()

    def points(self) -> Floats:
        """The points that stayed, each once (n, 3) [m]; see `points_steps`."""
        return run(self.points_steps())

    def points_steps(self) -> Generator[None, None, Floats]:
        """The same in steps."""
        yield from self._merge()
        return self._parts[0][0] if self._parts else np.empty((0, 3))

    def _merge(self) -> Generator[None, None, None]:
        """One array of points, those that came twice once."""
        if not self._parts:
            return
        points, drawn = yield from self._together()
        first = yield from firsts(drawn)
        if not first.all():
            points, drawn = points[first], drawn[first]
        self._parts, self._held = [(points, drawn)], len(points)

    def _together(self) -> Generator[None, None, tuple[Floats, NDArray[np.uint64]]]:
        """All parts in one, each let go once it is copied."""
        points, drawn = np.empty((self._held, 3)), np.empty(self._held, dtype=np.uint64)
        at = 0
        self._parts.reverse()
        while self._parts:
            some, numbers = self._parts.pop()
            points[at : at + len(some)], drawn[at : at + len(some)] = some, numbers
            at += len(some)
            yield
        return points, drawn

    def _thin(self) -> Generator[None, None, None]:
        """Keep fewer in each cell, until half the room is free."""
        yield from self._merge()
        points, drawn = self._parts[0]
        columns = np.floor(points[:, :2] / self._cell_m).astype(np.int64)
        columns -= columns.min(axis=0)
        cell = columns[:, 0] * (columns[:, 1].max() + 1) + columns[:, 1]
        yield
        rank = yield from _ranks(cell, drawn)
        self._held = int((rank < self._in_a_cell).sum())
        while self._held > self._most // 2 and self._in_a_cell > 1:
            self._in_a_cell //= 2
            self._held = int((rank < self._in_a_cell).sum())
        stay = rank < self._in_a_cell
        self._parts = [(points[stay], drawn[stay])]
        if self._in_a_cell == 1 and self._held > self._most // 2:
            self._cell_m *= 2.0
            self._in_a_cell = 2


def _ranks(cell: NDArray[np.int64], drawn: NDArray[np.uint64]) -> Generator[None, None, NDArray[np.int64]]:
    """How many of each point's cell have a lower number."""
    rank = np.empty(cell.size, dtype=np.int64)
    cells_in_a_band = int(cell.max()) // ((1 << BAND_BITS) - 1) + 1
    pieces = yield from banded((cell // cells_in_a_band).astype(np.uint16))
    for piece in pieces:
        order = np.lexsort([drawn[piece], cell[piece]])
        starts = np.flatnonzero(np.diff(cell[piece][order], prepend=-1))
        rank[piece[order]] = np.arange(order.size) - np.repeat(starts, np.diff(starts, append=order.size))
        yield
    return rank


def _drawn(places: Floats) -> NDArray[np.uint64]:
    """A number for each point, the same wherever it stands in the file."""
    bits = np.ascontiguousarray(places + 0.0, dtype=np.float64).view(np.uint64)
    mixed = np.zeros(len(places), dtype=np.uint64)
    for column, mixer in enumerate(MIXERS):
        mixed ^= bits[:, column] * np.uint64(mixer)
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(MIXERS[0])
    return np.asarray(mixed ^ (mixed >> np.uint64(32)))
