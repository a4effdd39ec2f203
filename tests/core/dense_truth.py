"""Surfaces measured densely, hand surveys drawn from them, and what each takes in truth.

Three surfaces of different kind, at a wall's size: stone setts as measured; a mountain side (the elevation
grid that comes with matplotlib) brought to a relief of 15 mm; a rock fracture brought to one of 10 mm. Walls
are cut out of them at random, either way round. They overlap, so that a row of trials is worth fewer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from matplotlib import cbook
from scipy.interpolate import griddata

import mytakeoff as mt
from mytakeoff.between import Between, coarse_cell_m, draw_between
from mytakeoff.drawnplanes import Drawn, chance_over, drawn_litres
from mytakeoff.interpolate import Readings
from mytakeoff.surface import Surface

DATA = Path(__file__).parents[2].parent / "shared" / "data"
LEAST_MM = 8.0
RULE = mt.PlaneRule(least_mm=LEAST_MM)
SETTS, MOUNTAIN, FRACTURE = "stone setts", "mountain side", "rock fracture"
VALLEY = "mountain side, half as large"
FILES = {SETTS: DATA / "setts_A_dense.csv", FRACTURE: DATA / "rock_fracture_mm.xyz"}


def is_here(name: str) -> bool:
    """Whether a surface's file is here; the mountain side comes with matplotlib."""
    return name not in FILES or FILES[name].is_file()


@cache
def dense(name: str) -> tuple[np.ndarray, float]:
    """Heights from the floor up [mm], NaN where nothing was measured, and the size of their cells [m]."""
    return {SETTS: _setts, MOUNTAIN: _mountain, VALLEY: _valley, FRACTURE: _fracture}[name]()


def _setts() -> tuple[np.ndarray, float]:
    table = np.genfromtxt(FILES[SETTS], delimiter=",", skip_header=1)
    return -table[::-1, 1:], 0.01


def _mountain() -> tuple[np.ndarray, float]:
    height = cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(float)
    return height * 15.0 / relief(height), 0.02


def _valley() -> tuple[np.ndarray, float]:
    """The mountain side at half the size, so that readings stand closer on what it is made of."""
    return _mountain()[0], 0.01


def _fracture() -> tuple[np.ndarray, float]:
    x, y, height = np.loadtxt(FILES[FRACTURE]).T
    across, up = (np.arange(side.min() + 0.5, side.max() - 0.5, 0.2) for side in (x, y))
    field = griddata((x, y), height, (across[None, :], up[:, None]))
    return field * 10.0 / relief(field), 0.04


def relief(field: np.ndarray) -> float:
    """Standard deviation about the least-squares plane."""
    z, x = np.nonzero(np.isfinite(field))
    terms = np.column_stack([np.ones(x.size), x, z])
    return float((field[z, x] - terms @ np.linalg.lstsq(terms, field[z, x], rcond=None)[0]).std())


def a_wall(name: str, rng: np.random.Generator) -> tuple[np.ndarray, float]:
    """A piece 2 to 4 m long and 2 to 2.6 m high, or what a smaller surface allows, four fifths known."""
    field, cell_m = dense(name)
    if rng.uniform() < 0.5:
        field = field.T
    height, width = (size * cell_m for size in field.shape)
    while True:
        size = rng.uniform(min(2.0, 0.7 * height), min(2.6, height)), rng.uniform(2.0, min(4.0, width))
        nz, nx = (int(length / cell_m) for length in size)
        row, column = rng.integers(field.shape[0] - nz + 1), rng.integers(field.shape[1] - nx + 1)
        piece = field[row : row + nz, column : column + nx][:, :: rng.choice([-1, 1])]
        if np.isfinite(piece).mean() > 0.8:
            return piece, cell_m


@dataclass(frozen=True)
class Trial:
    """One hand survey of one wall: what it takes in truth, what is said about it beforehand."""

    true: mt.BuildUp
    plain: mt.BuildUp
    plane: mt.TargetPlane
    between: Between
    drawn: Drawn

    @property
    def true_mm(self) -> float:
        """Mean thickness over what is known."""
        return self.true.mean_mm

    @property
    def band_mm(self) -> tuple[float, float, float]:
        """10, 50 and 90 % as mean thicknesses."""
        area = self.between.surface.net_area_m2
        low, middle, high = (self.drawn.at(share) / area for share in (0.1, 0.5, 0.9))
        return low, middle, high

    def chance(self, lift_mm: float, thickness_mm: float) -> tuple[float, bool]:
        """Chance that plaster to the plane lifted by so much is too thin somewhere, and whether it was."""
        plane = replace(self.plane, a_mm=self.plane.a_mm + lift_mm)
        surface = self.true.surface
        room = plane.at(surface.x_m[None, :], surface.z_m[:, None]) - surface.proud_mm
        return chance_over(self.between, plane, thickness_mm), bool(np.nanmin(room) < thickness_mm)


def trial(name: str, step_m: float, rng: np.random.Generator, draws: int = 300) -> Trial:
    """A wall, and readings in whole millimetres every so many metres of it, begun anywhere."""
    piece, cell_m = a_wall(name, rng)
    nz, nx = piece.shape
    wall = mt.Wall("cut out", nx * cell_m, nz * cell_m)
    truth = _surface(wall, piece)
    begin = rng.uniform(0.02, 0.6 * step_m, 2)
    columns, rows = (
        (np.arange(start, size * cell_m, step_m) / cell_m).astype(int)
        for start, size in zip(begin, (nx, nz), strict=True)
    )
    x, z = np.meshgrid(truth.x_m[columns], truth.z_m[rows])
    survey = mt.Survey.from_readings(wall, x, z, np.round(piece[np.ix_(rows, columns)]))
    surface = _known_as(truth, mt.grid_surface(survey, coarse_cell_m(wall.width_m, wall.height_m), 9.0))
    readings = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    between = draw_between(surface, np.zeros_like(surface.proud_mm), readings, draws=draws)
    plane = mt.target_plane(surface, RULE)
    return Trial(
        mt.full_coat(truth, mt.target_plane(truth, RULE), RULE),
        mt.full_coat(surface, plane, RULE),
        plane,
        between,
        drawn_litres(between, RULE),
    )


def _surface(wall: mt.Wall, proud: np.ndarray) -> Surface:
    nz, nx = proud.shape
    x, z = (np.arange(nx) + 0.5) * wall.width_m / nx, (np.arange(nz) + 0.5) * wall.height_m / nz
    return Surface.from_grid(wall, x, z, proud)


def _known_as(truth: Surface, surface: Surface) -> Surface:
    """A coarse surface, unknown where the truth is."""
    row, column = (
        np.abs(fine[None, :] - coarse[:, None]).argmin(axis=1)
        for fine, coarse in ((truth.z_m, surface.z_m), (truth.x_m, surface.x_m))
    )
    unknown = np.isnan(truth.proud_mm[np.ix_(row, column)])
    return replace(surface, proud_mm=np.where(unknown, np.nan, surface.proud_mm))
