"""The edge that rests over the worst gap of a face, and how exact the gap under it is known."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.flatness.edge_lines import DIRECTIONS, EdgeRule, edge_lines
from mytakeoff.flatness.straightedge import bulge_and_hollow, straightedge_gap
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

Flags = NDArray[np.bool_]
Cell = tuple[int, int]
STEPS_OF = dict(zip(DIRECTIONS, ((0, 1), (1, 0), (1, 1), (-1, 1)), strict=True))  # rows and columns
HALF = 0.5  # over the middle of its two ends a gap is known best


@dataclass(frozen=True)
class RestingEdge:
    """A gap under an edge that rests on two cells.

    Parameters
    ----------
    rule : EdgeRule
        The edge and what it allows.
    gap_mm : float
        [mm]
    x_m, z_m : float
        Where the gap is; NaN where there is none [m].
    ends_m : tuple of (x, z)
        Where the edge rests; empty where there is no gap [m].
    share : float
        What the height of the first end counts for in that of the edge over the gap, 0 to 1 [-].
    """

    rule: EdgeRule
    gap_mm: float
    x_m: float = math.nan
    z_m: float = math.nan
    ends_m: tuple[tuple[float, float], ...] = ()
    share: float = HALF

    @property
    def over_mm(self) -> float:
        """How much more than allowed, negative: to spare [mm]."""
        return self.gap_mm - self.rule.tolerance_mm

    def uncertainty_mm(self, reading_mm: float) -> float:
        """Standard uncertainty of the gap, for heights that are each known to `reading_mm` [mm].

        Notes
        -----
        The gap is ``λ h1 + (1 - λ) h2 - h``, so by the law of propagation (JCGM 100:2008, 5.1.2) its variance
        is ``1 + λ² + (1 - λ)²`` of a height's: 1.5 in the middle, 2 beside an end. Where a height lies
        between readings it is their mean, known better than one of them: the figure is an upper bound then.

        Examples
        --------
        >>> round(RestingEdge(EdgeRule(2.0, 3.0), 1.0).uncertainty_mm(1.0), 3)
        1.225
        """
        return reading_mm * math.sqrt(1.0 + self.share**2 + (1.0 - self.share) ** 2)


def worst_hollow(surface: Surface, rules: tuple[EdgeRule, ...], told: Flags | None = None) -> RestingEdge:
    """The hollow gap that is most over what its edge allows, or has least to spare.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    rules : tuple of EdgeRule
        At least one.
    told : (nz, nx) bool or None
        Cells that are judged by an edge that was laid on them.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 4.0, 1.0), [0.5, 1.5, 2.5, 3.5], [0.5], [[0.0, -3.0, 0.0, 6.0]])
    >>> found = worst_hollow(wall, (EdgeRule(3.0, 3.0),))
    >>> round(found.gap_mm, 6), found.x_m, found.ends_m, round(found.share, 3)
    (5.0, 1.5, ((0.5, 0.5), (3.5, 0.5)), 0.667)
    """
    found = [_most(surface, rule, straightedge_gap(surface, rule.length_m), told) for rule in rules]
    worst = max(found, key=lambda each: each[0].over_mm)
    return worst[0] if worst[1] is None else _rested(surface, worst[0].rule, *worst[1])


def worst_bulge(surface: Surface, rule: EdgeRule, told: Flags | None = None) -> RestingEdge:
    """The greatest bulge under an edge that is balanced on it; cells that are told otherwise left out."""
    bulge = bulge_and_hollow(surface, rule.length_m)[0]
    return _most(surface, rule, bulge, told)[0]


def _most(
    surface: Surface, rule: EdgeRule, gap_mm: Floats, told: Flags | None
) -> tuple[RestingEdge, tuple[int, int] | None]:
    """The greatest of a map of gaps, and its cell; None where there is none."""
    left = gap_mm if told is None else np.where(told, np.nan, gap_mm)
    greatest = float(np.nanmax(left, initial=0.0))
    if greatest <= 0.0:
        return RestingEdge(rule, 0.0), None
    row, column = np.unravel_index(int(np.nanargmax(left)), left.shape)
    place = float(surface.x_m[column]), float(surface.z_m[row])
    return RestingEdge(rule, greatest, *place), (int(row), int(column))


def _rested(surface: Surface, rule: EdgeRule, row: int, column: int) -> RestingEdge:
    """The edge that rests highest over a cell."""
    chords = [
        chord
        for lines in edge_lines(surface)
        for chord in _chords(
            surface.proud_mm, (row, column), STEPS_OF[lines.direction], lines.span(rule.length_m)
        )
    ]
    height_mm, share, first, second = max(chords)
    ends = tuple((float(surface.x_m[c]), float(surface.z_m[r])) for r, c in (first, second))
    place = float(surface.x_m[column]), float(surface.z_m[row])
    return RestingEdge(rule, height_mm - float(surface.proud_mm[row, column]), *place, ends, share)


def _chords(proud_mm: Floats, at: Cell, step: Cell, span: int) -> Iterator[tuple[float, float, Cell, Cell]]:
    """Of one direction the highest chord over a cell that spans so many steps, if any."""
    before, after = (_beside(proud_mm, at, (way * step[0], way * step[1]), span) for way in (-1, 1))
    a, b = np.arange(1, before.size + 1)[:, None], np.arange(1, after.size + 1)
    if not before.size or not after.size or span < 2:
        return
    height = np.where(a + b <= span, (b * before[:, None] + a * after) / (a + b), -np.inf)
    m, n = (int(nth) + 1 for nth in np.unravel_index(int(height.argmax()), height.shape))
    ends = tuple((at[0] + k * step[0], at[1] + k * step[1]) for k in (-m, n))
    yield float(height[m - 1, n - 1]), n / (m + n), ends[0], ends[1]


def _beside(proud_mm: Floats, at: Cell, step: Cell, span: int) -> Floats:
    """Heights from beside a cell on to where the line is broken, at most so many steps less one [mm]."""
    found: list[float] = []
    row, column = at[0] + step[0], at[1] + step[1]
    while len(found) < span - 1 and 0 <= row < proud_mm.shape[0] and 0 <= column < proud_mm.shape[1]:
        if np.isnan(proud_mm[row, column]):
            break
        found.append(float(proud_mm[row, column]))
        row, column = row + step[0], column + step[1]
    return np.array(found)
