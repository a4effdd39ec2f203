"""Small high spots that nobody read: nibs, snots of mortar, a brick's corner.

They cover a few square centimetres, so that no grid of readings finds them and no smooth face has them; the
plane lies on them all the same. How many there are is a prior of the wall's background, which readings, laid
edges and a sweep narrow.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats

SHAPE = 0.5  # of the gamma distribution of a wall's own rate: many walls have none, few have many
HEIGHT_LOG_SD = 0.4  # nibs of 4 mm are mostly 2.5 to 6 mm high (common practice, no source)
READ_M = 0.04  # a nib so near to a reading would have been read
NIB_M = 0.04  # across (common practice, no source): a reading that shows none has seen so much of the wall
STANDS = 4.0  # standard deviations before what the other readings foretell: such a reading stands on a nib


def seen_m2(readings: Readings, edges_m: float = 0.0) -> float:
    """How much of a wall was looked at for nibs, by readings and by edges of so much length [m] [m²].

    Examples
    --------
    A hundred readings and ten metres of edges, of nibs 4 cm across:

    >>> hundred = np.arange(100.0)
    >>> round(seen_m2(Readings(hundred, hundred, hundred), 10.0), 2)
    0.53
    """
    return float(readings.x_m.size * np.pi * NIB_M**2 / 4.0 + edges_m * NIB_M)


def found_nibs(krigings: Sequence[Kriging]) -> int:
    """How many readings stand on a nib: far before what all others foretell, whatever variogram is right."""
    readings = krigings[0].readings
    missed = np.min([kriging.missed(readings.proud_mm) for kriging in krigings], axis=0)
    return int((missed > STANDS).sum())


def drawn_nibs_mm(
    wall: LikelyWall,
    places: Locations,
    cell_area_m2: Floats,
    count: int,
    seen: tuple[int, float],
    rng: np.random.Generator,
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
    seen : (int, float)
        How many nibs were found, and on how much of the wall they were looked for [-, m²].
    rng : Generator

    Notes
    -----
    Each face has a rate of its own, gamma distributed with shape ½ about the rate that is likely before, as
    what was found on what was seen leaves it (a Poisson count's conjugate prior: A. Gelman and others,
    "Bayesian Data Analysis", 3rd edition 2013, section 2.6; from memory). The number of its nibs is Poisson
    distributed, their places are uniform over the wall, their heights lognormal.
    """
    heights: Floats = np.zeros((count, cell_area_m2.size), dtype=np.float32)
    area = float(cell_area_m2.sum())
    per_m2, nib_mm = wall.nibs_per_m2 or 0.0, wall.nib_mm or 0.0
    if per_m2 == 0 or area == 0:
        return heights
    found, looked_m2 = seen
    rate = rng.gamma(SHAPE + found, 1.0 / (SHAPE / per_m2 + looked_m2), count)
    face = np.repeat(np.arange(count), rng.poisson(rate * area))
    cell = np.searchsorted(np.cumsum(cell_area_m2), rng.uniform(0.0, area, face.size), side="right")
    high = nib_mm * np.exp(HEIGHT_LOG_SD * rng.standard_normal(face.size))
    np.maximum.at(heights, (face, cell.clip(max=cell_area_m2.size - 1)), high.astype(np.float32))
    heights[:, places.away_m.min(axis=1) < READ_M] = 0.0
    return heights
