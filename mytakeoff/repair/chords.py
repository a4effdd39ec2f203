"""Broken chords: the rows of the search for the cheapest repair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix

from mytakeoff.flatness.edge_lines import Cells, EdgeLines, EdgeRule
from mytakeoff.flatness.resting import Limits, LongestFirst, resting_points
from mytakeoff.flatness.straightedge import with_no_cell
from mytakeoff.survey.survey import Floats

Columns = tuple[Cells, Cells, Cells, Floats, Floats]  # of chords, as `Chords` has them


@dataclass(frozen=True)
class CutPrice:
    """Most that is taken down anywhere [mm], and the price of a litre taken down over one filled [-]."""

    limit_mm: float
    to_fill: float


@dataclass(frozen=True, eq=False)
class Chords:
    """Broken chords: the cell under each, the two it rests on, and what it asks.

    Parameters
    ----------
    under, start, end : (n,) int
        Flat cell numbers.
    start_share : (n,) float
        How much of the height over the cell comes from the start [-].
    tolerance_mm : (n,) float
        [mm]
    """

    under: Cells
    start: Cells
    end: Cells
    start_share: Floats
    tolerance_mm: Floats

    @property
    def count(self) -> int:
        """How many [-]."""
        return int(self.under.size)

    def joined(self, other: Chords) -> Chords:
        """Both together, each chord once."""
        pairs = (self.under, other.under), (self.start, other.start), (self.end, other.end)
        cells = np.stack([np.concatenate(pair) for pair in pairs])
        cells, once = np.unique(cells, axis=1, return_index=True)
        share = np.concatenate([self.start_share, other.start_share])[once]
        tolerance = np.concatenate([self.tolerance_mm, other.tolerance_mm])[once]
        return Chords(cells[0], cells[1], cells[2], share, tolerance)

    def shares(self, cells: int) -> csr_matrix[np.float64]:
        """Chord less cell as a matrix over the flat heights (n, cells)."""
        row = np.tile(np.arange(self.count), 3)
        column = np.concatenate([self.under, self.start, self.end])
        value = np.concatenate([-np.ones(self.count), self.start_share, 1.0 - self.start_share])
        return coo_matrix((value, (row, column)), shape=(self.count, cells)).tocsr()

    def chosen(self, which: NDArray[np.bool_]) -> Chords:
        """Only those that are True."""
        return Chords(
            self.under[which],
            self.start[which],
            self.end[which],
            self.start_share[which],
            self.tolerance_mm[which],
        )

    def carried(self, other: Chords, prices: Floats, cells: int) -> Floats:
        """Prices of another list's chords for these, 0 for those that it has not [-]."""
        own, known = self._keys(cells), other._keys(cells)
        carried = np.zeros(self.count)
        if known.size:
            order = np.argsort(known)
            at = np.minimum(np.searchsorted(known, own, sorter=order), known.size - 1)
            found = known[order][at] == own
            carried[found] = prices[order][at[found]]
        return carried

    def _keys(self, cells: int) -> NDArray[np.int64]:
        """One number for each chord: a chord is known by its ends and the cell under it."""
        under, start, end = (column.astype(np.int64) for column in (self.under, self.start, self.end))
        return (under * cells + start) * cells + end


def broken_chords(
    heights_mm: Floats, lines: Sequence[EdgeLines], rules: Sequence[EdgeRule], close_mm: float
) -> Chords:
    """The worst chord over each cell in each direction that is more than its tolerance above it.

    Parameters
    ----------
    heights_mm : (nz, nx) float
        [mm]
    lines : sequence of EdgeLines
    rules : sequence of EdgeRule
    close_mm : float
        Chords broken by less do not count [mm].
    """
    flat = with_no_cell(heights_mm)
    found = [
        columns
        for way in lines
        for table in way.tables
        for columns in _broken(flat, table, way.limits(rules), close_mm)
    ]
    if not found:
        none = np.zeros(0, dtype=np.intp)
        return Chords(none, none, none, np.zeros(0), np.zeros(0))
    under, start, end, share, tolerance = zip(*found, strict=True)
    return Chords(*map(np.concatenate, (under, start, end)), *map(np.concatenate, (share, tolerance)))


def _broken(flat: Floats, table: Cells, limits: Limits, close_mm: float) -> Iterator[Columns]:
    """Broken chords of each edge over some lines."""
    edges = LongestFirst(flat[table])
    for span, tolerance in limits:
        lines, heights, rests = edges.lay(span, tolerance + close_mm)
        short = (rests - heights > tolerance + close_mm) & (table[:, lines] < flat.size - 1)
        failing = np.flatnonzero(short.any(axis=0))
        if failing.size:
            cells, broken = table.take(lines[failing], axis=1), short.take(failing, axis=1)
            yield _chords(heights.take(failing, axis=1), cells, broken, span, tolerance)


def _chords(
    heights: Floats, cells: Cells, short: NDArray[np.bool_], span: int, tolerance_mm: float
) -> Columns:
    """The worst chord of an edge over each cell that is short of it."""
    rests = resting_points(heights, span)
    position, line = np.nonzero(short)
    before, after = rests.before[position, line], rests.after[position, line]
    start, end = cells[position - before, line], cells[position + after, line]
    share = np.asarray(after / np.maximum(before + after, 1), dtype=np.float64)
    return cells[position, line], start, end, share, np.full(position.size, tolerance_mm, np.float64)
