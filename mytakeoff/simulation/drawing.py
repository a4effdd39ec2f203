"""Drawing faces at random that honour every reading, as rough as the readings make likely.

A plane rests on the sound face: where readings lie in hollows it is drawn through the others alone, with nibs
on it that nobody read, while litres count from faces through all readings.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mytakeoff.job.backgrounds import USUAL_BACKGROUND, likely_on
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.simulation.faces import EXACT, DrawnFaces, Faces, places_of
from mytakeoff.simulation.kriging import Kriging, Locations
from mytakeoff.simulation.local_scale import LocalScale
from mytakeoff.simulation.nibs import drawn_nibs_mm, found_nibs, seen_m2
from mytakeoff.simulation.random_fields import RandomField
from mytakeoff.simulation.short_roughness import ShortRoughness
from mytakeoff.simulation.variogram import likely_variograms
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats
from mytakeoff.threads import steps_on_one_thread

VARIOGRAMS = 12  # drawn from; each gives as many faces
EXACTLY_MM, EXACTLY_MM2 = 1e-3, 1e-4
SCALE_SD = 0.35  # standard deviation of a factor's logarithm: no wall is of one roughness throughout


@steps_on_one_thread
def drawn_faces_steps(
    surface: Surface,
    lowering_mm: Floats,
    readings: Readings,
    wall: LikelyWall | None = None,
    *,
    hollow: NDArray[np.bool_] | None = None,
    edges_m: float = 0.0,
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
        What is taken for likely before; what it leaves out, and None, as on a wall that was floated once.
    hollow : (n,) bool or None
        Which readings lie in hollows: the plane rests on the face through the others; None: none does.
    edges_m : float
        Straightedges that were laid on the wall, along which nibs were found or are none [m].
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
    each = draws // VARIOGRAMS
    drawn = sound = yield from _bent_steps(surface, readings, wall, each, rng)
    faces, exact = drawn.faces, drawn.exact
    if hollow is not None and hollow.any():
        sound = yield from _bent_steps(surface, readings.without(hollow), wall, each, rng)
        in_hollow = hollow[drawn.read.short.nearest]
        faces, exact = (
            tuple(face.before_hollows(over, in_hollow) for face, over in zip(*pair, strict=True))
            for pair in ((faces, sound.faces), (exact, sound.exact))
        )
    seen = sound.nibs, seen_m2(readings, edges_m)
    nibs_mm = drawn_nibs_mm(
        wall, drawn.read.cells, surface.known_area_m2.ravel(), each * VARIOGRAMS, seen, rng
    )
    faces, exact = (
        tuple(face.under(mm) for face, mm in zip(some, np.split(nibs_mm, VARIOGRAMS), strict=True))
        for some in (faces, exact)
    )
    return DrawnFaces(surface, lowering_mm, readings, faces, exact, ceiling_mm, seed)


@dataclass(frozen=True, eq=False)
class BentFaces:
    """Faces through readings, some of them as if readings had no error, and what was found on the way.

    Parameters
    ----------
    faces, exact : tuple of Faces
        For each variogram.
    read : ReadWall
        The cells, the readings and what they tell.
    nibs : int
        How many readings stand on a nib [-].
    """

    faces: tuple[Faces, ...]
    exact: tuple[Faces, ...]
    read: ReadWall
    nibs: int


def _bent_steps(
    surface: Surface, readings: Readings, wall: LikelyWall, each: int, rng: np.random.Generator
) -> Generator[None, None, BentFaces]:
    """Faces through readings, so many for each likely variogram [-]."""
    variograms = likely_variograms(readings, wall).picked(VARIOGRAMS, rng)
    yield
    krigings = [Kriging.of(variogram, readings) for variogram in variograms]
    read = ReadWall.of(surface, wall, krigings)
    bare = replace(read, short=replace(read.short, reading_mm=EXACTLY_MM))
    yield
    faces, exact = [], []
    for kriging in krigings:
        fields = Fields.of(kriging, read, each, rng)
        faces.append(fields.through(kriging, read, rng))
        short = max(kriging.variogram.short_mm2 - wall.reading_mm**2, EXACTLY_MM2)
        none = Kriging.of(replace(kriging.variogram, short_mm2=short), readings)
        exact.append(fields.first(EXACT).through(none, bare, rng))
        yield
    return BentFaces(tuple(faces), tuple(exact), read, found_nibs(krigings))


@dataclass(frozen=True, eq=False)
class ReadWall:
    """One wall's cells and readings, and what its readings tell of roughness.

    Parameters
    ----------
    cells, readings : Locations
    cells_scale, readings_scale : (cells,) and (readings,) float
        How much rougher than everywhere the wall is there [-].
    short : ShortRoughness
    """

    cells: Locations
    readings: Locations
    cells_scale: Floats
    readings_scale: Floats
    short: ShortRoughness

    @classmethod
    def of(cls, surface: Surface, wall: LikelyWall, krigings: Sequence[Kriging]) -> ReadWall:
        """A wall whose readings make these variograms likely."""
        readings, scale = krigings[0].readings, LocalScale.of(krigings)
        cells = Locations.of(readings, *places_of(surface))
        own = Locations.of(readings, readings.x_m, readings.z_m)
        short = ShortRoughness.of(wall, surface, cells)
        return cls(cells, own, scale.at(cells.away_m), scale.at(own.away_m), short)


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
    def of(cls, kriging: Kriging, read: ReadWall, count: int, rng: np.random.Generator) -> Fields:
        """So many fields as rough as a variogram says [-]."""
        waves = RandomField.of(kriging.variogram, count, rng)
        return cls(
            waves.at(read.cells.x_m, read.cells.z_m),
            waves.at(read.readings.x_m, read.readings.z_m),
            rng.standard_normal((read.readings.x_m.size, count)),
            read.short.drawn(count, rng),
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

    def through(self, kriging: Kriging, read: ReadWall, rng: np.random.Generator) -> Faces:
        """The fields bent through the readings, by kriging what they miss."""
        variogram, proud = kriging.variogram, kriging.readings.proud_mm
        noise = np.sqrt(variogram.short_mm2) * self.missed
        wanted = np.column_stack([proud, proud[:, None] - self.readings_mm - noise])
        factor = np.exp(SCALE_SD * self.scale_draw)

        def strayed(there: Locations, field_mm: Floats, scale: Floats) -> Floats:
            both = kriging.through(there, wanted)
            guess = both[:, :1]
            return np.asarray(guess + factor * scale[:, None] * (field_mm + both[:, 1:] - guess))

        long = strayed(read.cells, self.cells_mm, read.cells_scale).T.astype(np.float32)
        left = proud[:, None] - strayed(read.readings, self.readings_mm, read.readings_scale)
        short = read.short.through(variogram, self.rough, left.T, rng)
        face, none = np.asarray(long + short), np.zeros_like(short)
        error_mm, scale = read.short.reading_mm, read.cells_scale
        return Faces(variogram, error_mm, np.asarray(long), short, face, none, factor, scale)
