"""The demo job, opened and evaluated once: a job is frozen, and the chain remembers its walls."""

from __future__ import annotations

import shutil
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import mytakeoff as mt
from mytakeoff.resources import demo_folder


@cache
def demo() -> mt.Job:
    """The demo job as its folder says it."""
    return mt.open_job(demo_folder())


@cache
def written_demo() -> dict[str, Any]:
    """The file of the demo job as it is written."""
    return tomllib.loads((demo_folder() / "job.toml").read_text(encoding="utf-8"))


def written_shares() -> list[float]:
    """Overhead, profit, contingency and tax as that file has them."""
    margins = written_demo()["margins"]
    return [margins[f"{name}_share"] for name in ("overhead", "profit", "contingency", "tax")]


@cache
def coarse_demo() -> mt.Job:
    """The demo job on cells of 10 cm, for what does not ask how fine they are."""
    return replace(demo(), cell_m=0.1)


@cache
def demo_result() -> mt.Result:
    """The demo job evaluated."""
    return mt.evaluate(demo())


def copy_of_demo(tmp_path: Path) -> Path:
    """A copy of the demo job's folder, to be written to."""
    return Path(shutil.copytree(demo_folder(), tmp_path / "flat"))


def coarse_copy_of_demo(tmp_path: Path) -> Path:
    """The same on coarse cells, so that it is worked out at once."""
    folder = copy_of_demo(tmp_path)
    text = (folder / "job.toml").read_text("utf-8")
    (folder / "job.toml").write_text(text.replace("waste_share", "cell_m = 0.1\nwaste_share", 1), "utf-8")
    return folder


def demo_in(folder: Path) -> mt.Job:
    """The demo job as it opens from a copy of its folder, for tests that save it there."""
    return replace(demo(), folder=str(folder))
