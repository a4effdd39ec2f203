"""Survey files for the fuzzer: grids, lists, plumb lines and scans of a bowed wall, right or with a slip."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
from clouds import write_e57, write_las, write_pcd, write_ply, write_xyz
from fuzz_sheets import Rows

Points = np.ndarray


def _proud_mm(random: Random) -> Callable[[float, float], int]:
    """A wall's shape in whole millimetres: it leans, turns, bows and is rough."""
    lean, turn, bow = (random.gauss(0, 4) for _ in range(3))
    return lambda x, z: round(-40 + lean * z + turn * x + bow * math.sin(2 * x) + random.gauss(0, 1.5))


def _places(length_m: float, step_m: float) -> list[float]:
    count = max(2, round(length_m / step_m))
    return [round(0.1 + nth * (length_m - 0.2) / (count - 1), 2) for nth in range(count)]


def grid(random: Random, width_m: float, height_m: float) -> Rows:
    """A field grid, a few of its places not read."""
    shape, step = _proud_mm(random), random.choice((0.5, 0.6, 0.9))
    across, up = _places(width_m, step), _places(height_m, step)[::-1]
    off = random.random() < 0.7
    rows = [["off_line_mm" if off else "proud_mm", *map(str, across)]]
    for z in up:
        read = [str(-shape(x, z) if off else shape(x, z)) if random.random() > 0.03 else "" for x in across]
        rows.append([str(z), *read])
    return rows


def list_of_readings(random: Random, width_m: float, height_m: float) -> Rows:
    """A list, its lengths in one of the units that a heading may name."""
    shape = _proud_mm(random)
    unit, each_m = random.choice((("m", 1.0), ("cm", 0.01), ("mm", 0.001), ("ft", 0.3048), ("in", 0.0254)))
    rows = [[f"x_{unit}", f"z_{unit}", "proud_mm"]]
    for x in _places(width_m, 0.6):
        rows += [[f"{x / each_m:.4g}", f"{z / each_m:.4g}", str(shape(x, z))] for z in _places(height_m, 0.6)]
    return rows


def plumb_lines(random: Random, width_m: float, height_m: float) -> Rows:
    """Plumb lines with one or two level rows."""
    shape, across = _proud_mm(random), _places(width_m, 0.7)
    hung = [random.randint(-15, 15) for _ in across]
    rows = [["off_plumb_lines_mm", *map(str, across)]]
    for z in _places(height_m, 0.6)[::-1]:
        rows.append([str(z), *(str(off - shape(x, z)) for x, off in zip(across, hung, strict=True))])
    for z in random.sample((0.6, 1.2, 1.8), random.choice((1, 1, 2))):
        rows.append([f"level {z}", *(str(-shape(x, z)) for x in across)])
    return rows


SHEETS = (grid, grid, list_of_readings, plumb_lines)


def cloud(random: Random, width_m: float, height_m: float) -> Points:
    """Points on a wall that leans, 2 m in front of the scanner."""
    draw = np.random.default_rng(random.getrandbits(32))
    count = random.choice((3000, 3000, 6000))
    x, z = draw.uniform(0, width_m, count), draw.uniform(0, height_m, count)
    away = 2.0 - random.gauss(0, 0.004) * z - 0.004 * np.sin(2 * x) + draw.normal(0, 0.001, count)
    return np.column_stack([x - width_m / 2, away, z])


def slip(random: Random, points: Points) -> tuple[Points, str]:
    """A cloud as it comes out of a wrong export."""
    points = points.copy()
    way = random.choice(
        ("none", "unit", "far", "axes", "few", "one place", "holes", "stray", "line", "flat", "huge")
    )
    if way == "unit":
        points *= random.choice((1000.0, 100.0, 3.28084, 39.37, 0.001, 1e-9))
    elif way == "far":
        points += [random.choice((500_000.0, 5e6, 1e9)), 5e6, 300.0]
    elif way == "axes":
        points = points[:, random.choice(([0, 2, 1], [2, 1, 0], [1, 0, 2]))] * random.choice((1.0, -1.0))
    elif way == "few":
        points = points[: random.choice((0, 1, 2, 3, 4, 50))]
    elif way == "one place":
        points[:] = points[0]
    elif way == "holes":
        points[:: random.choice((2, 7, 100))] = random.choice((np.nan, np.inf, 0.0))
    elif way == "stray":
        points[: random.choice((1, 3))] *= random.choice((1e3, 1e6, 1e14, -1e9))
    elif way == "line":
        points[:, random.choice((0, 2))] = points[0, 0]
    elif way == "flat":
        points[:, 1] = 2.0
    elif way == "huge":
        points *= 1e200
    return points, way


def _near(points: Points) -> Points:
    """Those that the format's own library can write."""
    return points[(np.abs(points) < 1e5).all(axis=1)]


def _e57(path: Path, points: Points) -> Path:
    near = _near(points)
    return write_e57(path, (near if len(near) else np.zeros((1, 3)), np.array([1.0, 0, 0, 0]), np.zeros(3)))


SCANS: dict[str, Callable[[Path, Points], Path]] = {
    "xyz": write_xyz,
    "ply": lambda path, points: write_ply(path, points, extra=True),
    "las": lambda path, points: write_las(path, _near(points)),
    "laz": lambda path, points: write_las(path, _near(points)),
    "e57": _e57,
    "pcd": write_pcd,
}
