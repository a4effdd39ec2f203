"""The live panel against a notebook made by hand and against an empty round trip, in one run.

    python tests/benchmarks/bench_live.py [--rounds 4] [--starts 3]

Needs Chromium. Ratios, not times, are what is kept: the three pages are open side by side and take turns.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
from pathlib import Path
from statistics import median

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "helpers"), str(HERE.parent / "browser")]

from conftest import FLAGS, NAMES  # noqa: E402
from driving import serving  # noqa: E402
from live_drive import Way, open_way, spread  # noqa: E402
from live_job import bench_job  # noqa: E402
from live_start import empty, empty_start_s, panel_start_s, plain_lab  # noqa: E402
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from mytakeoff import save_job  # noqa: E402
from mytakeoff.launch.folder import new_job_folder  # noqa: E402

STEPS_A_ROUND = 8
FIRST_MM, STEP_MM, FLOOD_FROM_MM, FLOOD_TOP_MM, FLOOD_END_MM = 10.0, 0.5, 22.0, 40.0, 8.0
START_MM = 15.0  # what the job has
ROUNDS_TO_TOP, FLOODS = 4, 3


def main() -> None:
    chosen = argparse.ArgumentParser(description=__doc__)
    chosen.add_argument("--rounds", type=int, default=4, help="of 8 steps each")
    chosen.add_argument("--starts", type=int, default=3, help="cold starts of each kind, 0 for none")
    asked = chosen.parse_args()
    chromium = os.environ.get("MYTAKEOFF_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        if asked.rounds:
            _print_live(_measure(browser, asked.rounds))
        if asked.starts:
            _print_starts(browser, asked.starts)
        browser.close()


def _measure(browser: Browser, rounds: int) -> dict[str, Way]:
    """All ways on one server, each with its own page and kernel, and the floor on a plain JupyterLab too."""
    # the kernels are told not to look in the folder they run in
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, (str(HERE), os.environ.get("PYTHONPATH"))))
    with tempfile.TemporaryDirectory() as scratch:
        folder = new_job_folder(Path(scratch) / "job")
        (folder / "job.toml").unlink()
        save_job(bench_job(), folder)
        for notebook in (HERE / "notebooks").glob("*.ipynb"):
            shutil.copy(notebook, folder)
        with (
            tempfile.TemporaryDirectory() as other,
            serving(folder, empty(scratch)) as server,
            plain_lab(folder, empty(other)) as bare,
        ):
            context = browser.new_context(viewport={"width": 1440, "height": 900})
            ways = {name: open_way(context, server, name) for name in ("plain", "panel", "floor")}
            ways["bare"] = open_way(context, bare, "bare")
            _take_turns(list(ways.values()), rounds)
            context.close()
            for each in (server, bare):
                each.stop_kernels()
    return ways


def _take_turns(ways: list[Way], rounds: int) -> None:
    """Steps, floods and drags in turns, so that a busy machine hits all alike; no coat depth is met twice."""
    for way in ways:
        way.page.bring_to_front()
        way.go(_steps(START_MM, FIRST_MM))
    for number in range(rounds):
        for way in ways:
            way.page.bring_to_front()
            if number % ROUNDS_TO_TOP == 0:
                way.go(-(number > 0) * ROUNDS_TO_TOP * STEPS_A_ROUND)
                way.new_density()
            if way.name == "panel":
                way.jump()
            for _ in range(STEPS_A_ROUND):
                way.step()
    at_mm = FIRST_MM + STEP_MM * STEPS_A_ROUND * ((rounds - 1) % ROUNDS_TO_TOP + 1)
    for _ in range(FLOODS):
        for way in ways:
            way.page.bring_to_front()
            way.go(_steps(at_mm, FLOOD_FROM_MM))
            way.new_density()
            way.flood(_steps(FLOOD_FROM_MM, FLOOD_TOP_MM), _steps(FLOOD_END_MM, FLOOD_TOP_MM))
            way.go(_steps(FLOOD_END_MM, FIRST_MM))
            way.new_density()
            way.drag()
        at_mm = FIRST_MM


def _steps(from_mm: float, to_mm: float) -> int:
    return round((to_mm - from_mm) / STEP_MM)


def _spreads(times: dict[str, list[float]]) -> str:
    return " | ".join(spread(times[name]) for name in ("both", "map", "table", "all"))


def _print_live(ways: dict[str, Way]) -> None:
    """The times as a table, and the ratios against their budgets."""
    print("Times: median / 95th percentile [ms].\n")
    print("| way | table and map | map alone | table alone | all of the page | settle | repaints in 1 s |")
    print("|---|---|---|---|---|---|---|")
    for way in ways.values():
        settles, drags = spread(way.settles), median(way.drags)
        print(f"| {way.name} | {_spreads(way.steps)} | {settles} | {drags:g} |")
        if way.jumps:
            print(f"| {way.name}, a jump | {_spreads(way.jumps)} | | |")
    both, alone = ({w.name: median(w.steps[name]) for w in ways.values()} for name in ("both", "map"))
    settle = {way.name: median(way.settles) for way in ways.values()}
    print("\n| ratio | measured | budget |\n|---|---|---|")
    rows = (
        ("plain ÷ panel, table and map", both["plain"] / both["panel"], "≥ 5"),
        ("plain ÷ panel, map alone", alone["plain"] / alone["panel"], "≥ 10"),
        ("panel ÷ floor", both["panel"] / both["floor"], "≤ 1.2"),
        (
            "panel ÷ floor, a jump that was not foreseen",
            median(ways["panel"].jumps["both"]) / both["floor"],
            "",
        ),
        ("panel ÷ floor of a plain JupyterLab", both["panel"] / both["bare"], ""),
        ("plain settle ÷ panel settle", settle["plain"] / settle["panel"], "≥ 4"),
        ("repaints in a one-second drag", median(ways["panel"].drags), "≥ 30"),
    )
    for name, ratio, budget in rows:
        print(f"| {name} | {ratio:.1f} | {budget} |")


def _print_starts(browser: Browser, runs: int) -> None:
    """Cold starts in turns."""
    ours, empty = [], []
    for _ in range(runs):
        empty.append(empty_start_s(browser))
        ours.append(panel_start_s(browser))
    print("\n| start | seconds, each run | median |\n|---|---|---|")
    ends = {"JupyterLab, kernel idle on an empty notebook": empty, "mytakeoff open, panel alive": ours}
    for name, times in ends.items():
        print(f"| {name} | {', '.join(f'{t:.1f}' for t in times)} | {median(times):.1f} |")
    print(f"\npanel alive ÷ kernel idle: {median(ours) / median(empty):.2f} (budget ≤ 1.3)")


if __name__ == "__main__":
    main()
