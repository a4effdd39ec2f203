"""Conditional simulation of a wall: faces drawn at random, each of which honours every reading.

A field is drawn that is as rough as the wall, and bent so that it passes each reading
as near as a reading is exact. A few hundred such faces show what a plane may have to clear.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from mytakeoff.errors import Check
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.random_fields import RandomField
from mytakeoff.simulation.variogram import Variogram, likely_variograms
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats
from mytakeoff.threads import on_one_thread, steps_on_one_thread

VARIOGRAMS = 12  # drawn from; each gives as many faces
CELLS = 6000  # of the coarse height field, about
CELL_M = 0.05
EXACT = 6  # faces of each variogram that are drawn as if readings had no error, too
EXACTLY_MM2 = 1e-4
SCALE_SD = 0.25  # standard deviation of a factor's logarithm: no wall is of one roughness throughout


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
    log_weight : float
        Logarithm of how well readings that came later fit this variogram [-].
    """

    variogram: Variogram
    reading_mm: float
    long_mm: Floats
    short_mm: Floats
    log_weight: float = 0.0

    def mirrored(self, columns: int) -> Faces:
        """The same faces from the wall's other end, on cells in so many columns [-]."""
        long, short = (
            mm.reshape(len(mm), -1, columns)[..., ::-1].reshape(mm.shape)
            for mm in (self.long_mm, self.short_mm)
        )
        return replace(self, long_mm=long, short_mm=short)

    def after(
        self, readings: Readings, places: Locations, cell: int, proud_mm: float, rng: np.random.Generator
    ) -> Faces:
        """The faces, which pass the readings, bent through one more [mm], taken at a cell's centre."""
        lean, guess = Kriging.of(self.variogram, readings).lean_on(places, cell)
        short = self.variogram.short_mm2
        spread = float(lean[cell]) + short
        noise = np.sqrt(short) * rng.standard_normal(len(self.long_mm))
        miss = proud_mm - self.long_mm[:, cell] - noise
        bent = self.long_mm + miss[:, None].astype(np.float32) * (lean / spread).astype(np.float32)
        rough = self.short_mm.copy()
        rough[:, cell] = shown_short(self.variogram, self.reading_mm, proud_mm - bent[:, cell], rng)
        log = self.log_weight - 0.5 * (np.log(spread) + (proud_mm - guess) ** 2 / spread)
        return replace(self, long_mm=bent, short_mm=rough, log_weight=float(log))


def shown_short(variogram: Variogram, reading_mm: float, miss_mm: Floats, rng: np.random.Generator) -> Floats:
    """What is shorter than a hand at readings that miss the longer face by so much [mm].

    The miss is error and short roughness together; each has its part of it by its variance.
    """
    whole, error = variogram.short_mm2, min(reading_mm**2, variogram.short_mm2)
    part, give = 1.0 - error / whole, np.sqrt(error * (1.0 - error / whole))
    return np.asarray(part * miss_mm + give * rng.standard_normal(np.shape(miss_mm)))


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
        return self._together(self.faces)

    @property
    def with_and_without_error_mm(self) -> tuple[Floats, Floats]:
        """Some faces, and the same as they would be if the readings had no error (n, nz, nx) [mm]."""
        some = [
            replace(faces, long_mm=faces.long_mm[:EXACT], short_mm=faces.short_mm[:EXACT])
            for faces in self.faces
        ]
        return self._together(some), self._together(self.exact)

    def _together(self, several: Sequence[Faces]) -> Floats:
        every = np.concatenate([faces.long_mm + faces.short_mm for faces in several])
        return every.reshape(-1, *self.lowering_mm.shape) - self.lowering_mm.astype(np.float32)

    @property
    def places_m(self) -> tuple[Floats, Floats]:
        """x and z of each cell (cells,) [m]."""
        return _places_m(self.surface)

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


def _places_m(surface: Surface) -> tuple[Floats, Floats]:
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    return x.ravel(), z.ravel()


@steps_on_one_thread
def drawn_faces_steps(
    surface: Surface,
    lowering_mm: Floats,
    readings: Readings,
    wall: LikelyWall | None = None,
    *,
    ceiling_mm: Floats | None = None,
    draws: int = 300,
    seed: int = 1,
) -> Generator[None, None, DrawnFaces]:
    """Faces that a wall may have between its readings, in steps: one after each variogram.

    Parameters
    ----------
    surface : Surface
        Coarse cells: where the wall is, its loose plaster off.
    lowering_mm : (nz, nx) float
        How far each cell lies behind the sound face [mm].
    readings : Readings
        Of the sound face, high spots among them.
    wall : LikelyWall or None
        What is taken for likely before; None: the marked defaults.
    ceiling_mm : (nz, nx) float or None
        What no place stands before, where it is known [mm].
    draws : int
        Faces, a dozen or more [-].
    seed : int
        The same seed gives the same faces [-].

    Returns
    -------
    DrawnFaces
    """
    wall = wall or LikelyWall()
    rng = np.random.default_rng(seed)
    variograms = likely_variograms(readings, wall).picked(VARIOGRAMS, rng)
    yield
    faces, exact, places = [], [], Locations.of(readings, *_places_m(surface))
    for variogram in variograms:
        fields = Fields.of(variogram, readings, places, draws // VARIOGRAMS, rng)
        faces.append(fields.through(variogram, wall.reading_mm, places, readings, rng))
        short = max(variogram.short_mm2 - wall.reading_mm**2, EXACTLY_MM2)
        none = replace(variogram, short_mm2=short)
        exact.append(fields.first(EXACT).through(none, 0.0, places, readings, rng))
        yield
    return DrawnFaces(surface, lowering_mm, readings, tuple(faces), tuple(exact), ceiling_mm, seed)


@dataclass(frozen=True, eq=False)
class Fields:
    """Fields that know no readings yet, in the cells and at the readings, and what is to be added to them.

    Parameters
    ----------
    cells_mm, readings_mm : (cells, n) and (readings, n) float
        The same fields in the cells and at the readings [mm].
    missed, rough, scale_draw : (readings, n), (n, cells) and (n,) float
        Drawn from the standard normal distribution: by what readings miss, what is short, and by how much
        a face strays more or less from the guess than the variogram says [-].
    """

    cells_mm: Floats
    readings_mm: Floats
    missed: Floats
    rough: Floats
    scale_draw: Floats

    @classmethod
    def of(
        cls, variogram: Variogram, readings: Readings, places: Locations, count: int, rng: np.random.Generator
    ) -> Fields:
        """So many fields as rough as a variogram says [-]."""
        waves = RandomField.of(variogram, count, rng)
        return cls(
            waves.at(places.x_m, places.z_m),
            waves.at(readings.x_m, readings.z_m),
            rng.standard_normal((readings.x_m.size, count)),
            rng.standard_normal((count, places.x_m.size), dtype=np.float32),  # type: ignore[arg-type]
            rng.standard_normal(count),
        )

    def first(self, count: int) -> Fields:
        """The first so many [-]."""
        return Fields(
            self.cells_mm[:, :count],
            self.readings_mm[:, :count],
            self.missed[:, :count],
            self.rough[:count],
            self.scale_draw[:count],
        )

    def through(
        self,
        variogram: Variogram,
        reading_mm: float,
        places: Locations,
        readings: Readings,
        rng: np.random.Generator,
    ) -> Faces:
        """The fields bent through the readings, whose error is so large [mm], by kriging what they miss."""
        kriging, at_readings = (
            Kriging.of(variogram, readings),
            Locations.of(readings, readings.x_m, readings.z_m),
        )
        noise = np.sqrt(variogram.short_mm2) * self.missed
        wanted = np.column_stack([readings.proud_mm, readings.proud_mm[:, None] - self.readings_mm - noise])
        factor = np.exp(SCALE_SD * self.scale_draw)

        def strayed(there: Locations, field_mm: Floats) -> Floats:
            both = kriging.through(there, wanted)
            guess = both[:, :1]
            return np.asarray(guess + factor * (field_mm + both[:, 1:] - guess))

        long = strayed(places, self.cells_mm).T.astype(np.float32)
        left = readings.proud_mm[:, None] - strayed(at_readings, self.readings_mm)
        rough = np.sqrt(max(variogram.short_mm2 - reading_mm**2, 0.0)) * self.rough
        rough[:, places.away_m.argmin(axis=0)] = shown_short(variogram, reading_mm, left.T, rng)
        return Faces(variogram, reading_mm, np.asarray(long), np.asarray(rough))
