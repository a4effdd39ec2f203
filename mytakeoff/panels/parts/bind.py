"""Controls that show one value of the job, and write it back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets
import traitlets

from mytakeoff.bounds import bounds_of
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats import HOUSE, Formats
from mytakeoff.io.files.typed import Holds, number_typed, unit_of
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.stock import make, shared
from mytakeoff.result import Result
from mytakeoff.store import Store
from mytakeoff.survey.wall import Wall
from mytakeoff.units import METRES, to_metres

NOISE_PLACES = 9
PER_CENT = 100.0


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
    """What it sets in its own boxes is not taken for the user's doing."""

    _busy = False

    @contextmanager
    def quietly(self) -> Iterator[None]:
        """While it lasts, observers look away: `_busy` is true, also when it is nested."""
        before, self._busy = self._busy, True
        try:
            yield
        finally:
            self._busy = before


def _on_a_wall(unit: str) -> Holds | None:
    """Whether the longest wall has room for a length; nothing can be said of what is none."""
    widest = bounds_of(Wall)["width_m"]
    return (lambda size: widest.holds(to_metres(abs(size), unit))) if unit in METRES else None


class _Typed(traitlets.TraitType[Any, Any]):
    """A number, or the text that stands in its box and is none."""

    default_value = ""

    def validate(self, obj: Any, value: Any) -> float | str:
        """What a value or a text is to the box."""
        return obj.understood(value)  # type: ignore[no-any-return]


class NumberBox(widgets.Text):
    """A box for a number or a length, typed as a hand writes it: 4,2 and 4.2, 420 cm, 8' 2".

    What was understood is shown as the job writes numbers; what was not stays as it was typed.

    Parameters
    ----------
    unit : str
        What a plain number is in; a length may be typed in another.
    formats : Formats
    holds : function of the number, optional
        Whether it can be one here, where a text may be read in two ways; for a length unless given: no wall is
        longer.
    empty : tuple of str
        Rule and remedy where nothing is typed.
    signed : bool
        Whether it may be below zero: the keys of a phone that has them only for digits have no minus.
    **traits
        Of a text box.

    Attributes
    ----------
    value : float or str
        The number; "" where the box is empty, its text where that is no number.
    """

    value = _Typed().tag(sync=True, to_json=lambda value, box: box.in_words(value))

    def __init__(
        self,
        unit: str = "",
        formats: Formats = HOUSE,
        holds: Holds | None = None,
        *,
        empty: tuple[str, str] = ("a number stands here", "type it"),
        signed: bool = False,
        **traits: Any,
    ) -> None:
        self.empty = empty
        self.unit, self.formats, self.holds = unit, formats, holds or _on_a_wall(unit)
        classes = *traits.pop("_dom_classes", ()), *(() if signed else ("mt-number",)), "mt-typed"
        super().__init__(continuous_update=False, _dom_classes=classes, **traits)
        self.observe(lambda _: self.mark(isinstance(self.value, str) and bool(self.value)), "value")

    def understood(self, value: Any) -> float | str:
        """The number that was given or typed, or the text as it is."""
        if isinstance(value, str):
            text = value.strip()
            number = self._read(text, Check()) if text else None
            return text if number is None else number
        return "" if value is None else float(value)

    def in_words(self, value: float | str) -> str:
        """A value as it stands in the box."""
        return value if isinstance(value, str) else self.formats.typed(value)

    def _read(self, text: str, check: Check) -> float | None:
        return number_typed(text, self.description, check, self.unit, self.holds, self.formats)

    def number(self, check: Check) -> float | None:
        """The number in the box; None, marked and with the mistake noted, where it is empty or holds none."""
        if not isinstance(self.value, str):
            return float(self.value)
        self.mark(True)
        if self.value:
            return self._read(self.value, check)
        check.mistakes.append(Mistake("nothing typed", *self.empty, self.description))
        return None

    def mark(self, refused: bool) -> None:
        """Mark it as refused, or no more."""
        (self.add_class if refused else self.remove_class)("mt-refused")

    def set_state(self, sync_data: dict[str, Any]) -> None:
        """Take over what the page tells; what was understood goes back to it as the job writes it."""
        before = self.value
        super().set_state(sync_data)
        typed = sync_data.get("value")
        if typed is not None and self.value == before and typed != self.in_words(before):
            self.send_state("value")  # where it changes it goes by itself


def numbers_in(*boxes: NumberBox) -> list[float]:
    """The numbers in some boxes.

    Raises
    ------
    TakeoffError
        Every box that is empty, holds none, or may be read in two ways.
    """
    check = Check()
    found = [box.number(check) for box in boxes]
    check.done()
    return [number for number in found if number is not None]


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
            widgets.FloatSlider,
            value=value,
            min=min(spec.low, value),
            max=max(spec.high, value),
            step=spec.step,
            readout=False,
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

    def _typed(self, _: Any) -> None:
        if not self._busy:
            self._done(self.store.apply(self._as_typed, self.name))

    def _as_typed(self, job: Job) -> Job:
        (shown,) = numbers_in(self.box)
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
        super().__init__(store, name, labelled_list(name, label, options, read(store.job)), read, write)


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


def labelled_list(name: str, label: str, options: list[Any], value: Any) -> widgets.Dropdown:
    """A drop-down list with its label above it."""
    return labelled(widgets.Dropdown, name, label, options=options, value=value)


def number_box(name: str, label: str, **traits: Any) -> NumberBox:
    """A box for a number with its label above it."""
    return labelled(NumberBox, name, label, **traits)  # type: ignore[no-any-return]


def text_box(name: str, label: str, **traits: Any) -> widgets.Text:
    """A box for words with its label above it."""
    return labelled(widgets.Text, name, label, **traits)


def tick(name: str, label: str, value: bool = False) -> widgets.Checkbox:
    """A box to tick with its label beside it."""
    css = f"mt-{name} mt-tick mt-control"
    return make(widgets.Checkbox, value=value, description=label, indent=False, css=css)
