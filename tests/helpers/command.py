"""The command as a user starts it: in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from places import CHECKOUT
from random_jobs import random_job

import mytakeoff as mt

COMMAND = [sys.executable, "-W", "error", "-m", "mytakeoff.launch.command"]


def environment() -> dict[str, str]:
    """With this checkout's package, whatever is installed."""
    path = os.pathsep.join(filter(None, (str(CHECKOUT), os.environ.get("PYTHONPATH"))))
    return {**os.environ, "PYTHONPATH": path, "PYTHONIOENCODING": "utf-8"}


INSTALLED = (
    "import sys\nfrom mytakeoff.launch.command import main\nif __name__ == '__main__': sys.exit(main())\n"
)


def run(
    *arguments: object, cwd: Path, script: Path | None = None, **options: Any
) -> subprocess.CompletedProcess[str]:
    """Run it to its end, its outputs in pipes; from a `script`, as installed, which looks at no `cwd`."""
    if script is not None:
        script.write_text(INSTALLED)
    command = COMMAND if script is None else [sys.executable, str(script)]
    return subprocess.run(
        [*command, *map(str, arguments)],
        cwd=cwd,
        env=environment(),
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
        **options,
    )


def start(*arguments: object, cwd: Path) -> subprocess.Popen[str]:
    """Start it."""
    return subprocess.Popen(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )


def write_jobs(folder: Path, count: int) -> list[str]:
    """So many invented jobs below a folder, each in its own, their names."""
    names = [f"job-{seed:03}" for seed in range(count)]
    for seed, name in enumerate(names):
        mt.save_job(random_job(seed), folder / name)
    return names
