"""How sure the litres of a filled wall are: what the same treatment takes on its drawn faces.

Faces are filled on cells a hand wide, each as high as the mean of what it holds. Roughness shorter than a
hand goes under the skim, which is priced by its own thickness: an edge laid over it would count it twice.

Notes
-----
A straightened wall takes what the same work takes on 48 of its drawn faces more than on the surface through
the readings. A patched wall takes what was entered for its holes, so nothing between the readings moves it.

An edge laid over white noise of a millimetre finds a wall full of hollows, hence the cells a hand wide. Tried
on dense surfaces of 4 mm relief, read every half metre, against the truth on cells a hand wide: faces on 5 cm
cells with all their roughness took 0.7 to 1.4 mm too much, without any 0.3 to 2 mm too little, on cells a
hand wide 0.1 to 0.4 mm too little. What is narrower than a hand, and not skimmed, is not in it: held to the
truth on cells half as wide the range is too low (`tests/benchmarks/README.md`).
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.fills import even_layer, fill_layers
from mytakeoff.flatness.edge_lines import EdgeRule, edge_lines
from mytakeoff.repair.coarse_cells import Parts
from mytakeoff.repair.spot_repair import ruled_flush
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.planes_over_faces import Drawn, capped
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import Cache
from mytakeoff.surface.patches import patches_of
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens

HAND_M = 0.1
FACES = 48
PAIRS = 2  # of each variogram's faces, drawn with and without the error of the readings
CLOSE_MM = 0.1  # how far below its least a fill may end: a range needs no more
CACHE_SIZE = 32  # walls, each in one way


@dataclass(frozen=True, eq=False)
class FillRange:
    """How sure the plaster of one filled wall is.

    Parameters
    ----------
    drawn_faces : DrawnFaces or None
        Its drawn faces; None where what it takes does not depend on what lies between the readings.
    drawn : Drawn
        Litres that it takes for each of them, holes and skim among them [l].
    priced_l : float
        Litres that the surface through the readings takes [l].
    reading_share : float
        Share of the litres' variance that comes of the readings' own error [-].
    hollows : bool
        Whether hollows are straightened: else it takes its holes and its skim.
    plain : WallResult or None
        The wall through the readings, on cells a hand wide.
    faces : tuple of WallResult
        The wall for each drawn face, on the same cells.
    """

    drawn_faces: DrawnFaces | None
    drawn: Drawn
    priced_l: float
    reading_share: float = 0.0
    hollows: bool = False
    plain: WallResult | None = None
    faces: tuple[WallResult, ...] = ()


@dataclass(frozen=True, eq=False)
class Fills:
    """Holes and hollows filled, without the skim: through the readings, and for each drawn face.

    A face that is filled as the wall through the readings is has the same build-up. Weights add up to 1 [-].
    """

    plain: BuildUp
    faces: tuple[BuildUp, ...]
    weights: Floats
    reading_share: float


def fill_range_steps(
    measured: Measured, wall: WallResult, rules: Sequence[EdgeRule], left_mm: float
) -> Generator[None, None, FillRange]:
    """How sure a filled wall's plaster is, step by step: None after each step, the range at the end.

    Parameters
    ----------
    measured : Measured
    wall : WallResult
        As it is priced: patched, or straightened with what it decides to take down.
    rules : sequence of EdgeRule
        What its hollows are straightened to.
    left_mm : float
        Gap left in a hollow that is filled, more than 0 [mm].

    Notes
    -----
    A face counts by what it takes more or less than the wall through the readings on the same coarse cells,
    so that coarse cells bias nothing; never less than holes and skim. A wall that is only patched takes what
    was entered for its holes, whatever lies between its readings.
    """
    priced = wall.build_up.volume_l
    hollows = straightens(wall)
    if not hollows or not measured.is_uncertain:
        return FillRange(None, Drawn(np.array([priced]), np.ones(1)), priced, hollows=hollows)
    cut = wall.build_up if wall.build_up.cut_l > 0 else None
    key = (measured, tuple(rules), left_mm, cut)
    drawn_faces = yield from faces_steps(measured)
    fills = yield from _kept.steps(key, lambda: fills_steps(drawn_faces, rules, left_mm, cut))
    made = {fill: filled_as(wall, fill) for fill in (fills.plain, *fills.faces)}
    plain, *faces = (made[fill] for fill in (fills.plain, *fills.faces))
    bare = sum(coat.thickness_mm for coat in wall.skim) * wall.build_up.area_m2
    bare += float((drawn_faces.lowering_mm * drawn_faces.surface.known_area_m2).sum())
    more = np.array([face.build_up.volume_l for face in faces]) - plain.build_up.volume_l
    drawn = Drawn(np.maximum(priced + more, min(bare, priced)), fills.weights)
    return FillRange(drawn_faces, drawn, priced, fills.reading_share, True, plain, tuple(faces))


_kept: Cache[tuple[Measured, tuple[EdgeRule, ...], float, BuildUp | None], Fills] = Cache(CACHE_SIZE)


def filled_as(wall: WallResult, fill: BuildUp) -> WallResult:
    """A filled wall with another fill under its skim, on the fill's cells; nothing is remembered."""
    coat = fill.thickness_mm + sum(even.thickness_mm for even in wall.skim)
    return replace(
        wall,
        surface=fill.surface,
        build_up=BuildUp(fill.surface, coat, fill.cut_mm),
        layers=(
            *(even_layer(fill.surface, even) for even in wall.skim),
            *fill_layers(fill, wall.system),
        ),
        patches=patches_of(fill.surface, fill.thickness_mm),
    )


@dataclass(frozen=True, eq=False)
class _Ground:
    """What all faces of a wall have in common, on cells a hand wide: holes and what is taken down [mm]."""

    parts: Parts
    hole_mm: Floats
    cut_mm: Floats
    rules: tuple[EdgeRule, ...]
    left_mm: float

    def filled(self, sound_mm: Floats) -> BuildUp:
        """A sound face (m, n) [mm] with its holes and its hollows filled."""
        face = self.parts.as_surface(sound_mm - self.cut_mm)
        fill = ruled_flush(face.proud_mm, edge_lines(face), self.rules, self.left_mm, CLOSE_MM)
        return BuildUp(self.parts.as_surface(sound_mm - self.hole_mm), fill + self.hole_mm, self.cut_mm)


def fills_steps(
    drawn_faces: DrawnFaces,
    rules: Sequence[EdgeRule],
    left_mm: float,
    decided: BuildUp | None = None,
    pairs: int = PAIRS,
) -> Generator[None, None, Fills]:
    """What fills a wall through its readings, and some of its drawn faces: one fill in each step.

    Parameters
    ----------
    drawn_faces : DrawnFaces
    rules : sequence of EdgeRule
        What hollows are straightened to.
    left_mm : float
        Gap left in a hollow that is filled, more than 0 [mm].
    decided : BuildUp or None
        What is taken down, on cells of its own; None: nothing.
    pairs : int
        Of each variogram's faces so many are filled as if the readings had no error, too; 0 for no share of
        it [-].
    """
    surface, hole = drawn_faces.surface, drawn_faces.lowering_mm
    parts = Parts.of(surface, max(HAND_M / float(np.diff(surface.z_m).mean()), 1.0))
    shape = parts.area_m2.shape
    cut = np.zeros(shape) if decided is None else _on_parts(decided, parts)
    ground = _Ground(parts, parts.means_mm(hole), cut, tuple(rules), left_mm)

    def sound(faces_mm: Floats) -> Floats:
        return parts.means_mm(capped(drawn_faces, faces_mm) + hole)

    every, weights = drawn_faces.proud_mm, drawn_faces.weights
    some = np.unique(np.linspace(0, len(every) - 1, FACES).round().astype(int))
    both = [
        each.reshape(len(drawn_faces.faces), -1, *hole.shape)[:, :pairs].reshape(-1, *hole.shape)
        for each in drawn_faces.with_and_without_error_mm
    ]
    plain = ground.filled(parts.means_mm(surface.proud_mm + hole))
    yield
    found: list[list[BuildUp]] = []
    for heights in (every[some], *both):
        found.append([])
        for face in sound(heights):
            fill = ground.filled(face)
            found[-1].append(plain if _alike(fill, plain) else fill)
            yield
    faces, with_error, without = found
    share = _less_share(with_error, without)
    return Fills(plain, tuple(faces), weights[some] / weights[some].sum(), share)


def _alike(one: BuildUp, other: BuildUp) -> bool:
    return np.array_equal(one.thickness_mm, other.thickness_mm, equal_nan=True)


def _on_parts(decided: BuildUp, parts: Parts) -> Floats:
    """What is taken down, spread over the parts that hold it (m, n) [mm]."""
    fine, wall = decided.surface, decided.surface.wall
    rows, columns = parts.area_m2.shape
    row = np.minimum(fine.z_m / wall.height_m * rows, rows - 1).astype(int)
    column = np.minimum(fine.x_m / wall.width_m * columns, columns - 1).astype(int)
    litres = np.zeros((rows, columns))
    np.add.at(litres, np.ix_(row, column), np.nan_to_num(decided.cut_mm) * fine.known_area_m2)
    return np.asarray(litres / np.where(parts.area_m2 > 0, parts.area_m2, np.inf))


def _less_share(with_error: Sequence[BuildUp], without: Sequence[BuildUp]) -> float:
    """By what share the litres vary less where the readings have no error, 0 to 1 [-]."""
    if not with_error:
        return 0.0
    more, less = (float(np.var([fill.volume_l for fill in fills])) for fills in (with_error, without))
    return min(max(1.0 - less / more, 0.0), 1.0) if more > 0 else 0.0
