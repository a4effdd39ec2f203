"""How far a wall is out of square, from two readings off a line that is square to its neighbour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from mytakeoff.bounds import Across, Up, Within, check_numbers
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.survey.as_taken import MOST_OFF_MM
from mytakeoff.survey.edges import face_at
from mytakeoff.survey.interpolate import Readings, readings_of
from mytakeoff.survey.survey import Floats, Survey
from mytakeoff.survey.wall import Wall

LEAST_APART_M = 0.3  # a millimetre over less than this is more than 3 mm/m
# No plane is squared to a corner of 60 degrees.
TURN = Within(-600.0, 600.0, usual="measure the corner again, in millimetres off the square line")
NEAR_M = 0.05
SAME_MM_PER_M = 0.5  # turns that differ by less are one


@dataclass(frozen=True)
class Corner:
    """Two places of the wall read off a square laser line (or a builder's square's long side), at one height.

    Parameters
    ----------
    x_m : tuple of float
        The two places, from the wall's left end [m].
    off_square_mm : tuple of float
        From the square line back to the wall at each of them [mm].
    z_m : float
        At which height both were read [m].
    """

    x_m: tuple[Across, ...]
    off_square_mm: tuple[Annotated[float, Within(-MOST_OFF_MM, MOST_OFF_MM)], ...]
    z_m: Up

    def __post_init__(self) -> None:
        object.__setattr__(self, "x_m", tuple(self.x_m))
        object.__setattr__(self, "off_square_mm", tuple(self.off_square_mm))
        check = Check("corner")
        check_numbers(self, check)
        check.that(
            len(self.x_m) == len(self.off_square_mm) == 2,
            f"{len(self.x_m)} places and {len(self.off_square_mm)} readings",
            "a corner is measured by two readings",
            "give x_m and off_square_mm with two numbers each",
        )
        check.done()
        apart = abs(self.x_m[1] - self.x_m[0])
        check.that(
            apart >= LEAST_APART_M,
            f"two places {apart:g} m apart",
            f"they are {LEAST_APART_M:g} m apart or more, better the whole wall",
            "read near the corner and far from it",
        )
        check.done()


def check_corner(wall: Wall, corner: Corner, check: Check) -> None:
    """Note a corner that was not read on its wall."""
    check.that(
        min(corner.x_m) >= 0 and max(corner.x_m) <= wall.width_m and 0 <= corner.z_m <= wall.height_m,
        f"read at x {corner.x_m[0]:g} and {corner.x_m[1]:g} m, z {corner.z_m:g} m",
        f"it is read on the wall, {wall.width_m:g} × {wall.height_m:g} m",
        "measure x from the wall's left end, z from the floor",
    )


def corner_turn(survey: Survey, corner: Corner) -> float:
    """Turn of the plane that is square to the neighbour, in the survey's own frame [mm/m].

    Parameters
    ----------
    survey : Survey
        Its readings at the two places, or the face between them, say how the plane measured off lies.
    corner : Corner

    Raises
    ------
    TakeoffError
        A place off the wall, or a turn that no corner is squared by.

    Notes
    -----
    The square line stands at ``proud + off_square`` at each place; its slope is the turn.

    Examples
    --------
    The wall recedes from the plane measured off by 6 mm over 2 m, but from the square line by 10.

    >>> from mytakeoff.survey.wall import Wall
    >>> survey = Survey.from_readings(Wall("A", 2.0, 2.0), [0, 2, 0, 2], [0, 0, 2, 2], [0, -6, 0, -6])
    >>> corner_turn(survey, Corner((0.0, 2.0), (30.0, 40.0), 1.0))
    2.0
    """
    check = Check(f"wall {survey.wall.name!r}, corner")
    check_corner(survey.wall, corner, check)
    check.done()
    proud = proud_mm_at(survey, np.array(corner.x_m), np.full(2, corner.z_m))
    (first, second), run = proud + np.array(corner.off_square_mm), corner.x_m[1] - corner.x_m[0]
    turn = round(float(second - first) / run, 9)
    mistake = TURN.mistake("turn_mm_per_m", turn, check.place)
    if mistake is not None:
        raise TakeoffError(mistake)
    return turn


def proud_mm_at(survey: Survey, x_m: Floats, z_m: Floats) -> Floats:
    """How far the wall stands towards the room from the plane measured off, at single places (n,) [mm]."""
    readings = readings_of(survey)
    scanned = survey.layout == "scan"
    return _median_near(readings, x_m, z_m) if scanned else face_at(survey, readings, x_m, z_m)


def _median_near(readings: Readings, x_m: Floats, z_m: Floats) -> Floats:
    """Median of a scan's points round each place, of the nearest one where none is near [mm]."""
    found = []
    for x, z in zip(x_m.tolist(), z_m.tolist(), strict=True):
        away = np.hypot(readings.x_m - x, readings.z_m - z)
        found.append(float(np.median(readings.proud_mm[away <= max(NEAR_M, float(away.min()))])))
    return np.array(found)
