"""Hands and a stopwatch for the pages that the live benchmark compares."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "helpers"))

from driving import JobServer, wait_for_kernel_idle, wait_until_run  # noqa: E402
from playwright.sync_api import BrowserContext, Page  # noqa: E402

WAIT_MS = 60_000
STEP_QUIET_MS, FLOOD_QUIET_MS = 150, 1000
COAT, DENSITY = "coat", "density"
JUMPS, STEPS_A_JUMP = 3, 5  # a jump is a page key: further than the kernel looks ahead

# By notebook: what the page's own script watches, and the sliders that are moved.
SLIDERS = {
    "plain": {"watch": "watchPlain", COAT: "bench-slider", DENSITY: "bench-density"},
    "panel": {"watch": "watchPanel", COAT: "mt-max_coat_mm", DENSITY: "mt-mix_density_kg_per_l"},
    "floor": {"watch": "watchFloor", COAT: "bench-slider", DENSITY: "bench-slider"},
}
SLIDERS["bare"] = SLIDERS["floor"]  # the same notebook on another server
for _name, _css in (("tolerance", "mt-corner_tolerance_mm_per_m"), ("least", "mt-least_mm")):
    SLIDERS[_name] = {**SLIDERS["panel"], COAT: _css}  # other sliders of the panel
SLIDERS["plumb"] = SLIDERS["least"]
OWN = "budget.ipynb"
NOTEBOOKS = {**dict.fromkeys(("panel", "tolerance", "least", "plumb"), OWN), "bare": "floor.ipynb"}
_RUN = "() => window.jupyterapp.commands.execute('notebook:run-all-cells')"
_READY = """(css) => document.querySelector(`.${css} .noUi-handle`) && (
  !document.querySelector('.mt-panel') || document.querySelector('.wallmap[data-paints]')) && (
  !document.querySelector('.bench-out') || document.querySelector('.bench-out img'))"""


@dataclass
class Way:
    """One of the notebooks on a page of its own, and what was measured on it.

    `steps` maps what was watched ("table", "map", "both", "all") to times from the key to the frame [ms],
    `jumps` the same for moves that nobody can foresee; `settles` are times after the last of a hundred keys
    [ms], `drags` are repaints in one second [-].
    """

    name: str
    page: Page
    steps: dict[str, list[float]] = field(default_factory=dict)
    jumps: dict[str, list[float]] = field(default_factory=dict)
    settles: list[float] = field(default_factory=list)
    drags: list[int] = field(default_factory=list)

    def press(self, slider: str, key: str, times: int = 1) -> None:
        """Press a key on a slider's handle."""
        self.page.locator(f".{SLIDERS[self.name][slider]} .noUi-handle").first.focus()
        for _ in range(times):
            self.page.keyboard.press(key)

    def rest(self, quiet_ms: int = STEP_QUIET_MS) -> dict[str, float]:
        """Wait until nothing changes any more; times of the last changes after the last event [ms]."""
        found: dict[str, float] = self.page.evaluate("(ms) => bench.quiet(ms)", quiet_ms)
        return found

    def step(self) -> None:
        """One step up of the greatest coat depth, timed to table and map."""
        self._timed("ArrowRight", self.steps)

    def jump(self, jumps: int = JUMPS) -> None:
        """Some jumps up of the slider, timed, and the way back, at a density not met before."""
        for _ in range(jumps):
            self._timed("PageUp", self.jumps)
        self.go(-jumps * STEPS_A_JUMP)
        self.new_density()

    def _timed(self, key: str, into: dict[str, list[float]]) -> None:
        self.press(COAT, key)
        wanted = [["table", "map"], STEP_QUIET_MS]
        times = self.page.evaluate("([names, ms]) => bench.step(names, ms)", wanted)
        times["both"] = max(times["table"], times["map"])
        for name in ("table", "map", "both", "all"):
            into.setdefault(name, []).append(times[name])

    def go(self, steps: int) -> None:
        """Move the greatest coat depth by so many steps, unmeasured."""
        if steps:
            self.press(COAT, "ArrowRight" if steps > 0 else "ArrowLeft", abs(steps))
            self.rest(500)

    def new_density(self) -> None:
        """Change the density, so that nothing helps that is remembered or was foreseen at other densities."""
        if SLIDERS[self.name][DENSITY] != SLIDERS[self.name][COAT]:
            self.press(DENSITY, "ArrowRight", STEPS_A_JUMP)
        self.rest(500)

    def flood(self, up: int, down: int) -> None:
        """Keys as fast as they go; the time that the last change takes to be seen."""
        self.press(COAT, "ArrowRight", up)
        self.press(COAT, "ArrowLeft", down)
        last = self.rest(FLOOD_QUIET_MS)
        self.settles.append(max(last["table"], last["map"]))

    def drag(self) -> None:
        """Drag the handle to and fro for a second; repaints of the map meanwhile."""
        self.drags.append(self.page.evaluate("(css) => bench.drag(css)", SLIDERS[self.name][COAT]))
        self.rest(500)


def open_way(context: BrowserContext, server: JobServer, name: str) -> Way:
    """Open a notebook, run it, and set the stopwatch on it. The panel is in the package's own workbook."""
    page = context.new_page()
    notebook = NOTEBOOKS.get(name, f"{name}.ipynb")
    page.goto(server.workbook_address(notebook))
    if notebook == OWN:
        wait_until_run(page)
    else:
        wait_for_kernel_idle(page)
        page.evaluate(_RUN)
    page.wait_for_function(_READY, arg=SLIDERS[name][COAT], timeout=WAIT_MS)
    wait_for_kernel_idle(page)
    page.wait_for_timeout(1000)
    page.evaluate((HERE / "live_page.js").read_text("utf-8"))
    page.evaluate(f"() => bench.{SLIDERS[name]['watch']}()")
    return Way(name, page)


def spread(times: list[float]) -> str:
    """Median and 95th percentile of times [ms], as text."""
    ordered = sorted(times)
    return f"{median(ordered):.0f} / {ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]:.0f}"
