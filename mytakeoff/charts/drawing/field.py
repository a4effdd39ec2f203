"""The thickness field as whole numbers, as the live map and the picture of it read it.

Every place carries a code: 0 where nothing is priced, else ``1 + round(thickness / step)``. At the usual
step of a hundredth of a millimetre a code is never further than 0.005 mm from the thickness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mytakeoff.survey.wall import Wall

Floats = NDArray[np.float64]

PRICED, NOT_PRICED, NOT_PLASTERED = 0, 1, 2
FINEST_STEP_MM = 0.01
MOST_COLUMNS = 1000
MOST_ROWS = 1000
_MOST_CODE = 65535


@dataclass(frozen=True, eq=False)
class Field:
    """What the map shows, row 0 at the floor.

    Parameters
    ----------
    codes : (rows, columns) uint16
        See the head of this module.
    state : (rows, columns) uint8
        0 priced, 1 not priced (the survey does not reach there), 2 not plastered (an opening).
    step_mm : float
        Thickness between two neighbouring codes [mm].
    extent_m : (left, right, bottom, top)
        Outer edges of the cells on the wall [m].
    """

    codes: NDArray[np.uint16]
    state: NDArray[np.uint8]
    step_mm: float
    extent_m: tuple[float, float, float, float]

    @property
    def thickness_mm(self) -> Floats:
        """The codes as thickness again, NaN where nothing is priced [mm]."""
        return np.where(self.codes > 0, (self.codes - 1.0) * self.step_mm, np.nan)


def step_for(max_mm: float) -> float:
    """The finest step with which `max_mm` still fits into sixteen bits [mm].

    Examples
    --------
    >>> step_for(43.0), step_for(655.0), step_for(1000.0)
    (0.01, 0.01, 0.02)
    """
    step = FINEST_STEP_MM
    while max_mm / step + 1 > _MOST_CODE:
        step *= 2
    return step


def quantise(thickness_mm: Floats, step_mm: float = FINEST_STEP_MM) -> NDArray[np.uint16]:
    """Codes of a thickness field.

    Parameters
    ----------
    thickness_mm : array of float
        0 or more, NaN where nothing is priced [mm].
    step_mm : float
        Thickness between two neighbouring codes, more than 0 [mm].

    Returns
    -------
    array of uint16
        0 where nothing is priced, else ``1 + round(thickness / step)``.

    Examples
    --------
    >>> quantise(np.array([np.nan, 0.0, 12.34])).tolist()
    [0, 1, 1235]
    """
    steps = np.floor(np.nan_to_num(thickness_mm, nan=-1.0, posinf=-1.0, neginf=-1.0) / step_mm + 0.5)
    codes = np.clip(steps + 1, 1, _MOST_CODE)
    return np.where(np.isfinite(thickness_mm), codes, 0).astype(np.uint16)


def _blocks(values: Floats, factor: int, fill: float) -> Floats:
    """The greatest value of each block of `factor` × `factor` cells."""
    rows, columns = (-(-size // factor) for size in values.shape)
    padded = np.full((rows * factor, columns * factor), fill)
    padded[: values.shape[0], : values.shape[1]] = values
    return np.asarray(padded.reshape(rows, factor, columns, factor).max(axis=(1, 3)))


def block_size(rows: int, columns: int) -> int:
    """How many cells each way share one place on the map: 1 up to 1000 × 1000 cells.

    Examples
    --------
    >>> block_size(300, 500), block_size(1000, 2000)
    (1, 2)
    """
    return max(-(-rows // MOST_ROWS), -(-columns // MOST_COLUMNS), 1)


def thin_out(thickness_mm: Floats, factor: int) -> Floats:
    """The field with the thickest place of each block of `factor` × `factor` cells standing for it.

    The thickest, not the mean: so the deepest place on the map is the one named beside it, and a fill that
    needs two coats is never drawn as one.

    Examples
    --------
    >>> thin_out(np.array([[1.0, 5.0, 2.0], [np.nan, 3.0, np.nan]]), 2).tolist()
    [[5.0, 2.0]]
    """
    if factor == 1:
        return thickness_mm
    greatest = _blocks(np.where(np.isnan(thickness_mm), -np.inf, thickness_mm), factor, -np.inf)
    return np.where(np.isinf(greatest), np.nan, greatest)


def _outer_edges(centres_m: Floats, length_m: float) -> tuple[float, float]:
    """Outer edges of evenly spaced cells given by their centres."""
    if centres_m.size < 2:
        return 0.0, length_m
    half = (centres_m[-1] - centres_m[0]) / (centres_m.size - 1) / 2
    return float(centres_m[0] - half), float(centres_m[-1] + half)


def not_plastered(wall: Wall, x_m: Floats, z_m: Floats) -> NDArray[np.bool_]:
    """True where a place lies in an opening, a fitted unit or a strip left unplastered, shape (nz, nx)."""
    inside = np.zeros((z_m.size, x_m.size), dtype=bool)
    for part in wall.not_plastered:
        across = (x_m >= part.x_m) & (x_m <= part.x_m + part.width_m)
        up = (z_m >= part.z_m) & (z_m <= part.z_m + part.height_m)
        inside |= up[:, None] & across[None, :]
    return inside


def field_of(wall: Wall, x_m: Floats, z_m: Floats, thickness_mm: Floats) -> Field:
    """The field of one wall, made ready for the map.

    Parameters
    ----------
    wall : Wall
    x_m, z_m : (nx,), (nz,) float
        Cell centres, evenly spaced and rising [m].
    thickness_mm : (nz, nx) float
        NaN where nothing is priced: not plastered inside the wall's openings, else beyond the survey [mm].

    Returns
    -------
    Field
        With as many cells as given, or fewer where a screen could not show them.
    """
    factor = block_size(*thickness_mm.shape)
    shown = thin_out(np.asarray(thickness_mm, dtype=float), factor)
    left, right = _outer_edges(np.asarray(x_m, dtype=float), wall.width_m)
    bottom, top = _outer_edges(np.asarray(z_m, dtype=float), wall.height_m)
    # The last block may reach beyond the last cell, so the extent grows with it.
    right = left + (right - left) * shown.shape[1] * factor / thickness_mm.shape[1]
    top = bottom + (top - bottom) * shown.shape[0] * factor / thickness_mm.shape[0]
    across = left + (np.arange(shown.shape[1]) + 0.5) * (right - left) / shown.shape[1]
    up = bottom + (np.arange(shown.shape[0]) + 0.5) * (top - bottom) / shown.shape[0]
    bare = np.where(not_plastered(wall, across, up), NOT_PLASTERED, NOT_PRICED)
    state = np.where(np.isnan(shown), bare, PRICED).astype(np.uint8)
    step = step_for(float(np.nanmax(shown, initial=0.0)))
    return Field(quantise(shown, step), state, step, (left, right, bottom, top))
