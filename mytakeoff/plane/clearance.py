"""What a plane has to clear, looked through in blocks so that most cells are never looked at."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mytakeoff.plane.lowest_plane import TIGHT_MM
from mytakeoff.plane.rule import PlaneRule, half_cell_m
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

BLOCK = 16  # cells across a block: a block whose highest cell is cleared is not looked into
BLOCKS_AT_ONCE = 64
ADDED_AT_ONCE = 8


def _highest_by_rows(proud_mm: Floats) -> Floats:
    """Highest cell of each column in each run of `BLOCK` rows (blocks, nx) [mm]."""
    whole = len(proud_mm) // BLOCK * BLOCK
    high = np.fmax.reduce(proud_mm[:whole].reshape(-1, BLOCK, proud_mm.shape[1]), axis=1)
    if whole == len(proud_mm):
        return np.asarray(high)
    return np.vstack([high, np.fmax.reduce(proud_mm[whole:], axis=0)])


class Clearance:
    """What a plane has to clear: each known cell and reading, with the thickness kept there.

    Places are told from the centroid of the known area, where a plane's height is its mean.
    """

    def __init__(self, surface: Surface, rule: PlaneRule) -> None:
        self.x0_m, self.z0_m = surface.centroid_m
        self.x_m, self.z_m = surface.x_m - self.x0_m, surface.z_m - self.z0_m
        self.proud_mm = surface.proud_mm
        self.lift_mm = rule.lift_mm(surface) - rule.cut_mm
        points = surface.points
        lift = rule.lift_at(points.x_m, half_cell_m(surface.x_m)) - rule.cut_mm
        self.points = np.column_stack(
            [points.x_m - self.x0_m, points.z_m - self.z0_m, points.proud_mm + lift]
        )
        self._make_blocks()

    def _make_blocks(self) -> None:
        rows, columns = (np.arange(0, size, BLOCK) for size in (self.z_m.size, self.x_m.size))
        high = _highest_by_rows(self.proud_mm) + self.lift_mm
        self.column_mm = np.fmax.reduce(high, axis=0)  # the highest of each column, NaN where none is known
        self.block_mm = np.nan_to_num(np.fmax.reduceat(high, columns, axis=1), nan=-np.inf)
        last_row = np.minimum(rows + BLOCK, self.z_m.size) - 1
        last_column = np.minimum(columns + BLOCK, self.x_m.size) - 1
        self.block_x = np.array([self.x_m[columns], self.x_m[last_column]])
        self.block_z = np.array([self.z_m[rows], self.z_m[last_row]])
        self.rows, self.columns = rows, columns

    def _suspects(self, a: float, b: float, c: float) -> NDArray[np.intp]:
        """Blocks (k, 2) that may hold a cell above the plane, the likeliest first."""
        lowest = a + (b * self.block_x).min(axis=0)[None, :] + (c * self.block_z).min(axis=0)[:, None]
        over = self.block_mm - lowest
        blocks = np.argwhere(over > TIGHT_MM)
        return blocks[np.argsort(-over[blocks[:, 0], blocks[:, 1]])]

    def _worst_cells(self, blocks: NDArray[np.intp], a: float, b: float, c: float) -> tuple[Floats, Floats]:
        """The cell of each block that stands furthest above the plane, as points (k, 3), and how far (k,)."""
        span = np.arange(BLOCK)
        row = np.minimum(self.rows[blocks[:, 0]][:, None] + span, self.z_m.size - 1)
        column = np.minimum(self.columns[blocks[:, 1]][:, None] + span, self.x_m.size - 1)
        over = self.proud_mm[row[:, :, None], column[:, None, :]]
        over += (self.lift_mm - a - b * self.x_m)[column][:, None, :]
        over -= (c * self.z_m)[row][:, :, None]
        flat = np.nan_to_num(over.reshape(len(blocks), BLOCK * BLOCK), copy=False, nan=-np.inf)
        each, at = np.arange(len(blocks)), flat.argmax(axis=1)
        return self._cells(row[each, at // BLOCK], column[each, at % BLOCK]), flat[each, at]

    def above(self, a: float, b: float, c: float) -> Floats:
        """Some of the worst points above a plane (k, 3) [m, m, mm]; none only when everything is cleared.

        The likeliest blocks are looked into first, the others only when those are cleared.
        """
        blocks = self._suspects(a, b, c)
        found, miss = self.points, self.points[:, 2] - a - self.points[:, :2] @ np.array([b, c])
        slack = max(TIGHT_MM, 1e-13 * abs(a))
        for chunk in np.split(blocks, range(BLOCKS_AT_ONCE, len(blocks), BLOCKS_AT_ONCE)):
            cells, over = self._worst_cells(chunk, a, b, c)
            found, miss = np.vstack([found, cells]), np.concatenate([miss, over])
            worst = np.argsort(-miss)[:ADDED_AT_ONCE]
            if miss.size and miss[worst[0]] > slack:
                return np.asarray(found[worst[miss[worst] > slack]])
            found, miss = found[:0], miss[:0]
        return found[:0]

    def _cells(self, row: NDArray[np.intp], column: NDArray[np.intp]) -> Floats:
        """Cells as points (k, 3): place from the centroid and height to clear."""
        return np.column_stack(
            [self.x_m[column], self.z_m[row], self.proud_mm[row, column] + self.lift_mm[column]]
        )

    def highest(self) -> Floats:
        """The highest cell, to start from (1, 3)."""
        row, column = np.unravel_index(int(self.block_mm.argmax()), self.block_mm.shape)
        low = self.block_mm[row, column]
        return np.array([[self.block_x[0, column], self.block_z[0, row], low - 1e3]])
