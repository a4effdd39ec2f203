"""The wall map as a plain picture, for where the live one cannot be loaded."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from html import escape
from typing import Any

import ipywidgets as widgets
import numpy as np
import traitlets
from numpy.typing import NDArray

from mytakeoff.charts.canvas import new_figure, pixels
from mytakeoff.charts.coatlines import CoatDepths, coat_numbers
from mytakeoff.charts.field import NOT_PRICED, Field, Floats, field_of
from mytakeoff.charts.frame import Frame, draw_frame, wide_frame
from mytakeoff.charts.palette import RAMP, ramp_index
from mytakeoff.charts.png import png_of
from mytakeoff.charts.thickness_map import Mark, describe, draw_touches
from mytakeoff.panels.mapfields import kept_top
from mytakeoff.wall import Wall

_Pixels = NDArray[np.uint8]
_RAMP_AND_PAPER = np.vstack([RAMP, np.full((1, 3), 255, dtype=np.uint8)])


@lru_cache(maxsize=8)
def _frame_pixels(frame: Frame, marks: tuple[Mark, ...]) -> _Pixels:
    """Frame, openings and high spots on clear ground; drawn once, laid over every picture."""
    figure = new_figure(frame.width_px, frame.height_px)
    draw_touches(draw_frame(figure, frame), marks, frame)
    drawn = pixels(figure)
    drawn.setflags(write=False)
    return drawn


def _cells_of_pixels(field: Field, frame: Frame, shape: tuple[int, ...]) -> tuple[NDArray[np.intp], ...]:
    """Pixel rows and columns that show the wall, and the cell row and column that each of them shows."""
    height, width = shape[:2]
    left, bottom, across, up = frame.box
    x_m = ((np.arange(width) + 0.5) / width - left) / across * frame.wall.width_m
    z_m = ((height - np.arange(height) - 0.5) / height - bottom) / up * frame.wall.height_m
    x0, x1, z0, z1 = field.extent_m
    rows, columns = field.codes.shape
    wall_rows = np.flatnonzero((z_m >= 0) & (z_m <= frame.wall.height_m))
    wall_columns = np.flatnonzero((x_m >= 0) & (x_m <= frame.wall.width_m))
    row = np.clip((z_m[wall_rows] - z0) / (z1 - z0) * rows, 0, rows - 1).astype(np.intp)
    column = np.clip((x_m[wall_columns] - x0) / (x1 - x0) * columns, 0, columns - 1).astype(np.intp)
    return wall_rows, wall_columns, row, column


def picture(field: Field, frame: Frame, marks: tuple[Mark, ...], coats: CoatDepths) -> _Pixels:
    """The map as red, green and blue pixels, one for each CSS pixel of the frame; row 0 at the top."""
    over = _frame_pixels(frame, marks)
    sheet = np.full((*over.shape[:2], 3), 255, dtype=np.uint8)
    wall_rows, wall_columns, row, column = _cells_of_pixels(field, frame, over.shape)
    cells = np.ix_(row, column)
    places = ramp_index(np.nan_to_num(field.thickness_mm), frame.ramp_top_mm).astype(np.intp)
    colours = np.where(field.codes > 0, places, len(RAMP))
    coloured = _RAMP_AND_PAPER[colours[cells]]
    if (field.state == NOT_PRICED).any():
        stripes = (wall_rows[:, None] + wall_columns[None, :]) % 8 == 0
        coloured[(field.state == NOT_PRICED)[cells] & stripes] = 0
    coloured[_edges(coat_numbers(field, coats)[cells])] = 0
    # The wall's pixels lie side by side, and a slice is copied faster than picked pixels.
    sheet[wall_rows[0] : wall_rows[-1] + 1, wall_columns[0] : wall_columns[-1] + 1] = coloured
    return _laid_over(sheet, over)


def _laid_over(sheet: _Pixels, over: _Pixels) -> _Pixels:
    """`sheet` with the drawn parts of `over` on it."""
    drawn = np.nonzero(over[..., 3])
    opacity = over[drawn][:, 3:].astype(np.uint16)
    sheet[drawn] = (over[drawn][:, :3] * opacity + sheet[drawn] * (255 - opacity)) // 255
    return sheet


def _edges(numbers: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Pixels whose right or lower neighbour has another number of coats."""
    edges = np.zeros(numbers.shape, dtype=bool)
    priced = numbers >= 0
    edges[:, :-1] |= (numbers[:, :-1] != numbers[:, 1:]) & priced[:, :-1] & priced[:, 1:]
    edges[:-1, :] |= (numbers[:-1, :] != numbers[1:, :]) & priced[:-1, :] & priced[1:, :]
    return edges


class PictureMap(widgets.VBox):
    """Thickness of plaster over one wall as a picture; `show` and the traits are those of `ThicknessMap`.

    It is painted by the kernel, so the edges follow `max_coat_mm` or the `edge_control` with a round trip,
    and there is no readout under the pointer.
    """

    max_coat_mm = traitlets.Float(0.0)
    finish_mm = traitlets.Float(0.0)
    dub_mm = traitlets.Float(0.0)
    ramp_top_mm = traitlets.Float(20.0)
    edge_control = traitlets.Instance(widgets.Widget, allow_none=True)
    picked: traitlets.List[Any] = traitlets.List()
    label = traitlets.Unicode("Thickness of plaster")
    description = traitlets.Unicode("")
    updating = traitlets.Bool(False)

    def __init__(self, **traits: Any) -> None:
        self.image = widgets.Image(format="png", layout=widgets.Layout(max_width="100%", height="auto"))
        self.words = widgets.HTML()
        self._shown: tuple[Wall, float] | None = None
        self._content: tuple[Field, tuple[Mark, ...]] | None = None
        super().__init__([self.image, self.words], **traits)
        self.observe(self._repaint, names=["max_coat_mm", "finish_mm", "dub_mm"])
        self.observe(self._follow, names="edge_control")
        self.observe(self._say, names=["description", "updating"])
        self._follow({"old": None, "new": self.edge_control})

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
    ) -> None:
        """Show a thickness field; the parameters are those of the live map's `show`."""
        field = field_of(wall, x_m, z_m, thickness_mm)
        marks = tuple((letter, float(x), float(z)) for letter, x, z in touches)
        self.ramp_top_mm = kept_top(self._shown, wall, field, ramp_top_mm)
        self._shown, self._content = (wall, self.ramp_top_mm), (field, marks)
        self.label = f"Thickness of plaster on wall {wall.name}"
        self.description = describe(wall, field, marks) if description is None else description
        self.updating = False
        with self.hold_trait_notifications():
            if coats is not None:
                self.max_coat_mm, self.finish_mm, self.dub_mm = (
                    float(coats.max_coat_mm),
                    float(coats.finish_mm),
                    float(coats.dub_mm),
                )
        self._repaint()

    def _follow(self, change: Any) -> None:
        """Listen to the control of the greatest coat depth."""
        if change["old"] is not None:
            change["old"].unobserve(self._repaint, names="value")
        if change["new"] is not None:
            change["new"].observe(self._repaint, names="value")
        self._repaint()

    def _repaint(self, _change: Any = None) -> None:
        if self._content is None or self._shown is None:
            return
        field, marks = self._content
        first = self.max_coat_mm if self.edge_control is None else float(self.edge_control.value)
        depths = CoatDepths(first, self.finish_mm, self.dub_mm)
        self.image.value = png_of(picture(field, wide_frame(*self._shown), marks, depths))

    def _say(self, _change: Any = None) -> None:
        """The text that says the same as the picture, and the mark while it is being worked out."""
        self.image.alt = self.label
        waiting = "<em>updating</em> " if self.updating else ""
        self.words.value = f"<p>{waiting}{escape(self.description)}</p>"


def wall_map(**traits: Any) -> Any:
    """The live map, or the picture where the live one's library cannot be imported."""
    try:
        from mytakeoff.panels.map import ThicknessMap
    except ImportError:
        return PictureMap(**traits)
    return ThicknessMap(**traits)
