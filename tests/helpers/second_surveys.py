"""A wall plastered as nobody knows but this file, and read twice from instruments that stood elsewhere.

Walls are those of `everyday_walls`; the finished face is a plane with waves of its own that stands before all
of the wall. What was put on is added up on the dense cells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from everyday_walls import FAMILIES
from scipy.interpolate import RegularGridInterpolator

import mytakeoff as mt

WIDTH_M, HEIGHT_M = 4.0, 2.6
DOOR = mt.Opening("door", 2.6, 0.0, 0.9, 2.0)
MARKS = np.array([[2.6, 0.1], [0.3, 0.0], [3.9, 2.4], [0.2, 2.5], [3.5, 1.8], [2.6, 2.0]])
NOISE_MM = 0.6  # of a reading, its rounding to whole millimetres with it
ROUNDED_MM2 = 1.0 / 12.0  # variance of a rounding: JCGM 100:2008, 4.3.7


@dataclass(frozen=True, eq=False)
class Plastered:
    """A wall read before and after.

    Parameters
    ----------
    before, after : Survey
    fixed : list of (x [m], z [m], before [mm], after [mm])
    litres : float
        Put on in truth [l].
    """

    before: mt.Survey
    after: mt.Survey
    fixed: list[tuple[float, ...]]
    litres: float


@dataclass(frozen=True, eq=False)
class Drawn:
    """A field on cells and where its wall is (rows, columns) [mm, m]."""

    field: np.ndarray
    cell_m: float

    @property
    def places(self) -> tuple[np.ndarray, np.ndarray]:
        """Middles of the cells, across and up [m]."""
        up, along = ((np.arange(count) + 0.5) * self.cell_m for count in self.field.shape)
        return np.asarray(along), np.asarray(up)

    def at(self, x_m: np.ndarray, z_m: np.ndarray) -> np.ndarray:
        """Heights at places [mm]."""
        along, up = self.places
        carried = RegularGridInterpolator((up, along), self.field, bounds_error=False, fill_value=None)
        return np.asarray(carried(np.stack([z_m, x_m], axis=-1)))


def in_door(x_m: np.ndarray, z_m: np.ndarray) -> np.ndarray:
    """What lies in the door."""
    return (x_m > DOOR.x_m) & (x_m < DOOR.x_m + DOOR.width_m) & (z_m < DOOR.height_m)


def read(rng: np.random.Generator, exact_mm: np.ndarray) -> np.ndarray:
    """Readings in whole millimetres, off by `NOISE_MM` in all [mm]."""
    off = rng.normal(0.0, np.sqrt(NOISE_MM**2 - ROUNDED_MM2), exact_mm.shape)
    return np.round(exact_mm + off)


def plastered(
    family: str, step_m: float, marks: int, rng: np.random.Generator, plumb: bool = False
) -> Plastered:
    """A wall of a family, plastered, and read twice.

    Parameters
    ----------
    family : str
        Of `everyday_walls`.
    step_m : float
        Between readings, about [m].
    marks : int
        Fixed places, six at most [-].
    rng : numpy Generator
    plumb : bool
        Both instruments were plumb, but for what such ones are out of it.
    """
    field, cell_m = FAMILIES[family](rng)
    wall = mt.Wall("read twice", WIDTH_M, HEIGHT_M, openings=(DOOR,))
    old = Drawn(field[: round(HEIGHT_M / cell_m), : round(WIDTH_M / cell_m)], cell_m)
    x, z = np.meshgrid(*old.places)
    new = Drawn(np.maximum(finished(x, z, float(old.field.max()), rng), old.field), cell_m)
    litres = float((new.field - old.field)[~in_door(x, z)].sum() * cell_m**2)
    offset, turn, lean = rng.uniform(-200.0, 200.0), *rng.uniform(-6.0, 6.0, 2)
    lean = rng.uniform(-0.3, 0.3) + rng.uniform(-0.3, 0.3) if plumb else lean

    def stands(x_m: np.ndarray, z_m: np.ndarray) -> np.ndarray:
        return np.asarray(offset + turn * x_m + lean * z_m)

    across, up = (
        np.linspace(0.1, size - 0.1, round((size - 0.2) / step_m) + 1) for size in (WIDTH_M, HEIGHT_M)
    )
    at = tuple(each.ravel() for each in np.meshgrid(across, up))
    at = tuple(each[~in_door(*at)] for each in at)
    before, after = read(rng, old.at(*at)), read(rng, new.at(*at) + stands(*at))
    fixed_x, fixed_z = MARKS[:marks].T
    depth = rng.normal(10.0, 10.0, marks)
    twice = np.column_stack([fixed_x, fixed_z, read(rng, depth), read(rng, depth + stands(fixed_x, fixed_z))])
    first, second = (mt.Survey.from_readings(wall, *at, mm, plumb=plumb) for mm in (before, after))
    return Plastered(first, second, [tuple(row) for row in twice.tolist()], litres)


def finished(x_m: np.ndarray, z_m: np.ndarray, top_mm: float, rng: np.random.Generator) -> np.ndarray:
    """A plane with waves of a floated face, before the highest of the wall [mm]."""
    turn, lean = rng.normal(0.0, 1.0, 2)
    waves = np.prod(
        [np.sin(2 * np.pi * at / rng.uniform(1.0, 3.0) + rng.uniform(0, 6)) for at in (x_m, z_m)], 0
    )
    return np.asarray(top_mm + rng.uniform(3, 8) + turn * (x_m - 2.0) + lean * (z_m - 1.3) + 0.8 * waves)
