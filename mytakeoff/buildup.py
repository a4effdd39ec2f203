"""What is added where, and what is taken down first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mytakeoff.survey import Floats
from mytakeoff.surface import Surface


@dataclass(frozen=True, eq=False)
class BuildUp:
    """Plaster on each cell.

    Parameters
    ----------
    surface : Surface
        The wall it goes on.
    thickness_mm : (nz, nx) float
        From the wall (after taking down) to the finished face; NaN where nothing is priced [mm].
    cut_mm : (nz, nx) float
        Taken down first; NaN where nothing is priced [mm].
    """

    surface: Surface
    thickness_mm: Floats
    cut_mm: Floats

    @cached_property
    def volume_l(self) -> float:
        """Litres in place, Σ thickness × cell area [l]."""
        return float(np.nansum(self.thickness_mm * self.surface.cell_area_m2))

    @cached_property
    def cut_l(self) -> float:
        """Litres taken down [l]."""
        return float(np.nansum(self.cut_mm * self.surface.cell_area_m2))

    @cached_property
    def area_m2(self) -> float:
        """Known net area [m²]."""
        return float(self.surface.net_area_m2)

    def _area_where(self, values: Floats) -> float:
        return float(self.surface.cell_area_m2[values > 0].sum())

    @cached_property
    def covered_area_m2(self) -> float:
        """Area with any plaster on it [m²]."""
        return self._area_where(self.thickness_mm)

    @cached_property
    def cut_area_m2(self) -> float:
        """Area where something is taken down [m²]."""
        return self._area_where(self.cut_mm)

    @property
    def mean_mm(self) -> float:
        """Volume over area [mm]."""
        return self.volume_l / self.area_m2 if self.area_m2 else 0.0

    @cached_property
    def max_mm(self) -> float:
        """Thickest place [mm]."""
        return float(np.nanmax(self.thickness_mm, initial=0.0))
