"""What a sheet's numbers are, asked where its first cell does not say it."""

from __future__ import annotations

import ipywidgets as widgets

from mytakeoff.panels.parts.bind import labelled_list
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.units import METRES

LEFT = ""
SIDES = [
    ("from the line back to the wall: bigger is hollower", "off_line"),
    ("towards the room: bigger is prouder", "proud"),
]
NAMES = {"m": "metres", "cm": "centimetres", "mm": "millimetres", "in": "inches", "ft": "feet"}
NOT_SAID = ("not said yet", LEFT)
UNITS = [NOT_SAID, *((NAMES[unit], unit) for unit in METRES)]
ASKED = "Its first cell does not say what the numbers are: say it. A cell with a unit (8' 2\") keeps that."


class HeadingControls:
    """Side and units of a sheet's numbers; `value` is what its first cell might have said."""

    def __init__(self) -> None:
        self.side = labelled_list("side", "Its readings are", [NOT_SAID, *SIDES], LEFT)
        self.unit = labelled_list("reading_unit", "Readings are in", UNITS, LEFT)
        self.x_unit = labelled_list("x_unit", "Distances along the first row are in", UNITS, LEFT)
        self.z_unit = labelled_list("z_unit", "Heights down the first column are in", UNITS, LEFT)
        self.watched = (self.side, self.unit, self.x_unit, self.z_unit)
        self.widget = make(
            widgets.VBox, [make(widgets.HTML, element("p", ASKED, css="mt-hint")), *self.watched]
        )

    @property
    def value(self) -> str | None:
        """As in "off_line_in x_ft z_ft"; None unless all of it is said."""
        side, unit, x_unit, z_unit = (control.value for control in self.watched)
        return f"{side}_{unit} x_{x_unit} z_{z_unit}" if all((side, unit, x_unit, z_unit)) else None

    def show(self, said: str | None, asked: bool) -> None:
        """Show what was said of a file, or ask for it."""
        reading, *places = (said or "").split()[:3] or [LEFT]
        self.side.value, _, self.unit.value = reading.rpartition("_")
        units = {word[0]: word[2:] for word in places}
        self.x_unit.value, self.z_unit.value = units.get("x", LEFT), units.get("z", LEFT)
        set_shown(self.widget, asked or said is not None)
