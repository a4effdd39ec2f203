"""The wall as the panel shows it: the map, the words that say the same, and the thickness at a place."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import ipywidgets as widgets
import numpy as np
from ipywidgets.widgets.widget_string import TextStyle

from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.charts.maps.coat_edges import CoatDepths
from mytakeoff.charts.maps.thickness_map import Mark
from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.panels.parts import words
from mytakeoff.panels.parts.boxes import NumberBox
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, shared
from mytakeoff.panels.wall_map.map import ThicknessMap
from mytakeoff.treatment.wall_result import WallResult


def thickness_at(wall: WallResult, x_m: float, z_m: float, formats: Formats) -> str:
    """The plaster at a place of the wall, in words.

    Parameters
    ----------
    wall : WallResult
    x_m, z_m : float
        From the wall's left end and the floor [m].
    formats : Formats
    """
    size = wall.entry.wall
    if not (0 <= x_m <= size.width_m and 0 <= z_m <= size.height_m):
        return f"off the wall, which is {formats.length(size.width_m, size.height_m, between=' × ')}"
    surface = wall.surface
    column = int(np.argmin(np.abs(surface.x_m - x_m)))
    row = int(np.argmin(np.abs(surface.z_m - z_m)))
    thickness = float(wall.build_up.thickness_mm[row, column])
    if np.isnan(thickness):
        return (
            "not plastered here" if surface.cell_area_m2[row, column] <= 0 else "not priced: no reading near"
        )
    cut = float(wall.build_up.cut_mm[row, column])
    down = f", after taking {formats.depth(cut, places=0, grouped=False)} down" if cut >= 0.5 else ""
    return f"{formats.depth(thickness, places=0, grouped=False)} of plaster{down}"


class WallView:
    """Map, words and place of one wall; `show` fills them.

    The scale is chosen once, for the thickest place of the whole job, so that a colour means the same
    thickness on every wall and while anything moves. A job without a wall that is read has none yet.
    """

    def __init__(self, thickest_mm: float, formats: Formats = HOUSE) -> None:
        self.top_mm = 0.0
        if thickest_mm:
            self.scale_to(thickest_mm)
        self.map = make(ThicknessMap)
        self.words = make(widgets.HTML)
        narrow = {} if formats.feet_and_inches else {"style": shared(TextStyle)}  # the label has both
        self.place_x, self.place_z = (
            make(NumberBox, unit="m", formats=formats, value=1.0, description=label, **narrow)
            for label in ("x, m", "z, m")
        )
        self.place_said = make(widgets.HTML)
        named = make(widgets.Label, "Thickness at")
        place = make(widgets.HBox, [named, self.place_x, self.place_z, self.place_said], css="mt-place")
        self.widget = make(widgets.VBox, [self.map, place, self.words])
        self._wall: WallResult | None = None
        self._formats, self._client = HOUSE, False
        self._marks: tuple[Mark, ...] = ()
        self._coat_slider: Any = None
        for box in (self.place_x, self.place_z):
            box.observe(lambda _: self._say_place(), "value")

    def scale_to(self, thickest_mm: float) -> None:
        """Choose the scale by the thickest place of the job [mm]."""
        self.top_mm = ramp_top(thickest_mm)

    def watch_coat_slider(self, slider: Any) -> None:
        """Let the map's coat edges follow this slider in the browser."""
        self._coat_slider = slider

    def show(
        self, wall: WallResult, formats: Formats, square_l: float | None = None, *, client: bool = False
    ) -> None:
        """Show a wall; a wall that is shown already changes only what differs. A client is told no litres."""
        if wall is self._wall and formats == self._formats and client == self._client:
            return
        self._wall, self._formats, self._client = wall, formats, client
        system, surface = wall.system, wall.surface
        text = (
            words.wall_for_client(wall, formats) if client else words.wall_in_words(wall, formats, square_l)
        )
        self.map.edge_control = self._coat_slider if wall.entry.system is None else None
        self.map.show(
            surface.wall,
            surface.x_m,
            surface.z_m,
            wall.build_up.thickness_mm,
            touches=self._touches(wall),
            coats=CoatDepths(
                max_coat_mm=system.backing.max_coat_mm,
                finish_mm=system.finish_mm,
                dub_mm=system.dubbing.max_coat_mm if system.dubbing else 0.0,
            ),
            ramp_top_mm=self.top_mm,
            description=text,
            formats=formats,
        )
        self.words.value = element("p", text)
        self._say_place()

    def mark(self, marks: Iterable[Mark]) -> None:
        """Mark further places beside the high spots, each by its own sign [m]."""
        if (wanted := tuple(marks)) == self._marks:
            return
        self._marks = wanted
        if self._wall is not None:
            self.map.touches = [list(mark) for mark in self._touches(self._wall)]

    def _touches(self, wall: WallResult) -> list[Mark]:
        spots = [(words.letter(i), touch.x_m, touch.z_m) for i, touch in enumerate(wall.plane.touches)]
        return [*spots, *self._marks]

    def _say_place(self) -> None:
        if self._wall is None:
            return
        check = Check()
        x_m, z_m = (box.number(check) for box in (self.place_x, self.place_z))
        if x_m is None or z_m is None:
            said = " ".join(str(mistake) for mistake in check.mistakes)
        else:
            said = thickness_at(self._wall, x_m, z_m, self._formats)
        self.place_said.value = element("span", said, role="status")
