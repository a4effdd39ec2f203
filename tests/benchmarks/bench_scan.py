"""Cell medians against pandas, memory, and reading against the reading libraries alone, in one run.

    python tests/benchmarks/bench_scan.py
    python tests/benchmarks/bench_scan.py --largest 100000000    # growth that far; needs some 3 GB of disk

Ratios, not times, are what is kept.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "helpers")]

import mytakeoff as mt  # noqa: E402

WIDTH, HEIGHT, CELL_M = 8.0, 3.0, 0.025
MEMORY = """
import re, sys
from pathlib import Path
sys.path.insert(0, {root!r})
import numpy as np, mytakeoff as mt
few = np.random.default_rng(1).uniform(0, 3, (3, 20_000))
mt.grid_surface(mt.Survey.from_readings(mt.Wall("w", 8, 3), *few, layout="scan"))
most = lambda: int(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1]) * 1024
before = most()
random = np.random.default_rng(1)
x, z = random.uniform(0, 8, {count}), random.uniform(0, 3, {count})
proud = random.uniform(-5, 5, {count})
mt.grid_surface(mt.Survey.from_readings(mt.Wall("w", 8, 3), x, z, proud, layout="scan"))
print((most() - before) / (24 * {count}))
"""
BOUNDED = """
import re, sys
from pathlib import Path
sys.path.insert(0, {root!r})
import mytakeoff as mt
(found,) = mt.find_walls({path!r}, unit="m")
count = found.survey().x_m.size
print(count, int(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1]) / 1024)
"""


def shortest(*works: Callable[[], object], rounds: int = 4) -> list[float]:
    """Shortest time of each of several works, run in turns [s]."""
    best = [float("inf")] * len(works)
    for _ in range(rounds):
        for k, work in enumerate(works):
            start = perf_counter()
            work()
            best[k] = min(best[k], perf_counter() - start)
    return best


def against_pandas(count: int) -> str:
    import pandas as pd

    random = np.random.default_rng(1)
    x, z = random.uniform(0, WIDTH, count), random.uniform(0, HEIGHT, count)
    proud = random.normal(0, 5, count)
    wall = mt.Wall("w", WIDTH, HEIGHT)
    survey = mt.Survey.from_readings(wall, x, z, proud, layout="scan")
    cell = (z / CELL_M).astype(np.int32) * 320 + (x / CELL_M).astype(np.int32)

    def numbered() -> object:
        numbers = (z / CELL_M).astype(np.int32) * 320 + (x / CELL_M).astype(np.int32)
        return pd.Series(proud).groupby(numbers).median()

    ours, ready, all_of_it = shortest(
        lambda: mt.grid_surface(survey, CELL_M), lambda: pd.Series(proud).groupby(cell).median(), numbered
    )
    ratios = f"{ours / ready:.2f} of pandas with its cells ready, {ours / all_of_it:.2f} with them"
    return f"{ours * 1e3:.0f} ms | {ratios}"


def run(script: str) -> str:
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def reading(folder: Path, count: int) -> list[tuple[str, str]]:
    """Ours against the library alone with x, y and z taken, file by file."""
    import laspy
    import pye57
    from clouds import wall_cloud, write_e57, write_las, write_ply
    from plyfile import PlyData

    from mytakeoff.io.scan.open_scan import open_scan

    points = wall_cloud(np.random.default_rng(1), count)
    files = {
        "LAS": write_las(folder / "a.las", points),
        "LAZ": write_las(folder / "a.laz", points),
        "PLY": write_ply(folder / "a.ply", points),
        "E57": write_e57(folder / "a.e57", (points, (1.0, 0, 0, 0), (0.0, 0, 0))),
    }

    def by_plyfile(path: Path) -> object:
        vertex = PlyData.read(str(path))["vertex"]
        return np.column_stack([vertex["x"], vertex["y"], vertex["z"]])

    def by_pye57(path: Path) -> object:
        return pye57.E57(str(path)).read_scan(0, ignore_missing_fields=True)

    alone = {"LAS": lambda path: laspy.read(path).xyz, "LAZ": lambda path: laspy.read(path).xyz,
             "PLY": by_plyfile, "E57": by_pye57}  # fmt: skip
    rows = []
    for kind, path in files.items():
        ours, library = shortest(
            lambda path=path: sum(len(chunk.points) for chunk in open_scan(path).chunks()),
            lambda path=path, kind=kind: alone[kind](path),
        )
        rows.append(
            (f"reading {kind}, {count} points", f"{ours * 1e3:.0f} ms | {ours / library:.2f} of the library")
        )
    return rows


def bounded(folder: Path, count: int) -> str:
    """Walls found and read from a binary PLY of so many points: memory of the whole process."""
    path = folder / "large.ply"
    with path.open("wb") as file:
        head = f"ply\nformat binary_little_endian 1.0\nelement vertex {count}\n"
        file.write((head + "".join(f"property float {axis}\n" for axis in "xyz") + "end_header\n").encode())
        random = np.random.default_rng(1)
        for start in range(0, count, 1_000_000):
            size = min(1_000_000, count - start)
            x, z = random.uniform(-4, 4, size), random.uniform(-1, 2, size)
            np.column_stack([x, 2 + random.normal(0, 0.002, size), z]).astype("<f4").tofile(file)
    begun = perf_counter()
    kept, memory = run(BOUNDED.format(root=str(Path(__file__).parents[2]), path=str(path))).split()
    took = perf_counter() - begun
    path.unlink()
    each = took / count * 1e9
    return f"{took:.1f} s, {each:.0f} ns a point | {float(memory):.0f} MB in all, {kept} points kept"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--largest", type=int, default=10_000_000)
    largest = parser.parse_args().largest
    root = str(Path(__file__).parents[2])
    print("| what | time | |\n|---|---|---|")
    print(f"| 10 million points → surface | {against_pandas(10_000_000)} |", flush=True)
    share = float(run(MEMORY.format(root=root, count=10_000_000)))
    print(f"| peak memory of that, the points included | | {share:.2f} × the points |", flush=True)
    with tempfile.TemporaryDirectory() as name:
        for what, row in reading(Path(name), 2_000_000):
            print(f"| {what} | {row} |", flush=True)
        count = 100_000
        while count <= largest:
            print(f"| file of {count} points → wall → survey | {bounded(Path(name), count)} |", flush=True)
            count *= 10


if __name__ == "__main__":
    main()
