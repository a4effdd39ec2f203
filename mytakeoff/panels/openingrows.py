"""Openings of a wall as rows of boxes that can be added, changed and taken out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.wall import Opening

BOXES = (
    ("x_m", "Left side at, m"),
    ("z_m", "Sill at, m"),
    ("width_m", "Width, m"),
    ("height_m", "Height, m"),
    ("reveal_mm", "Reveal, mm"),
)
NEW = Opening("opening", 0.5, 0.0, 0.9, 2.0)


class OpeningRow:
    """The boxes of one opening; a row out of use is hidden and used again."""

    def __init__(self, changed: Callable[[], None], taken_out: Callable[[OpeningRow], None]) -> None:
        self.opening: Opening | None = None
        self._busy, self._changed = False, changed
        self.name = widgets.Text(description="Opening", continuous_update=False)
        self.boxes = {key: widgets.FloatText(description=label, step=0.05) for key, label in BOXES}
        self.out = widgets.Button(description="Take it out")
        self.out.on_click(lambda _: taken_out(self))
        for box in (self.name, *self.boxes.values()):
            box.style.description_width = "initial"
            box.add_class("mt-small")
            box.observe(self._typed, "value")
        self.widget = widgets.HBox([self.name, *self.boxes.values(), self.out])
        self.widget.add_class("mt-opening")

    def show(self, opening: Opening | None) -> None:
        """Show an opening; None puts the row out of use."""
        self._busy = True
        try:
            self.opening = opening
            self.widget.layout.display = None if opening else "none"
            if opening:
                self.name.value = opening.name
                for key, box in self.boxes.items():
                    box.value = float(getattr(opening, key))
        finally:
            self._busy = False

    def _typed(self, _: Any) -> None:
        if self._busy or self.opening is None:
            return
        typed: dict[str, Any] = {key: float(box.value) for key, box in self.boxes.items()}
        self.opening = replace(self.opening, name=self.name.value, **typed)
        self._changed()


class OpeningRows:
    """All openings of a wall: `openings`, `widget`."""

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self.rows: list[OpeningRow] = []
        self.add = widgets.Button(description="Add an opening")
        self.add.add_class("mt-add")
        self.add.on_click(lambda _: self.add_one())
        self.box = widgets.VBox([])
        self.widget = widgets.VBox([self.box, self.add])

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Those in use, as they were typed."""
        return tuple(row.opening for row in self.rows if row.opening is not None)

    def show(self, openings: Sequence[Opening]) -> None:
        """Show these openings and no others."""
        while len(self.rows) < len(openings):
            self.rows.append(OpeningRow(self._changed, self._take_out))
        if len(self.box.children) != len(self.rows):
            self.box.children = [row.widget for row in self.rows]
        for nth, row in enumerate(self.rows):
            row.show(openings[nth] if nth < len(openings) else None)

    def add_one(self, *added: Opening) -> None:
        """Add openings, a usual door unless told."""
        self.show((*self.openings, *(added or (NEW,))))
        self._changed()

    def _take_out(self, gone: OpeningRow) -> None:
        self.show([row.opening for row in self.rows if row.opening is not None and row is not gone])
        self._changed()
