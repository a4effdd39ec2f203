"""Plumb lines, each hung at its own unknown distance from the wall, tied together by level lines.

A reading off a plumb line says how far the wall stands behind that line. How far the line itself stands from
the others is not known, so readings of two lines cannot be compared until a level line, stretched across all
of them, was read at each: it is the only thing that is straight from one end of the wall to the other.

Notes
-----
Lines that nothing ties are found as the null space of the equations: directions in which offsets can move
without changing any reading.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.survey import Floats

UNTIED = 1e-6  # share of a null vector above which a line is free to move


@dataclass(frozen=True, eq=False)
class Tied:
    """Plumb lines brought into one plumb plane, that through the first level line.

    Parameters
    ----------
    offset_mm : (lines,) float
        How far each plumb line stands towards the room from that plane [mm].
    free : (lines,) bool
        Lines that no level line ties: their offset means nothing.
    miss_mm : (levels, lines) float
        What is left between level lines and plumb lines after the fit; NaN where none was read [mm].
    spare : int
        Readings of level lines beyond those that the offsets need [-].
    """

    offset_mm: Floats
    free: NDArray[np.bool_]
    miss_mm: Floats
    spare: int

    @property
    def worst_mm(self) -> float:
        """Greatest disagreement left [mm]."""
        return float(np.nanmax(np.abs(self.miss_mm), initial=0.0))


def tie_lines(line_x_m: Floats, wall_mm: Floats, level_mm: Floats) -> Tied:
    """The offsets of plumb lines from the level lines read across them.

    Parameters
    ----------
    line_x_m : (lines,) float
        Where each plumb line hangs [m].
    wall_mm : (levels, lines) float
        How far the wall stands towards the room from each plumb line, at each level line's height [mm].
    level_mm : (levels, lines) float
        The same from each level line; NaN where it was not read [mm].

    Returns
    -------
    Tied
        By least squares where there are more readings than unknowns.

    Notes
    -----
    At a crossing both readings are of one place of the wall: ``offset + wall = c + b x + level``. The plane
    is that of the first level line, so its c and b are 0; each further level line was stretched anew and has
    a c and a b of its own. It ties lines that the first one missed and tells how well the readings agree.

    Examples
    --------
    Two lines over a flat wall, the second hung 6 mm nearer to it than the first.

    >>> tied = tie_lines(np.array([0.0, 1.0]), np.array([[-20.0, -14.0]]), np.array([[-30.0, -30.0]]))
    >>> tied.offset_mm.tolist()
    [-10.0, -16.0]
    """
    levels, lines = level_mm.shape
    row, column = np.nonzero(~np.isnan(level_mm))
    centred = line_x_m - line_x_m.mean()
    matrix = np.zeros((row.size, lines + 2 * (levels - 1)))
    at = np.arange(row.size)
    matrix[at, column] = 1.0
    later = row > 0
    shift = lines + 2 * (row[later] - 1)
    matrix[at[later], shift] = -1.0
    matrix[at[later], shift + 1] = -centred[column[later]]
    wanted = (level_mm - wall_mm)[row, column]
    solved = np.asarray(np.linalg.lstsq(matrix, wanted, rcond=None)[0], dtype=np.float64)
    miss = np.full(level_mm.shape, np.nan)
    miss[row, column] = wanted - matrix @ solved
    loose = _null_space(matrix)
    free = np.asarray((np.abs(loose[:, :lines]) > UNTIED).any(axis=0))
    spare = row.size - (matrix.shape[1] - loose.shape[0])
    return Tied(solved[:lines], free, miss, spare)


def _null_space(matrix: Floats) -> Floats:
    """Orthonormal directions (rows) in which the unknowns can move without changing any reading."""
    _, sizes, directions = np.linalg.svd(matrix)
    rank = int((sizes > 1e-9 * max(sizes.max(initial=0.0), 1.0)).sum())
    return np.asarray(directions[rank:])
