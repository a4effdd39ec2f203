"""How a finished wall stands, lean and turn, and how exact its readings tell that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.surface.deviation import stance_of
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.survey import Floats, Survey

LEAST_READINGS = 4  # three make a plane and tell nothing of how well they do


@dataclass(frozen=True)
class ReadStance:
    """Lean and turn of the plane that most of a face lies about, with their standard uncertainties.

    Parameters
    ----------
    lean_mm_per_m, turn_mm_per_m : float
        Into the room at the top, and at the right end, is positive [mm/m].
    lean_sd_mm_per_m, turn_sd_mm_per_m : float
        Of the readings alone, without the instrument's own; NaN where too few tell it [mm/m].
    """

    lean_mm_per_m: float
    turn_mm_per_m: float
    lean_sd_mm_per_m: float
    turn_sd_mm_per_m: float


def read_stance(survey: Survey, surface: Surface, reading_mm: float) -> ReadStance:
    """How a wall stands by its survey.

    Parameters
    ----------
    survey : Survey
        Readings by hand or a scan.
    surface : Surface
        Its height field.
    reading_mm : float
        Standard uncertainty of one reading, more than 0 [mm].

    Notes
    -----
    Of readings by hand the uncertainty is that of a regression, ``s² (XᵀX)⁻¹`` with the terms of a plane, and
    s what readings scatter about it by, or the uncertainty of one if that is more: so a wall that waves is
    known less well by few readings than a true one. A scan's points miss alike side by side; there it is how
    large patches of the wall differ (`survey/stance.py`).

    Examples
    --------
    >>> from mytakeoff.survey.wall import Wall
    >>> from mytakeoff.surface.surface import grid_surface
    >>> x, z = np.meshgrid([0.0, 1.0, 2.0], [0.0, 1.0, 2.0])
    >>> read = Survey.from_readings(Wall("A", 2.0, 2.0), x, z, 5.0 * z)
    >>> found = read_stance(read, grid_surface(read, 0.1), 0.6)
    >>> round(found.lean_mm_per_m, 3), round(found.lean_sd_mm_per_m, 3)
    (5.0, 0.245)
    """
    stands = stance_of(surface)
    if survey.layout == "scan":
        turn_sd, lean_sd = stands.turn_off_mm_per_m, stands.lean_off_mm_per_m
    else:
        turn_sd, lean_sd = _regression_sd(survey, reading_mm)
    return ReadStance(stands.c_mm_per_m, stands.b_mm_per_m, lean_sd, turn_sd)


def _regression_sd(survey: Survey, reading_mm: float) -> tuple[float, float]:
    """Standard uncertainties of turn and lean by ordinary least squares [mm/m]."""
    read = readings_of(survey)
    count = read.x_m.size
    terms: Floats = np.column_stack([np.ones(count), read.x_m - read.x_m.mean(), read.z_m - read.z_m.mean()])
    if count < LEAST_READINGS or np.linalg.matrix_rank(terms) < terms.shape[1]:
        return float("nan"), float("nan")
    off = read.proud_mm - terms @ np.linalg.lstsq(terms, read.proud_mm, rcond=None)[0]
    scatter = max(reading_mm, float(np.sqrt((off**2).sum() / (count - 3))))
    variances = np.diag(np.linalg.inv(terms.T @ terms))
    return float(scatter * np.sqrt(variances[1])), float(scatter * np.sqrt(variances[2]))
