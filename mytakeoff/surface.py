"""From readings to a height field on cells, with the exact part of each cell that is wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey import Floats
from mytakeoff.wall import Wall


@dataclass(frozen=True, eq=False)
class Surface:
    """The wall as a height field; the value stands at the cell's centre.

    Parameters
    ----------
    wall : Wall
    x_m : (nx,) float
        Cell centres across [m].
    z_m : (nz,) float
        Cell centres up, from the floor [m].
    proud_mm : (nz, nx) float
        NaN outside the wall and where the survey does not reach [mm].
    cell_area_m2 : (nz, nx) float
        The part of each cell that is wall, known or not [m²].
    extended : (nz, nx) bool
        Known only by reaching beyond the readings.
    point_x_m, point_z_m, point_mm : (n,) float
        Readings on the net wall, which bind the plane like cells do [m, m, mm].
    notices : tuple of str
        What the user should know about it.
    """

    wall: Wall
    x_m: Floats
    z_m: Floats
    proud_mm: Floats
    cell_area_m2: Floats
    extended: NDArray[np.bool_]
    point_x_m: Floats
    point_z_m: Floats
    point_mm: Floats
    notices: tuple[str, ...] = ()
    net_area_m2: float = 0.0
