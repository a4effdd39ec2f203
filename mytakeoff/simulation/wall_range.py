"""How sure one wall's litres are: its drawn faces, kept, and what they take under its rule.

Notes
-----
On a swept wall faces are kept under the surface through readings and high spots, and a hand to each side of a
laid edge under what the edge left open, for the plane; the litres keep the faces' own hollows.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field, replace

import numpy as np

from mytakeoff.bounds import bounds_of
from mytakeoff.coats.build_up import full_coat
from mytakeoff.job.backgrounds import USUAL_BACKGROUND, likely_on
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.scan.noise import neighbour_noise_mm
from mytakeoff.simulation.drawing import drawn_faces_steps
from mytakeoff.simulation.faces import DrawnFaces, coarse_cell_m
from mytakeoff.simulation.planes_over_faces import (
    Drawn,
    chance_over,
    drawn_steps,
    litres_steps,
)
from mytakeoff.simulation.unknown_ground import FINE_M, ScannedGround
from mytakeoff.steps import Cache, run
from mytakeoff.surface.guessed_ground import by_instrument, leaves_guessed
from mytakeoff.surface.surface import Surface, behind_mm, grid_surface
from mytakeoff.survey.edges import edges_of, from_edge_m, with_spots
from mytakeoff.survey.hollows import hollow_readings
from mytakeoff.survey.interpolate import Readings, Trend, readings_of
from mytakeoff.survey.loose_plaster import sound_readings
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import LooseArea

SWEPT = 2.0  # standard deviations of a reading: what a sweep may have passed over
SAME_PLACES = 6  # decimals of a metre and a millimetre: inches read again differ beyond them
HAND_M = 0.1  # to each side of a laid edge
CACHE_SIZE = 16  # walls whose faces are kept
DRAWN_KEPT = 64  # walls, each by one rule


@dataclass(frozen=True)
class Measured:
    """What a wall's faces are drawn from.

    Parameters
    ----------
    survey : Survey
    loose : tuple of LooseArea
        Old plaster that comes off first, or has fallen.
    reach_m : float
        How far the survey is trusted beyond its readings [m].
    growth_share : float
        Growth of loose areas as they come off, as a share of their area [-].
    likely : LikelyWall
    """

    survey: Survey
    loose: tuple[LooseArea, ...] = ()
    reach_m: float = 0.5
    growth_share: float = 0.25
    likely: LikelyWall = field(default_factory=LikelyWall)

    @property
    def readings(self) -> Readings:
        """Those that the faces pass: of the sound face, with high spots and places that edges touch.

        Row by row from the floor up, so that faces do not depend on the order in which they were listed.
        """
        every = with_spots(self.survey, sound_readings(self.survey, self.loose))
        return _row_by_row(every.x_m, every.z_m, every.proud_mm)

    @property
    def likely_as_read(self) -> LikelyWall:
        """What is likely; points of a thin scan are off by as much as neighbours differ, if that is more."""
        if self.survey.layout != "scan" or by_instrument(self.survey):
            return self.likely
        read = readings_of(self.survey)
        off = read.proud_mm - Trend.of(read).at(read.x_m, read.z_m)
        noise_mm = neighbour_noise_mm(read.x_m, read.z_m, off)
        noise_mm = bounds_of(LikelyWall)["reading_mm"].nearest(noise_mm)
        return replace(self.likely, reading_mm=max(self.likely.reading_mm, noise_mm))

    @property
    def is_uncertain(self) -> bool:
        """Whether anything is left between the readings, or unseen of a scan."""
        return not by_instrument(self.survey) or leaves_guessed(self.survey, self.loose, self.reach_m, FINE_M)

    def surface(self) -> Surface:
        """The wall on coarse cells."""
        wall = self.survey.wall
        cell_m = coarse_cell_m(wall.width_m, wall.height_m)
        return grid_surface(self.survey, cell_m, self.reach_m, self.loose, self.growth_share)

    def scanned(self) -> ScannedGround | None:
        """What a scan saw of the wall; None for readings by hand."""
        if not by_instrument(self.survey):
            return None
        return ScannedGround.of(self.survey, self.loose, self.reach_m, self.growth_share)

    def ceiling_mm(self, surface: Surface) -> Floats | None:
        """What no place stands before, by the edges laid on the wall (nz, nx); None where none was [mm].

        A hand to each side of an edge the surface and what the edge left open, on a swept wall everywhere
        the surface; either with what a reading may be off.
        """
        survey, off = self.survey, SWEPT * self.likely.reading_mm
        if survey.swept:
            return np.asarray(surface.proud_mm + off)
        if not survey.sweeps:
            return None
        ceiling = np.full(surface.proud_mm.shape, np.inf)
        x, z = np.meshgrid(surface.x_m, surface.z_m)
        for edge in edges_of(survey, sound_readings(survey, self.loose)):
            near = from_edge_m(edge.sweep, x, z) <= HAND_M
            ceiling[near] = np.minimum(ceiling, surface.proud_mm + max(edge.open_mm, off))[near]
        return ceiling


_kept: Cache[Measured, DrawnFaces] = Cache(CACHE_SIZE)


def faces_steps(measured: Measured) -> Generator[None, None, DrawnFaces]:
    """The faces of a wall, step by step.

    They are kept, so that the same wall is not drawn twice. They never depend on what was drawn before.
    """
    return (yield from _kept.steps(measured, lambda: _drawn(measured)))


def _drawn(measured: Measured) -> Generator[None, None, DrawnFaces]:
    """The faces drawn anew, always from the same end: a wall seen in a mirror has the same ones."""
    scanned = measured.scanned()
    surface = measured.surface() if scanned is None else scanned.surface
    lowering = np.nan_to_num(behind_mm(surface, measured.loose, measured.growth_share))
    readings = measured.readings if scanned is None else scanned.readings(lowering)
    other = _from_other_end(readings, surface.wall.width_m)
    seen, below, begun = surface, lowering, readings
    turned, said = _said(other) < _said(readings), measured.survey.said
    if turned:
        seen = surface.mirrored
        below, begun = lowering[:, ::-1], other
        said = tuple(replace(each, x_m=surface.wall.width_m - each.x_m) for each in said)
    likely = measured.likely_as_read
    if scanned is not None:
        begun, likely = scanned.thinned(begun, turned), scanned.likely(likely)
        readings = _from_other_end(begun, surface.wall.width_m) if turned else begun
    hollow = hollow_readings(begun, said)
    edges_m = sum(edge.length_m for edge in measured.survey.sweeps)
    drawn = yield from drawn_faces_steps(seen, below, begun, likely, hollow=hollow, edges_m=edges_m)
    if turned:
        faces, exact = (
            tuple(each.mirrored(seen.x_m.size) for each in some) for some in (drawn.faces, drawn.exact)
        )
        drawn = replace(
            drawn, surface=surface, lowering_mm=lowering, readings=readings, faces=faces, exact=exact
        )
    drawn = replace(drawn, ceiling_mm=measured.ceiling_mm(surface))
    return drawn if scanned is None else scanned.stands_in(drawn, likely, turned)


def _from_other_end(readings: Readings, width_m: float) -> Readings:
    """Readings as one has them who begins at the wall's right end."""
    x_m = width_m - readings.x_m
    return _row_by_row(x_m, readings.z_m, readings.proud_mm)


def _row_by_row(x_m: Floats, z_m: Floats, proud_mm: Floats) -> Readings:
    x, z, proud = (np.round(each, SAME_PLACES) for each in (x_m, z_m, proud_mm))
    order = np.lexsort((proud, x, z))
    return Readings(x_m[order], z_m[order], proud_mm[order])


def _said(readings: Readings) -> list[float]:
    """What readings say, to tell two lists of them apart."""
    said = np.concatenate([readings.x_m, readings.proud_mm])
    places: list[float] = np.round(said, SAME_PLACES).tolist()
    return places


@dataclass(frozen=True, eq=False)
class FloatedRange:
    """How sure the plaster of one floated wall is.

    Parameters
    ----------
    drawn_faces : DrawnFaces or None
        Its drawn faces; None where the readings leave nothing between them.
    drawn : Drawn
        Litres that it takes for each of them [l].
    priced_l : float
        Litres that the surface through the readings takes [l].
    proud_chance : float
        That a high spot stands proud of the plane as priced [-].
    thin_chance : float
        That the plaster to that plane is somewhere more than `THIN_MM` under its least thickness [-].
    reading_share : float
        Share of the litres' variance that comes of the readings' own error [-].
    """

    drawn_faces: DrawnFaces | None
    drawn: Drawn
    priced_l: float
    proud_chance: float
    thin_chance: float
    reading_share: float


THIN_MM = 2.0  # under the least thickness: what a hand with a straightedge does not take note of


def range_steps(
    measured: Measured, rule: PlaneRule, plane: TargetPlane, priced_l: float, drawn: Drawn
) -> Generator[None, None, FloatedRange]:
    """How sure a wall's plaster is, step by step.

    Parameters
    ----------
    measured : Measured
    rule : PlaneRule
    plane : TargetPlane
        As it is priced.
    priced_l : float
        Litres to that plane [l].
    drawn : Drawn
        Litres for each of the wall's drawn faces [l].
    """
    if not measured.is_uncertain:
        return FloatedRange(None, drawn, priced_l, 0.0, 0.0, 0.0)
    drawn_faces = yield from faces_steps(measured)
    share = yield from reading_share_steps(drawn_faces, rule)
    return FloatedRange(
        drawn_faces,
        drawn,
        priced_l,
        chance_over(drawn_faces, plane, -rule.cut_mm),
        chance_over(drawn_faces, plane, rule.least_mm - THIN_MM - rule.cut_mm),
        share,
    )


def drawn_of_steps(measured: Measured, rule: PlaneRule) -> Generator[None, None, Drawn]:
    """What a wall takes under a rule for each of its drawn faces, step by step; kept [l]."""

    def make() -> Generator[None, None, Drawn]:
        drawn_faces = yield from faces_steps(measured)
        return (yield from drawn_steps(drawn_faces, rule))

    return (yield from _drawn_kept.steps((measured, rule), make))


_drawn_kept: Cache[tuple[Measured, PlaneRule], Drawn] = Cache(DRAWN_KEPT)


def _certain(measured: Measured, rule: PlaneRule) -> Drawn:
    """What a wall takes of which a scan saw all: one figure [l]."""
    surface = grid_surface(measured.survey, FINE_M, measured.reach_m, measured.loose, measured.growth_share)
    litres = full_coat(surface, target_plane(surface, rule), rule).volume_l
    return Drawn(np.array([litres]), np.ones(1))


def reading_share_steps(drawn_faces: DrawnFaces, rule: PlaneRule) -> Generator[None, None, float]:
    """Share of the litres' variance that the error of the readings makes, step by step [-].

    By some of the faces drawn once more from the same random numbers, as if the readings had no error: what
    their litres vary less.
    """
    variances = []
    for some in (drawn_faces.with_error, drawn_faces.without_error):
        litres = yield from litres_steps(some.surface, some.over_mm, some.proud_mm, rule)
        variances.append(float(litres.var()))
    with_error, without = variances
    return min(max(1.0 - without / with_error, 0.0), 1.0) if with_error > 0 else 0.0


@dataclass(frozen=True, eq=False)
class WallRange:
    """What a wall takes that is floated by a rule, as far as its readings tell.

    Parameters
    ----------
    litres_10, litres_50, litres_90 : float
        That 10, 50 and 90 of 100 such walls stay within [l].
    drawn : Drawn
        Of each drawn face [l].
    likely : LikelyWall
        What was taken for likely before anything was read.
    """

    litres_10: float
    litres_50: float
    litres_90: float
    drawn: Drawn
    likely: LikelyWall


def wall_range(
    survey: Survey,
    rule: PlaneRule,
    *,
    likely: LikelyWall | None = None,
    loose: tuple[LooseArea, ...] = (),
    reach_m: float = 0.5,
) -> WallRange:
    """How sure the litres of one wall are that is floated by a rule.

    Parameters
    ----------
    survey : Survey
    rule : PlaneRule
        How the finished plane is placed.
    likely : LikelyWall or None
        What is taken for likely before anything is read, by the wall's background (`likely_on`); None: that
        of a wall that was floated once.
    loose : tuple of LooseArea
        Old plaster that comes off first, or has fallen.
    reach_m : float
        How far the survey is trusted beyond its readings, 0 or more [m].

    Returns
    -------
    WallRange

    Raises
    ------
    TakeoffError
        What the surface or the plane finds wrong with what was entered.

    Examples
    --------
    Sixteen readings of a wall that leans 6 mm over its height; 5 m² at 8 mm and half the lean make 55 l, and
    what lies between the readings comes on top:

    >>> from mytakeoff.survey.wall import Wall
    >>> x, z = np.meshgrid([0.1, 0.7, 1.3, 1.9], [0.1, 0.9, 1.6, 2.4])
    >>> survey = Survey.from_readings(Wall("A", 2.0, 2.5), x, z, np.round(6 * z / 2.5))
    >>> found = wall_range(survey, PlaneRule(least_mm=8.0))
    >>> 55 < found.litres_10 < found.litres_50 < found.litres_90 < 75
    True
    """
    wall = likely_on(USUAL_BACKGROUND, likely)
    measured = Measured(survey, loose, reach_m, likely=wall)
    drawn = run(drawn_of_steps(measured, rule)) if measured.is_uncertain else _certain(measured, rule)
    litres_10, litres_50, litres_90 = (drawn.at(share) for share in (0.1, 0.5, 0.9))
    return WallRange(litres_10, litres_50, litres_90, drawn, wall)
