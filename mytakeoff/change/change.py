"""What a second survey of a wall says that was put on."""

from __future__ import annotations

from dataclasses import dataclass

from mytakeoff.change.uncertainty import Part
from mytakeoff.survey.survey import Floats

FIXED = "fixed places"  # what a part of the uncertainty comes of


@dataclass(frozen=True, eq=False)
class Change:
    """What a second survey of a wall says that was put on: net of what was taken down.

    Parameters
    ----------
    x_m, z_m : (nx,) and (nz,) float
        Cell centres [m].
    area_m2 : (nz, nx) float
        Of each cell that is wall and that both surveys know; 0 elsewhere [m²].
    thickness_mm : (nz, nx) float
        Put on; NaN where either survey says nothing or there is no wall. Where too few fixed places tie the
        surveys, what is left once the plane that fits best is taken out: its shape alone [mm].
    off_mm : (nz, nx) float
        Expanded uncertainty of each of these; NaN as they are [mm].
    mean_mm, volume_l : float or None
        Over that area; None where the surveys are not tied [mm, l].
    uncertainty_mm, uncertainty_l : float or None
        Expanded uncertainty of both: 95 of 100 such intervals hold what was put on [mm, l].
    factor : float or None
        By which the standard uncertainty is multiplied for that [-].
    parts : tuple of Part
        What the standard uncertainty of the mean is made of [mm].
    residual_mm : (n,) float
        How much further towards the room each fixed place reads than the others say [mm].
    moved : tuple of int
        Fixed places that moved and tie nothing, counted from 0.
    notices : tuple of str
        What the user should know about it.
    """

    x_m: Floats
    z_m: Floats
    area_m2: Floats
    thickness_mm: Floats
    off_mm: Floats
    mean_mm: float | None
    volume_l: float | None
    uncertainty_mm: float | None
    uncertainty_l: float | None
    factor: float | None
    parts: tuple[Part, ...]
    residual_mm: Floats
    moved: tuple[int, ...]
    notices: tuple[str, ...]
