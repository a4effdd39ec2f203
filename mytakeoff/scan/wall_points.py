"""A wall's points, turned and shifted onto the wall that the user has measured."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from mytakeoff.errors import Check
from mytakeoff.steps import blocks
from mytakeoff.survey.stance import Stance, stance
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import Wall

LEVEL_CELL_SHARE = 1 / 40  # of the wall's height: cells whose means the mean plane goes through
ROWS, MOST_COLUMNS = 64, 100  # of those cells, and walls' heights that a wall may be wide
OVERHANG_M = 0.10  # a scan that reaches so far beyond the wall was of another wall
OVERHANG_SHARE = 0.10
STEEP_MM_PER_M = 25.0  # a wall that leans more is dangerous, or the instrument was not plumb
STEEP = (
    f"The scanned wall leans by more than {STEEP_MM_PER_M:g} mm a metre: if the instrument did not level "
    "itself, say that it was not plumb."
)


@dataclass(frozen=True, eq=False)
class WallPoints:
    """Points of one wall about its mean plane, its lower left corner at 0.

    Parameters
    ----------
    x_m, z_m, proud_m : (n,) float
        [m]
    lean_mm_per_m : float
        Of the mean plane; towards the room at the top is positive [mm/m].
    """

    x_m: Floats
    z_m: Floats
    proud_m: Floats
    lean_mm_per_m: float

    @property
    def size_m(self) -> tuple[float, float]:
        """Width and height [m]."""
        return float(self.x_m.max()), float(self.z_m.max())


def settle(points_m: Floats, plumb: bool) -> Generator[None, None, WallPoints]:
    """Points in a rough wall frame turned so that their mean plane runs along the wall, in steps.

    Parameters
    ----------
    points_m : (n, 3) float
        Distance, height, proud [m].
    plumb : bool
        Whether the instrument was: the wall keeps its lean. Else its mean plane is made upright.
    """
    x, z, proud = points_m[:, 0], points_m[:, 1], points_m[:, 2]
    stands = yield from _stance(x, z, proud)
    x, proud = _turned(x, proud, stands.b_mm_per_m / 1000.0)
    yield
    if not plumb:
        stands = yield from _stance(x, z, proud)
        z, proud = _turned(z, proud, stands.c_mm_per_m / 1000.0)
    x, z = x - x.min(), z - z.min()
    stands = yield from _stance(x, z, proud)
    middle_m = (stands.a_mm + stands.b_mm_per_m * x.max() / 2 + stands.c_mm_per_m * z.max() / 2) / 1000.0
    return WallPoints(x, z, proud - middle_m, stands.c_mm_per_m)


def _turned(along: Floats, out: Floats, slope: float) -> tuple[Floats, Floats]:
    """Both coordinates after a turn that makes a slope level."""
    length = float(np.hypot(1.0, slope))
    return (along + slope * out) / length, (out - slope * along) / length


def _cells(x: Floats, z: Floats, proud: Floats) -> Generator[None, None, tuple[Floats, Floats, Floats]]:
    """Means of the points in square cells, so that dense places weigh no more than thin ones."""
    x_low, z_low = float(x.min()), float(z.min())
    wide, high = float(x.max()) - x_low, float(z.max()) - z_low
    cell = max(high, wide / MOST_COLUMNS, 1e-9) * LEVEL_CELL_SHARE
    cells = (int(wide / cell) + 1) * ROWS
    sums = np.zeros((4, cells))
    for block in blocks(x.size):
        columns = ((x[block] - x_low) / cell).astype(np.int64)
        number = columns * ROWS + ((z[block] - z_low) / cell).astype(np.int64)
        for row, weights in enumerate((None, x[block], z[block], proud[block])):
            sums[row] += np.bincount(number, weights=weights, minlength=cells)
        yield
    some = sums[0] > 0
    mean_x, mean_z, mean = sums[1:, some] / sums[0, some]
    return mean_x, mean_z, mean


def _stance(x: Floats, z: Floats, proud: Floats) -> Generator[None, None, Stance]:
    """How the wall stands by its cells."""
    at_x, at_z, height = yield from _cells(x, z, proud)
    return stance(at_x, at_z, height * 1000.0)


def survey_of(
    points: WallPoints, wall: Wall, plumb: bool, source: str, notes: tuple[str, ...] = ()
) -> Generator[None, None, Survey]:
    """The survey of a wall from its points, in steps.

    Parameters
    ----------
    points : WallPoints
    wall : Wall
        As the user has measured it. A scan that falls short of it starts at its left end and the floor, one
        that reaches beyond it by less than 0.1 m is cut off alike at both ends.
    plumb : bool
        Whether the instrument was.
    source : str
        The file's name.
    notes : tuple of str
        What was found while it was read.

    Raises
    ------
    TakeoffError
        The scan reaches well beyond the wall, or its points are on one line.
    """
    size = points.size_m
    check = Check(source)
    for word, found, measured in (("wide", size[0], wall.width_m), ("high", size[1], wall.height_m)):
        over = found - measured
        check.that(
            over <= max(OVERHANG_M, OVERHANG_SHARE * measured)
            if measured > OVERHANG_M
            else over <= measured / 4,
            f"the scanned wall is {found:.3g} m {word}",
            f"wall {wall.name!r} is {measured:g} m {word}",
            "give the wall's size as scanned, see that the unit is right, or choose another wall",
        )
    check.done()
    x = points.x_m - max(0.0, size[0] - wall.width_m) / 2
    z = points.z_m - max(0.0, size[1] - wall.height_m) / 2
    on_it = (x >= 0.0) & (x <= wall.width_m) & (z >= 0.0) & (z <= wall.height_m)
    yield
    proud_mm = points.proud_m * 1000.0
    if not on_it.all():
        x, z, proud_mm = x[on_it], z[on_it], proud_mm[on_it]
    if plumb and abs(points.lean_mm_per_m) > STEEP_MM_PER_M:
        notes = (*notes, STEEP)
    yield
    return Survey.from_readings(wall, x, z, proud_mm, plumb=plumb, layout="scan", source=source, notes=notes)
