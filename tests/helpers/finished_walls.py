"""Finished walls that are known at every place, and how they are read."""

from __future__ import annotations

import numpy as np

import mytakeoff as mt
from mytakeoff.flatness.edge_lines import EdgeRule

WALL = mt.Wall("north", 4.0, 2.5)
HELD = mt.Promised(WALL, (EdgeRule(2.0, 3.0),), lean_limit_mm=8.0)


def places(step_m: float, wall: mt.Wall = WALL, rim_m: float = 0.1) -> tuple[np.ndarray, np.ndarray]:
    """A grid of places whose outer ones lie beside the wall's ends."""
    x, z = (
        np.linspace(rim_m, size - rim_m, int(np.ceil((size - 2 * rim_m) / step_m)) + 1)
        for size in (wall.width_m, wall.height_m)
    )
    return np.meshgrid(x, z)


def dish(x, z, at: tuple[float, float], radius_m: float, depth_mm: float) -> np.ndarray:
    """A paraboloid, so deep in its middle; negative depth: a dome."""
    away = np.hypot(x - at[0], z - at[1]) / radius_m
    return -depth_mm * np.clip(1.0 - away**2, 0.0, None)


def read(face, step_m: float, sd_mm: float = 0.0, seed: int = 0, **details) -> mt.Survey:
    """Readings of a face (a function of x and z) on a grid, each off by so much at random."""
    x, z = places(step_m)
    noise = sd_mm * np.random.default_rng(seed).standard_normal(x.shape)
    return mt.Survey.from_readings(WALL, x, z, face(x, z) + noise, **details)


def flat(x, z) -> np.ndarray:
    return 0.0 * x
