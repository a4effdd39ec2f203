"""What is added where, and what is taken down first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mytakeoff.plane.rule import ROUNDING_MM, PlaneRule
from mytakeoff.plane.target_plane import TargetPlane
from mytakeoff.surface.surface import Surface
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

    @cached_property
    def deepest_cut_mm(self) -> float:
        """Most that is taken down anywhere [mm]."""
        return float(np.nanmax(self.cut_mm, initial=0.0))

    @cached_property
    def depths(self) -> Depths:
        """Its thickness by area, for splitting into coats."""
        return Depths.of(self.thickness_mm, self.surface.cell_area_m2)


def full_coat(surface: Surface, plane: TargetPlane, rule: PlaneRule) -> BuildUp:
    """The whole wall brought to a plane.

    ``cut = max(0, d + least - p)`` and ``thickness = p - d + cut``: where the wall stands too proud it is
    taken down until the least thickness fits.

    Parameters
    ----------
    surface : Surface
    plane : TargetPlane
        Of the same surface and rule.
    rule : PlaneRule

    Returns
    -------
    BuildUp

    Raises
    ------
    ValueError
        The plane would cut deeper than the rule allows: it was made for another wall or rule.

    Examples
    --------
    A flat wall of 4.2 x 2.6 m at 17 mm takes 186 litres, as a plasterer reckons in the head.

    >>> from mytakeoff.survey.wall import Wall
    >>> flat = Surface.from_grid(Wall("A", 4.2, 2.6), [2.1], [1.3], [[0.0]])
    >>> rule = PlaneRule(least_mm=17.0)
    >>> from mytakeoff.plane.target_plane import target_plane
    >>> round(full_coat(flat, target_plane(flat, rule), rule).volume_l)
    186
    """
    room = plane.at(surface.x_m[None, :], surface.z_m[:, None]) - surface.proud_mm
    cut = np.maximum(rule.lift_mm(surface) - room, 0.0)
    cut[cut < ROUNDING_MM] = 0.0
    deepest = float(np.nanmax(cut))
    if deepest > rule.cut_mm + 1e-6:
        raise ValueError(f"the plane cuts {deepest:.3f} mm where the rule allows {rule.cut_mm:g} mm")
    thickness = room + cut
    for array in (cut, thickness):
        array.flags.writeable = False
    return BuildUp(surface, thickness, cut)
