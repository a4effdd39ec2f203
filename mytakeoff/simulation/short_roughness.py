"""What is shorter than a hand on a wall's cells: waves that a float left, or joints and edges.

A grid of readings shows it as their error. On a face that was floated it is waves of about a float's length,
so places within a few centimetres are alike; on one that was built it is joints and edges, and each cell is
for itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Locations
from mytakeoff.simulation.variogram import Variogram
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats


@dataclass(frozen=True, eq=False)
class ShortRoughness:
    """Short roughness of one wall's cells.

    Parameters
    ----------
    shape : (int, int)
        Rows and columns of cells [-].
    over_cells : (float, float)
        Over how many of them it is alike up and across, as a standard deviation; 0 for each by itself [-].
    share : float
        Part of it that stands up [-].
    reading_mm : float
        Error of a reading [mm].
    nearest : (cells,) int
        Which reading is nearest to each cell.
    alike : (cells,) float
        Correlation with what is there [-].
    cell : (readings,) int
        The cell that each reading was taken in.
    """

    shape: tuple[int, int]
    over_cells: tuple[float, float]
    share: float
    reading_mm: float
    nearest: NDArray[np.intp]
    alike: Floats
    cell: NDArray[np.intp]

    @classmethod
    def of(cls, wall: LikelyWall, surface: Surface, places: Locations) -> ShortRoughness:
        """Of a wall whose cells' centres are these places."""
        over_m, shape = wall.short_m or 0.0, surface.proud_mm.shape
        sizes = surface.wall.height_m / shape[0], surface.wall.width_m / shape[1]
        nearest, cell = places.away_m.argmin(axis=1), places.away_m.argmin(axis=0)
        away = places.away_m[np.arange(nearest.size), nearest]
        alike = np.exp(-0.25 * (away / over_m) ** 2) if over_m > 0 else np.zeros(nearest.size)
        alike[cell] = 1.0
        nearest[cell] = np.arange(cell.size)
        share = 1.0 if wall.short_share is None else wall.short_share
        over = over_m / sizes[0], over_m / sizes[1]
        return cls(shape, over, share, wall.reading_mm, nearest, alike.astype(np.float32), cell)

    def drawn(self, count: int, rng: np.random.Generator) -> Floats:
        """So many fields of it, of variance one (n, cells) [-]."""
        white = rng.standard_normal((count, *self.shape), dtype=np.float32)
        if max(self.over_cells) > 0:
            one = np.zeros(self.shape)
            one[self.shape[0] // 2, self.shape[1] // 2] = 1.0
            left = float(np.sqrt((gaussian_filter(one, self.over_cells) ** 2).sum()))
            white = gaussian_filter(white, (0.0, *self.over_cells)) / np.float32(left)
        return np.asarray(white.reshape(count, -1))

    def through(
        self, variogram: Variogram, drawn: Floats, missed_mm: Floats, rng: np.random.Generator
    ) -> Floats:
        """The fields [-], as high as a variogram says, bent to what longer faces miss readings by [mm]."""
        shorter = np.sqrt(max(variogram.short_mm2 - self.reading_mm**2, 0.0))
        rough = np.float32(self.share * shorter) * drawn
        shown = shown_short(variogram, self.reading_mm, missed_mm, rng)
        off = (shown - rough[:, self.cell]).astype(np.float32)
        return np.asarray(rough + self.alike * off[:, self.nearest])


def shown_short(variogram: Variogram, reading_mm: float, miss_mm: Floats, rng: np.random.Generator) -> Floats:
    """What is shorter than a hand at readings that miss the longer face by so much [mm].

    The miss is error and short roughness together; each has its part of it by its variance.
    """
    whole, error = variogram.short_mm2, min(reading_mm**2, variogram.short_mm2)
    part, give = 1.0 - error / whole, np.sqrt(error * (1.0 - error / whole))
    return np.asarray(part * miss_mm + give * rng.standard_normal(np.shape(miss_mm)))
