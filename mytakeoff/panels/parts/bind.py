"""A slider and a box that show one number of the job, and write it back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

from mytakeoff.job.job import Job
from mytakeoff.store import Store

NOISE_PLACES = 9


@dataclass(frozen=True)
class Number:
    """A number of the job that a slider moves.

    Parameters
    ----------
    name : str
        Key in the panel's controls and name of its CSS class.
    label : str
        With the unit as the box shows it.
    low, high, step : float
        The sensible range, in the job's unit.
    read : function of Job
        Gives the value.
    write : function of (Job, value)
        Gives the changed job.
    shown_per_unit : float
        What the box multiplies by: 100 for a share shown in per cent.
    hint : function of Job, optional
        A line of help under the slider that follows the value.
    """

    name: str
    label: str
    low: float
    high: float
    step: float
    read: Callable[[Job], float]
    write: Callable[[Job, float], Job]
    shown_per_unit: float = 1.0
    hint: Callable[[Job], str] | None = None


class BoundNumber:
    """The widgets of one quantity: `slider`, `box`, `widget`.

    A value that the store refuses stays in its box, with the store's message beside the controls. A value
    outside the slider's range widens the range; it is never snapped back.
    """

    def __init__(self, store: Store, quantity: Number) -> None:
        self.store, self.quantity = store, quantity
        value = quantity.read(store.job)
        self._busy = False
        self.slider = widgets.FloatSlider(
            value=value,
            min=min(quantity.low, value),
            max=max(quantity.high, value),
            step=quantity.step,
            readout=False,
            layout=widgets.Layout(width="auto"),
        )
        # the box's description is the label of both: the panel's style lays it over slider and box
        self.box = widgets.FloatText(
            value=self._shown(value),
            step=quantity.step * quantity.shown_per_unit,
            description=quantity.label,
            style={"description_width": "initial"},
        )
        self.slider.add_class(f"mt-{quantity.name}")
        self.box.add_class(f"mt-{quantity.name}-box")
        self.box.add_class("mt-box")
        self.hint = widgets.Label("")
        self.hint.add_class("mt-hint")
        row = widgets.HBox([self.slider, self.box])
        row.add_class("mt-row")
        self.widget = widgets.VBox([row, *([self.hint] if quantity.hint else [])])
        self.widget.add_class("mt-control")
        self.slider.observe(self._moved, "value")
        self.box.observe(self._typed, "value")
        self.refresh(store.job)

    def _shown(self, value: float) -> float:
        return round(value * self.quantity.shown_per_unit, 6)

    def _moved(self, change: Any) -> None:
        if not self._busy:
            # a track's own arithmetic gives 15.000000000000002 for 15, which is no change of the job
            self._write(round(float(change["new"]), NOISE_PLACES))

    def _typed(self, change: Any) -> None:
        if not self._busy:
            self._write(float(change["new"]) / self.quantity.shown_per_unit)

    def _write(self, value: float) -> None:
        quantity = self.quantity
        taken = self.store.apply(lambda job: quantity.write(job, value), quantity.name)
        self._mark(not taken)
        if taken:
            self.refresh(self.store.job)

    def _mark(self, refused: bool) -> None:
        (self.box.add_class if refused else self.box.remove_class)("mt-refused")

    def go_back(self, saved: Job) -> None:
        """Return to the saved job's value."""
        self._write(self.quantity.read(saved))

    def refresh(self, job: Job) -> None:
        """Show the job's value."""
        value = self.quantity.read(job)
        self._busy = True
        try:
            self.slider.min, self.slider.max = (
                min(self.slider.min, value),
                max(self.slider.max, value),
            )
            if round(self.slider.value - value, NOISE_PLACES):
                self.slider.value = value
            if self.box.value != self._shown(value):
                self.box.value = self._shown(value)
            if self.quantity.hint and self.hint.value != self.quantity.hint(job):
                self.hint.value = self.quantity.hint(job)
            self._mark(False)
        finally:
            self._busy = False


def labelled_list(name: str, label: str, options: list[Any], value: Any) -> widgets.Dropdown:
    """A drop-down list with its label above it."""
    made = widgets.Dropdown(
        options=options, value=value, description=label, style={"description_width": "initial"}
    )
    for css in (f"mt-{name}", "mt-pick", "mt-control"):
        made.add_class(css)
    return made


class BoundChoice:
    """A drop-down list over one choice of the job: `control`."""

    def __init__(
        self,
        store: Store,
        name: str,
        label: str,
        options: list[tuple[str, Any]],
        read: Callable[[Job], Any],
        write: Callable[[Job, Any], Job],
    ) -> None:
        self.store, self.name, self._read, self._write = store, name, read, write
        self._busy = False
        self.control = labelled_list(name, label, options, read(store.job))
        self.control.observe(self._chosen, "value")

    def _chosen(self, change: Any) -> None:
        if self._busy:
            return
        if not self.store.apply(lambda job: self._write(job, change["new"]), self.name):
            self.refresh(self.store.job)

    def refresh(self, job: Job) -> None:
        """Show the job's choice."""
        self._busy = True
        try:
            if self.control.value != self._read(job):
                self.control.value = self._read(job)
        finally:
            self._busy = False


class BoundTick:
    """A box to tick over one choice of the job: `control`."""

    def __init__(
        self,
        store: Store,
        name: str,
        label: str,
        read: Callable[[Job], bool],
        write: Callable[[Job, bool], Job],
    ) -> None:
        self.store, self.name, self._read, self._write = store, name, read, write
        self._busy = False
        self.control = tick(name, label, read(store.job))
        self.control.observe(self._ticked, "value")

    def _ticked(self, change: Any) -> None:
        if self._busy:
            return
        if not self.store.apply(lambda job: self._write(job, bool(change["new"])), self.name):
            self.refresh(self.store.job)

    def refresh(self, job: Job) -> None:
        """Show the job's choice."""
        self._busy = True
        try:
            if self.control.value != self._read(job):
                self.control.value = self._read(job)
        finally:
            self._busy = False


def tick(name: str, label: str, value: bool = False) -> widgets.Checkbox:
    """A box to tick with its label beside it."""
    made = widgets.Checkbox(value=value, description=label, indent=False)
    for css in (f"mt-{name}", "mt-tick", "mt-control"):
        made.add_class(css)
    return made
