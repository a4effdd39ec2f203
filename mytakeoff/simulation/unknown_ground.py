"""Ground that no reading reached and on which the face was carried on: where it is, and what may lie there.

A scan leaves nothing between its points, but behind a cupboard it has none. There the wall is priced as it
goes on from beside it, which is a guess: faces are drawn for it, which pass the points around it. Where the
scan saw the wall its own face stands in all of them.

Notes
-----
Points are thinned to some `MOST` places, every cell along the rims of guessed ground and ever wider apart
away from them: what lies far off moves what is drawn there by little. They are single cells and no means of
wider ones, since a mean is smoother than the wall and the variogram would be too.

That a wall goes on as it does where it was seen is a guess itself: each face strays from it by so much more
the further it is from what was seen, up to a share of the relief that is likely for any wall (`STRAY_SHARE`).
Else a scan of one flat square metre would make the whole wall flat.

The plane clears what the scan saw cell by cell as it is priced (`FINE_M`), not its means over the wider cells
that faces are drawn on: else every wall would take less on drawn ground than on seen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, distance_transform_edt

from mytakeoff.bounds import bounds_of
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.scan.cell_median import cell_numbers
from mytakeoff.simulation.faces import DrawnFaces, Faces, coarse_cell_m
from mytakeoff.simulation.random_fields import RandomField
from mytakeoff.simulation.variogram import SMOOTHNESS, Variogram
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.cells import cell_edges, centres
from mytakeoff.survey.edges import spots_of
from mytakeoff.survey.interpolate import Readings, distance_m
from mytakeoff.survey.loose_plaster import sound_readings
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea

Flags = NDArray[np.bool_]

MOST = 250  # places that the faces of a scan are drawn through, about
FAR_STEPS = 2.0  # distances from guessed ground, in steps of the places kept there
WIDEST_M = 0.5  # between places that are kept
FINE_M = 0.025
STRAY_SHARE = 0.25  # of a likely wall's relief, as a standard deviation: far from what was seen (no source)
SAME = 1e-6
RIM_CELLS = 2  # about guessed ground: what has no points there is carried on as well
EXACT_MM = 0.1  # what a cell of a scan is off by, at least: faces cannot pass places exactly


@dataclass(frozen=True, eq=False)
class ScannedGround:
    """What a scan saw of a wall, on the cells that faces are drawn on.

    Parameters
    ----------
    surface : Surface
        The wall, each cell the mean of what is priced in it.
    guessed : (nz, nx) bool
        Where it saw nothing and is priced.
    floor_mm : (nz, nx) float
        The highest that it saw in each cell, or that a sweep found; -infinite for none [mm].
    spots : Readings
        High spots that sweeps found.
    """

    surface: Surface
    guessed: Flags
    floor_mm: Floats
    spots: Readings

    @classmethod
    def of(
        cls, survey: Survey, loose: tuple[LooseArea, ...], reach_m: float, growth_share: float
    ) -> ScannedGround:
        """By the surface as it is priced [m], on cells about as fine; loose areas off, which grow so [-]."""
        wall, fine = survey.wall, grid_surface(survey, FINE_M, reach_m, loose, growth_share)
        cell_m = coarse_cell_m(wall.width_m, wall.height_m)
        x, z = (centres(cell_edges(length, cell_m)) for length in (wall.width_m, wall.height_m))
        area, litres, guess, bare = (np.zeros((z.size, x.size)) for _ in range(4))
        sums = (
            (area, 1.0),
            (litres, np.nan_to_num(fine.proud_mm)),
            (guess, fine.guessed),
            (bare, fine.extended),
        )
        top = np.full(area.shape, -np.inf)
        for at in _within(fine, area.shape):
            for into, what in sums:
                np.add.at(into, at, what * fine.known_area_m2)
            np.maximum.at(top, at, np.where(fine.known_area_m2 > 0, fine.proud_mm, -np.inf))
        half = (0.5 + SAME) * area
        about = binary_dilation(guess > half, iterations=RIM_CELLS)
        guessed = (guess > half) | (about & (bare > half))
        floor = _with_points(np.where(guessed, -np.inf, top), fine.points, survey)
        mean = np.divide(litres, area, out=np.full(area.shape, np.nan), where=area > 0)
        surface = replace(Surface.from_grid(wall, x, z, mean), noise_mm=fine.noise_mm)
        return cls(surface, guessed, floor, spots_of(survey, sound_readings(survey, loose)))

    @property
    def seen(self) -> Flags:
        """Cells that the scan saw (nz, nx)."""
        return np.asarray((self.surface.known_area_m2 > 0) & ~self.guessed)

    def readings(self, lowering_mm: Floats) -> Readings:
        """What it saw, as readings of the sound face, which lies so far before loose plaster [mm]."""
        row, column = np.nonzero(self.seen)
        surface = self.surface
        sound = (surface.proud_mm + lowering_mm)[row, column]
        return Readings(surface.x_m[column], surface.z_m[row], sound).and_more(self.spots)

    def thinned(self, readings: Readings, mirrored: bool) -> Readings:
        """Some of its readings, all at the rims of what is guessed; of the wall from its other end or not."""
        row, column = np.nonzero(self.guessed[:, ::-1] if mirrored else self.guessed)
        x_m, z_m = self.surface.x_m, self.surface.z_m
        x_m = self.surface.wall.width_m - x_m[::-1] if mirrored else x_m
        unseen = Readings(x_m[column], z_m[row], np.zeros(row.size))
        cell_m = float(np.diff(self.surface.z_m).mean())
        return thinned(readings, distance_m(unseen, readings.x_m, readings.z_m), cell_m)

    def likely(self, wall: LikelyWall) -> LikelyWall:
        """What is taken for likely, with the scan's own noise for the error of a reading."""
        error_mm = bounds_of(LikelyWall)["reading_mm"].nearest(max(self.surface.noise_mm, EXACT_MM))
        return replace(wall, reading_mm=error_mm)

    def stands_in(self, drawn: DrawnFaces, wall: LikelyWall, mirrored: bool) -> DrawnFaces:
        """Drawn faces with what the scan saw in each of them, further from that astray by what is likely."""
        sound = (np.nan_to_num(self.surface.proud_mm) + drawn.lowering_mm).ravel().astype(np.float32)
        seen, stray = self.seen.ravel(), self._stray_mm(wall, drawn, mirrored)

        floor = np.where(np.isfinite(self.floor_mm), self.floor_mm + drawn.lowering_mm, -np.inf)
        bound, finer = floor.ravel().astype(np.float32), self.finer_mm.ravel().astype(np.float32)

        def stand(faces: Faces, astray: Floats) -> Faces:
            far = astray[: len(faces.long_mm)]
            rests = np.where(seen, sound, faces.sound_mm + far)
            nibs = np.where(seen, np.float32(0.0), faces.nibs_mm + finer)
            return replace(
                faces,
                long_mm=np.where(seen, sound, faces.long_mm + far),
                short_mm=np.where(seen, np.float32(0.0), faces.short_mm),
                sound_mm=rests,
                nibs_mm=np.maximum(nibs, bound - rests),
            )

        each = np.split(stray, np.cumsum([len(faces.long_mm) for faces in drawn.faces])[:-1])
        faces, exact = (tuple(map(stand, several, each)) for several in (drawn.faces, drawn.exact))
        ceiling = drawn.ceiling_mm
        if ceiling is not None:
            ceiling = np.maximum(ceiling, self.floor_mm)
        return replace(drawn, faces=faces, exact=exact, ceiling_mm=ceiling)

    def _stray_mm(self, wall: LikelyWall, drawn: DrawnFaces, mirrored: bool) -> Floats:
        """How far faces stray from going on as what was seen (n, cells) [mm]."""
        surface = self.surface
        x_m = surface.wall.width_m - surface.x_m if mirrored else surface.x_m
        likely = Variogram(SMOOTHNESS[-1], wall.length_m, (STRAY_SHARE * wall.relief_mm) ** 2, 0.0)
        rng, (x, z) = np.random.default_rng(drawn.seed), np.meshgrid(x_m, surface.z_m)
        field = RandomField.of(likely, len(drawn.weights), rng).at(x.ravel(), z.ravel())
        return np.asarray(
            (-np.expm1(-self._to_seen_m.ravel() / wall.length_m)[:, None] * field).T, np.float32
        )

    @property
    def _to_seen_m(self) -> Floats:
        """How far each cell is from one that the scan saw (nz, nx) [m]."""
        sides = (float(np.diff(places).mean()) for places in (self.surface.z_m, self.surface.x_m))
        return np.asarray(distance_transform_edt(~self.seen, sampling=tuple(sides)))

    @property
    def finer_mm(self) -> Floats:
        """How much higher than its mean the highest of a cell is where it saw nothing, by what it saw [mm].

        The scan's noise is in it, as in what was seen and is priced.
        """
        above = (self.floor_mm - self.surface.proud_mm)[self.seen]
        return np.where(self.seen, 0.0, np.median(above) if above.size else 0.0)


def _within(fine: Surface, shape: tuple[int, ...]) -> list[tuple[NDArray[np.intp], ...]]:
    """The wider cells that fine ones lie in; one on the line between two counts for both, from either end."""
    sides = zip((fine.z_m, fine.x_m), (fine.wall.height_m, fine.wall.width_m), shape, strict=True)
    ways = [
        [np.floor(at / size * count + near).astype(np.intp) for near in (-SAME, SAME)]
        for at, size, count in sides
    ]
    return [np.ix_(row, column) for row, column in product(*ways)]


def _with_points(floor_mm: Floats, points: Readings, survey: Survey) -> Floats:
    """The highest in each cell with the single points that bind the plane [mm]."""
    if points.x_m.size:
        size, shape = (survey.wall.width_m, survey.wall.height_m), (floor_mm.shape[0], floor_mm.shape[1])
        np.maximum.at(
            floor_mm.reshape(-1), cell_numbers(points.x_m, points.z_m, size, shape), points.proud_mm
        )
    return floor_mm


def thinned(readings: Readings, away_m: Floats, cell_m: float) -> Readings:
    """At most some `MOST` readings on cells [m]: all near what they are away from [m], fewer further off.

    Whoever is twice as far away has neighbours twice as far apart, up to `WIDEST_M`.
    """
    first = cell_m
    while True:
        kept = _kept(readings, away_m, first)
        if kept.sum() <= MOST or first > WIDEST_M:
            return readings.without(~kept)
        first *= 1.25


def _kept(readings: Readings, away_m: Floats, first_m: float) -> Flags:
    """One reading in each square whose side is the step at that distance, the nearest to its middle."""
    level = np.floor(np.log2(np.maximum(away_m / (FAR_STEPS * first_m), 1.0)))
    side = np.minimum(first_m * 2.0**level, max(WIDEST_M, first_m))
    across, up = np.floor(readings.x_m / side + 1e-6), np.floor(readings.z_m / side + 1e-6)
    off = np.hypot(readings.x_m - (across + 0.5) * side, readings.z_m - (up + 0.5) * side)
    order = np.lexsort((readings.x_m, readings.z_m, off.round(6)))
    squares = np.column_stack([side, across, up])[order]
    kept = np.zeros(readings.x_m.size, dtype=bool)
    kept[order[np.unique(squares, axis=0, return_index=True)[1]]] = True
    return kept
