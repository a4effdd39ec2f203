"""The live wall map: the browser holds the thickness field and paints what a slider changes by itself.

Notes
-----
Coat edges are strokes of one pixel side by side: Chromium paints those some ten times quicker than the
outline of one wide stroke, which a rough wall's edge makes long.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import anywidget
import traitlets
from ipywidgets import Widget, widget_serialization

from mytakeoff.charts.drawing.field import Field, Floats, field_of
from mytakeoff.charts.drawing.palette import RAMP
from mytakeoff.charts.maps.coat_edges import CoatDepths
from mytakeoff.charts.maps.thickness_map import Mark, describe
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.panels.parts.stock import source
from mytakeoff.panels.wall_map.map_fields import changed, frames_of, kept_top
from mytakeoff.survey.wall import Wall


class ThicknessMap(anywidget.AnyWidget):
    """Thickness of plaster over one wall, with the edges between the coats.

    Fill it with `show`; a second `show` sends only what differs. Set `edge_control` to the widget of the
    greatest coat depth, and the edges follow it in the browser, before the kernel has heard of it.

    Attributes
    ----------
    field, mask : bytes
        Codes (16 bit, little end first) and states of the cells, row by row from the floor.
    rows, columns : int
    step_mm : float
        Thickness between two codes [mm].
    extent_m : list of float
        Left, right, bottom and top edge of the cells [m].
    ramp : bytes
        256 colours from thin to thick, red, green, blue.
    ramp_top_mm : float
        Thickness at the ramp's dark end [mm]; it stays while the wall stays.
    width_m, height_m : float
        The wall [m].
    openings : list of [name, x, z, width, height]
        What is not plastered [m].
    frames : list of dict
        The drawn frame for pages of several widths: SVG, size and the wall's box in it.
    touches : list of [letter, x, z]
        High spots that set the plane [m].
    max_coat_mm, finish_mm, dub_mm : float
        Greatest depth of the first coat, where no `edge_control` is set; the finish coat; greatest depth of
        the further coats, 0 for the same [mm].
    edge_control : Widget or None
        Its value is the greatest coat depth [mm].
    picked : list
        x, z [m] and thickness [mm] (None where nothing is priced) of the place last clicked or entered.
    label, description : str
        Name of the picture, and the text that says the same as it.
    point : str
        What stands before the decimals of what the picture says of a place.
    feet_and_inches : bool
        Whether lengths are shown so, else metric.
    updating : bool
        Shows that a newer picture is being worked out.
    """

    _esm = source(__file__, "../parts/lengths.js", "map_paint.js", "map.js")
    _css = source(__file__, "map.css")

    field = traitlets.Bytes(b"").tag(sync=True)
    mask = traitlets.Bytes(b"").tag(sync=True)
    rows = traitlets.Int(0).tag(sync=True)
    columns = traitlets.Int(0).tag(sync=True)
    step_mm = traitlets.Float(0.01).tag(sync=True)
    extent_m = traitlets.List(traitlets.Float()).tag(sync=True)
    ramp = traitlets.Bytes(RAMP.tobytes()).tag(sync=True)
    ramp_top_mm = traitlets.Float(20.0).tag(sync=True)
    width_m = traitlets.Float(1.0).tag(sync=True)
    height_m = traitlets.Float(1.0).tag(sync=True)
    openings: traitlets.List[Any] = traitlets.List().tag(sync=True)
    frames: traitlets.List[Any] = traitlets.List().tag(sync=True)
    touches: traitlets.List[Any] = traitlets.List().tag(sync=True)
    max_coat_mm = traitlets.Float(0.0).tag(sync=True)
    finish_mm = traitlets.Float(0.0).tag(sync=True)
    dub_mm = traitlets.Float(0.0).tag(sync=True)
    edge_control = traitlets.Instance(Widget, allow_none=True).tag(sync=True, **widget_serialization)
    picked: traitlets.List[Any] = traitlets.List().tag(sync=True)
    label = traitlets.Unicode("Thickness of plaster").tag(sync=True)
    description = traitlets.Unicode("").tag(sync=True)
    point = traitlets.Unicode(".").tag(sync=True)
    feet_and_inches = traitlets.Bool(False).tag(sync=True)
    updating = traitlets.Bool(False).tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        super().__init__(**traits)
        self._shown: tuple[Wall, float, Formats] | None = None
        self._read: tuple[Wall, Floats, Field] | None = None

    def show(
        self,
        wall: Wall,
        x_m: Floats,
        z_m: Floats,
        thickness_mm: Floats,
        *,
        touches: Iterable[Mark] = (),
        coats: CoatDepths | None = None,
        ramp_top_mm: float | None = None,
        description: str | None = None,
        formats: Formats = HOUSE,
    ) -> None:
        """Show a thickness field.

        Parameters
        ----------
        wall : Wall
        x_m, z_m : (nx,), (nz,) float
            Cell centres, evenly spaced and rising [m].
        thickness_mm : (nz, nx) float
            NaN where nothing is priced: an opening, or beyond the survey [mm].
        touches : iterable of (letter, x, z)
            High spots that set the plane [m].
        coats : CoatDepths, optional
            How deep the coats go; unless given, the present depths stay.
        ramp_top_mm : float, optional
            Dark end of the scale; unless given it stays while the wall stays [mm].
        description : str, optional
            The text that says the same; made from the field unless given.
        formats : Formats
            How figures are written.
        """
        cells = self._cells(wall, x_m, z_m, thickness_mm)
        marks = [(letter, float(x), float(z)) for letter, x, z in touches]
        top_mm = kept_top(self._shown, wall, cells, ramp_top_mm)
        wanted: dict[str, Any] = {
            "field": cells.codes.astype("<u2").tobytes(),
            "mask": cells.state.tobytes(),
            "rows": cells.codes.shape[0],
            "columns": cells.codes.shape[1],
            "step_mm": cells.step_mm,
            "extent_m": list(cells.extent_m),
            "touches": [list(mark) for mark in marks],
            "label": f"Thickness of plaster on wall {wall.name}",
            "description": describe(wall, cells, marks, formats) if description is None else description,
            "updating": False,
        }
        if self._shown != (wall, top_mm, formats):
            wanted |= _frame_traits(wall, top_mm, formats)
        if coats is not None:
            # the first coat's depth is its control's, where there is one: the browser knows it already
            depths = ("finish_mm", "dub_mm") if self.edge_control else ("max_coat_mm", "finish_mm", "dub_mm")
            wanted |= {name: float(getattr(coats, name)) for name in depths}
        self._shown = (wall, top_mm, formats)
        self._set(changed({name: getattr(self, name) for name in wanted}, wanted))

    def _cells(self, wall: Wall, x_m: Floats, z_m: Floats, thickness_mm: Floats) -> Field:
        """The field; that of the last call while the very same array comes again, as it does for a price."""
        if self._read is None or self._read[0] != wall or self._read[1] is not thickness_mm:
            self._read = (wall, thickness_mm, field_of(wall, x_m, z_m, thickness_mm))
        return self._read[2]

    def _set(self, traits: dict[str, Any]) -> None:
        """Set several traits in one message, so that the browser never paints half of them."""
        with self.hold_sync():
            for name, value in traits.items():
                setattr(self, name, value)


def _frame_traits(wall: Wall, top_mm: float, formats: Formats) -> dict[str, Any]:
    bare = (*wall.openings, *wall.fitted)
    return {
        "frames": frames_of(wall, top_mm, formats),
        "ramp_top_mm": top_mm,
        "point": formats.point,
        "feet_and_inches": formats.feet_and_inches,
        "width_m": wall.width_m,
        "height_m": wall.height_m,
        "openings": [[part.name, part.x_m, part.z_m, part.width_m, part.height_m] for part in bare],
    }
