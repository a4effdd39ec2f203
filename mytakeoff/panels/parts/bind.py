"""Controls that show one value of the job, and write it back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import get_ident
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import TakeoffError
from mytakeoff.io.files.typed import unit_of
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.boxes import NOISE_PLACES, NumberBox, Slider, numbers_in
from mytakeoff.panels.parts.stock import make, shared
from mytakeoff.result import Result
from mytakeoff.store import Store

PER_CENT = 100.0
Options = list[tuple[str, Any]]


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
    decided : function of Result, optional
        What stands there instead, and why, where something else than this number decides; else None. Then the
        slider cannot be moved.
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
    decided: Callable[[Result], tuple[float, str] | None] | None = None

    @property
    def unit(self) -> str:
        """What a plain number in the box is in."""
        return "%" if self.shown_per_unit == PER_CENT else unit_of(self.name)

    def can_be(self, job: Job, shown: float) -> bool:
        """Whether the job takes a number of the box."""
        try:
            self.write(job, shown / self.shown_per_unit)
        except TakeoffError:
            return False
        return True


class Quiet:
    """What it sets in its own boxes is not taken for the user's doing.

    The page's messages may come on a thread of their own: what a hand types meanwhile there is its doing.
    """

    @property
    def _busy(self) -> bool:
        """Whether observers look away, on this thread."""
        return get_ident() in self.__dict__.get("_quiet", ())

    @contextmanager
    def quietly(self) -> Iterator[None]:
        """While it lasts, observers look away: `_busy` is true, also when it is nested."""
        quiet = self.__dict__.setdefault("_quiet", [])
        quiet.append(get_ident())
        try:
            yield
        finally:
            quiet.remove(get_ident())


class Bound(Quiet):
    """Widgets over one value of the job: `control` is what a hand moves, `widget` what stands on the page."""

    control: Any
    widget: Any

    def __init__(
        self, store: Store, name: str, read: Callable[[Job], Any], write: Callable[[Job, Any], Job]
    ) -> None:
        self.store, self.name, self._read, self._write = store, name, read, write

    def take(self, value: Any) -> bool:
        """Write a value to the job; whether it was taken."""
        return self.store.apply(lambda job: self._write(job, value), self.name)

    def go_back(self, saved: Job) -> None:
        """Return to the saved job's value."""
        self.take(self._read(saved))

    def refresh(self, job: Job) -> None:
        """Show the job's value."""
        with self.quietly():
            self._show(self._read(job))

    def _show(self, value: Any) -> None:
        if self.control.value != value:
            self.control.value = value


class BoundNumber(Bound):
    """The widgets of one number: `slider`, `box`, `widget`.

    A value that the store refuses stays in its box, with the store's message beside the controls. A value
    outside the slider's range widens the range; it is never snapped back.
    """

    def __init__(self, store: Store, spec: Number) -> None:
        super().__init__(store, spec.name, spec.read, spec.write)
        self.spec = spec
        value = spec.read(store.job)
        self.slider = self.control = make(
            Slider,
            value=value,
            min=min(spec.low, value),
            max=max(spec.high, value),
            step=spec.step,
            layout=shared(widgets.Layout, width="auto"),
            css=f"mt-{spec.name}",
        )
        # the box's description is the label of both: the panel's style lays it over slider and box
        self.box = make(
            NumberBox,
            unit=spec.unit,
            formats=store.job.formats,
            holds=lambda shown: spec.can_be(store.job, shown),
            value=self._shown(value),
            description=spec.label,
            css=f"mt-{spec.name}-box mt-box",
        )
        row = make(widgets.HBox, [self.slider, self.box], css="mt-row")
        self.hint: Any = make(widgets.Label, css="mt-hint") if spec.hint or spec.decided else None
        self.widget = make(widgets.VBox, [row, self.hint] if self.hint else [row], css="mt-control")
        self.slider.observe(self._moved, "value")
        self.box.observe(self._typed, "value")
        self.refresh(store.job)

    def _shown(self, value: float) -> float:
        return round(value * self.spec.shown_per_unit, 6)

    def _moved(self, change: Any) -> None:
        if not self._busy:
            # a track's own arithmetic gives 15.000000000000002 for 15, which is no change of the job
            self.take(round(float(change["new"]), NOISE_PLACES))

    def _typed(self, change: Any) -> None:
        typed = change["new"]
        if not self._busy:
            self._done(self.store.apply(lambda job: self._as_typed(job, typed), self.name))

    def _as_typed(self, job: Job, typed: float | str) -> Job:
        shown = numbers_in(self.box)[0] if isinstance(typed, str) else typed
        return self._write(job, shown / self.spec.shown_per_unit)

    def take(self, value: float) -> bool:
        """Write a value to the job; whether it was taken."""
        return self._done(super().take(value))

    def _done(self, taken: bool) -> bool:
        self.box.mark(not taken)
        if taken:
            self.refresh(self.store.job)
        return taken

    def refresh(self, job: Job) -> None:
        """Show the job's value, and the hint that follows the job."""
        decided = self.spec.decided(self.store.result) if self.spec.decided else None
        value, hint = decided or (self._read(job), self.spec.hint(job) if self.spec.hint else "")
        with self.quietly():
            self._show(value)
        if self.hint and self.hint.value != hint:
            self.hint.value = hint
        for part in (self.slider, self.box):
            if part.disabled != (decided is not None):
                part.disabled = decided is not None
        self.box.write_as(job.formats)
        self.box.mark(False)

    def _show(self, value: float) -> None:
        self.slider.min, self.slider.max = min(self.slider.min, value), max(self.slider.max, value)
        if round(self.slider.value - value, NOISE_PLACES):
            self.slider.value = value
        if self.box.value != self._shown(value):
            self.box.value = self._shown(value)


class BoundControl(Bound):
    """One control over one choice of the job: what is refused goes back to what it was."""

    def __init__(
        self,
        store: Store,
        name: str,
        control: widgets.Widget,
        read: Callable[[Job], Any],
        write: Callable[[Job, Any], Job],
    ) -> None:
        super().__init__(store, name, read, write)
        self.control = self.widget = control
        self.control.observe(self._chosen, "value")

    def _chosen(self, change: Any) -> None:
        if not self._busy and not self.take(change["new"]):
            self.refresh(self.store.job)


class BoundChoice(BoundControl):
    """A drop-down list over one choice of the job: `control`.

    Options that are the job's own, as walls and mixes are, come from a function of it.
    """

    def __init__(
        self,
        store: Store,
        name: str,
        label: str,
        options: Options | Callable[[Job], Options],
        read: Callable[[Job], Any],
        write: Callable[[Job, Any], Job],
    ) -> None:
        self._options = options if callable(options) else lambda _: options
        control = labelled_list(name, label, self._options(store.job), read(store.job))
        super().__init__(store, name, control, read, write)

    def refresh(self, job: Job) -> None:
        """Show the job's options, and which of them it has chosen."""
        with self.quietly():
            offer(self.control, self._options(job), self._read(job))


class BoundTick(BoundControl):
    """A box to tick over one choice of the job: `control`."""

    def __init__(
        self,
        store: Store,
        name: str,
        label: str,
        read: Callable[[Job], bool],
        write: Callable[[Job, bool], Job],
    ) -> None:
        super().__init__(store, name, tick(name, label, read(store.job)), read, write)


def labelled(kind: Any, name: str, label: str, **traits: Any) -> Any:
    """A control with its label above it."""
    return make(kind, description=label, css=f"mt-{name} mt-pick mt-control", **traits)


def labelled_list(name: str, label: str, options: list[Any], value: Any = None) -> widgets.Dropdown:
    """A drop-down list with its label above it; without a value the first is chosen, if there is one."""
    first = options[0] if options else None
    begun = first[1] if isinstance(first, tuple) else first
    return labelled(widgets.Dropdown, name, label, options=options, value=begun if value is None else value)


def offer(control: widgets.Dropdown, options: list[Any], wanted: Any = None) -> None:
    """Offer these options, and choose what is wanted, else what was chosen, else the first there is."""
    values = [option[1] if isinstance(option, tuple) else option for option in options]
    chosen = next((value for value in (wanted, control.value, *values) if value in values), None)
    if list(control.options) != options:
        control.options = options
    if control.value != chosen:
        control.value = chosen


def number_box(name: str, label: str, **traits: Any) -> NumberBox:
    """A box for a number with its label above it."""
    return labelled(NumberBox, name, label, **traits)


def text_box(name: str, label: str, **traits: Any) -> widgets.Text:
    """A box for words with its label above it."""
    return labelled(widgets.Text, name, label, **traits)


def tick(name: str, label: str, value: bool = False) -> widgets.Checkbox:
    """A box to tick with its label beside it."""
    css = f"mt-{name} mt-tick mt-control"
    return make(widgets.Checkbox, value=value, description=label, indent=False, css=css)
