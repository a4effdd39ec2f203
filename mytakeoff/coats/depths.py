"""Thickness by area: sorted once, so that a slice of it costs a few look-ups, not a pass over the wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.survey.survey import Floats


@dataclass(frozen=True, eq=False)
class Depths:
    """How much area has how much thickness, thinnest first.

    Parameters
    ----------
    mm : (n,) float
        Rising, all above 0 [mm].
    area_m2, volume_l : (n + 1,) float
        Running sums of area and of thickness × area, from 0 [m², l].
    """

    mm: Floats
    area_m2: Floats
    volume_l: Floats

    @classmethod
    def of(cls, thickness_mm: Floats, area_m2: Floats) -> Depths:
        """Of a thickness map; cells without plaster are left out.

        Examples
        --------
        >>> depths = Depths.of(np.array([[2.0, 0.0, 1.0]]), np.array([[3.0, 3.0, 3.0]]))
        >>> depths.mm.tolist(), depths.volume_l.tolist()
        ([1.0, 2.0], [0.0, 3.0, 9.0])
        """
        counts = (thickness_mm > 0) & (area_m2 > 0)
        mm, area = thickness_mm[counts], area_m2[counts]
        order = np.argsort(mm, kind="stable")
        mm, area = mm[order], area[order]
        return cls(mm, *(np.concatenate([[0.0], np.cumsum(each)]) for each in (area, area * mm)))

    @property
    def deepest_mm(self) -> float:
        """Thickest place, 0 where there is no plaster [mm]."""
        return float(self.mm[-1]) if self.mm.size else 0.0

    def below(self, mm: float, reached: bool = False) -> int:
        """How many cells are thinner than `mm` (with `reached`: or just as thick)."""
        return int(np.searchsorted(self.mm, mm, side="right" if reached else "left"))

    def area_from(self, first: int, end: int) -> float:
        """Area of the cells first … end - 1 [m²]."""
        return float(self.area_m2[end] - self.area_m2[first])

    def volume_from(self, first: int, end: int) -> float:
        """Litres on the cells first … end - 1 [l]."""
        return float(self.volume_l[end] - self.volume_l[first])

    def area_above(self, mm: float) -> float:
        """Area that is thicker than `mm` [m²]."""
        return self.area_from(self.below(mm, reached=True), self.mm.size)

    def slab(self, low_mm: float, high_mm: float) -> Depths:
        """What lies between two depths below the finished face: ``clip(t, low, high) - low``.

        Parameters
        ----------
        low_mm, high_mm : float
            0 <= low <= high; high may be infinite [mm].

        Examples
        --------
        >>> depths = Depths.of(np.array([[2.0, 5.0]]), np.array([[1.0, 1.0]]))
        >>> depths.slab(3.0, np.inf).mm.tolist()
        [2.0]
        """
        first, full = self.below(low_mm, reached=True), self.below(high_mm, reached=True)
        area = self.area_m2[first:] - self.area_m2[first]
        volume = self.volume_l[first:] - self.volume_l[first] - low_mm * area
        mm = self.mm[first:] - low_mm
        if full < self.mm.size:  # deeper cells fill the slab from side to side
            beyond = max(full - first, 0)
            mm = np.minimum(mm, high_mm - low_mm)
            volume[beyond:] = volume[beyond] + (high_mm - low_mm) * (area[beyond:] - area[beyond])
        return Depths(mm, area, volume)
