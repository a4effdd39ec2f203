"""Where a straightedge of limited length rests on a line of cells: the upper envelope of its chords.

The highest of all chords between two cells at most a span apart is the upper concave envelope over windows of
the edge's length. Heights stand one line a column; lines that are shorter than their table end in `NO_CELL`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

# single precision is enough for a first approach, and faster
Heights = TypeVar("Heights", NDArray[np.float64], NDArray[np.float32])
# below every wall: a chord that ends on it lies under all others, and no sum of two overflows
NO_CELL = -1e30
BLOCK = 1 << 16  # cells worked at once, so that they stay near the processor


def resting_height(heights_mm: Heights, span: int) -> Heights:
    """Height of the highest chord over each cell, or of the cell where all chords lie lower.

    For each cell i the steepest chord to any cell at least d and at most a span away, d from the span down
    to 2, is what can pass over the cell d - 1 further on: one pass over all lines for each d.

    Parameters
    ----------
    heights_mm : (positions, lines) float
        [mm]
    span : int
        Steps from one end of the edge to the other [-].

    Returns
    -------
    (positions, lines) float
        [mm]

    Examples
    --------
    An edge over a dip of 4 mm between two high points, then one too short to reach both:

    >>> dip = np.array([[0.0], [-4.0], [-4.0], [0.0]])
    >>> resting_height(dip, 3).ravel().tolist()
    [0.0, 0.0, 0.0, 0.0]
    >>> resting_height(dip, 2).ravel().tolist()
    [0.0, -2.0, -2.0, 0.0]
    """
    lines = max(1, BLOCK // max(1, heights_mm.shape[0]))
    if heights_mm.shape[1] <= lines:
        return _resting(heights_mm, span)
    parts = [heights_mm[:, k : k + lines] for k in range(0, heights_mm.shape[1], lines)]
    return np.concatenate([_resting(np.ascontiguousarray(part), span) for part in parts], axis=1)


def _resting(heights: Heights, span: int) -> Heights:
    count = heights.shape[0]
    highest = heights.copy()
    steepest = np.full_like(heights, -np.inf)
    room = np.empty_like(heights)
    for away in range(min(span, count - 1), 1, -1):
        chord, slope, start = room[: count - away], steepest[: count - away], heights[: count - away]
        np.subtract(heights[away:], start, out=chord)
        np.multiply(chord, 1.0 / away, out=chord)
        np.maximum(slope, chord, out=slope)
        np.multiply(slope, away - 1.0, out=chord)
        np.add(chord, start, out=chord)
        over = highest[away - 1 : count - 1]
        np.maximum(over, chord, out=over)
    return highest


@dataclass(frozen=True, eq=False)
class Rests:
    """The highest chord over each cell and how many steps to either side it rests.

    Parameters
    ----------
    height_mm : (positions, lines) float
        [mm]
    before, after : (positions, lines) int
        Steps back and on to the two cells it rests on; 0 where all chords lie lower.
    """

    height_mm: Floats
    before: NDArray[np.int32]
    after: NDArray[np.int32]


def resting_points(heights_mm: Floats, span: int) -> Rests:
    """The same as `resting_height`, with the two cells that the edge rests on.

    Parameters
    ----------
    heights_mm : (positions, lines) float
        [mm]
    span : int

    Examples
    --------
    >>> rests = resting_points(np.array([[0.0], [-4.0], [-4.0], [0.0]]), 3)
    >>> rests.before.ravel().tolist(), rests.after.ravel().tolist()
    ([0, 1, 2, 0], [0, 2, 1, 0])
    """
    count = heights_mm.shape[0]
    highest = heights_mm.copy()
    steepest = np.full_like(heights_mm, -np.inf)
    reach, before, after = (np.zeros(heights_mm.shape, dtype=np.int32) for _ in range(3))
    for away in range(min(span, count - 1), 1, -1):
        start = heights_mm[: count - away]
        slope, to = steepest[: count - away], reach[: count - away]
        steeper = (heights_mm[away:] - start) / away
        better = steeper > slope
        np.copyto(slope, steeper, where=better)
        np.copyto(to, away, where=better)
        chord = start + slope * (away - 1)
        over = slice(away - 1, count - 1)
        better = chord > highest[over]
        np.copyto(highest[over], chord, where=better)
        np.copyto(before[over], away - 1, where=better)
        np.copyto(after[over], to - (away - 1), where=better)
    return Rests(highest, before, after)


Limits = Sequence[tuple[int, float]]  # span of an edge [steps] and its tolerance [mm], both falling
Lines = NDArray[np.intp]


class LongestFirst(Generic[Heights]):
    """Lines that one edge after another is laid on, the longest first.

    A shorter edge shows no more than a longer one did, so it is laid only where that was enough.

    Parameters
    ----------
    heights_mm : (positions, lines) float
        [mm]
    """

    def __init__(self, heights_mm: Heights) -> None:
        self.heights_mm: Heights = heights_mm
        self.worst_mm: Heights = _most_gap(heights_mm)

    def lay(self, span: int, over_mm: float) -> tuple[Lines, Heights, Heights]:
        """Lay an edge no longer than those before on the lines that may show more than `over_mm` [mm].

        Returns
        -------
        lines : (k,) int
            Numbers of those lines.
        heights_mm, resting_mm : (positions, k) float
            The lines, and where the edge rests on them [mm].
        """
        lines = np.flatnonzero(self.worst_mm > over_mm)
        heights = self.heights_mm
        if lines.size < heights.shape[1]:
            heights = heights.take(lines, axis=1)
        rests = resting_height(heights, span) if lines.size else heights
        gap = np.where(heights > NO_CELL / 2, rests - heights, 0.0)
        self.worst_mm[lines] = gap.max(axis=0, initial=0.0)
        return lines, heights, rests


def _most_gap(heights_mm: Heights) -> Heights:
    """No edge shows more on a line than lies between its highest and its lowest cell off its chord [mm]."""
    there = heights_mm > NO_CELL / 2
    each, last = np.arange(there.shape[1]), np.maximum(there.sum(axis=0) - 1, 0)
    rise = (heights_mm[last, each] - heights_mm[0]) / np.maximum(last, 1).astype(heights_mm.dtype)
    off = heights_mm - rise * np.arange(len(heights_mm), dtype=heights_mm.dtype)[:, None]
    highest, lowest = np.where(there, off, -np.inf).max(axis=0), np.where(there, off, np.inf).min(axis=0)
    return np.asarray(highest - lowest)


def asked_height(heights_mm: Heights, limits: Limits) -> Heights:
    """The highest that any of several edges, less its tolerance, asks a cell to be.

    Parameters
    ----------
    heights_mm : (positions, lines) float
        [mm]
    limits : sequence of (span, tolerance)
        Both falling: the longest edge first [-, mm].

    Returns
    -------
    (positions, lines) float
        Exact where a cell is asked to rise; elsewhere some height that the cell has [mm].

    Examples
    --------
    Edges of three and two steps over a dip, with tolerances of 3 and 1 mm:

    >>> dip = np.array([[0.0], [-4.0], [-4.0], [0.0]])
    >>> asked_height(dip, [(3, 3.0), (2, 1.0)]).ravel().tolist()
    [-1.0, -3.0, -3.0, -1.0]
    """
    asked, edges = np.full_like(heights_mm, -np.inf), LongestFirst(heights_mm)
    for span, tolerance in limits:
        lines, _, rests = edges.lay(span, tolerance)
        rests -= rests.dtype.type(tolerance)
        if lines.size == asked.shape[1]:
            np.maximum(asked, rests, out=asked)
        elif lines.size:
            asked[:, lines] = np.maximum(asked[:, lines], rests)
    return asked


def over_chord(heights_mm: Floats) -> Floats:
    """Height of each place of a line over the chord between its two ends.

    The end-point line of straightness measurement: what is left of a line of readings when its ends are
    made equal.

    Parameters
    ----------
    heights_mm : (positions, …) float
        At even steps, at least two [mm].

    Returns
    -------
    (positions, …) float
        Positive where it stands above the chord [mm].

    Examples
    --------
    >>> over_chord(np.array([0.0, 3.0, 4.0])).tolist()
    [0.0, 1.0, 0.0]
    """
    share = np.linspace(0.0, 1.0, heights_mm.shape[0]).reshape(-1, *[1] * (heights_mm.ndim - 1))
    return np.asarray(heights_mm - (1.0 - share) * heights_mm[0] - share * heights_mm[-1])
