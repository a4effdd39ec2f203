"""One invented wall of 300 by 500 cells, which the panel and the notebook made by hand both show."""

from __future__ import annotations

import numpy as np

import mytakeoff as mt
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
from mytakeoff.resources import demo_folder

CELL_M = 0.01
WALL = mt.Wall("bench", 5.0, 3.0, (mt.Opening("window", 1.8, 0.9, 1.2, 1.3, reveal_mm=180),))


def bench_job() -> mt.Job:
    """A job of that wall alone, priced by the demo's invented prices."""
    x, z = (places.ravel() for places in np.meshgrid(np.linspace(0.1, 4.9, 13), np.linspace(0.1, 2.9, 8)))
    u, v = x / WALL.width_m, z / WALL.height_m
    # leans 14 mm, bows 22 mm, is wavy by 2 mm
    proud = 14 * v - 22 * (1 - (2 * u - 1) ** 2) * v + 2 * np.sin(5 * x) * np.cos(3 * z)
    survey = mt.Survey.from_readings(WALL, x, z, proud)
    return mt.Job(
        title="Benchmark, invented",
        rooms=(mt.Room("room", 16.0),),
        walls=(mt.JobWall(WALL, "room", survey, "brick"),),
        system=mt.System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0),
        prices=mt.open_job(demo_folder()).prices,
        cell_m=CELL_M,
    )
