"""A job sheet with all that is folded on it made, and hands for it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import mytakeoff as mt
from mytakeoff.panels import JobSheetPanel, job_sheet
from mytakeoff.panels.job_sheet_panel.entries import Entries


def whole_sheet(folder: Path) -> JobSheetPanel:
    """The sheet of the job in a folder, every fold of it opened."""
    return unfolded(job_sheet(mt.open_job(folder)))


def unfolded(sheet: JobSheetPanel) -> JobSheetPanel:
    """The same sheet with every fold opened, those in folds too."""
    opened = 0
    while opened < len(sheet.folds):
        opened = len(sheet.folds)
        for fold in list(sheet.folds.values()):
            fold.enter()
    return sheet


def row_of(entries: Entries, name: str, value: Any) -> int:
    """The number of the row that has a value in a box."""
    return next(nth for nth, row in enumerate(entries.rows) if row["cells"][name] == value)


def told(entries: Entries, name: str, nth: int = 0) -> str:
    """What is said beside a box."""
    return str(entries.rows[nth]["said"].get(name, ""))


def enter(entries: Entries, name: str, value: Any, nth: int = 0) -> None:
    """Type into a box of a row, and finish it: text, or yes and no."""
    key = entries.entries[nth].key
    entries.take({"do": "edit", "key": key, "name": name, "value": value})


def press(entries: Entries, doing: str, nth: int = 0) -> None:
    """Press a button of a row."""
    entries.take({"do": doing, "key": entries.entries[nth].key})
