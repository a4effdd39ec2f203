"""A flat of 6 rooms and 24 walls: until its budget stands there, and a price until the table has it.

    python tests/benchmarks/bench_flat.py

Each run is a process of its own, in the processor's time. The unit is what the same process takes to import
the package's panels before, so that a busy machine hits both alike. Nothing was worked out before. What the
page does with either is in `bench_live.py`.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path[:0] = [str(Path(__file__).parents[2])]

import mytakeoff as mt  # noqa: E402
from mytakeoff.resources import demo_folder  # noqa: E402

CHECKOUT = Path(__file__).parents[2]
RUNS, FLATS, ROOMS = 7, 4, 6
OPENED = """
import asyncio, json, sys
from time import process_time

began = process_time()
import mytakeoff as mt
from mytakeoff.panels import budget
imported = process_time()

async def opened():  # as in a kernel, whose loop works out afterwards what the readings leave open
    panel = budget(mt.open_job(sys.argv[1]))
    return panel, process_time()

panel, made = asyncio.run(opened())
prices = []
for nth in range(12):
    before = process_time()
    assert panel.table.set_price("plasterer", f"{40 + nth}.00")
    assert panel.table.widget.rows
    prices.append(process_time() - before)
print(json.dumps([imported - began, made - imported, sorted(prices)[6]]))
"""


def flat(folder: Path) -> Path:
    """Four of the demo's flats in six rooms, no wall as another."""
    demo = mt.open_job(demo_folder())
    rooms = tuple(replace(demo.rooms[0], name=f"room {nth + 1}") for nth in range(ROOMS))
    walls = []
    for nth, entry in enumerate(demo.walls * FLATS):
        survey = replace(entry.survey, proud_mm=entry.survey.proud_mm * (1 + 0.001 * nth))
        wall = replace(entry.wall, name=f"wall {nth + 1}")
        survey = replace(survey, wall=wall)
        walls.append(replace(entry, wall=wall, survey=survey, room=rooms[nth // FLATS].name))
    compare = replace(demo.compare, beside=())
    mt.save_job(replace(demo, rooms=rooms, walls=tuple(walls), compare=compare), folder)
    return folder


def main() -> None:
    """Print the table of the README."""
    path = os.pathsep.join(filter(None, (str(CHECKOUT), os.environ.get("PYTHONPATH"))))
    environment = {**os.environ, "PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": ""}
    with tempfile.TemporaryDirectory() as scratch:
        command = [sys.executable, "-c", OPENED, str(flat(Path(scratch) / "flat"))]
        runs = [
            json.loads(subprocess.run(command, env=environment, check=True, capture_output=True).stdout)
            for _ in range(RUNS + 1)
        ][1:]
    print("| | takes | ÷ import |\n|---|---|---|")
    for name, nth in (
        ("import of the panels", 0),
        ("opened, the budget made", 1),
        ("a price, to the table", 2),
    ):
        share = median(run[nth] / run[0] for run in runs)
        print(f"| {name} | {median(run[nth] for run in runs):.2f} s | {share:.2f} |")


if __name__ == "__main__":
    main()
