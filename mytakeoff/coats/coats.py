"""Coats: the build-up laid on in turns, counted from the finished face inward.

Notes
-----
Coats come from sorted depths with running sums (`Depths`): a slider costs look-ups, not passes over the wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import ceil

import numpy as np

from mytakeoff.bounds import check_number
from mytakeoff.coats.build_up import BuildUp, Depths
from mytakeoff.errors import Check
from mytakeoff.job.mixes import COAT, LEAST_COAT, NO_COAT_MM, Mix, System

HAND_MM = 1.5  # nobody lays a coat to the millimetre (common practice, no source)
MOST_COATS = 300  # nobody lays thirty (common practice, no source), and work grows by their square
ROUNDING_MM = 1e-9  # 8 mm kept exactly comes out of a tilted plane as 8 ± a few 1e-15


@dataclass(frozen=True)
class EvenCoat:
    """A coat of one thickness [mm] over a whole wall; `role` is "finish" or "backing"."""

    role: str
    mix: Mix
    thickness_mm: float


@dataclass(frozen=True)
class Coat:
    """One coat: the area it covers [m²], its litres in place [l], its deepest place [mm]."""

    area_m2: float
    volume_l: float
    max_mm: float


class Coats(tuple[Coat, ...]):
    """Coats, face first, with the area where no split fits.

    Attributes
    ----------
    unsplit_area_m2 : float
        Where no number of coats lies between the least and the greatest coat [m²].
    misfit_area_m2 : float
        The part of it that is worth a word: under the least coat, or off both numbers of coats that it lies
        between by more than a hand lays them, `HAND_MM` a coat [m²].
    """

    unsplit_area_m2: float
    misfit_area_m2: float

    def __new__(
        cls, coats: Iterable[Coat], unsplit_area_m2: float = 0.0, misfit_area_m2: float = 0.0
    ) -> Coats:
        """Coats, face first."""
        made = super().__new__(cls, tuple(coats))
        made.unsplit_area_m2, made.misfit_area_m2 = unsplit_area_m2, misfit_area_m2
        return made


PATCHES, THIN = "patches", "thin patches"
PATCH_ROLES = (PATCHES, THIN)


@dataclass(frozen=True)
class Layer:
    """The coats that one mix of the system makes on one wall, face first.

    `role` is "finish", "backing" or "dubbing out", or one of `PATCH_ROLES`.
    """

    role: str
    mix: Mix
    coats: Coats

    @property
    def volume_l(self) -> float:
        """Litres of all its coats [l]."""
        return sum(coat.volume_l for coat in self.coats)

    @property
    def area_m2(self) -> float:
        """Area of its widest coat [m²]."""
        return max((coat.area_m2 for coat in self.coats), default=0.0)

    @property
    def deepest_mm(self) -> float:
        """Greatest sum of coats where all of them lie [mm]."""
        return sum(coat.max_mm for coat in self.coats)


@dataclass(frozen=True)
class _Band:
    """Cells first … end - 1, whose build-up takes `count` coats, the innermost `shared` of equal depth."""

    first: int
    end: int
    count: int
    shared: int
    fits: bool


def _bands(depths: Depths, most: int, max_mm: float, least_mm: float) -> Iterator[_Band]:
    """The build-up sorted into bands of like split, thinnest first.

    With ``r`` the innermost coat of a plain split, the fewest coats that share equally and keep the least
    are ``k = ceil((m - r) / (m - least))``.
    """
    at = 0
    for count in range(1, most + 1):
        base = (count - 1) * max_mm
        end = depths.mm.size if count == most else depths.below(count * max_mm + ROUNDING_MM, reached=True)
        for shared in range(count, 1, -1):
            thinnest = max_mm - (shared - 1) * (max_mm - least_mm)
            widest = max_mm - shared * (max_mm - least_mm)  # r below which `shared` are too few
            stop = min(max(depths.below(base + min(thinnest, least_mm) - ROUNDING_MM), at), end)
            start = min(max(depths.below(base + widest - ROUNDING_MM), at), end)
            if shared == count and start > at:
                yield _Band(at, start, count, count, False)
                at = start
            if stop > at:
                yield _Band(at, stop, count, shared, True)
                at = stop
        if count == 1:
            thin = min(max(depths.below(least_mm - ROUNDING_MM), at), end)
            if thin > at:
                yield _Band(at, thin, 1, 1, False)
                at = thin
        if end > at:
            yield _Band(at, end, count, 1, True)
            at = end


def _count(deepest_mm: float, max_mm: float) -> int:
    """Coats that the deepest place takes; an innermost one that would be nothing is left out.

    Raises
    ------
    TakeoffError
        More than anybody lays.
    """
    count = max(1, ceil((deepest_mm - NO_COAT_MM) / max_mm))
    check = Check("coats")
    check.that(
        count <= MOST_COATS,
        f"{count} coats of {max_mm:g} mm where the plaster is {deepest_mm:.0f} mm deep",
        f"{MOST_COATS} coats are laid at most",
        "see whether greatest coat and readings are in millimetres, or build the wall up before plastering",
    )
    check.done()
    return count


def split_depths(depths: Depths, max_coat_mm: float, least_coat_mm: float = 0.0) -> Coats:
    """`split_coats` of a thickness by area."""
    _check_depths(max_coat_mm, least_coat_mm)
    if depths.deepest_mm < NO_COAT_MM:
        return Coats(())
    most = _count(depths.deepest_mm, max_coat_mm)
    area, volume, deepest = np.zeros(most), np.zeros(most), np.zeros(most)
    unsplit = 0.0
    for band in _bands(depths, most, max_coat_mm, least_coat_mm):
        whole = band.count - band.shared
        band_m2, band_l = (of(band.first, band.end) for of in (depths.area_from, depths.volume_from))
        unsplit += 0.0 if band.fits else band_m2
        area[: band.count] += band_m2
        volume[:whole] += max_coat_mm * band_m2
        volume[whole : band.count] += (band_l - whole * max_coat_mm * band_m2) / band.shared
        deepest[:whole] = max_coat_mm
        share = (depths.mm[band.end - 1] - whole * max_coat_mm) / band.shared
        deepest[whole : band.count] = np.maximum(deepest[whole : band.count], share)
    rows = zip(area.tolist(), volume.tolist(), deepest.tolist(), strict=True)
    misfit = _misfit_m2(depths, most, max_coat_mm, least_coat_mm) if unsplit else 0.0
    return Coats((Coat(*row) for row in rows), unsplit, misfit)


def _misfit_m2(depths: Depths, most: int, max_mm: float, least_mm: float) -> float:
    """Area under one coat, or between so many of them and one more by more than a hand lays them [m²]."""
    area = depths.area_from(0, depths.below(least_mm - ROUNDING_MM))
    for count in range(1, most):
        few = depths.below(count * (max_mm + HAND_MM), reached=True)
        area += depths.area_from(few, max(few, depths.below((count + 1) * (least_mm - HAND_MM))))
    return area


def _check_depths(max_coat_mm: float, least_coat_mm: float) -> None:
    check = Check("coats")
    given = check_number(check, COAT, max_coat_mm=max_coat_mm)
    given &= check_number(check, LEAST_COAT, least_coat_mm=least_coat_mm)
    check.that(
        not given or least_coat_mm <= max_coat_mm,
        f"{max_coat_mm:g} mm, the least coat is {least_coat_mm:g} mm",
        "the greatest coat is not under the least",
        "take both from the product's sheet",
    )
    check.done()


def split_coats(build_up: BuildUp, max_coat_mm: float, least_coat_mm: float = 0.0) -> Coats:
    """The coats that a build-up takes.

    Counted from the finished face inward, coat k has thickness ``clip(t - (k - 1) m, 0, m)`` with m the
    greatest coat: the last coat covers the wall, those under it fill only where it is deep. Where the
    innermost would be thinner than the least coat, it and the next share their sum equally (and as few more
    as it takes). Where no number of coats lies between least and greatest, that area is reported.

    Parameters
    ----------
    build_up : BuildUp
    max_coat_mm : float
        Greatest single coat, more than 0 [mm].
    least_coat_mm : float
        Least single coat, 0 <= least <= greatest [mm].

    Returns
    -------
    Coats
        Face first; their litres add up to the build-up's.

    Raises
    ------
    TakeoffError
        Depths out of range.

    Examples
    --------
    21 mm at 20 mm a coat: nobody can lay 1 mm, so two coats of 10.5 mm.

    >>> from mytakeoff.surface.surface import Surface
    >>> from mytakeoff.survey.wall import Wall
    >>> flat = Surface.from_grid(Wall("A", 1.0, 1.0), [0.5], [0.5], [[0.0]])
    >>> build_up = BuildUp(flat, np.array([[21.0]]), np.array([[0.0]]))
    >>> [coat.max_mm for coat in split_coats(build_up, 20.0, 8.0)]
    [10.5, 10.5]
    >>> [coat.max_mm for coat in split_coats(build_up, 20.0)]
    [20.0, 1.0]
    """
    return split_depths(build_up.depths, max_coat_mm, least_coat_mm)


@lru_cache(maxsize=8)  # each is as large as the wall; finish and body stay while the greatest coat moves
def _slab(build_up: BuildUp, low_mm: float, high_mm: float) -> Depths:
    """Cached `Depths.slab` of a build-up."""
    return build_up.depths.slab(low_mm, high_mm)


def layers(build_up: BuildUp, system: System) -> tuple[Layer, ...]:
    """The coats of every mix of a system: the finish inside the plane, the backing, the dubbing out.

    Parameters
    ----------
    build_up : BuildUp
    system : System
        With a dubbing mix, one coat of backing lies over as much dubbing out as the wall is deep.

    Returns
    -------
    tuple of Layer
        Those that exist, face first.
    """
    backing = system.backing
    made = []
    if system.finish is not None:
        finish = _slab(build_up, 0.0, system.finish_mm)
        made.append(Layer("finish", system.finish, split_depths(finish, system.finish.max_coat_mm)))
    under = system.finish_mm + (backing.max_coat_mm if system.dubbing is not None else np.inf)
    body = _slab(build_up, system.finish_mm, under)
    made.append(Layer("backing", backing, split_depths(body, backing.max_coat_mm, backing.least_coat_mm)))
    if system.dubbing is not None:
        deep, mix = _slab(build_up, under, np.inf), system.dubbing
        made.append(Layer("dubbing out", mix, split_depths(deep, mix.max_coat_mm, mix.least_coat_mm)))
    return tuple(layer for layer in made if layer.coats)
