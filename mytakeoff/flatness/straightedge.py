"""What a straightedge shows on a wall: the gap beneath it where it rests, and bulges between its ends.

Two ways of measuring, because a wall can fail either alone. **Hollow gap**: the edge rests on two high
points and the gap is read between them. **Belly**: the edge stands off by equal packers at its ends, or is
balanced on a bulge, and the middle is compared with the two ends. Each is measured along rows, columns and
both diagonals; a line is broken where the wall is unknown or is no wall, and a line shorter than the edge is
its own window.

Notes
-----
This is numpy, not compiled code, so there is nothing to warm up: for each number of steps one pass over all
lines keeps the steepest chord of every start and what it passes over. Of several edges the longest comes
first, the shorter only on lines where that showed more than their tolerance; a line that lies within the
tolerance of its own chord is not looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from scipy import ndimage

from mytakeoff.errors import Check
from mytakeoff.flatness.edge_lines import EdgeLines, EdgeRule, edge_lines
from mytakeoff.flatness.resting import NO_CELL, Limits, LongestFirst, asked_height, over_chord, resting_height
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats


def straightedge_gap(surface: Surface, length_m: float = 2.0) -> Floats:
    """The hollow gap under a straightedge that rests on two high points.

    At each cell the greatest of chord - wall over all chords between two cells of one unbroken line, at most
    an edge apart, in four directions.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    length_m : float
        Length of the edge, more than 0 [m].

    Returns
    -------
    (nz, nx) float
        0 or more; NaN where the wall is unknown or is no wall [mm].

    Raises
    ------
    TakeoffError
        A length that is not more than 0, or uneven cells.

    Notes
    -----
    A hollow arc of radius R shows L²/(8R) under an edge of length L. An edge longer than the wall, or than
    the strip beside an opening, rests on what there is; `straightedge_notices` says so in words.

    References
    ----------
    DIN 18202: the edge rests on two high points and is not levelled; the gap is read between them
    (secondary copies).

    Examples
    --------
    A dip of 3 mm in the middle of a row:

    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -3.0, 0.0]])
    >>> straightedge_gap(wall, 2.0).tolist()
    [[0.0, 3.0, 0.0]]
    """
    check_edge(length_m)
    return greatest_gap(surface.proud_mm, edge_lines(surface), length_m)


def check_edge(length_m: float) -> None:
    """Raise `TakeoffError` unless the edge has a length [m]."""
    check = Check("straightedge")
    check.that(
        bool(0 < length_m < np.inf),
        f"length {length_m:g} m",
        "a straightedge is longer than nothing",
        "give its length in metres; 2 m is usual",
    )
    check.done()


def greatest_gap(heights_mm: Floats, lines: tuple[EdgeLines, ...], length_m: float) -> Floats:
    """The hollow gap over several directions (nz, nx) [mm]; heights [mm], edge [m]."""
    gaps = [gap_along(heights_mm, way, length_m) for way in lines]
    return np.asarray(np.max(gaps, axis=0))


def gap_along(heights_mm: Floats, lines: EdgeLines, length_m: float) -> Floats:
    """The hollow gap in one direction.

    Parameters
    ----------
    heights_mm : (nz, nx) float
        NaN where a line is broken [mm].
    lines : EdgeLines
        Of the same cells.
    length_m : float
        [m]

    Returns
    -------
    (nz, nx) float
        [mm]
    """
    span = lines.span(length_m)
    return _along(heights_mm, lines, lambda own: resting_height(own, span) - own)


def _along(heights_mm: Floats, lines: EdgeLines, measure: Callable[[Floats], Floats]) -> Floats:
    """What is measured on the lines of one direction (positions, lines), cell by cell; 0 off all lines."""
    flat = with_no_cell(heights_mm)
    found = np.where(np.isnan(flat), np.nan, 0.0)
    for table in lines.tables:
        own = flat[table]
        found[table] = measure(own.reshape(len(own), -1)).reshape(own.shape)
    return without_no_cell(found, heights_mm.shape)


def over_tolerance(heights_mm: Floats, lines: Sequence[EdgeLines], rules: Sequence[EdgeRule]) -> Floats:
    """How far each cell's worst gap is over the tolerance of its edge (…, nz, nx) [mm].

    Of one face or of several of the same cells. Exact where it is over, 0 where it is not; NaN where a line
    is broken.
    """
    each = [_along(heights_mm, way, partial(_over, way.limits(rules))) for way in lines]
    return np.asarray(np.maximum(np.max(each, axis=0), 0.0))


def _over(limits: Limits, heights_mm: Floats) -> Floats:
    return asked_height(heights_mm, limits) - heights_mm


def worst_gap(surface: Surface, rules: Sequence[EdgeRule]) -> tuple[EdgeRule, Floats]:
    """Of several edges the one that shows most over its tolerance, or leaves least to spare, and its gap.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    rules : sequence of EdgeRule
        At least one.

    Returns
    -------
    rule : EdgeRule
    gap_mm : (nz, nx) float
        Right where it is greatest; lines that cannot hold the greatest gap are left at 0, NaN where the wall
        is unknown [mm].

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -4.0, 0.0]])
    >>> worst_gap(wall, [EdgeRule(1.0, 3.0), EdgeRule(2.0, 5.0)])[0]
    EdgeRule(length_m=2.0, tolerance_mm=5.0)
    """
    flat = with_no_cell(surface.proud_mm)
    ways = edge_lines(surface)
    laid = [(way, table, LongestFirst(flat[table])) for way in ways for table in way.tables]
    # a gap is never less than nothing, so the strictest edge has no more than its tolerance to spare
    strictest = min(rules, key=lambda rule: rule.tolerance_mm)
    best_over, best = -strictest.tolerance_mm, (strictest, np.where(np.isnan(surface.proud_mm), np.nan, 0.0))
    for rule in sorted(rules, key=lambda rule: -rule.length_m):
        gap = np.where(np.isnan(flat), np.nan, 0.0)
        for way, table, edges in laid:
            lines, heights, rests = edges.lay(way.span(rule.length_m), rule.tolerance_mm + best_over)
            gap[table[:, lines]] = np.maximum(gap[table[:, lines]], rests - heights)
        gap[-1] = np.nan
        over = float(np.nanmax(gap, initial=0.0)) - rule.tolerance_mm
        if over > best_over:
            best_over, best = over, (rule, np.asarray(gap[:-1].reshape(surface.proud_mm.shape)))
    return best


def with_no_cell(heights_mm: Floats) -> Floats:
    """Heights (…, nz, nx) cell by cell, followed by the one that is no cell (cells + 1, …) [mm]."""
    by_cell = np.moveaxis(heights_mm, (-2, -1), (0, 1))
    flat = by_cell.reshape(-1, *by_cell.shape[2:])
    return np.concatenate([flat, np.full_like(flat[:1], NO_CELL)])


def without_no_cell(flat: Floats, shape: tuple[int, ...]) -> Floats:
    """What `with_no_cell` has made of heights [mm] of such a shape (…, nz, nx), undone."""
    by_cell = flat[:-1].reshape(*shape[-2:], *shape[:-2])
    return np.ascontiguousarray(np.moveaxis(by_cell, (0, 1), (-2, -1)))


def straightedge_belly(surface: Surface, length_m: float = 2.0) -> Floats:
    """How far the middle stands off the mean of two ends an edge apart.

    Over each cell the windows of the edge's length centred on it, in four directions: the wall at the middle
    minus the mean of the wall at the two ends. Bulges are positive, hollows negative; of the directions the
    one that is furthest out counts (of equal ones the bulge), so that a check with equal packers at the ends,
    in which proud and hollow both count, is ``abs(belly) <= tolerance``.

    Parameters
    ----------
    surface : Surface
        Of even cells.
    length_m : float
        Length of the edge, more than 0 [m].

    Returns
    -------
    (nz, nx) float
        NaN where no centred window fits on the wall [mm].

    Raises
    ------
    TakeoffError
        A length that is not more than 0, or uneven cells.

    Notes
    -----
    Both ends of a window lie on cells, so it is an even number of steps long and up to one step shorter than
    the edge. On a line shorter than the edge the longest such window at its middle counts.
    The grid rule of DIN 18202, ``s = z2 - (z1 + z3) / 2`` with twice the grid's step as the distance between
    measuring points, is this with the grid's points as cells and an edge of two steps.

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, 4.0, 2.0]])
    >>> straightedge_belly(wall, 2.0).tolist()
    [[nan, 3.0, nan]]
    """
    proud, hollow = bulge_and_hollow(surface, length_m)
    return np.asarray(np.where(proud >= -hollow, proud, hollow))


def bulge_and_hollow(surface: Surface, length_m: float = 2.0) -> tuple[Floats, Floats]:
    """The greatest and the least of the centred windows over the directions, each (nz, nx) [mm]; edge [m].

    NaN where no window fits. The first is the convex case of a balanced edge, the second the concave one.
    """
    check_edge(length_m)
    each = [belly_along(surface.proud_mm, way, length_m) for way in edge_lines(surface)]
    return np.asarray(np.fmax.reduce(each)), np.asarray(np.fmin.reduce(each))


def belly_along(heights_mm: Floats, lines: EdgeLines, length_m: float) -> Floats:
    """Middle minus the mean of the ends in one direction.

    Parameters
    ----------
    heights_mm : (nz, nx) float
        NaN where a line is broken [mm].
    lines : EdgeLines
        Of the same cells.
    length_m : float
        [m]

    Returns
    -------
    (nz, nx) float
        NaN where no centred window fits [mm].
    """
    flat = with_no_cell(heights_mm)
    belly = np.full(flat.size, np.nan)
    for table in lines.tables:
        lengths = (table < heights_mm.size).sum(axis=0)
        halves = np.minimum(lines.span(length_m), lengths - 1) // 2
        for half in np.unique(halves[halves > 0]):
            own = table[:, halves == half]
            ends = flat[own[: -2 * half]], flat[own[half:-half]], flat[own[2 * half :]]
            middle = over_chord(np.stack(ends))[1]
            there = own[2 * half :] < heights_mm.size
            belly[own[half:-half][there]] = middle[there]
    return np.asarray(belly[:-1].reshape(heights_mm.shape))


def straightedge_notices(
    surface: Surface, length_m: float = 2.0, formats: Formats = HOUSE
) -> tuple[str, ...]:
    """What an edge cannot show on this wall, in words.

    Parameters
    ----------
    surface : Surface
    length_m : float
        Length of the edge, more than 0 [m].

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> places = [0.25, 0.75, 1.25]
    >>> short = Surface.from_grid(Wall("A", 1.5, 1.5), places, places, [[0.0] * 3] * 3)
    >>> print(straightedge_notices(short, 2.0)[0])
    The edge of 2 m is longer than the wall, 1.5 × 1.5 m: it shows what the wall has room for.
    """
    fixed = formats.fixed
    check_edge(length_m)
    wall = surface.wall
    notices = []
    slant_m = max(lines.step_m for lines in edge_lines(surface))
    if length_m < 2 * slant_m - 1e-9:
        notices.append(
            f"The edge of {formats.length(length_m)} does not reach over two cells in every direction, "
            f"{formats.length(2 * slant_m, places=3)}: it misses hollows. Take smaller cells."
        )
    if length_m > max(wall.width_m, wall.height_m):
        notices.append(
            f"The edge of {formats.length(round(length_m, 2))} is longer than the wall, "
            f"{formats.length(wall.width_m, wall.height_m, between=' × ')}: "
            "it shows what the wall has room for."
        )
    else:
        notices += _narrow(surface, length_m, formats)
    parts = ndimage.label(np.isfinite(surface.proud_mm), np.ones((3, 3)))[1]
    if parts > 1:
        notices.append(f"The wall is in {parts} parts that no edge reaches across; each is judged by itself.")
    if surface.unknown_area_m2 > 1e-9:
        notices.append(
            f"{fixed(surface.unknown_area_m2, 2)} m² are not known; no edge is laid across them, "
            "and a hollow there does not show."
        )
    return tuple(notices)


def _narrow(surface: Surface, length_m: float, formats: Formats) -> list[str]:
    """Words for strips that no full edge fits on, whichever way it is laid."""
    fixed = formats.fixed
    short = np.append(np.isfinite(surface.proud_mm).ravel(), False)
    for lines in edge_lines(surface):
        for table in lines.tables:
            long = (table < surface.proud_mm.size).sum(axis=0) * lines.step_m >= length_m - 1e-9
            short[table[:, long]] = False
    area = float(surface.cell_area_m2.ravel()[short[:-1]].sum())
    if area <= 1e-9:
        return []
    return [
        f"{fixed(area, 2)} m² lie on strips that are shorter than the edge of "
        f"{formats.length(length_m)} every way it is laid: there it rests on the strip alone."
    ]
