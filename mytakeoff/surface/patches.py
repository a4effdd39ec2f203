"""Patches: connected areas that are filled, each with its place, size, deepest point and litres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from mytakeoff.surface.surface import Surface
from mytakeoff.survey.cells import edges_around
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Rectangle

CORNERS_TOUCH = np.ones((3, 3), dtype=int)
IN_ONE_FACE = np.pad(CORNERS_TOUCH[None], ((1, 1), (0, 0), (0, 0)))  # of several
FILLED_MM = 1e-4  # less is rounding


@dataclass(frozen=True)
class Patch:
    """One filled area.

    Parameters
    ----------
    place : Rectangle
        The smallest rectangle of whole cells around it [m].
    x_m, z_m : float
        Its middle, weighted by area [m].
    area_m2 : float
        Filled wall in it [m²].
    deepest_mm : float
        Thickest fill [mm].
    volume_l : float
        Litres in place [l].
    """

    place: Rectangle
    x_m: float
    z_m: float
    area_m2: float
    deepest_mm: float
    volume_l: float

    @property
    def mean_mm(self) -> float:
        """Volume over area [mm]."""
        return self.volume_l / self.area_m2 if self.area_m2 else 0.0


def patch_numbers(fill_mm: Floats) -> tuple[NDArray[np.intp], int]:
    """The number of the patch that each cell belongs to, 0 for none, and how many there are.

    Filled cells that share a side or a corner belong together; fill (…, nz, nx) of one face or of several
    [mm].
    """
    filled = np.nan_to_num(fill_mm) > FILLED_MM
    numbers, count = ndimage.label(filled.reshape(-1, *fill_mm.shape[-2:]), IN_ONE_FACE)
    return np.asarray(numbers, dtype=np.intp).reshape(fill_mm.shape), int(count)


def patches_of(surface: Surface, fill_mm: Floats) -> tuple[Patch, ...]:
    """Every patch of a fill, the largest in litres first.

    Parameters
    ----------
    surface : Surface
    fill_mm : (nz, nx) float
        0 or NaN where nothing is filled [mm].

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Surface.from_grid(Wall("A", 3.0, 1.0), [0.5, 1.5, 2.5], [0.5], [[0.0, -6.0, 0.0]])
    >>> [patch] = patches_of(wall, np.array([[0.0, 3.0, 0.0]]))
    >>> patch.place, patch.volume_l
    (Rectangle(x_m=1.0, z_m=0.0, width_m=1.0, height_m=1.0), 3.0)
    """
    numbers, count = patch_numbers(fill_mm)
    if not count:
        return ()
    boxes = ndimage.find_objects(numbers)
    patches = [_patch(surface, fill_mm, numbers, number, boxes[number - 1]) for number in range(1, count + 1)]
    return tuple(sorted(patches, key=lambda patch: -patch.volume_l))


def _patch(
    surface: Surface, fill_mm: Floats, numbers: NDArray[np.intp], number: int, box: tuple[slice, ...]
) -> Patch:
    own = numbers[box] == number
    fill = np.where(own, fill_mm[box], 0.0)
    area = np.where(own, surface.cell_area_m2[box], 0.0)
    total = float(area.sum())
    up, across = box[0], box[1]
    return Patch(
        _rectangle(surface, up, across),
        float(area.sum(axis=0) @ surface.x_m[across]) / total,
        float(area.sum(axis=1) @ surface.z_m[up]) / total,
        total,
        float(fill.max()),
        float((fill * area).sum()),
    )


def _rectangle(surface: Surface, up: slice, across: slice) -> Rectangle:
    x = edges_around(surface.x_m, surface.wall.width_m)
    z = edges_around(surface.z_m, surface.wall.height_m)
    left, low = float(x[across.start]), float(z[up.start])
    sizes = float(x[across.stop]) - left, float(z[up.stop]) - low
    return Rectangle(*(round(value, 9) for value in (left, low, *sizes)))


def thin(patches: Sequence[Patch], least_patch_mm: float) -> tuple[Patch, ...]:
    """The patches that are nowhere as thick as a mix needs [mm]."""
    return tuple(patch for patch in patches if patch.deepest_mm < least_patch_mm)
