"""The options panel over one small wall of the demo job: the geometry of all is tested in the core."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from demo import demo_in

import mytakeoff as mt
from mytakeoff.options.compare import OptionResult
from mytakeoff.panels import OptionsPanel

DAY = date(2027, 3, 1)
WALL = "breast left cheek"


def small_job(folder: Path, name: str = WALL) -> mt.Job:
    """The demo job, in a copy of its folder, with one wall to work out."""
    return replace(demo_in(folder), only=(name,))


def done(panel: OptionsPanel) -> list[OptionResult]:
    """The options that could be worked out."""
    found = [option for option in panel.options if isinstance(option, OptionResult)]
    assert found
    return found


def row(panel: OptionsPanel, name: str) -> dict[str, Any]:
    """The row of an option."""
    return next(row for row in panel.table.rows if row["name"] == name)
