"""The slider for what corners may differ by, against the one for the least thickness, in a real browser.

    python tests/benchmarks/bench_tolerance.py [--rounds 6]

Needs Chromium. The demo job, five walls of its front room joined: one page moves what the corners of the room
that comes square may differ by, one its least thickness, one the least thickness of the same walls plumb,
each by itself. The pages are open side by side and take turns; each move is a jump, further than the kernel
looks ahead.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
from contextlib import ExitStack
from pathlib import Path
from statistics import median

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "helpers"), str(HERE.parent / "browser")]

from conftest import FLAGS, NAMES  # noqa: E402
from driving import serving  # noqa: E402
from few_walls import price_alone  # noqa: E402
from live_drive import Way, open_way, spread  # noqa: E402
from live_start import empty  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402

from mytakeoff.launch.folder import new_job_folder  # noqa: E402

WALL, WALL_QUIET_MS = "window wall", 2000  # on the map: a tolerance turns it, and the party wall never
JUMPS = 2  # to 2.5 and 5 mm a metre: beyond them the demo's corners are free and nothing moves
KINDS = {"tolerance": "room", "least": "room", "plumb": "plumb"}


def main() -> None:
    chosen = argparse.ArgumentParser(description=__doc__)
    chosen.add_argument("--rounds", type=int, default=6, help="of two jumps each")
    rounds = chosen.parse_args().rounds
    chromium = os.environ.get("MYTAKEOFF_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)))
    with sync_playwright() as playwright, ExitStack() as stack:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        servers = {}
        for kind in dict.fromkeys(KINDS.values()):
            scratch = stack.enter_context(tempfile.TemporaryDirectory())
            folder = new_job_folder(Path(scratch) / "job", demo=True)
            price_alone(folder, kind=kind)
            servers[kind] = stack.enter_context(serving(folder, empty(scratch)))
        ways = [open_way(context, servers[kind], name) for name, kind in KINDS.items()]
        for way in ways:
            way.page.locator(".mt-wall select").select_option(WALL)
            way.rest(WALL_QUIET_MS)
        for _ in range(rounds):
            for way in ways:
                way.page.bring_to_front()
                way.jump(JUMPS)
        context.close()
        for server in servers.values():
            server.stop_kernels()
        browser.close()
    _print({way.name: way for way in ways})


def _print(ways: dict[str, Way]) -> None:
    """The times as a table, and the ratios."""
    print("Times: median / 95th percentile [ms].\n")
    print("| slider | table and map | map alone | table alone | all of the page |\n|---|---|---|---|---|")
    for name, way in ways.items():
        print(
            f"| {name} | {' | '.join(spread(way.jumps[each]) for each in ('both', 'map', 'table', 'all'))} |"
        )
    both = {name: median(way.jumps["both"]) for name, way in ways.items()}
    print(f"\ntolerance ÷ least thickness, square: {both['tolerance'] / both['least']:.2f}")
    print(f"tolerance ÷ least thickness, plumb: {both['tolerance'] / both['plumb']:.2f}")


if __name__ == "__main__":
    main()
