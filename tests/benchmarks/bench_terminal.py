"""`mytakeoff price`: until its first line stands there, against importing the numeric libraries.

    python tests/benchmarks/bench_terminal.py

Fresh processes in turns, in the processor's time, Python's own start in it: other work on the machine moves
that least. The demo job, as it is shipped.
"""

from __future__ import annotations

import sys
from pathlib import Path
from statistics import median

from bench_import import _LISTING, OURS, public_scipy, run

RUNS = 15
BUDGET = 1.5
DEMO = Path(__file__).parents[2] / "data-demo"
TAKEN = "import time; print(time.process_time())"
FIRST_LINE = f"""
import sys, time

class First:
    encoding, taken = "utf-8", 0.0
    def write(self, text):
        self.taken = self.taken or time.process_time()
    def flush(self):
        pass
    def isatty(self):
        return False

out, sys.stdout = sys.stdout, First()
from mytakeoff.launch.command import main
main(["price", {str(DEMO)!r}])
print(sys.stdout.taken, file=out)
"""


def main() -> None:
    """Print the times and their ratios."""
    libraries = ", ".join([*run(_LISTING).split(), *public_scipy()])
    works = {
        "the libraries are imported": f"import {libraries}; {TAKEN}",
        "what prices a job is": f"{OURS}; {TAKEN}",
        "`mytakeoff price` has its first line": FIRST_LINE,
    }
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(RUNS + 1):
        for name, code in works.items():
            times[name].append(float(run(code)))
    unit = median(times["the libraries are imported"][1:])
    print("| until | median ms | ÷ the libraries |\n|---|---|---|")
    for name, each in times.items():
        print(f"| {name} | {1e3 * median(each[1:]):.0f} | {median(each[1:]) / unit:.2f} |")
    print(f"\nbudget of the first line: ≤ {BUDGET}", file=sys.stderr)


if __name__ == "__main__":
    main()
