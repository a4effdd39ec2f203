"""Walls whose thickness is known at every place."""

from __future__ import annotations

import numpy as np

from mytakeoff.survey.wall import Opening, Wall

NORTH = Wall(
    "north",
    4.2,
    2.6,
    openings=(Opening("door", 0.4, 0.0, 0.9, 2.05), Opening("window", 2.2, 0.9, 1.2, 1.2)),
)


def centres(length_m: float, count: int) -> np.ndarray:
    return (np.arange(count) + 0.5) * length_m / count


def leaning(
    wall: Wall = NORTH, columns: int = 84, rows: int = 52
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Thickness 5 mm and 10 mm more for every metre along; the upper right corner was not surveyed."""
    x_m, z_m = centres(wall.width_m, columns), centres(wall.height_m, rows)
    thickness = 10 * x_m[None, :] + 5 * np.ones(rows)[:, None]
    corner = (z_m[:, None] > wall.height_m - 0.4) & (x_m[None, :] > wall.width_m - 0.4)
    bare = np.zeros(corner.shape, dtype=bool)
    for part in wall.not_plastered:
        across = (x_m > part.x_m) & (x_m < part.x_m + part.width_m)
        up = (z_m > part.z_m) & (z_m < part.z_m + part.height_m)
        bare |= up[:, None] & across[None, :]
    return x_m, z_m, np.where(corner | bare, np.nan, thickness)
