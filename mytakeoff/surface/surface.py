"""From readings to a height field on cells, with the exact part of each cell that is wall."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mytakeoff.bounds import check_number
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.scan.face import ScanFace, one_in_each, scan_face_steps
from mytakeoff.steps import run
from mytakeoff.surface.guessed_ground import guessed_cells, not_read
from mytakeoff.survey import interpolate
from mytakeoff.survey.cells import (
    GROWTH,
    REACH,
    cell_edges,
    centres,
    check_cells,
    disjoint,
    edges_around,
    free_m2,
    inside,
)
from mytakeoff.survey.edges import face_at, hand_face, spots_of
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.loose_plaster import Depths, check_loose, lowered_areas, lowering_mm, sound_readings
from mytakeoff.survey.stands_off import asked_notices
from mytakeoff.survey.survey import Floats, Survey, read_only
from mytakeoff.survey.wall import LooseArea, Wall


@dataclass(frozen=True, eq=False)
class Surface:
    """The wall as a height field; the value stands at the cell's centre, also where an opening cuts it.

    Parameters
    ----------
    wall : Wall
    x_m : (nx,) float
        Cell centres across [m].
    z_m : (nz,) float
        Cell centres up, from the floor [m].
    proud_mm : (nz, nx) float
        NaN outside the wall and where the survey does not reach [mm].
    cell_area_m2 : (nz, nx) float
        The exact part of each cell that is wall, known or not [m²].
    extended : (nz, nx) bool
        Known only by reaching beyond the readings.
    guessed : (nz, nx) bool
        Known, but further from the readings than they are from one another, or not seen by a scan: as it goes
        on from beside it.
    points : Readings
        Readings on the net wall, which bind the plane as cells do.
    notices : tuple of str
        What the user should know about it.
    noise_mm : float
        Standard error of a cell's value, for a scan; 0 for readings by hand [mm].
    bow_mm : float
        A bow over a scanned wall that is or may be the instrument's own [mm].
    """

    wall: Wall
    x_m: Floats
    z_m: Floats
    proud_mm: Floats
    cell_area_m2: Floats
    extended: NDArray[np.bool_]
    guessed: NDArray[np.bool_]
    points: Readings
    notices: tuple[str, ...] = ()
    noise_mm: float = 0.0
    bow_mm: float = 0.0

    @classmethod
    def from_grid(cls, wall: Wall, x_m: ArrayLike, z_m: ArrayLike, proud_mm: ArrayLike) -> Surface:
        """A ready height field.

        Parameters
        ----------
        wall : Wall
        x_m, z_m : (nx,) and (nz,) float
            Cell centres, rising; the outer cells end at the wall's sides [m].
        proud_mm : (nz, nx) float
            NaN where unknown [mm].

        Raises
        ------
        TakeoffError
            Shapes that do not fit, or nothing known on the wall.

        Examples
        --------
        >>> surface = Surface.from_grid(Wall("A", 2.0, 1.0), [0.5, 1.5], [0.5], [[0.0, 3.0]])
        >>> surface.net_area_m2
        2.0
        """
        x, z, proud = (np.asarray(values, dtype=np.float64) for values in (x_m, z_m, proud_mm))
        check = Check(f"height field of wall {wall.name!r}")
        check.that(
            proud.shape == (z.size, x.size),
            f"{proud.shape} heights for {z.size} rows and {x.size} columns",
            "the field has a height for each row and column",
            "give an array of (rows, columns)",
        )
        for word, places, size in (("x", x, wall.width_m), ("z", z, wall.height_m)):
            rising = bool((np.diff(places, prepend=0.0) > 0).all()) and bool((places < size).all())
            check.that(
                rising,
                f"{word} from {places.min(initial=0.0):g} to {places.max(initial=0.0):g} m",
                f"cell centres rise from 0 to the wall's {size:g} m",
                "sort the columns and rows, and turn the field with them",
            )
        check.done()
        area = free_m2(edges_around(x, wall.width_m), edges_around(z, wall.height_m), wall.not_plastered)
        none = read_only([])
        read = np.zeros(proud.shape, dtype=bool), np.zeros(proud.shape, dtype=bool)
        return _finished(wall, x, z, proud, area, *read, Readings(none, none, none), ())

    @property
    def mirrored(self) -> Surface:
        """The cells as one has them who begins at the wall's right end; points and openings as they are."""
        return replace(
            self,
            x_m=self.wall.width_m - self.x_m[::-1],
            proud_mm=self.proud_mm[:, ::-1],
            cell_area_m2=self.cell_area_m2[:, ::-1],
            extended=self.extended[:, ::-1],
            guessed=self.guessed[:, ::-1],
        )

    @cached_property
    def known_area_m2(self) -> Floats:
        """Area of each cell that is wall and known (nz, nx) [m²]."""
        unknown = np.isnan(self.proud_mm)
        unknown &= self.cell_area_m2 > 0
        return np.where(unknown, 0.0, self.cell_area_m2) if unknown.any() else self.cell_area_m2

    @cached_property
    def net_area_m2(self) -> float:
        """Area of the wall whose face is known [m²]."""
        return float(self.known_area_m2.sum())

    @cached_property
    def unknown_area_m2(self) -> float:
        """Wall that the survey does not reach: not priced [m²]."""
        return float(self.cell_area_m2[np.isnan(self.proud_mm)].sum())

    @cached_property
    def centroid_m(self) -> tuple[float, float]:
        """Middle of the known area, x and z: where a plane's height is its mean [m]."""
        across, up = self.known_area_m2.sum(axis=0), self.known_area_m2.sum(axis=1)
        return float(across @ self.x_m / across.sum()), float(up @ self.z_m / up.sum())

    @cached_property
    def extended_area_m2(self) -> float:
        """Wall known only by reaching beyond the readings [m²]."""
        return float(self.cell_area_m2[self.extended].sum())

    @cached_property
    def guessed_area_m2(self) -> float:
        """Wall that is priced and was not read [m²]."""
        return float(self.cell_area_m2[self.guessed].sum())


def grid_surface(
    survey: Survey,
    cell_m: float = 0.025,
    reach_m: float = 0.5,
    loose: Sequence[LooseArea] = (),
    loose_growth_share: float = 0.25,
    formats: Formats = HOUSE,
) -> Surface:
    """The height field of a surveyed wall, with its loose plaster off.

    Parameters
    ----------
    survey : Survey
    cell_m : float
        Greatest cell size, 0.0001 or more [m].
    reach_m : float
        How far the face is carried beyond the readings, 0 or more [m].
    loose : sequence of LooseArea
        Old plaster that comes off first, or has fallen; where two overlap the deeper counts.
    loose_growth_share : float
        Growth of loose areas as they come off, as a share of their area, 0 or more [-].
    formats : Formats
        Of its notices.

    Returns
    -------
    Surface
        ``ceil(length / cell)`` cells each way; NaN beyond the reach, never invented.

    Raises
    ------
    TakeoffError
        A cell size, reach or growth out of its range, too many cells, a loose area off the wall, or fewer
        than three readings beside fallen plaster.

    Examples
    --------
    >>> survey = Survey.from_readings(Wall("A", 2.0, 2.5), [0, 2, 0, 2], [0, 0, 2.5, 2.5], [0, 2, 0, 2])
    >>> grid_surface(survey, cell_m=0.5).proud_mm[0].round(9).tolist()
    [0.25, 0.75, 1.25, 1.75]
    """
    return run(grid_surface_steps(survey, cell_m, reach_m, loose, loose_growth_share, formats))


def grid_surface_steps(
    survey: Survey,
    cell_m: float = 0.025,
    reach_m: float = 0.5,
    loose: Sequence[LooseArea] = (),
    loose_growth_share: float = 0.25,
    formats: Formats = HOUSE,
) -> Generator[None, None, Surface]:
    """The same in steps, for a scan of any size."""
    wall = survey.wall
    _check(survey, cell_m, reach_m, loose, loose_growth_share)
    x_edges, z_edges = cell_edges(wall.width_m, cell_m), cell_edges(wall.height_m, cell_m)
    x, z = centres(x_edges), centres(z_edges)
    area = free_m2(x_edges, z_edges, wall.not_plastered)
    readings = sound_readings(survey, loose)
    spots = spots_of(survey, readings)
    yield
    face, known, scan = yield from _face(survey, readings, spots, x, z)
    yield
    far = _out_of_reach(survey, x, z, ~known, reach_m)
    face[far] = np.nan
    depths = lowered_areas(wall, loose, loose_growth_share)
    face -= lowering_mm(x_edges, z_edges, area, depths, wall)
    averaged = scan is not None and scan.averaged
    single = Readings(*(read_only([]) for _ in range(3))) if averaged else readings
    points = _binding_points(wall, single, spots, depths)
    extended = ~known & ~far & (area > 0)
    guessed = ~far & guessed_cells(survey, readings, (x, z), area, extended)
    notices = (
        *survey.notes,
        *_opening_notices(wall, formats),
        *_thin_notices(survey, reach_m, formats),
        *_guessed_notices(area[guessed].sum(), area[~far].sum(), formats),
        *asked_notices(survey, formats),
    )
    if scan is None:
        return _finished(wall, x, z, face, area, extended, guessed, points, notices)
    notices = (*notices, *scan.notices(formats, survey.bow_mm))
    made = _finished(wall, x, z, face, area, extended, guessed, points, notices, scan.noise_mm)
    return replace(made, bow_mm=survey.bow_mm)


def _check(
    survey: Survey, cell_m: float, reach_m: float, loose: Sequence[LooseArea], growth_share: float
) -> None:
    check = Check(f"wall {survey.wall.name!r}")
    check_cells(survey.wall, cell_m, check)
    check_number(check, REACH, reach_m=reach_m)
    check_number(check, GROWTH, loose_growth_share=growth_share)
    check_loose(survey.wall, loose, check)
    check.done()


def _face(
    survey: Survey, readings: Readings, spots: Readings, x: Floats, z: Floats
) -> Generator[None, None, tuple[Floats, NDArray[np.bool_], ScanFace | None]]:
    """The face through readings and high spots, where it is known by readings, and what a scan says of it."""
    if survey.layout == "scan":
        size = survey.wall.width_m, survey.wall.height_m
        scan = yield from scan_face_steps(readings, size, x, z, survey.depth_step_mm)
        return scan.with_spots(spots, x, z), scan.known, scan
    face, known = hand_face(survey, readings, x, z)
    if spots.x_m.size:
        at_spots = face_at(survey, readings, spots.x_m, spots.z_m)
        radius = interpolate.step_m(readings) / 2
        face = face + interpolate.bumps(spots, readings, spots.proud_mm - at_spots, radius, x, z)
    return face, known, None


def _out_of_reach(
    survey: Survey, x: Floats, z: Floats, unsure: NDArray[np.bool_], reach_m: float
) -> NDArray[np.bool_]:
    """Which of the unsure cells lie further than the reach from any reading, those of fallen areas too."""
    far = np.zeros_like(unsure)
    row, column = np.nonzero(unsure)
    if row.size:
        readings = one_in_each(interpolate.readings_of(survey), survey.wall, unsure.shape)
        far[row, column] = interpolate.distance_m(readings, x[column], z[row]) > reach_m + 1e-9
    return far


def behind_mm(surface: Surface, loose: Sequence[LooseArea], growth_share: float) -> Floats:
    """How far each cell lies behind the sound face once loose plaster is off (nz, nx); 0 beside it [mm].

    Parameters
    ----------
    surface : Surface
        Of the wall with the same loose areas off.
    loose : sequence of LooseArea
    growth_share : float
        As for `grid_surface` [-].
    """
    wall = surface.wall
    edges = edges_around(surface.x_m, wall.width_m), edges_around(surface.z_m, wall.height_m)
    depths = lowered_areas(wall, loose, growth_share)
    return np.where(
        np.isnan(surface.proud_mm), np.nan, lowering_mm(*edges, surface.cell_area_m2, depths, wall)
    )


def _binding_points(wall: Wall, single: Readings, spots: Readings, depths: Depths) -> Readings:
    """Readings and high spots on the net wall, lowered where plaster comes off under them."""
    x = np.concatenate([single.x_m, spots.x_m])
    z = np.concatenate([single.z_m, spots.z_m])
    proud = np.concatenate([single.proud_mm, spots.proud_mm])
    off = np.zeros(x.size)
    for rectangle, depth in depths:
        off = np.where(inside(rectangle, x, z), np.maximum(off, depth), off)
    dropped = np.zeros(x.size, dtype=bool)
    for rectangle in wall.not_plastered:
        dropped |= inside(rectangle, x, z, margin_m=1e-9)
    return Readings(x, z, proud - off).without(dropped)


def _opening_notices(wall: Wall, formats: Formats) -> tuple[str, ...]:
    """Words for openings that overlap."""
    rectangles = [opening.rectangle for opening in (*wall.openings, *wall.fitted)]
    twice = sum(r.area_m2 for r in rectangles) - sum(r.area_m2 for r in disjoint(rectangles))
    if twice <= 1e-9:
        return ()
    return (f"Openings lie over one another on {formats.fixed(twice, 2)} m²; that is counted once.",)


def _thin_notices(survey: Survey, reach_m: float, formats: Formats) -> tuple[str, ...]:
    """Words for a survey too thin for its wall: places between readings that are further than the reach."""
    wall = survey.wall
    if survey.layout == "scan":
        return ()
    x, z = (centres(cell_edges(length, 0.1)) for length in (wall.width_m, wall.height_m))
    grid_x, grid_z = (axis.ravel() for axis in np.meshgrid(x, z))
    bare = np.zeros(grid_x.size, dtype=bool)
    for rectangle in wall.not_plastered:
        bare |= inside(rectangle, grid_x, grid_z)
    if bare.all():
        return ()
    grid_x, grid_z = grid_x[~bare], grid_z[~bare]
    away = interpolate.distance_m(interpolate.readings_of(survey), grid_x, grid_z)
    worst = int(np.argmax(away))
    if away[worst] <= reach_m + 0.005:
        return ()
    x_said, z_said = (formats.length(at[worst], places=1) for at in (grid_x, grid_z))
    return (
        f"The survey is thin for this wall: at x {x_said}, z {z_said} "
        f"the nearest reading is {formats.length(away[worst], places=2)} away, "
        f"more than the {formats.length(reach_m)} that a reading is trusted for.",
    )


def _guessed_notices(guessed_m2: float, priced_m2: float, formats: Formats) -> tuple[str, ...]:
    """Words for a wall of which much is priced and was not read."""
    said = not_read(guessed_m2, priced_m2, formats)
    return (f"{said}. A reading or two there make that sure.",) if said else ()


def _finished(
    wall: Wall,
    x: Floats,
    z: Floats,
    face: Floats,
    area: Floats,
    extended: NDArray[np.bool_],
    guessed: NDArray[np.bool_],
    points: Readings,
    notices: tuple[str, ...],
    noise_mm: float = 0.0,
) -> Surface:
    """The surface with read-only arrays, unknown where there is no wall."""
    check = Check(f"wall {wall.name!r}")
    proud = np.where(area > 0, face, np.nan)
    check.that(
        bool(np.isfinite(proud).any()),
        "no part of the wall is both known and to be plastered",
        "something is left to plaster beside the openings",
        "check the openings and the places of the readings",
    )
    check.done()
    for array in (proud, area, extended, guessed):
        array.flags.writeable = False
    return Surface(
        wall, read_only(x), read_only(z), proud, area, extended, guessed, points, notices, noise_mm
    )
