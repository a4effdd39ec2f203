"""Panels under a hand that goes on for hours: nothing grows that has had time to fill."""

from __future__ import annotations

import gc
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

import ipywidgets as widgets
import psutil
import pytest
from demo import copy_of_demo, demo_in
from effort import scaled
from ipywidgets.widgets.widget import _instances

import mytakeoff as mt
from mytakeoff.panels import budget, buying_and_days, options, setting_out

pytestmark = pytest.mark.long

WALLS = ("breast left cheek", "breast right cheek")
DAY = date(2027, 3, 1)
GROWTH_MB = 24  # what the allocator keeps by chance; a picture of a wall kept at each step would be hundreds
GROWTH_SHARE = 0.02  # of the objects alive
MOVES = {  # before a landing; ten times as many in the long profile
    "budget": (lambda job: budget(job), 400),
    "options": (lambda job: options(job, DAY), 60),
    "setting out": (lambda job: setting_out(job, DAY), 200),
    "days": (lambda job: buying_and_days(job), 100),
}


def sliders_of(panel: Any) -> list[Any]:
    kinds = (widgets.FloatSlider, widgets.IntSlider)
    return [control for control in panel.controls.values() if isinstance(control, kinds)]


def move(sliders: list[Any], random: Random, moves: int) -> None:
    """One slider after another, a few steps about where it stood."""
    homes = [slider.value for slider in sliders]
    for _ in range(moves):
        at = random.randrange(len(sliders))
        slider = sliders[at]
        wanted = homes[at] + random.randint(-3, 3) * slider.step
        slider.value = min(max(wanted, slider.min), slider.max)


def alive() -> tuple[int, int, float]:
    """Widgets, objects, and megabytes in use."""
    gc.collect()
    return len(_instances), len(gc.get_objects()), psutil.Process().memory_info().rss / 2**20


@pytest.mark.parametrize("name", MOVES)
def test_thousands_of_moves_leave_nothing_behind(tmp_path: Path, name: str) -> None:
    make: Callable[[mt.Job], Any]
    make, moves = MOVES[name]
    folder = copy_of_demo(tmp_path)
    panel = make(replace(demo_in(folder), only=WALLS))
    sliders, random = sliders_of(panel), Random(1)
    assert len(sliders) > 2
    move(sliders, random, scaled(moves))  # caches fill up
    before = alive()
    move(sliders, random, scaled(moves))
    after = alive()
    assert after[0] == before[0]
    assert after[1] < before[1] * (1 + GROWTH_SHARE)
    assert after[2] < before[2] + GROWTH_MB
