"""Conditional simulation of a wall: faces drawn at random, each of which honours every reading.

A field is drawn that is as rough as the wall, and bent so that it passes each reading
as near as a reading is exact. A few hundred such faces show what a plane may have to clear.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mytakeoff.errors import Check
from mytakeoff.job.backgrounds import USUAL_BACKGROUND, likely_on
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.kriging import Kriging, Locations, away_m
from mytakeoff.simulation.local_scale import LocalScale
from mytakeoff.simulation.nibs import drawn_nibs_mm
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
EXACTLY_MM, EXACTLY_MM2 = 1e-3, 1e-4
SCALE_SD = 0.35  # standard deviation of a factor's logarithm: no wall is of one roughness throughout


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
    over_mm : (n, cells) float
        What a plane has to clear: the sound face before hollows and the nibs on it [mm].
    log_weight : float
        Logarithm of how well readings that came later fit this variogram [-].
    """

    variogram: Variogram
    reading_mm: float
    long_mm: Floats
    short_mm: Floats
    over_mm: Floats
    log_weight: float = 0.0

    @property
    def proud_mm(self) -> Floats:
        """The faces (n, cells) [mm]."""
        return self.long_mm + self.short_mm

    def first(self, count: int) -> Faces:
        """The first so many [-]."""
        long, short, over = (mm[:count] for mm in (self.long_mm, self.short_mm, self.over_mm))
        return replace(self, long_mm=long, short_mm=short, over_mm=over)

    def mirrored(self, columns: int) -> Faces:
        """The same faces from the wall's other end, on cells in so many columns [-]."""
        long, short, over = (
            mm.reshape(len(mm), -1, columns)[..., ::-1].reshape(mm.shape)
            for mm in (self.long_mm, self.short_mm, self.over_mm)
        )
        return replace(self, long_mm=long, short_mm=short, over_mm=over)

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
        over = self.over_mm + (bent + rough - self.proud_mm)
        log = self.log_weight - 0.5 * (np.log(spread) + (proud_mm - guess) ** 2 / spread)
        return replace(self, long_mm=bent, short_mm=rough, over_mm=over, log_weight=float(log))


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
        return self._on_cells([faces.proud_mm for faces in self.faces])

    @property
    def over_mm(self) -> Floats:
        """What a plane has to clear of every face (n, nz, nx) [mm]."""
        return self.capped(self._on_cells([faces.over_mm for faces in self.faces]))

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
    hollow: NDArray[np.bool_] | None = None,
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
        Of the face that stands, high spots among them.
    wall : LikelyWall or None
        What is taken for likely before, and on a usual background where it leaves something out.
    hollow : (n,) bool or None
        Which readings lie in hollows: the plane rests on the face through the others; None: none does.
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
    wall, rng = likely_on(USUAL_BACKGROUND, wall), np.random.default_rng(seed)
    places = Locations.of(readings, *_places_m(surface))
    drawn = yield from _bent_steps(readings, wall, places, draws, rng)
    if hollow is not None and hollow.any():
        sound = readings.without(hollow)
        through = yield from _bent_steps(sound, wall, Locations.of(sound, *_places_m(surface)), draws, rng)
        in_hollow = hollow[places.away_m.argmin(axis=1)]
        drawn = tuple(
            tuple(_before_hollows(*pair, in_hollow) for pair in zip(*several, strict=True))
            for several in zip(drawn, through, strict=True)
        )
    faces, exact = drawn
    nibs = drawn_nibs_mm(wall, places, surface.known_area_m2.ravel(), draws // VARIOGRAMS * VARIOGRAMS, rng)
    each = nibs.reshape(VARIOGRAMS, -1, nibs.shape[1])
    faces, exact = (
        tuple(
            replace(one, over_mm=one.over_mm + mm[: len(one.over_mm)])
            for one, mm in zip(some, each, strict=True)
        )
        for some in (faces, exact)
    )
    return DrawnFaces(surface, lowering_mm, readings, faces, exact, ceiling_mm, seed)


def _before_hollows(face: Faces, sound: Faces, in_hollow: NDArray[np.bool_]) -> Faces:
    """A face, for a plane that rests on the sound one; in a hollow on whichever lies lower."""
    lower = np.minimum(face.proud_mm, sound.proud_mm)
    return replace(face, over_mm=np.where(in_hollow, lower, sound.proud_mm))


Bent = tuple[tuple[Faces, ...], tuple[Faces, ...]]


def _bent_steps(
    readings: Readings, wall: LikelyWall, places: Locations, draws: int, rng: np.random.Generator
) -> Generator[None, None, Bent]:
    """Faces through readings for each likely variogram, and some of them as if readings had no error."""
    variograms = likely_variograms(readings, wall).picked(VARIOGRAMS, rng)
    yield
    krigings = [Kriging.of(variogram, readings) for variogram in variograms]
    scale = LocalScale.of(krigings)
    at = Scaled(scale.at(places.away_m), scale.at(away_m(readings, readings.x_m, readings.z_m)))
    yield
    faces, exact = [], []
    for kriging in krigings:
        fields = Fields.of(kriging.variogram, readings, places, draws // VARIOGRAMS, rng)
        faces.append(fields.through(kriging, wall, places, at, rng))
        short = max(kriging.variogram.short_mm2 - wall.reading_mm**2, EXACTLY_MM2)
        none = Kriging.of(replace(kriging.variogram, short_mm2=short), readings)
        exact.append(fields.first(EXACT).through(none, replace(wall, reading_mm=EXACTLY_MM), places, at, rng))
        yield
    return tuple(faces), tuple(exact)


@dataclass(frozen=True, eq=False)
class Scaled:
    """How much rougher than everywhere a wall is in the cells and at the readings [-]."""

    cells: Floats
    readings: Floats


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
        self, kriging: Kriging, wall: LikelyWall, places: Locations, at: Scaled, rng: np.random.Generator
    ) -> Faces:
        """The fields bent through the readings, by kriging what they miss."""
        variogram, readings = kriging.variogram, kriging.readings
        noise = np.sqrt(variogram.short_mm2) * self.missed
        wanted = np.column_stack([readings.proud_mm, readings.proud_mm[:, None] - self.readings_mm - noise])
        factor = np.exp(SCALE_SD * self.scale_draw)

        def strayed(there: Locations, field_mm: Floats, scale: Floats) -> Floats:
            both = kriging.through(there, wanted)
            guess = both[:, :1]
            return np.asarray(guess + factor * scale[:, None] * (field_mm + both[:, 1:] - guess))

        long = strayed(places, self.cells_mm, at.cells).T.astype(np.float32)
        at_readings = Locations.of(readings, readings.x_m, readings.z_m)
        left = readings.proud_mm[:, None] - strayed(at_readings, self.readings_mm, at.readings)
        shorter = np.sqrt(max(variogram.short_mm2 - wall.reading_mm**2, 0.0))
        rough = np.float32(wall.short_share * shorter) * self.rough
        rough[:, places.away_m.argmin(axis=0)] = shown_short(variogram, wall.reading_mm, left.T, rng)
        return Faces(variogram, wall.reading_mm, np.asarray(long), rough, np.asarray(long + rough))
