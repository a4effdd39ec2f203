"""Small high spots that nobody read: nibs, snots of mortar, a brick's corner.

They cover a few square centimetres, so that no grid of readings finds them and no smooth face has them; the
plane lies on them all the same. How many there are is a prior of the wall's background, which readings, laid
edges and a sweep narrow.
"""

from __future__ import annotations

import numpy as np

from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Locations
from mytakeoff.survey.survey import Floats

SHAPE = 0.5  # of the gamma distribution of a wall's own rate: many walls have none, few have many
HEIGHT_LOG_SD = 0.4  # nibs of 4 mm are mostly 2.5 to 6 mm high (common practice, no source)
READ_M = 0.04  # a nib so near to a reading would have been read


def drawn_nibs_mm(
    wall: LikelyWall, places: Locations, cell_area_m2: Floats, count: int, rng: np.random.Generator
) -> Floats:
    """By how much the highest nib of each cell stands before the face, for so many faces (count, cells) [mm].

    Parameters
    ----------
    wall : LikelyWall
        How many there may be, and how high.
    places : Locations
        Centres of the cells, and how far each is from the readings [m].
    cell_area_m2 : (cells,) float
        Wall in each cell [m²].
    count : int
        Faces [-].
    rng : Generator

    Notes
    -----
    Each face has a rate of its own, gamma distributed with shape ½ about the rate that is likely; the number
    of its nibs is Poisson distributed, their places are uniform over the wall, their heights lognormal.
    """
    heights: Floats = np.zeros((count, cell_area_m2.size), dtype=np.float32)
    area = float(cell_area_m2.sum())
    if wall.nibs_per_m2 <= 0 or area <= 0:
        return heights
    rate = rng.gamma(SHAPE, wall.nibs_per_m2 / SHAPE, count)
    face = np.repeat(np.arange(count), rng.poisson(rate * area))
    cell = np.searchsorted(np.cumsum(cell_area_m2), rng.uniform(0.0, area, face.size), side="right")
    high = wall.nib_mm * np.exp(HEIGHT_LOG_SD * rng.standard_normal(face.size))
    np.maximum.at(heights, (face, cell.clip(max=cell_area_m2.size - 1)), high.astype(np.float32))
    heights[:, places.away_m.min(axis=1) < READ_M] = 0.0
    return heights
