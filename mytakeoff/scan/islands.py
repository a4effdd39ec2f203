"""What stands off a scanned wall: patches of cells that rise from the wall's face in a cliff.

A wardrobe, a picture or a pipe ends in an edge; a wall that bows or bulges does not. So a patch is told by
its shore: cells higher than a level, whose height is reached within `AROUND_M` on most of the way round. Each
of several levels is tried, the lowest first, so that a picture on a bow is found above the bow. What is as
high as the cells about it differ anyway, on rough stone, is none.

Notes
-----
Chosen on three scanned walls of two furnished flats and on invented ones with a picture and a box; tried on
invented rooms with other furniture and with bulges. A patch of old plaster that still stands where the rest
has come off looks the same: so what is left out is always said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, find_objects, label, uniform_filter

from mytakeoff.scan.cell_median import cell_numbers, cell_statistic
from mytakeoff.scan.noise import point_noise_mm
from mytakeoff.survey.interpolate import Readings
from mytakeoff.survey.survey import Floats

Flags = NDArray[np.bool_]
AROUND_M = 0.10  # how far round a cell it is compared
LEAST_MM = 12.0  # what stands off by less is taken with the wall
ROUGH = 5.0  # times what cells differ from those about them that a patch has to rise by
CLIFF, ROUND = 0.6, 0.7  # of its height that it rises by within `AROUND_M`, on so much of its shore
BEYOND, DETACHED = (
    4,
    1.5,
)  # times `AROUND_M` that is looked over a gap, times the least rise that it takes then
TUKEY = 4.7  # times the cells' spread beyond which one does not count: the usual constant
FEW = 0.01  # of a wall's cells
RISING = 1.35  # from one level to the next
MOST_LEVELS = 12
POINTS, CELLS_M = 8, (0.025, 0.10)  # wanted in a cell, and between which sizes cells are

EIGHT = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True, eq=False)
class Cells:
    """A cloud on square cells.

    Parameters
    ----------
    mm : (nz, nx) float
        Height off the smooth face; NaN where there is no point [mm].
    smooth, flat : (6,) float
        Terms of that face, and of the plane that it was bowed from [mm].
    size_m : (width, height)
        Of the wall [m].
    noise_mm : float
        Of single points [mm].
    """

    mm: Floats
    smooth: Floats
    flat: Floats
    size_m: tuple[float, float]
    noise_mm: float

    @property
    def cell_m(self) -> float:
        """Side of a cell, about [m]."""
        return float(self.size_m[0] / self.mm.shape[1])

    @property
    def reach(self) -> int:
        """How many cells `AROUND_M` is, one at least [-]."""
        return max(1, round(AROUND_M / self.cell_m))

    def face_mm(self, terms: Floats) -> Floats:
        """A face of such terms at each cell's middle (nz, nx) [mm]."""
        (rows, columns), (width, height) = self.mm.shape, self.size_m
        across, up = (np.arange(columns) + 0.5) * width / columns, (np.arange(rows) + 0.5) * height / rows
        x, z = (each.ravel() for each in np.meshgrid(across, up))
        return np.asarray((_columns(x, z, self.size_m) @ terms).reshape(rows, columns))

    def off_mm(self, readings: Readings) -> Floats:
        """How far points stand off the smooth face (n,) [mm]."""
        terms = _columns(readings.x_m, readings.z_m, self.size_m)
        return np.asarray(readings.proud_mm - terms @ self.smooth)


def _columns(x_m: Floats, z_m: Floats, size_m: tuple[float, float]) -> Floats:
    u, v = 2.0 * x_m / size_m[0] - 1.0, 2.0 * z_m / size_m[1] - 1.0
    return np.column_stack([np.ones_like(u), u, v, u * u, u * v, v * v])


def shape_of(readings: Readings, size_m: tuple[float, float]) -> tuple[int, int]:
    """Rows and columns of cells that hold some `POINTS` of a cloud each, where there is wall."""
    fine, coarse = (_shape(size_m, cell_m) for cell_m in CELLS_M)
    if readings.x_m.size >= fine[0] * fine[1]:
        return fine
    taken = np.unique(cell_numbers(readings.x_m, readings.z_m, size_m, coarse)).size * CELLS_M[1] ** 2
    return _shape(size_m, float(np.clip(np.sqrt(POINTS * taken / readings.x_m.size), *CELLS_M)))


def _shape(size_m: tuple[float, float], cell_m: float) -> tuple[int, int]:
    across, up = (max(1, int(np.ceil(length / cell_m))) for length in size_m)
    return up, across


def cells_of(readings: Readings, size_m: tuple[float, float], shape: tuple[int, int]) -> Cells:
    """A cloud's cells, held to the smooth face that most of them lie about."""
    found = cell_statistic(readings.x_m, readings.z_m, readings.proud_mm, size_m, shape)
    upper = _upper(readings, size_m, shape)
    row, column = np.nonzero(found.count)
    at_x, at_z = (column + 0.5) * size_m[0] / shape[1], (row + 0.5) * size_m[1] / shape[0]
    terms, height = _columns(at_x, at_z, size_m), upper[row, column]
    flat = _face(terms, height, np.array([np.median(height), 0, 0, 0, 0, 0]), 3)
    smooth = _face(
        terms, height, flat, 6
    )  # begun from the plane, not drawn to what stands off thinly seen wall
    mm = np.full(shape, np.nan)
    mm[row, column] = height - terms @ smooth
    return Cells(mm, smooth, flat, size_m, point_noise_mm(found.spread_mm, found.median_mm))


def _upper(readings: Readings, size_m: tuple[float, float], shape: tuple[int, int]) -> Floats:
    """The height that a quarter of each cell's points exceed; the median of few points [mm]."""
    number = cell_numbers(readings.x_m, readings.z_m, size_m, shape)
    order = np.lexsort((readings.proud_mm, number))
    count = np.bincount(number, minlength=shape[0] * shape[1])
    first = np.concatenate([[0], np.cumsum(count)[:-1]])
    nth = np.where(count >= 4, np.ceil(0.75 * count).astype(int) - 1, count // 2)
    values = readings.proud_mm[order][np.minimum(first + nth, number.size - 1)]
    return np.where(count > 0, values, np.nan).reshape(shape)


def _face(terms: Floats, height: Floats, begun: Floats, many: int) -> Floats:
    """The face that most cells lie about, of so many terms, by Tukey's weights from another on [mm]."""
    solved = begun.copy()
    for _ in range(6):
        off = height - terms @ solved
        limit = TUKEY * max(float(np.median(np.abs(off))) / 0.6745, 0.5)
        weight = np.clip(1.0 - (off / limit) ** 2, 0.0, None)
        weighed = terms[:, :many].T * weight**2
        solved[:many] = np.linalg.lstsq(weighed @ terms[:, :many], weighed @ height, rcond=None)[0]
    return solved


def _mean_about(mm: Floats, which: Flags, reach: int) -> Floats:
    """Mean over those cells within reach of each cell; NaN where there is none."""
    size = 2 * reach + 1
    count = uniform_filter(which.astype(float), size, mode="constant")
    total = uniform_filter(np.where(which, mm, 0.0), size, mode="constant")
    return np.where(count > 1e-9, total / np.maximum(count, 1e-9), np.nan)


def least_rise_mm(cells: Cells) -> float:
    """What a patch has to rise by: more than cells differ from those about them anyway [mm]."""
    known = np.isfinite(cells.mm)
    differ = np.abs(cells.mm - _mean_about(cells.mm, known, cells.reach))[known]
    return max(LEAST_MM, ROUGH * float(np.median(differ)) / 0.6745)


def cliff_patches(cells: Cells) -> Flags:
    """Which cells stand off the wall in patches with cliffs round them (nz, nx)."""
    known, least = np.isfinite(cells.mm), least_rise_mm(cells)
    found = np.zeros_like(known)
    mm = np.where(known, cells.mm, -np.inf)
    level = least / 2.0
    far = BEYOND * cells.reach + 1
    for _ in range(MOST_LEVELS):
        numbered, _ = label((mm > level) & ~found, EIGHT)
        for nth, box in enumerate(find_objects(numbered), start=1):
            about = tuple(slice(max(side.start - far, 0), side.stop + far) for side in box)
            patch = numbered[about] == nth
            beside = known[about] & ~patch & ~found[about]
            if _has_cliffs(cells.mm[about], patch, beside, cells.reach, least):
                found[about] |= patch
        level *= RISING
        if level > mm.max():
            break
    return found


def alone(cells: Cells) -> Flags:
    """Few cells with nothing near them that stand off the plane: how a wall bows there nobody knows."""
    least = least_rise_mm(cells)
    known = np.isfinite(cells.mm)
    numbered, count = label(binary_dilation(known, EIGHT, iterations=BEYOND * cells.reach // 2), EIGHT)
    numbered = np.where(known, numbered, 0)
    off = cells.mm + cells.face_mm(cells.smooth - cells.flat)
    few = [
        nth for nth in range(1, count + 1)
        if (numbered == nth).sum() < FEW * known.sum() and np.median(off[numbered == nth]) > DETACHED * least
    ]  # fmt: skip
    return np.isin(numbered, few)


def _has_cliffs(mm: Floats, patch: Flags, beside: Flags, reach: int, least: float) -> bool:
    """Whether most of a patch's shore is a cliff; where nothing is known round it, whether it is high."""
    inner = float(np.median(mm[patch]))
    around = binary_dilation(patch, EIGHT, iterations=reach) & beside
    if not around.any():  # a gap round it: held to what is beyond, else to the smooth face
        around = binary_dilation(patch, EIGHT, iterations=BEYOND * reach) & beside
        outer = float(np.median(mm[around])) if around.any() else 0.0
        return inner - outer > DETACHED * least
    height = inner - float(np.median(mm[around]))
    if height < least:
        return False
    shore = patch & binary_dilation(around, EIGHT)
    if not shore.any():  # a gap between them
        return True
    rise = _mean_about(mm, patch, reach) - _mean_about(mm, around, reach)
    steep = rise[shore] >= max(least, CLIFF * height)
    return bool(steep.mean() >= ROUND)
