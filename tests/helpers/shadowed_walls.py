"""Scanned walls whose face is known all over, and what a scanner sees of them behind a cupboard.

Fields are white noise filtered by its Fourier transform, a way of its own beside the package's sums of waves.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.ndimage import map_coordinates

import mytakeoff as mt
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.simulation.wall_range import Measured, drawn_of_steps
from mytakeoff.steps import run

CELL_M = 0.02
PER_M2 = 2500
NOISE_MM = 0.3
FAR_M = 9.0  # all of a wall is priced
RULE = mt.PlaneRule(least_mm=8.0)


def rough_field(
    rng: np.random.Generator, width_m: float, height_m: float, length_m: float, power: float, relief_mm: float
) -> np.ndarray:
    """A random field on cells of 2 cm, amplitudes ``(1 + (k l)²)^-power``, not one period of it [mm]."""
    nx, nz = (2 * round(size / CELL_M) for size in (width_m, height_m))
    across, up = np.fft.rfftfreq(nx, CELL_M), np.fft.fftfreq(nz, CELL_M)
    number = 2 * np.pi * np.hypot(up[:, None], across[None, :])
    waves = np.fft.rfft2(rng.standard_normal((nz, nx))) * (1 + (number * length_m) ** 2) ** -power
    field = np.fft.irfft2(waves, s=(nz, nx))[: nz // 2, : nx // 2]
    return field * relief_mm / field.std()


def scanned_wall(seed: int) -> mt.Survey:
    """A wall of any size, lean and roughness, all of it seen."""
    rng = np.random.default_rng(seed)
    width, height = round(rng.uniform(2.0, 4.0), 2), round(rng.uniform(2.0, 2.6), 2)
    length, power, relief = rng.uniform(0.2, 1.0), rng.choice([1.0, 1.25, 1.5]), rng.uniform(1.5, 5.0)
    field = rough_field(rng, width, height, length, power, relief)
    count = int(width * height * PER_M2)
    x, z = rng.uniform(0, width, count), rng.uniform(0, height, count)
    at = [z / CELL_M - 0.5, x / CELL_M - 0.5]
    lean, turn = rng.normal(0, 3), rng.normal(0, 2)
    proud = map_coordinates(field, at, order=1, mode="nearest") + lean * z + turn * x
    proud += rng.normal(0, NOISE_MM, count)
    return mt.Survey.from_readings(mt.Wall("A", width, height), x, z, proud, layout="scan")


def behind_cupboard(whole: mt.Survey, width_m: float, height_m: float = 1.8) -> mt.Survey:
    """The same scan from which a cupboard at the middle of the wall, on the floor, hid some."""
    left = (whole.wall.width_m - width_m) / 2
    return only(whole, ~((np.abs(whole.x_m - left - width_m / 2) < width_m / 2) & (whole.z_m < height_m)))


def only(survey: mt.Survey, seen: np.ndarray) -> mt.Survey:
    """Some of a survey's readings."""
    return replace(survey, x_m=survey.x_m[seen], z_m=survey.z_m[seen], proud_mm=survey.proud_mm[seen])


def taken_mm(survey: mt.Survey) -> float:
    """What a wall takes as it is priced, all of it, as a mean thickness."""
    surface = mt.grid_surface(survey, reach_m=FAR_M)
    return mt.full_coat(surface, mt.target_plane(surface, RULE), RULE).mean_mm


def band_mm(survey: mt.Survey, reach_m: float = FAR_M) -> tuple[float, float, float]:
    """10, 50 and 90 % of what it may take, as mean thicknesses."""
    drawn = drawn_of(survey, reach_m)
    area = mt.grid_surface(survey, reach_m=reach_m).net_area_m2
    low, middle, high = (drawn.at(share) / area for share in (0.1, 0.5, 0.9))
    return low, middle, high


def drawn_of(survey: mt.Survey, reach_m: float = FAR_M) -> Drawn:
    """What each of its drawn faces takes [l]."""
    return run(drawn_of_steps(Measured(survey, reach_m=reach_m), RULE))
