"""High spots that nobody read, on the wall that is shown: how many are likely and how high."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.edits import with_nibs
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import BoundNumber, Number
from mytakeoff.panels.parts.stock import make
from mytakeoff.store import Store
from mytakeoff.treatment.left_open import likely_of

SWEPT = "this wall was swept with a straightedge: none stands above what the edge shows"
UNSWEPT = "a wall that is swept with a straightedge has none above what the edge shows"


class UnreadSpots:
    """Two numbers of one wall; of none, where none is shown.

    Attributes
    ----------
    numbers : tuple of BoundNumber
        How many on a square metre, how high.
    widget : widget
    """

    def __init__(self, store: Store) -> None:
        self._wall = ""
        self.numbers = (
            BoundNumber(
                store, self._number("nibs_per_m2", "High spots nobody read, on a m²", 5.0, 0.05, self._usual)
            ),
            BoundNumber(store, self._number("nib_mm", "Their usual height, mm", 15.0, 0.5)),
        )
        self.widget = make(widgets.VBox, [number.widget for number in self.numbers])

    def _number(self, name: str, label: str, most: float, step: float, hint: Any = None) -> Number:
        return Number(
            name, label, 0.0, most, step, lambda job: self._said(job, name),
            lambda job, value: self._with(job, name, value), hint=hint,
        )  # fmt: skip

    def _with(self, job: Job, name: str, value: float) -> Job:
        """The job with another number; one that stands there already is not taken for the user's own."""
        if value == self._said(job, name):
            return job
        return with_nibs(job, self._wall, **{name: value})

    def _said(self, job: Job, name: str) -> float:
        return float(getattr(likely_of(job, job.wall(self._wall)), name)) if self._wall else 0.0

    def _usual(self, job: Job) -> str:
        if not self._wall:
            return ""
        entry, formats = job.wall(self._wall), job.formats
        usual = likely_on(entry.background)
        many, high = formats.short(usual.nibs_per_m2 or 0.0), formats.depth(usual.nib_mm or 0.0)
        return (
            f"on {self._wall}; {many}, {high} high, on {entry.background} (common practice, no source); "
            + (SWEPT if entry.survey.swept else UNSWEPT)
        )

    def refresh(self, job: Job, wall: str) -> None:
        """Show what is taken for likely on a wall."""
        self._wall = wall
        for number in self.numbers:
            number.refresh(job)
