"""Boxes and sliders for numbers: typed as a hand writes them, shown as the job does."""

from __future__ import annotations

from math import floor
from typing import Any

import ipywidgets as widgets
import traitlets

from mytakeoff.bounds import bounds_of
from mytakeoff.errors import Check, Mistake
from mytakeoff.formats.formats import HOUSE, WEEKDAY, Formats
from mytakeoff.io.files.typed import Holds, number_typed
from mytakeoff.survey.wall import Wall
from mytakeoff.units import METRES, to_metres

NOISE_PLACES = 9


def on_a_wall(unit: str) -> Holds | None:
    """Whether the longest wall has room for a length; nothing can be said of what is none."""
    widest = bounds_of(Wall)["width_m"]
    return (lambda size: widest.holds(to_metres(abs(size), unit))) if unit in METRES else None


class _Typed(traitlets.TraitType[Any, Any]):
    """A number, or the text that stands in its box and is none."""

    default_value = ""

    def validate(self, obj: Any, value: Any) -> float | str:
        """What a value or a text is to the box."""
        return obj.understood(value)


class NumberBox(widgets.Text):
    """A box for a number or a length, typed as a hand writes it: 4,2 and 4.2, 420 cm, 8' 2".

    What was understood is shown as the job writes numbers; what was not stays as it was typed. A length stays
    in the unit of its label, so that a plain number is in no doubt; where the job shows feet and inches the
    label has them too.

    Parameters
    ----------
    unit : str
        What a plain number is in; a length may be typed in another.
    formats : Formats
    holds : function of the number, optional
        Whether it can be one here, where a text may be read in two ways; unless given, a length is no longer
        than a wall.
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
        self.unit, self.formats, self.holds = unit, formats, holds or on_a_wall(unit)
        classes = *traits.pop("_dom_classes", ()), *(() if signed else ("mt-number",)), "mt-typed"
        self.label: str = traits.get("description", "")
        super().__init__(continuous_update=False, _dom_classes=classes, **traits)
        self._say_beside()
        self.observe(self._follow, "value")

    def write_as(self, formats: Formats) -> None:
        """Write its number as the job does now."""
        if formats != self.formats:
            self.formats = formats
            self._say_beside()
            self.send_state("value")

    def _follow(self, _: Any) -> None:
        self.mark(isinstance(self.value, str) and bool(self.value))
        self._say_beside()

    def _say_beside(self) -> None:
        said = "" if isinstance(self.value, str) else self.formats.beside(self.value, self.unit)
        self.set_trait("description", f"{self.label} ({said})" if said else self.label)

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

    def _read(self, text: str, check: Check, place: str = "") -> float | None:
        return number_typed(text, place or self.label, check, self.unit, self.holds, self.formats)

    def number(self, check: Check, place: str = "") -> float | None:
        """The number in the box; None, marked and with the mistake noted, where it is empty or holds none."""
        if not isinstance(self.value, str):
            return float(self.value)
        self.mark(True)
        if self.value:
            return self._read(self.value, check, place)
        check.mistakes.append(Mistake("nothing typed", *self.empty, place or self.label))
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


class DayBox(widgets.DatePicker):
    """A box for a day: a browser writes days as its own country does, so the label says it as the job does.

    Parameters
    ----------
    formats : Formats
    **traits
        Of a date picker.
    """

    def __init__(self, formats: Formats = HOUSE, **traits: Any) -> None:
        self.formats, self.label = formats, traits.get("description", "")
        super().__init__(**traits)
        self._say_day()
        self.observe(self._say_day, "value")

    def write_as(self, formats: Formats) -> None:
        """Say its day as the job does now."""
        self.formats = formats
        self._say_day()

    def _say_day(self, _: Any = None) -> None:
        day, formats = self.value, self.formats
        said = f": {formats.day(day, WEEKDAY)} {formats.day(day)}" if day else ""
        self.description = f"{self.label}{said}"


class Slider(widgets.FloatSlider):
    """A slider whose value may stand between two steps.

    Its handle on the page cannot: the page puts it on the nearest step and tells that, as if a hand had moved
    it. What it tells so is let pass: the job keeps the number that was typed, or stands in its file.
    """

    def __init__(self, **traits: Any) -> None:
        super().__init__(readout=False, **traits)

    def set_state(self, sync_data: dict[str, Any]) -> None:
        """Take over where a hand has put it."""
        told = sync_data.get("value")
        if told is not None and self.value != told and not round(told - self._handle, NOISE_PLACES):
            sync_data = {name: value for name, value in sync_data.items() if name != "value"}
        super().set_state(sync_data)

    @property
    def _handle(self) -> float:
        """Where the page puts the handle: reckoned in per cent of the track, as noUiSlider does it."""
        span = float(self.max - self.min) or 1.0
        step = self.step * 100 / span
        at = floor((self.value - self.min) * 100 / span / step + 0.5) * step
        return float(min(max(self.min + at * span / 100, self.min), self.max))


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
