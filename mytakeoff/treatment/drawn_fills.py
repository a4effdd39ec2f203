"""What fills the drawn faces of a straightened wall: the same work on faces between its readings.

Faces are filled on cells a hand wide, each as high as the mean of what it holds. Roughness shorter than a
hand goes under the skim, which is priced by its own thickness: an edge laid over it would count it twice.

Notes
-----
An edge laid over white noise of a millimetre finds a wall full of hollows, hence the cells a hand wide. Tried
on dense surfaces of 4 mm relief, read every half metre, against the truth on cells a hand wide: faces on 5 cm
cells with all their roughness took 0.7 to 1.4 mm too much, without any 0.3 to 2 mm too little, on cells a
hand wide 0.1 to 0.4 mm too little. What is narrower than a hand, and not skimmed, is not in it: held to the
truth on cells half as wide the range is too low (`tests/benchmarks/README.md`).
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.coats.build_up import BuildUp
from mytakeoff.flatness.edge_lines import EdgeRule, edge_lines
from mytakeoff.repair.coarse_cells import Parts
from mytakeoff.repair.spot_repair import ruled_flush
from mytakeoff.simulation.faces import DrawnFaces
from mytakeoff.simulation.wall_range import Measured, faces_steps
from mytakeoff.steps import Cache
from mytakeoff.survey.survey import Floats

HAND_M = 0.1
FACES = 48
AT_ONCE = 24  # faces in a step
PAIRS = 2  # of each variogram's faces, drawn with and without the error of the readings
CLOSE_MM = 0.1  # how far below its least a fill may end: a range needs no more
CACHE_SIZE = 32  # walls, each in one way


@dataclass(frozen=True, eq=False)
class Fills:
    """Holes and hollows filled, without the skim: through the readings, and for each drawn face.

    A face that is filled as the wall through the readings is has the same build-up. Weights add up to 1 [-].
    """

    plain: BuildUp
    faces: tuple[BuildUp, ...]
    weights: Floats
    reading_share: float


def drawn_fills_steps(
    measured: Measured, rules: Sequence[EdgeRule], left_mm: float, decided: BuildUp | None
) -> Generator[None, None, Fills]:
    """`fills_steps` of a wall's faces, remembered; what they are is in `Measured`."""
    key = (measured, tuple(rules), left_mm, decided)

    def make() -> Generator[None, None, Fills]:
        drawn_faces = yield from faces_steps(measured)
        return (yield from fills_steps(drawn_faces, rules, left_mm, decided))

    return (yield from _kept.steps(key, make))


_kept: Cache[tuple[Measured, tuple[EdgeRule, ...], float, BuildUp | None], Fills] = Cache(CACHE_SIZE)


@dataclass(frozen=True, eq=False)
class _Ground:
    """What all faces of a wall have in common, on cells a hand wide: holes and what is taken down [mm]."""

    parts: Parts
    hole_mm: Floats
    cut_mm: Floats
    rules: tuple[EdgeRule, ...]
    left_mm: float

    def filled(self, sound_mm: Floats) -> list[BuildUp]:
        """Sound faces (k, m, n) [mm], each with its holes and its hollows filled."""
        faces = sound_mm - self.cut_mm
        lines = edge_lines(self.parts.as_surface(faces[0]))
        fills = ruled_flush(faces, lines, self.rules, self.left_mm, CLOSE_MM) + self.hole_mm
        surfaces = map(self.parts.as_surface, sound_mm - self.hole_mm)
        return [BuildUp(surface, fill, self.cut_mm) for surface, fill in zip(surfaces, fills, strict=True)]


def fills_steps(
    drawn_faces: DrawnFaces,
    rules: Sequence[EdgeRule],
    left_mm: float,
    decided: BuildUp | None = None,
    pairs: int = PAIRS,
) -> Generator[None, None, Fills]:
    """What fills a wall through its readings, and some of its drawn faces: a few of them in each step.

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
        return parts.means_mm(faces_mm + hole)

    every, weights = drawn_faces.sound_mm, drawn_faces.weights
    some = np.unique(np.linspace(0, len(every) - 1, FACES).round().astype(int))
    both = [
        each.sound_mm.reshape(len(drawn_faces.faces), -1, *hole.shape)[:, :pairs].reshape(-1, *hole.shape)
        for each in (drawn_faces.with_error, drawn_faces.without_error)
    ]
    [plain] = ground.filled(parts.means_mm(surface.proud_mm + hole)[None])
    yield
    found: list[list[BuildUp]] = []
    for faces_mm in map(sound, (every[some], *both)):
        found.append([])
        for start in range(0, len(faces_mm), AT_ONCE):
            fills = ground.filled(faces_mm[start : start + AT_ONCE])
            found[-1] += [plain if _alike(fill, plain) else fill for fill in fills]
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
