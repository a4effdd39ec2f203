"""Columns and heights of one's own: added, put where they were read, taken out."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

import ipywidgets as widgets

from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts.bind import labelled_list, number_box, offer
from mytakeoff.panels.parts.boxes import NumberBox
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.survey.reading_grid import Typed, TypedGrid, check_on, with_place
from mytakeoff.survey.wall import Wall

Change = Callable[[Typed], Typed]
NONE = "none", ("", 0)


class OwnPlaces:
    """The fold under the grid: `widget`.

    Parameters
    ----------
    formats : Formats
    change : function of a function
        Changes the places of the sheet.
    failed : function
    """

    def __init__(
        self, formats: Formats, change: Callable[[Change], None], failed: Callable[[Exception], None]
    ) -> None:
        self._change, self._formats = change, formats
        self._wall: Wall | None = None
        self.x = number_box("place-x", "x, m, from the left end", unit="m", formats=formats)
        self.z = number_box("place-z", "z, m, up from the floor", unit="m", formats=formats)
        self.which = labelled_list("which-place", "Column or height", [NONE], NONE[1])
        self.across = make_buttons(
            {
                "add-column": ("Add a column at x", lambda: self.add(across=True)),
                "add-height": ("Add a height at z", lambda: self.add(across=False)),
            },
            failed,
        )
        self.place = make_buttons({"add-place": ("Add the place at x and z", self.add_place)}, failed)
        self.chosen = make_buttons(
            {
                "move-place": ("Put it where the box says, with its readings", self.move),
                "drop-place": ("Take it out", self.drop),
            },
            failed,
        )
        boxes = make(widgets.HBox, [self.x, self.z], css="mt-place")
        self._of_grid = make(widgets.VBox, [button_row(self.across), self.which, button_row(self.chosen)])
        parts = [boxes, button_row(self.place), self._of_grid]
        self.widget = Fold("Places of your own", make(widgets.VBox, parts))

    def show(self, typed: Typed, wall: Wall) -> None:
        """Offer the columns and heights there are."""
        self._wall = wall
        is_grid = isinstance(typed, TypedGrid)
        set_shown(self._of_grid, is_grid)
        if isinstance(typed, TypedGrid):
            formats = self._formats
            columns = [
                (f"column at x {formats.length(x, places=2, grouped=True)}", ("x", n))
                for n, x in enumerate(typed.x_m)
            ]
            rows = [
                (f"height at z {formats.length(z, places=2, grouped=True)}", ("z", n))
                for n, z in enumerate(typed.z_m)
            ]
            offer(self.which, [NONE, *columns, *rows])

    def add(self, *, across: bool) -> None:
        """Add a column or a height."""
        at_m = self._number(self.x if across else self.z)
        check_on(self._own_wall, **{"x_m" if across else "z_m": at_m})

        def more(typed: Typed) -> Typed:
            grid = cast("TypedGrid", typed)
            return grid.with_column(at_m) if across else grid.with_row(at_m)

        self._change(more)
        self._clear()

    def add_place(self) -> None:
        """Add one place: a row of a list, a column and a height of a grid."""
        x_m, z_m = self._number(self.x), self._number(self.z)
        self._change(lambda typed: with_place(typed, self._own_wall, x_m, z_m))
        self._clear()

    def move(self) -> None:
        """Put the chosen column or height where it was read, with its readings."""
        axis, n = self._chosen()
        at_m = self._number(self.x if axis == "x" else self.z)
        check_on(self._own_wall, **{f"{axis}_m": at_m})

        def moved(typed: Typed) -> Typed:
            grid = cast("TypedGrid", typed)
            return grid.moved_column(n, at_m) if axis == "x" else grid.moved_row(n, at_m)

        self._change(moved)
        self._clear()

    def drop(self) -> None:
        """Take the chosen column or height out, in which nothing is read."""
        axis, n = self._chosen()

        def less(typed: Typed) -> Typed:
            grid = cast("TypedGrid", typed)
            return grid.without_column(n) if axis == "x" else grid.without_row(n)

        self._change(less)

    @property
    def _own_wall(self) -> Wall:
        assert self._wall is not None  # it is shown before its buttons are
        return self._wall

    def _chosen(self) -> tuple[str, int]:
        axis, n = self.which.value
        check = Check("column or height")
        check.that(bool(axis), "none is chosen", "one of them is moved or taken out", "choose it first")
        check.done()
        return str(axis), int(n)

    def _number(self, box: NumberBox) -> float:
        check = Check()
        number = box.number(check)
        check.done()
        return round(cast("float", number), 3)

    def _clear(self) -> None:
        for box in (self.x, self.z):
            box.value = ""
