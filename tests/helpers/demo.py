"""The demo job, opened and evaluated once: a job is frozen, and the chain remembers its walls."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import mytakeoff as mt
from mytakeoff.resources import demo_folder


@cache
def demo() -> mt.Job:
    """The demo job as its folder says it."""
    return mt.open_job(demo_folder())


@cache
def demo_result() -> mt.Result:
    """The demo job evaluated."""
    return mt.evaluate(demo())


def demo_in(folder: Path) -> mt.Job:
    """The demo job as it opens from a copy of its folder, for tests that save it there."""
    return replace(demo(), folder=str(folder))
