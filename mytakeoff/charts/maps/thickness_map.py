"""What maps of a wall are drawn with: cells, hatching, places of letters; and the words that say the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray

from mytakeoff.charts.drawing.field import NOT_PRICED, PRICED, Field
from mytakeoff.charts.drawing.palette import INK, ramp_colour
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.survey.wall import Wall

Mark = tuple[str, float, float]
"""Letter, x [m], z [m] of a high spot that sets the plane."""

_BESIDE = ((13, 0), (-13, 0), (0, 15), (0, -15), (13, 15), (-13, 15), (13, -15), (-13, -15))


def field_pixels(field: Field, ramp_top_mm: float) -> NDArray[np.uint8]:
    """Red, green, blue and opacity of each cell, row 0 at the floor; clear where nothing is priced."""
    thickness = np.nan_to_num(field.thickness_mm)
    opacity = np.where(field.codes > 0, 255, 0).astype(np.uint8)
    return np.dstack([ramp_colour(thickness, ramp_top_mm), opacity])


def draw_cells(
    axes: Axes, wall: Wall, pixels: NDArray[np.uint8], extent_m: tuple[float, float, float, float]
) -> None:
    """The colours of cells, row 0 at the floor, between their outer edges: left, right, bottom, top [m]."""
    axes.imshow(
        np.ascontiguousarray(pixels),
        extent=extent_m,
        origin="lower",
        interpolation="nearest",
        aspect="auto",
        zorder=1,
    )
    # imshow widens the limits to the cells; the frame is the wall.
    axes.set_xlim(0, wall.width_m)
    axes.set_ylim(0, wall.height_m)


def draw_not_priced(axes: Axes, field: Field) -> None:
    """Hatch the cells that the survey does not reach."""
    left, right, bottom, top = field.extent_m
    rows, columns = field.state.shape
    width, height = (right - left) / columns, (top - bottom) / rows
    outlines = []
    for row in range(rows):
        change = np.diff(np.pad((field.state[row] == NOT_PRICED).astype(np.int8), 1))
        for first, last in zip(np.flatnonzero(change == 1), np.flatnonzero(change == -1), strict=True):
            x0, x1, z0 = left + first * width, left + last * width, bottom + row * height
            outlines.append([(x0, z0), (x1, z0), (x1, z0 + height), (x0, z0 + height), (x0, z0)])
    if outlines:
        joined = Path.make_compound_path(*(Path(np.array(outline), closed=True) for outline in outlines))
        axes.add_patch(
            PathPatch(joined, facecolor="none", edgecolor=INK, linewidth=0, hatch="////", zorder=2)
        )


def letter_places(
    spots_px: Sequence[tuple[float, float]], width_px: float, height_px: float
) -> list[tuple[float, float]]:
    """Where the letters of high spots stand: beside each, where they meet no spot and no earlier letter.

    Examples
    --------
    >>> letter_places([(100.0, 50.0), (113.0, 50.0)], 300.0, 100.0)
    [(87.0, 50.0), (126.0, 50.0)]
    """
    taken = list(spots_px)
    places = []
    for x, y in spots_px:
        tries = [(x + dx, y + dy) for dx, dy in _BESIDE]
        inside = [(u, v) for u, v in tries if 4 < u < width_px - 4 and 4 < v < height_px - 4]
        free = [(u, v) for u, v in inside if all(abs(u - s) > 12 or abs(v - t) > 14 for s, t in taken)]
        place = (free or inside or tries)[0]
        taken.append(place)
        places.append(place)
    return places


def describe(wall: Wall, field: Field, touches: Iterable[Mark] = (), formats: Formats = HOUSE) -> str:
    """What the map shows, in words for somebody who cannot see it.

    Examples
    --------
    >>> from mytakeoff.charts.drawing.field import field_of
    >>> wall = Wall("north", 2.0, 1.0)
    >>> cells = field_of(wall, np.array([0.5, 1.5]), np.array([0.5]), np.array([[6.0, 21.5]]))
    >>> describe(wall, cells, [("A", 0.5, 0.5)])
    'Thickness of plaster on wall north, 2 m by 1 m: from 6 mm at x 0.50 m, z 0.50 m to 22 mm at x 1.50 m, \
z 0.50 m. High spots that set the plane: A at x 0.50 m, z 0.50 m.'
    """
    head = (
        f"Thickness of plaster on wall {wall.name}, "
        f"{formats.length(wall.width_m)} by {formats.length(wall.height_m)}: "
    )
    priced = field.state == PRICED
    said = [head + (_said_extremes(field, formats) if priced.any() else "nothing is priced") + "."]
    names = [opening.name for opening in (*wall.openings, *wall.fitted)]
    if names:
        said.append(f"Not plastered: {', '.join(names)}.")
    if (field.state == NOT_PRICED).any():
        said.append("Hatched places are not priced: the survey does not reach them.")
    spots = [f"{letter} at {formats.place(x_m, z_m, grouped=True)}" for letter, x_m, z_m in touches]
    if spots:
        said.append(f"High spots that set the plane: {'; '.join(spots)}.")
    return " ".join(said)


def _said_extremes(field: Field, formats: Formats) -> str:
    thickness = field.thickness_mm
    said = []
    for place in (int(np.nanargmin(thickness)), int(np.nanargmax(thickness))):
        row, column = np.unravel_index(place, thickness.shape)
        left, right, bottom, top = field.extent_m
        x_m = left + (column + 0.5) * (right - left) / thickness.shape[1]
        z_m = bottom + (row + 0.5) * (top - bottom) / thickness.shape[0]
        at = formats.place(float(x_m), float(z_m), grouped=True)
        said.append(f"{formats.depth(float(thickness[row, column]), places=0)} at {at}")
    return f"from {said[0]} to {said[1]}"
