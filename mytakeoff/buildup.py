"""What is added where."""

from __future__ import annotations

from dataclasses import dataclass

from mytakeoff.survey import Floats
from mytakeoff.surface import Surface


@dataclass(frozen=True, eq=False)
class BuildUp:
    """Plaster on each cell.

    Parameters
    ----------
    surface : Surface
    thickness_mm : (nz, nx) float
        NaN where nothing is priced [mm].
    cut_mm : (nz, nx) float
        Taken down first; NaN where nothing is priced [mm].
    """

    surface: Surface
    thickness_mm: Floats
    cut_mm: Floats
    # properties: volume_l, cut_l, area_m2, covered_area_m2, mean_mm, max_mm, cut_area_m2
