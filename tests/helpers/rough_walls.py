"""Invented rough walls, small enough to be drawn between their readings in a moment."""

from __future__ import annotations

import numpy as np

import mytakeoff as mt


def rough_wall(name: str, width_m: float, seed: int, step_m: float = 0.6) -> mt.JobWall:
    """A wall 2 m high that leans, bows and is rough, read in whole millimetres."""
    wall, rng = mt.Wall(name, width_m, 2.0), np.random.default_rng(seed)
    x, z = (a.ravel() for a in np.meshgrid(np.arange(0.1, width_m, step_m), np.arange(0.1, 2.0, step_m)))
    proud = np.round(4 * z + 5 * np.sin(2 * x + seed) + rng.normal(0, 2, x.size))
    survey = mt.Survey.from_readings(wall, x.round(2), z.round(2), proud)  # as a tape says it
    return mt.JobWall(wall, "room", survey, "sound old plaster")
