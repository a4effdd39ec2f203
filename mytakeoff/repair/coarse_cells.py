"""The same wall on coarser cells: each as high as the highest that it holds, or as their mean."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from mytakeoff.flatness.edge_lines import Cells
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats


@dataclass(frozen=True, eq=False)
class Parts:
    """Which cells of a wall are taken together.

    Parameters
    ----------
    surface : Surface
        The wall on its own cells.
    rows, columns : (m,) and (n,) int
        First row and first column of each part.
    """

    surface: Surface
    rows: Cells
    columns: Cells

    @classmethod
    def of(cls, surface: Surface, share: float) -> Parts:
        """Even parts of about `share` cells each way, one or more [-]."""
        nz, nx = surface.proud_mm.shape
        return cls(surface, _even_parts(nz, share), _even_parts(nx, share))

    @cached_property
    def area_m2(self) -> Floats:
        """Known wall in each part (m, n) [m²]."""
        return self.sums(self.surface.known_area_m2)

    def sums(self, values: Floats) -> Floats:
        """Sum of values (…, nz, nx) over each part (…, m, n), in their own unit [-]."""
        return np.asarray(np.add.reduceat(np.add.reduceat(values, self.rows, axis=-2), self.columns, axis=-1))

    def highest_mm(self) -> Floats:
        """The wall's highest place in each part, NaN where none is known (m, n) [mm]."""
        high = np.nan_to_num(self.surface.proud_mm, nan=-np.inf)
        for axis, starts in enumerate((self.rows, self.columns)):
            high = np.maximum.reduceat(high, starts, axis=axis)
        return np.where(np.isinf(high), np.nan, high)

    def means_mm(self, heights_mm: Floats) -> Floats:
        """Mean of heights (…, nz, nx) over the known wall of each part, NaN where none is (…, m, n) [mm].

        Examples
        --------
        >>> from mytakeoff.survey.wall import Wall
        >>> wall = Surface.from_grid(Wall("A", 2.0, 1.0), [0.5, 1.5], [0.5], [[0.0, 3.0]])
        >>> Parts.of(wall, 2.0).means_mm(wall.proud_mm).tolist()
        [[1.5]]
        """
        area = self.surface.known_area_m2
        known = self.area_m2 > 0
        total = self.sums(np.where(area > 0, heights_mm, 0.0) * area)
        return np.asarray(np.where(known, total / np.where(known, self.area_m2, 1.0), np.nan))

    def as_surface(self, proud_mm: Floats) -> Surface:
        """The wall on the parts as its cells, with heights of their own (m, n) [mm]."""
        wall = self.surface.wall
        x, z = (
            (np.arange(starts.size) + 0.5) * size_m / starts.size
            for starts, size_m in ((self.columns, wall.width_m), (self.rows, wall.height_m))
        )
        return replace(
            self.surface,
            x_m=x,
            z_m=z,
            proud_mm=proud_mm,
            cell_area_m2=self.area_m2,
            extended=np.zeros(proud_mm.shape, dtype=bool),
            guessed=np.zeros(proud_mm.shape, dtype=bool),
        )


def coarser(surface: Surface, cells: int) -> Surface:
    """The same wall on about so many even cells, each as high as the highest it holds."""
    nz, nx = surface.proud_mm.shape
    parts = Parts.of(surface, max(1.0, float(np.sqrt(nz * nx / cells))))
    return parts.as_surface(parts.highest_mm())


def _even_parts(count: int, share: float) -> Cells:
    """First cells of parts of about `share` cells each."""
    parts = max(1, round(count / share))
    return np.unique(np.linspace(0, count, parts + 1)[:-1].round().astype(np.intp))
