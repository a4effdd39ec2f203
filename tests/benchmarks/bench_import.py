"""What opens and prices a job, imported, against the numeric libraries that it needs, in fresh processes.

    python tests/benchmarks/bench_import.py

A ratio is kept: both are timed in turns, so that a busy machine hits both alike.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from time import perf_counter

CHECKOUT = Path(__file__).parents[2]
RUNS = 15
BUDGET = 1.2
OURS = "import mytakeoff; mytakeoff.evaluate, mytakeoff.open_job"  # imported as they are asked for
# what of others' is there after that, as imported by hand
LIBRARIES = ("numpy", "scipy", "tomlkit", "pandas", "matplotlib")
_LISTING = f"import sys; {OURS}; print(*sorted(set(sys.modules) & set({LIBRARIES!r})))"
_SCIPY_PARTS = f"import sys; {OURS}; print(*(m for m in sys.modules if m.startswith('scipy.')))"


def run(code: str) -> str:
    """Run a line of Python in a process of its own and return what it printed."""
    path = os.pathsep.join(filter(None, (str(CHECKOUT), os.environ.get("PYTHONPATH"))))
    # compiled files are kept, as an installed package has them
    ours = {"PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": ""}
    command = [sys.executable, "-c", code]
    return subprocess.run(
        command, env={**os.environ, **ours}, check=True, capture_output=True, text=True
    ).stdout


def seconds(code: str) -> float:
    """Time of a process that runs a line of Python, its start included [s]."""
    start = perf_counter()
    run(code)
    return perf_counter() - start


def public_scipy() -> list[str]:
    """Parts of scipy that it brings in by name."""
    named = run(_SCIPY_PARTS).split()
    return [part for part in named if part.count(".") == 1 and not part.split(".")[1].startswith("_")]


def main() -> None:
    """Print both times and their ratio."""
    libraries = [*run(_LISTING).split(), *public_scipy()]
    theirs = "import " + ", ".join(libraries)
    works = {"nothing": "pass", theirs: theirs, OURS: OURS}
    for code in works.values():
        seconds(code)  # so that compiled files are there
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(RUNS):
        for name, code in works.items():
            times[name].append(seconds(code))
    bare = median(times["nothing"])
    print("| process | median ms | without Python's own start |\n|---|---|---|")
    for name, each in times.items():
        print(f"| {name} | {1e3 * median(each):.0f} | {1e3 * (median(each) - bare):.0f} |")
    ratio = median(times[OURS]) / median(times[theirs])
    print(f"\nours ÷ libraries, whole process: {ratio:.2f} (budget ≤ {BUDGET})")
    print(f"without Python's own start: {(median(times[OURS]) - bare) / (median(times[theirs]) - bare):.2f}")


if __name__ == "__main__":
    main()
