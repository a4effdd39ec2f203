"""Where one coat ends and the next begins, and where its number is written."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from mytakeoff.charts.drawing.field import Field

_MOST_EDGES = 40
_LABEL_GRID = 96
_LEAST_ROOM = 3
_NEARLY = 0.85


@dataclass(frozen=True)
class CoatDepths:
    """How deep each coat goes, counted from the finished face inward.

    Parameters
    ----------
    max_coat_mm : float
        Greatest depth of the first coat under the finish; 0 or less draws no edges [mm].
    finish_mm : float
        The finish coat, part of the thickness, not counted in the number [mm].
    dub_mm : float
        Greatest depth of each coat under the first; 0 for the same as `max_coat_mm` [mm].
    """

    max_coat_mm: float = 0.0
    finish_mm: float = 0.0
    dub_mm: float = 0.0

    def edges_mm(self, deepest_mm: float) -> tuple[float, ...]:
        """Thickness beyond which coat 1, 2, 3 … begins, as far as the deepest place reaches [mm].

        Examples
        --------
        >>> CoatDepths(max_coat_mm=15, finish_mm=3).edges_mm(40)
        (3.0, 18.0, 33.0)
        >>> CoatDepths(max_coat_mm=15, dub_mm=25).edges_mm(40)
        (0.0, 15.0)
        """
        if not self.max_coat_mm > 0:
            return ()
        further = self.dub_mm if self.dub_mm > 0 else self.max_coat_mm
        edges = [float(self.finish_mm)]
        following = self.finish_mm + self.max_coat_mm
        while following < deepest_mm and len(edges) < _MOST_EDGES:
            edges.append(float(following))
            following += further
        return tuple(edges)


def coat_numbers(field: Field, depths: CoatDepths) -> NDArray[np.int64]:
    """Coats under the finish at each cell; -1 where nothing is priced.

    An edge belongs to the coats above it: exactly the greatest depth is still one coat.
    """
    deepest = float(field.codes.max(initial=0)) * field.step_mm
    edges = np.asarray(depths.edges_mm(deepest)) / field.step_mm + 1.5
    numbers = np.searchsorted(edges, field.codes.astype(float), side="left")
    return np.where(field.codes > 0, numbers, -1)


def _inward(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """Steps from each cell to the nearest one with another number, or to the border of the field."""
    depth = np.zeros(numbers.shape, dtype=np.int64)
    inside = numbers >= 0
    while inside.any():
        depth += inside
        inside = _shrunk(inside, numbers)
    return depth


def _shrunk(inside: NDArray[np.bool_], numbers: NDArray[np.int64]) -> NDArray[np.bool_]:
    """`inside` without the cells that touch the outside or another number."""
    framed = np.pad(inside, 1)
    others = np.pad(numbers, 1, constant_values=-1)
    rows, columns = inside.shape
    kept = inside.copy()
    for down in range(3):
        for across in range(3):
            window = (slice(down, down + rows), slice(across, across + columns))
            kept &= framed[window] & (others[window] == numbers)
    return kept


def label_places(field: Field, depths: CoatDepths) -> tuple[tuple[int, float, float], ...]:
    """The number of coats and a roomy place to write it, x and z [m], for each region with room."""
    rows, columns = field.codes.shape
    every = max(-(-max(rows, columns) // _LABEL_GRID), 1)
    first = every // 2
    numbers = coat_numbers(field, depths)[first::every, first::every]
    room = _inward(numbers)
    left, right, bottom, top = field.extent_m
    places = []
    for number in range(1, int(numbers.max(initial=0)) + 1):
        regions, count = label(numbers == number)
        for region in range(1, count + 1):
            row, column = _roomy_middle(np.where(regions == region, room, 0))
            if room[row, column] >= _LEAST_ROOM:
                x_m = left + (column * every + first + 0.5) * (right - left) / columns
                z_m = bottom + (row * every + first + 0.5) * (top - bottom) / rows
                places.append((number, float(x_m), float(z_m)))
    return tuple(places)


def _roomy_middle(room: NDArray[np.int64]) -> tuple[int, int]:
    """Of the cells with nearly the most room the one nearest to the middle of them all."""
    row, column = np.nonzero(room >= max(_NEARLY * int(room.max()), 1))
    middle = (row - row.mean()) ** 2 + (column - column.mean()) ** 2
    best = int(middle.argmin())
    return int(row[best]), int(column[best])
