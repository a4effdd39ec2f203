"""Ground that is priced and that no reading reached: the face there is carried on from what is beside it.

It is a guess. Where it is, is defined here alone: ranges, prices and notices read it from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, label, sum_labels

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.scan.cell_median import cell_numbers
from mytakeoff.scan.doubts import FEW_M
from mytakeoff.steps import blocks
from mytakeoff.survey.cells import cell_edges, free_m2
from mytakeoff.survey.interpolate import Readings, distance_m, readings_of, step_m
from mytakeoff.survey.loose_plaster import sound_readings
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea

Flags = NDArray[np.bool_]

BY_HAND_MOST = 1200  # readings: of more, every second cell that faces are drawn on has one
TRUSTED_M = 0.5  # about a reading by hand, however few there are: the reach that is usual
BETWEEN_STEPS = 2.0  # of a scan's points, which lie anywhere; of a sheet's one: what is nearer is seen
SMALLEST_M2 = 0.02  # of guessed ground on a scan: two hands; less is a gap between points
MOST_SHARE = 0.1  # of a wall that may be guessed before it is said (common practice, no source)
CACHE_SIZE = 16


def by_instrument(survey: Survey) -> bool:
    """Whether readings stand so close that nothing is left between them: a scan, or a very dense sheet.

    A scan of fewer points than one in each square decimetre is no better than so many readings by hand.
    """
    wall, read = survey.wall, survey.x_m.size
    close = survey.layout == "scan" and read * FEW_M**2 >= wall.width_m * wall.height_m
    return close or read > BY_HAND_MOST


def guessed_cells(
    survey: Survey, readings: Readings, middles_m: tuple[Floats, Floats], area_m2: Floats, extended: Flags
) -> Flags:
    """Which cells no reading reached: the face, where it is known, was carried on from beside them (nz, nx).

    Parameters
    ----------
    survey : Survey
    readings : Readings
        Those of its sound face.
    middles_m : (x, z)
        Centres of the cells, across and up [m].
    area_m2 : (nz, nx) float
        Wall in each cell [m²].
    extended : (nz, nx) bool
        Known only by reaching beyond the readings.

    Notes
    -----
    Of a scan: what is further than two steps of its points from any cell that holds one; of a sheet with very
    many readings one step; where that makes two hands' breadths or more together. Of readings by hand: what
    is further from any than one step of them, or half a metre; in a whole grid only beyond its rim and about
    its blanks.
    """
    if by_instrument(survey):
        return _unseen(survey, readings, area_m2)
    x, z = np.meshgrid(*middles_m)
    away = distance_m(readings, x.ravel(), z.ravel()).reshape(x.shape)
    beyond = (area_m2 > 0) & (away > min(step_m(readings), TRUSTED_M) + 1e-9)
    return beyond & extended if survey.layout == "grid" else beyond


def _unseen(survey: Survey, readings: Readings, area_m2: Floats) -> Flags:
    """Cells of those areas [m²] in which the points of a scan show nothing (nz, nx)."""
    steps = BETWEEN_STEPS if survey.layout == "scan" else 1.0
    unseen = _to_points_m(survey, readings, area_m2.shape) > steps * step_m(readings) + 1e-9
    number, count = label(unseen)
    large = sum_labels(area_m2, number, np.arange(count + 1)) >= SMALLEST_M2
    return np.asarray(unseen & large[number] & (area_m2 > 0))


def _to_points_m(survey: Survey, readings: Readings, shape: tuple[int, ...]) -> Floats:
    """How far each cell is from the nearest that holds a point (nz, nx) [m]."""
    (up, across), wall = shape, survey.wall
    held = np.zeros(up * across, dtype=bool)
    for part in blocks(readings.x_m.size):
        places = readings.x_m[part], readings.z_m[part]
        held[cell_numbers(*places, (wall.width_m, wall.height_m), (up, across))] = True
    sides = wall.height_m / up, wall.width_m / across
    return np.asarray(distance_transform_edt(~held.reshape(up, across), sampling=sides))


def not_read(guessed_m2: float, priced_m2: float, formats: Formats = HOUSE) -> str:
    """How much of what is priced was not read, in words; "" for no more than `MOST_SHARE` of it.

    Parameters
    ----------
    guessed_m2, priced_m2 : float
        [m²]
    formats : Formats

    Examples
    --------
    >>> not_read(1.4, 5.6), not_read(0.5, 5.6)
    ('1.4 of 5.6 m² (25 %) were not read: carried on from what is beside them', '')
    """
    if guessed_m2 <= MOST_SHARE * priced_m2:
        return ""
    guessed, priced = (formats.number(area, 1) for area in (guessed_m2, priced_m2))
    share = formats.number(100 * guessed_m2 / priced_m2)
    return f"{guessed} of {priced} m² ({share} %) were not read: carried on from what is beside them"


@lru_cache(maxsize=CACHE_SIZE)
def leaves_guessed(survey: Survey, loose: Sequence[LooseArea], reach_m: float, cell_m: float) -> bool:
    """Whether a scan leaves ground that is priced and was not seen.

    Parameters
    ----------
    survey : Survey
    loose : tuple of LooseArea
    reach_m : float
        How far the face is carried on, and priced [m].
    cell_m : float
        Of the cells on which that is looked for, more than 0 [m].
    """
    wall = survey.wall
    edges = cell_edges(wall.width_m, cell_m), cell_edges(wall.height_m, cell_m)
    area = free_m2(*edges, wall.not_plastered)
    reached = _to_points_m(survey, readings_of(survey), area.shape) <= reach_m
    return bool((reached & _unseen(survey, sound_readings(survey, loose), area)).any())
