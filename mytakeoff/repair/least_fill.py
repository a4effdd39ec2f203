"""The least fill that makes a wall pass under straightedges: a fixpoint, reached from below.

A wall passes when no cell lies more than the tolerance under any chord. The pointwise lower of two walls
that pass passes too, so there is one least wall above the given one. Raising each cell to the highest chord
less the tolerance, again and again, climbs to it without ever going over it, in whatever order the directions
are taken.

Notes
-----
The climb goes in single precision first, then in double. It looks again only at lines that moved and stops by
a bound on the error.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from mytakeoff.flatness.edge_lines import Cells, EdgeLines, EdgeRule, edge_lines
from mytakeoff.flatness.resting import Heights, Limits, asked_height
from mytakeoff.flatness.straightedge import with_no_cell, without_no_cell
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

CLOSE_MM = 0.01
MOST_SWEEPS = 100_000
# A sum of a few roundings of a height, in steps of the last figure of single precision.
ROUNDINGS = 16 * float(np.finfo(np.float32).eps)

Work = tuple[Cells, Limits]  # cells of lines, and the edges laid on them


def least_fill(
    heights_mm: Floats,
    lines: Sequence[EdgeLines],
    rules: Sequence[EdgeRule],
    close_mm: float = CLOSE_MM,
) -> Floats:
    """The least heights, nowhere lower than the wall's, that pass all rules at once.

    Parameters
    ----------
    heights_mm : (…, nz, nx) float
        Of one face or of several of the same cells, each by itself; NaN where lines are broken [mm].
    lines : sequence of EdgeLines
        Of the same cells.
    rules : sequence of EdgeRule
        Each with a tolerance of more than 0 [mm].
    close_mm : float
        How far below the least heights the answer may be, more than 0 [mm].

    Returns
    -------
    (…, nz, nx) float
        [mm]

    Notes
    -----
    When no chord asks for a rise of more than δ, the heights s pass with tolerance + δ; shrunk towards their
    top by tolerance / (tolerance + δ) they pass, so the least heights are at most
    ``δ · (max − min) / (tolerance + δ)`` above s. Climbing stops when that is within `close_mm`.
    It starts in single precision, with tolerances wider by what rounding may add, so that it stays below; the
    rest is climbed in double precision.
    """
    top, bottom = (each(heights_mm, axis=(-2, -1), keepdims=True) for each in (np.nanmax, np.nanmin))
    relief = (top - bottom).ravel()
    work = _work(lines, rules, relief.size)
    enough = _rise_allowed(relief, min(rule.tolerance_mm for rule in rules), close_mm)
    start = with_no_cell(heights_mm - top).ravel()
    margin = ROUNDINGS * float(relief.max())
    rough = start.astype(np.float32)
    rough = np.nextafter(rough, np.float32(-np.inf))
    roughly = [(cells, [(span, limit + margin) for span, limit in limits]) for cells, limits in work]
    _climb(rough, roughly, np.maximum(enough, 4 * margin))
    reached = np.fmax(start, rough.astype(np.float64) - margin)
    reached[np.isnan(start)] = np.nan
    _climb(reached, work, enough)
    found = without_no_cell(reached.reshape(-1, *heights_mm.shape[:-2]), heights_mm.shape)
    return np.asarray(np.maximum(found + top, heights_mm))


@lru_cache(maxsize=16)
def remembered_fill(surface: Surface, rules: tuple[EdgeRule, ...]) -> Floats:
    """The least heights of a whole wall (nz, nx) [mm], remembered.

    A wall whose hollows are all ruled flush is the same for every tolerance: a curve over tolerances then
    only measures gaps.
    """
    heights = least_fill(surface.proud_mm, edge_lines(surface), rules)
    heights.flags.writeable = False
    return heights


def _work(lines: Sequence[EdgeLines], rules: Sequence[EdgeRule], faces: int) -> list[Work]:
    """Every table of lines with the edges that are laid on it; so many faces' cells side by side."""

    def side_by_side(table: Cells) -> Cells:
        return (table[..., None] * faces + np.arange(faces)).reshape(len(table), -1) if faces > 1 else table

    return [(side_by_side(table), way.limits(rules)) for way in lines for table in way.tables]


def _rise_allowed(relief_mm: Floats, tolerance_mm: float, close_mm: float) -> Floats:
    """The greatest last rises δ for which δ · relief / (tolerance + δ) is within `close_mm` [mm]."""
    more = np.maximum(relief_mm - close_mm, 0.0)
    return np.divide(close_mm * tolerance_mm, more, out=np.full_like(more, np.inf), where=more > 0)


def _climb(flat: Heights, work: Sequence[Work], enough_mm: Floats) -> None:
    """Raise heights in place until no sweep over all directions raises a face by more than `enough_mm` (n,).

    Faces lie side by side, cell by cell. A sweep that raises every cell by δ at most leaves no chord asking
    for more than δ: since each direction was looked at, no chord has risen by more. A line none of whose
    cells rose since it was looked at is left out: it asks for nothing.
    """
    rose = np.zeros(flat.size, dtype=np.int64)  # when each cell rose last
    seen = [np.full(cells.shape[1], -1) for cells, _ in work]  # when each line was looked at
    now = 0
    for _ in range(MOST_SWEEPS):
        before = flat.copy()
        for (cells, limits), looked in zip(work, seen, strict=True):
            lines = np.flatnonzero(rose[cells].max(axis=0) > looked)
            looked[lines], now = now, now + 1
            if lines.size:
                # taken, not indexed: a position's cells stay side by side
                own = cells if lines.size == cells.shape[1] else cells.take(lines, axis=1)
                rose[_raised(flat, own, limits, enough_mm.size)] = now
        rise = (flat - before).reshape(-1, enough_mm.size)[:-1]
        climbing = np.fmax.reduce(rise, axis=0) > enough_mm
        if not climbing.any():
            return
        rose.reshape(rise.shape[0] + 1, -1)[:, ~climbing] = -1  # where a face has settled it is left alone
    raise RuntimeError(f"the fill did not settle in {MOST_SWEEPS} sweeps")


def _raised(flat: Heights, cells: Cells, limits: Limits, faces: int) -> Cells:
    """Raise the cells of lines to what their edges ask; numbers of those that rose."""
    own = flat[cells]
    asked = asked_height(own, limits)
    higher = (asked > own) & (cells < flat.size - faces)
    risen = cells[higher]
    flat[risen] = asked[higher]
    return risen
