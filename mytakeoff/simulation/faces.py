"""Conditional simulation of a wall: faces drawn at random, each of which honours every reading.

A field is drawn that is as rough as the wall, and bent so that it passes each reading
as near as a reading is exact. A few hundred such faces show what a plane may have to clear.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Check
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.short_roughness import shown_short
from mytakeoff.simulation.variogram import Variogram
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats
from mytakeoff.threads import on_one_thread

CELLS = 6000  # of the coarse height field, about
CELL_M = 0.05
EXACT = 6  # faces of each variogram that are drawn as if readings had no error, too


def coarse_cell_m(width_m: float, height_m: float) -> float:
    """Size of the cells on which faces are drawn: 5 cm, or larger where the wall is [m].

    Examples
    --------
    >>> coarse_cell_m(4.0, 2.5)
    0.05
    """
    return max(CELL_M, float(np.sqrt(width_m * height_m / CELLS)))


@dataclass(frozen=True, eq=False)
class Faces:
    """Faces drawn for one variogram.

    Parameters
    ----------
    variogram : Variogram
    reading_mm : float
        Error of a reading, as a standard deviation [mm].
    long_mm : (n, cells) float
        The faces without what is shorter than a hand [mm].
    short_mm : (n, cells) float
        What is shorter [mm].
    sound_mm : (n, cells) float
        The sound face that an edge rests on: the face itself, or that before unread hollows [mm].
    nibs_mm : (n, cells) float
        By how much nibs stand before that [mm].
    factor : (n,) float
        By how much each strays more or less from the guess than the variogram says [-].
    scale : (cells,) float
        How much rougher than everywhere the wall is [-].
    log_weight : float
        Logarithm of how well readings that came later fit this variogram [-].
    """

    variogram: Variogram
    reading_mm: float
    long_mm: Floats
    short_mm: Floats
    sound_mm: Floats
    nibs_mm: Floats
    factor: Floats
    scale: Floats
    log_weight: float = 0.0

    @property
    def proud_mm(self) -> Floats:
        """The faces (n, cells) [mm]."""
        return self.long_mm + self.short_mm

    @property
    def over_mm(self) -> Floats:
        """What a plane has to clear (n, cells) [mm]."""
        return self.sound_mm + self.nibs_mm

    def _each(self, turned: Callable[[Floats], Floats]) -> Faces:
        long, short = turned(self.long_mm), turned(self.short_mm)
        sound, nibs = turned(self.sound_mm), turned(self.nibs_mm)
        return replace(self, long_mm=long, short_mm=short, sound_mm=sound, nibs_mm=nibs)

    def first(self, count: int) -> Faces:
        """The first so many [-]."""
        return replace(self._each(lambda mm: mm[:count]), factor=self.factor[:count])

    def mirrored(self, columns: int) -> Faces:
        """The same faces from the wall's other end, on cells in so many columns [-]."""
        scale = self.scale.reshape(-1, columns)[:, ::-1].ravel()
        turned = self._each(lambda mm: mm.reshape(len(mm), -1, columns)[..., ::-1].reshape(mm.shape))
        return replace(turned, scale=scale)

    def under(self, nibs_mm: Floats) -> Faces:
        """The faces with nibs on them, of at least as many faces (n, cells) [mm]."""
        return replace(self, nibs_mm=nibs_mm[: len(self.long_mm)])

    def before_hollows(self, sound: Faces, in_hollow: NDArray[np.bool_]) -> Faces:
        """The faces, whose sound face is another's; in the cells of a hollow whichever lies lower."""
        lower = np.minimum(self.proud_mm, sound.proud_mm)
        return replace(self, sound_mm=np.where(in_hollow, lower, sound.proud_mm))

    def after(
        self, readings: Readings, places: Locations, cell: int, proud_mm: float, rng: np.random.Generator
    ) -> Faces:
        """The faces, which pass the readings, bent through one more [mm], taken at a cell's centre."""
        lean, guess = Kriging.of(self.variogram, readings).lean_on(places, cell)
        short = self.variogram.short_mm2
        noise = np.sqrt(short) * rng.standard_normal(len(self.long_mm))
        weight = lean / (lean[cell] + short)
        # the guess moves to the reading; what a face strays from it shrinks, as rough as it is there
        strays = (self.long_mm[:, cell] - guess) / self.scale[cell] + self.factor * noise
        bent = self.long_mm + ((proud_mm - guess) * weight).astype(np.float32)
        bent -= strays[:, None].astype(np.float32) * (self.scale * weight).astype(np.float32)
        spread = float(self.scale[cell] ** 2 * lean[cell]) + short
        rough = self.short_mm.copy()
        rough[:, cell] = shown_short(self.variogram, self.reading_mm, proud_mm - bent[:, cell], rng)
        sound = self.sound_mm + (bent + rough - self.proud_mm)
        log = self.log_weight - 0.5 * (np.log(spread) + (proud_mm - guess) ** 2 / spread)
        return replace(self, long_mm=bent, short_mm=rough, sound_mm=sound, log_weight=float(log))


@dataclass(frozen=True, eq=False)
class DrawnFaces:
    """Faces that the wall may have, all passing its readings.

    Parameters
    ----------
    surface : Surface
        Coarse cells: the wall with its loose plaster off, as it is priced.
    lowering_mm : (nz, nx) float
        How far loose and fallen plaster lies behind the sound face [mm].
    readings : Readings
        That every face passes, of the sound face.
    faces : tuple of Faces
    exact : tuple of Faces
        Some of them, as they would be if the readings had no error.
    ceiling_mm : (nz, nx) float or None
        What no place stands before, as straightedges laid on the wall have shown; infinite where none was
        laid, None where none was laid anywhere [mm].
    seed : int
        What they were drawn from.
    """

    surface: Surface
    lowering_mm: Floats
    readings: Readings
    faces: tuple[Faces, ...]
    exact: tuple[Faces, ...]
    ceiling_mm: Floats | None = None
    seed: int = 1

    @cached_property
    def weights(self) -> Floats:
        """Weight of each face (n,), adding up to 1 [-]."""
        log = np.array([faces.log_weight for faces in self.faces])
        each = np.exp(log - log.max())
        weights = np.repeat(each, [len(faces.long_mm) for faces in self.faces])
        return np.asarray(weights / weights.sum())

    @property
    def proud_mm(self) -> Floats:
        """Every face, loose plaster off (n, nz, nx) [mm]."""
        return self._on_cells([faces.proud_mm for faces in self.faces])

    @property
    def over_mm(self) -> Floats:
        """What a plane has to clear of every face (n, nz, nx) [mm]."""
        return self.capped(self._on_cells([faces.over_mm for faces in self.faces]))

    @property
    def sound_mm(self) -> Floats:
        """What an edge rests on and hollows are filled to, of every face (n, nz, nx) [mm]."""
        return self.capped(self._on_cells([faces.sound_mm for faces in self.faces]))

    @property
    def highest_nib_mm(self) -> Floats:
        """How high the highest nib of every face is that nobody read (n,) [mm]."""
        nibs = np.concatenate([faces.nibs_mm for faces in self.faces])
        return np.asarray(nibs.max(axis=1), dtype=np.float64)

    def capped(self, faces_mm: Floats) -> Floats:
        """Faces (…, nz, nx) [mm], none before what laid edges have shown."""
        return faces_mm if self.ceiling_mm is None else np.minimum(faces_mm, self.ceiling_mm)

    @cached_property
    def with_error(self) -> DrawnFaces:
        """Some of the faces."""
        return replace(self, faces=tuple(faces.first(EXACT) for faces in self.faces))

    @cached_property
    def without_error(self) -> DrawnFaces:
        """The same as they would be if the readings had no error."""
        return replace(self, faces=self.exact)

    def _on_cells(self, several_mm: Sequence[Floats]) -> Floats:
        every = np.concatenate(several_mm)
        return every.reshape(-1, *self.lowering_mm.shape) - self.lowering_mm.astype(np.float32)

    @property
    def places_m(self) -> tuple[Floats, Floats]:
        """x and z of each cell (cells,) [m]."""
        return places_of(self.surface)

    @on_one_thread
    def with_reading(self, x_m: float, z_m: float, proud_mm: float) -> DrawnFaces:
        """The same faces bent through one more reading.

        Parameters
        ----------
        x_m, z_m : float
            On the wall; taken at the middle of its cell, at most a few centimetres off [m].
        proud_mm : float
            Read off the same plane as the survey [mm].

        Returns
        -------
        DrawnFaces
            Variograms that the reading speaks against count for less.

        Raises
        ------
        TakeoffError
            A place off the wall, or a reading that is no number.
        """
        wall = self.surface.wall
        check = Check(f"wall {wall.name!r}")
        check.that(
            0 <= x_m <= wall.width_m and 0 <= z_m <= wall.height_m and bool(np.isfinite(proud_mm)),
            f"{proud_mm:g} mm at x {x_m:g} m, z {z_m:g} m",
            f"a reading is a number on the wall, {wall.width_m:g} × {wall.height_m:g} m",
            "measure x from the left end, z from the floor, in metres",
        )
        check.done()
        places = Locations.of(self.readings, *self.places_m)
        cell = int(np.argmin(np.hypot(places.x_m - x_m, places.z_m - z_m)))
        at = np.array([places.x_m[cell], places.z_m[cell], proud_mm])
        rng = np.random.default_rng([self.seed, self.readings.x_m.size])
        bent, exact = (
            tuple(faces.after(self.readings, places, cell, proud_mm, rng) for faces in several)
            for several in (self.faces, self.exact)
        )
        return replace(self, faces=bent, exact=exact, readings=_with(self.readings, *at))


def _with(readings: Readings, x_m: float, z_m: float, proud_mm: float) -> Readings:
    return Readings(
        np.append(readings.x_m, x_m), np.append(readings.z_m, z_m), np.append(readings.proud_mm, proud_mm)
    )


def places_of(surface: Surface) -> tuple[Floats, Floats]:
    """x and z of each cell's centre (cells,) [m]."""
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    return x.ravel(), z.ravel()
