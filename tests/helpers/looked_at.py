"""A job of one wall that was plastered: its finished face is known at every place, and was read again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
from example_job import copy_of_example
from finished_walls import dish, flat

import mytakeoff as mt
from mytakeoff.job.job_wall import FixedPlace
from mytakeoff.panels import FinishedPanel, finished

DAY, NAME = date(2027, 3, 12), "long wall"
MOVED_MM = 100.0  # the second instrument stands so much further back
FILE = "surveys/finished.csv"
FIXED = (
    FixedPlace("door frame", 0.2, 0.3, -5.0),
    FixedPlace("screw head", 3.2, 2.2, -8.0),
    FixedPlace("socket box", 1.7, 0.4, -12.0),
)
AT, RADIUS_M, DEPTH_MM = (1.0, 1.2), 0.5, 9.0


def hollow(x: np.ndarray, z: np.ndarray) -> np.ndarray:
    """A dish that an edge of 2 m shows, where nothing else is."""
    return dish(x, z, AT, RADIUS_M, DEPTH_MM)


def looked_at(place: Path, *, fixed: bool = True, finished: bool = True) -> Path:
    """A job folder at a place that is not there yet; with fixed places, and with the finished face read."""
    folder = copy_of_example(place)
    job = mt.open_job(folder)
    wall = replace(job.walls[0], fixed_places=FIXED if fixed else ())
    mt.save_job(replace(job, walls=(wall,)), folder, job)
    if finished:
        write_face(folder, FILE, hollow)
    return folder


def write_face(
    folder: Path,
    name: str,
    off: Callable[..., np.ndarray] = flat,
    step_m: float = 0.2,
    moved_mm: float = MOVED_MM,
    wall: str = "long wall",
) -> None:
    """Write a survey of the finished face, which lies so much off its plane, read off another instrument."""
    result = mt.evaluate(mt.open_job(folder))
    priced = next(each for each in result.walls if each.entry.name == wall)
    plane, size_m = priced.plane, (priced.entry.wall.width_m, priced.entry.wall.height_m)
    x, z = (np.linspace(0.05, size - 0.05, round((size - 0.1) / step_m) + 1) for size in size_m)
    grid = np.meshgrid(x, z)
    proud = plane.a_mm + plane.b_mm_per_m * grid[0] + plane.c_mm_per_m * grid[1] + off(*grid) + moved_mm
    rows = [f"{at:.3f}," + ",".join(f"{mm:.1f}" for mm in row) for at, row in zip(z, proud, strict=True)]
    head = "proud_mm," + ",".join(f"{at:.3f}" for at in x)
    (folder / name).write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")


def read_again(moved_mm: float = MOVED_MM) -> dict[str, float]:
    """What the fixed places read off the second instrument, towards the room [mm]."""
    return {each.name: each.proud_mm + moved_mm for each in FIXED}


def opened(folder: Path) -> FinishedPanel:
    """The panel of its finished wall."""
    return finished(mt.open_job(folder), DAY)


def chosen(folder: Path) -> FinishedPanel:
    """The same once its finished face is chosen."""
    panel = opened(folder)
    panel.controls["after"].value = FILE
    assert panel.problem.value == ""
    return panel
