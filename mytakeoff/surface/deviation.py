"""How a wall stands off a plane: high and low places, lean, turn, and the line of a straightedge along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.ndimage import maximum_filter

from mytakeoff.surface.surface import Surface
from mytakeoff.survey.stance import Stance, fitted, smooth_face, stance
from mytakeoff.survey.survey import Floats

Against = Literal["true", "plumb", "measured"]
APART_M = 0.3  # places nearer to each other than this are one
LEAST_MM = 1.0  # a place that stands off by less is neither high nor low
MOST_PLACES = 3


@dataclass(frozen=True)
class Place:
    """A place of the wall and how far it stands towards the room from the plane [m, m, mm]."""

    x_m: float
    z_m: float
    mm: float


@dataclass(frozen=True)
class MeanPlane:
    """The plane ``a + b x + c z`` that a wall is held to [mm, mm/m, mm/m]."""

    a_mm: float
    b_mm_per_m: float
    c_mm_per_m: float


@dataclass(frozen=True, eq=False)
class Deviation:
    """A wall held to a plane.

    Parameters
    ----------
    surface : Surface
    against : "true", "plumb" or "measured"
        Its mean plane, its mean plumb plane, or the plane that was measured off.
    plane : MeanPlane
    mm : (nz, nx) float
        How far each cell stands towards the room from that plane; NaN where nothing is known [mm].
    high, low : tuple of Place
        The proudest and the hollowest places, apart from each other, the furthest first.
    """

    surface: Surface
    against: Against
    plane: MeanPlane
    mm: Floats
    high: tuple[Place, ...]
    low: tuple[Place, ...]

    @property
    def greatest_mm(self) -> float:
        """How far it stands off anywhere, either way [mm]."""
        return float(np.nanmax(np.abs(self.mm), initial=0.0))


@dataclass(frozen=True, eq=False)
class HeightProfile:
    """The wall along one line, upright or level.

    Parameters
    ----------
    upright : bool
    at_m : float
        Where the line runs: its x if it is upright, else its z [m].
    along_m : (n,) float
        Places on it: their z if it is upright, else their x [m].
    mm : (n,) float
        Towards the room, off the plane; NaN where nothing is known [mm].
    plane_mm_per_m : float
        How much further into the room the plane itself comes for each metre along the line [mm/m].
    """

    upright: bool
    at_m: float
    along_m: Floats
    mm: Floats
    plane_mm_per_m: float = 0.0

    @property
    def known(self) -> Floats:
        """Places along it where the wall is known [m]."""
        return self.along_m[~np.isnan(self.mm)]

    @property
    def chord_mm(self) -> Floats:
        """The straight line from its first to its last known place (n,) [mm]."""
        read = ~np.isnan(self.mm)
        along, mm = self.along_m[read], self.mm[read]
        if along.size < 2:
            return np.full(self.along_m.shape, np.nan)
        slope = (mm[-1] - mm[0]) / (along[-1] - along[0])
        return np.asarray(mm[0] + slope * (self.along_m - along[0]))

    @property
    def rise_mm(self) -> float:
        """How much further into the room its last place stands than its first [mm]."""
        read = self.mm[~np.isnan(self.mm)]
        return float(read[-1] - read[0]) if read.size >= 2 else 0.0

    @property
    def lean_mm(self) -> float:
        """The same against the plane that was measured off, whatever the line is held to [mm]."""
        known = self.known
        reach = float(known[-1] - known[0]) if known.size >= 2 else 0.0
        return self.rise_mm + self.plane_mm_per_m * reach

    @property
    def bow(self) -> tuple[float, float]:
        """Furthest from straight: how far towards the room [mm], and where along it [m]."""
        off = self.mm - self.chord_mm
        if np.isnan(off).all():
            return 0.0, float(self.along_m[0])
        nth = int(np.nanargmax(np.abs(off)))
        return float(off[nth]), float(self.along_m[nth])


def stance_of(surface: Surface) -> Stance:
    """How a wall's face stands: lean, turn, bow and how far they may be off, from what of it was read.

    Parameters
    ----------
    surface : Surface

    Examples
    --------
    A wall that comes 11 mm into the room over its 2.2 m leans by 5 mm a metre.

    >>> from mytakeoff.survey.survey import Survey
    >>> from mytakeoff.surface.surface import grid_surface
    >>> from mytakeoff.survey.wall import Wall
    >>> read = Survey.from_readings(Wall("A", 2.0, 2.2), [0, 2, 0, 2], [0, 0, 2.2, 2.2], [0, 0, 11, 11])
    >>> round(stance_of(grid_surface(read, 0.1)).c_mm_per_m, 6)
    5.0
    """
    return stance(*_cells(surface))


def _cells(surface: Surface) -> tuple[Floats, Floats, Floats, Floats]:
    """Places, heights and areas of the cells that were read; of all that are known, where none was."""
    area = surface.known_area_m2
    known = (area > 0) & ~np.isnan(surface.proud_mm)
    read = known & ~surface.extended
    row, column = np.nonzero(read if read.any() else known)
    return surface.x_m[column], surface.z_m[row], surface.proud_mm[row, column], area[row, column]


def fitted_plane(surface: Surface, plumb: bool = False) -> MeanPlane:
    """The plane that most of a wall lies about, by `stance_of`.

    Parameters
    ----------
    surface : Surface
    plumb : bool
        True: the best of the planes that do not lean, over the same cells.
    """
    x, z, proud_mm, area = _cells(surface)
    if not plumb:
        stands = stance(x, z, proud_mm, area)
        return MeanPlane(stands.a_mm, stands.b_mm_per_m, stands.c_mm_per_m)
    counts, _ = smooth_face(x, z, proud_mm, area)
    a, b = fitted(np.column_stack([np.ones_like(x), x]), proud_mm, counts).tolist()
    return MeanPlane(a, b, 0.0)


def deviation(surface: Surface, against: Against = "true") -> Deviation:
    """A wall held to its mean plane, its mean plumb plane, or the plane that was measured off.

    Parameters
    ----------
    surface : Surface
    against : "true", "plumb" or "measured"
    """
    plane = MeanPlane(0.0, 0.0, 0.0) if against == "measured" else fitted_plane(surface, against == "plumb")
    at = plane.a_mm + plane.b_mm_per_m * surface.x_m + plane.c_mm_per_m * surface.z_m[:, None]
    mm = np.where(surface.cell_area_m2 > 0, surface.proud_mm - at, np.nan)
    mm.flags.writeable = False
    return Deviation(surface, against, plane, mm, _furthest(surface, mm), _furthest(surface, mm, -1.0))


def _furthest(surface: Surface, mm: Floats, way: float = 1.0) -> tuple[Place, ...]:
    """Up to three places that stand furthest off one way, each the furthest for some way round it.

    Where the face is only carried on beyond the readings, no place is named.
    """
    sure = np.where(np.isnan(mm) | surface.extended, -np.inf, way * mm)
    round_it = [int(2 * APART_M / cell) | 1 for cell in (_step(surface.z_m), _step(surface.x_m))]
    left = np.where(sure >= maximum_filter(sure, size=round_it, mode="nearest"), sure, -np.inf)
    found: list[Place] = []
    while len(found) < MOST_PLACES:
        row, column = np.unravel_index(int(np.argmax(left)), left.shape)
        if left[row, column] < LEAST_MM:
            break
        x, z = float(surface.x_m[column]), float(surface.z_m[row])
        found.append(Place(x, z, float(mm[row, column])))
        near = np.hypot(surface.x_m - x, surface.z_m[:, None] - z) < APART_M
        left = np.where(near, -np.inf, left)
    return tuple(found)


def _step(places_m: Floats) -> float:
    """Distance of neighbouring cells [m]."""
    return float(places_m[1] - places_m[0]) if places_m.size > 1 else APART_M


def profile(held: Deviation, at_m: float, upright: bool) -> HeightProfile:
    """The wall along a line, straight between the rows of cells on either side of it.

    Parameters
    ----------
    held : Deviation
    at_m : float
        Where the line runs: its x if it is upright, else its z [m].
    upright : bool
    """
    surface = held.surface
    across, along = (surface.x_m, surface.z_m) if upright else (surface.z_m, surface.x_m)
    rows = held.mm.T if upright else held.mm
    place = float(np.interp(at_m, across, np.arange(across.size)))
    low, near = int(place), round(place)
    between = rows[low] + (place - low) * (rows[min(low + 1, across.size - 1)] - rows[low])
    # where one of the two is not known, the nearer one
    slope = held.plane.c_mm_per_m if upright else held.plane.b_mm_per_m
    return HeightProfile(upright, at_m, along, np.where(np.isnan(between), rows[near], between), slope)
