"""A reading typed, until the map has it, against a notebook made by hand; until its range is there.

    python tests/benchmarks/bench_readings.py [--readings 40]

One process, turn by turn on the same readings, in processor time. The desk reads the sheet, works out the
wall and gives the page its map; the notebook adds the reading to the job, evaluates that and draws a new
figure. What the page does with either is left out: it is in `bench_live.py`.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from statistics import median
from time import process_time

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "helpers")]

import matplotlib as mpl  # noqa: E402
import numpy as np  # noqa: E402
from reading_desks import SavedDesk, held  # noqa: E402

import mytakeoff as mt  # noqa: E402
from mytakeoff.job.edits import with_reading  # noqa: E402
from mytakeoff.panels.readings.sheets import TypedSheets  # noqa: E402
from mytakeoff.resources import demo_folder  # noqa: E402
from mytakeoff.survey.reading_grid import with_place  # noqa: E402

MANY = 200
COLUMNS, ROWS = 20, 10
WALL = "party wall"


class Stopwatch(SavedDesk):
    """A desk that says when its map had a reading."""

    shown = 0.0

    def _show_ahead(self, job: mt.Job) -> None:
        super()._show_ahead(job)
        self.shown = process_time()


def plain(job: mt.Job, x_m: float, z_m: float, proud_mm: float) -> mt.Job:
    """What a notebook does that was made by hand."""
    import matplotlib.pyplot as plt

    job = with_reading(job, WALL, x_m, z_m, proud_mm)
    result = mt.evaluate(job)
    wall = result.wall(WALL)
    surface, thickness = wall.surface, wall.build_up.thickness_mm
    figure, axes = plt.subplots(figsize=(8, 5))
    size = (0, surface.wall.width_m, 0, surface.wall.height_m)
    picture = axes.imshow(thickness, origin="lower", extent=size, cmap="viridis", vmin=0)
    edges = np.arange(0.0, np.nanmax(thickness), wall.system.backing.max_coat_mm)
    axes.contour(surface.x_m, surface.z_m, thickness, levels=edges, colors="black")
    figure.colorbar(picture, label="thickness, mm")
    figure.savefig(BytesIO(), format="png", bbox_inches="tight")
    plt.close(figure)
    return job


def shown_at_once(folder: Path, readings: int) -> None:
    """Ratios of the notebook to the desk, turn by turn."""
    desk = Stopwatch(held(mt.open_job(folder)))
    desk.show(WALL)
    job, took, plainly = desk.store.job, list[float](), list[float]()
    for n in range(readings):
        x_m, z_m = round(0.33 + 0.08 * (n % COLUMNS), 3), round(0.41 + 0.17 * (n // COLUMNS), 3)
        desk.change_places(lambda typed, at=(x_m, z_m): with_place(typed, desk.wall.wall, *at))
        began = process_time()
        assert desk.type(x_m, z_m, str(40 + n % 7)), desk.keys.refused
        took.append(desk.shown - began)
        began = process_time()
        job = plain(job, x_m, z_m, -40.0 - n % 7)
        plainly.append(process_time() - began)
    ratios = [one / other for one, other in zip(plainly, took, strict=True)][1:]
    by_hand, own = (1e3 * median(times) for times in (plainly, took))
    print(f"| reading → map | {by_hand:.0f} ms | {own:.0f} ms | {median(ratios):.1f} |")


def range_and_next_place(folder: Path) -> None:
    """How long the range and the next place take on a wall with very many readings."""
    desk = Stopwatch(held(mt.open_job(folder)))
    desk.show(WALL)
    wall = desk.wall.wall
    rng = np.random.default_rng(1)
    x_m = np.linspace(0.1, wall.width_m - 0.1, COLUMNS)
    z_m = np.linspace(0.1, wall.height_m - 0.1, ROWS)
    x, z = np.meshgrid(x_m, z_m)
    proud = -40 + 3 * np.sin(x) + 4 * np.cos(2 * z) + rng.normal(0, 1.5, x.shape)
    many = mt.Survey.from_readings(wall, x.ravel().round(3), z.ravel().round(3), proud.ravel().round(1))
    assert many.x_m.size == MANY
    TypedSheets(desk.store)._apply(WALL, many)
    desk.work_out()  # the other walls are known from then on, as they are once a wall was read
    spans = []
    for n in range(5):
        TypedSheets(desk.store)._apply(WALL, replace(many, proud_mm=many.proud_mm + np.eye(1, MANY, n)[0]))
        began = process_time()
        desk.work_out()
        spans.append(process_time() - began)
    print(f"| {MANY} readings → range and next place | | {1e3 * median(spans):.0f} ms | |")


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--readings", type=int, default=40)
    mpl.use("agg")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(shutil.copytree(demo_folder(), Path(scratch) / "flat"))
        print("| | by hand | desk | by hand ÷ desk |\n|---|---|---|---|")
        shown_at_once(folder, asked.parse_args().readings)
        range_and_next_place(folder)


if __name__ == "__main__":
    main()
