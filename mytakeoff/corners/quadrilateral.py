"""The four corners of a room by its sides and its two diagonals.

Six lengths say one thing more than has to be known of a room with four walls. They are adjusted to one that
has them as nearly as their standard deviations let it, and refused where they are further off.

Sources
-------
Least squares of observed lengths: E. M. Mikhail and F. Ackermann, "Observations and Least Squares" (1976),
from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.optimize import approx_fprime, least_squares

from mytakeoff.corners.closing import MOST_SD
from mytakeoff.corners.diagonals import SIDES, Diagonals
from mytakeoff.corners.measuring import MM_PER_M, Line, MeasuredCorner, brought_to_planes
from mytakeoff.corners.room_corner import RoomCorner
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.survey.survey import Floats, Survey

# Of a wall's width, typed to the centimetre: ± 10 mm at the outside; common practice, no source.
WIDTH_SD_MM = 5.0
ENDS = np.array([(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)])  # of sides and diagonals
SMALL = 1e-7


def across_corners(
    diagonals: Diagonals, corners: Sequence[RoomCorner], surveys: Mapping[str, Survey], place: str = ""
) -> tuple[MeasuredCorner, ...]:
    """The four corners of a room as its diagonals tell them; free where a wall is not read.

    Parameters
    ----------
    diagonals : Diagonals
    corners : sequence of RoomCorner
        The room's four, in order round it.
    surveys : mapping of str to Survey
        By the names of their walls: those off a plumb plane of which enough is read.
    place : str
        For the message.

    Raises
    ------
    TakeoffError
        Lengths that no room of four walls has.
    """
    if not {each.wall for each in corners} <= set(surveys):
        return tuple(MeasuredCorner(each, None) for each in corners)
    first = next(nth for nth, each in enumerate(corners) if each.wall == diagonals.wall)
    turned = [*corners[first:], *corners[:first]]
    widths = [surveys[each.wall].wall.width_m for each in turned]
    between = angles_of(lengths_m(diagonals, widths), sds_mm(diagonals), place)
    lines = {name: _along(surveys[name], diagonals.z_m) for name in surveys}
    found = [
        brought_to_planes(corner, angle, lines[corner.wall], lines[corner.next_wall])
        for corner, angle in zip(turned, between, strict=True)
    ]
    return (*found[SIDES - first :], *found[: SIDES - first])


def _along(survey: Survey, z_m: float) -> Line:
    """From a wall's one end to its other."""
    return Line.on_face(survey, (0.0, survey.wall.width_m), z_m)


def lengths_m(diagonals: Diagonals, widths_m: Sequence[float]) -> Floats:
    """Four sides clockwise from its wall and the two diagonals [m]."""
    return np.array([*(diagonals.sides_m or widths_m), diagonals.from_left_m, diagonals.from_right_m])


def sds_mm(diagonals: Diagonals) -> Floats:
    """Their standard deviations [mm]."""
    side = diagonals.sd_mm if diagonals.sides_m else WIDTH_SD_MM
    return np.array([side] * SIDES + [diagonals.sd_mm] * 2)


def angles_of(lengths: Floats, sds: Floats, place: str = "") -> tuple[Line, ...]:
    """The angles of a room by four sides clockwise and its diagonals, from the first side's right end on.

    Parameters
    ----------
    lengths : (6,) float
        Sides, the diagonal from the first side's left end, and that from its right end [m].
    sds : (6,) float
        Their standard deviations [mm].
    place : str
        For the message.

    Returns
    -------
    tuple of Line
        Each angle inside the room [rad] and its variance [rad²].

    Raises
    ------
    TakeoffError
        Lengths that no such room has.

    Examples
    --------
    A room of 4 by 3 m that is square: both diagonals 5 m.

    >>> angles = angles_of(np.array([4.0, 3.0, 4.0, 3.0, 5.0, 5.0]), np.full(6, 2.0))
    >>> [round(math.degrees(each.turn), 6) for each in angles]
    [90.0, 90.0, 90.0, 90.0]
    """
    sd_m = sds / MM_PER_M

    def off(shape: Floats) -> Floats:
        return np.asarray((_lengths(shape) - lengths) / sd_m)

    found = least_squares(off, _first_shape(lengths, place), method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    if 2.0 * found.cost > MOST_SD**2:
        raise TakeoffError(_no_room(lengths, float(np.abs(found.fun * sds).max()), place))
    by_shape = np.asarray(found.jac)
    spread = np.linalg.inv(by_shape.T @ by_shape)
    angles = _angles(found.x)
    slopes = approx_fprime(found.x, _angles, SMALL)
    return tuple(
        Line(float(angle), float(row @ spread @ row)) for angle, row in zip(angles, slopes, strict=True)
    )


def _places(shape: Floats) -> Floats:
    """Corners (4, 2) of a room whose first side runs along the axis [m]: shape is x of the second, and the
    other two."""
    return np.array([[0.0, 0.0], [shape[0], 0.0], shape[1:3], shape[3:5]])


def _lengths(shape: Floats) -> Floats:
    places = _places(shape)
    return np.asarray(np.hypot(*(places[ENDS[:, 1]] - places[ENDS[:, 0]]).T))


def _angles(shape: Floats) -> Floats:
    """Angles inside, at the second corner, the third, the fourth and the first [rad]."""
    places = _places(shape)
    back, on = np.roll(places, 1, axis=0) - places, np.roll(places, -1, axis=0) - places
    cross = on[:, 0] * back[:, 1] - on[:, 1] * back[:, 0]
    return np.roll(np.mod(np.arctan2(cross, (on * back).sum(axis=1)), 2 * math.pi), -1)


def _first_shape(lengths: Floats, place: str) -> Floats:
    """Two triangles on the first diagonal, to start from."""
    first, second, third, fourth, across, _ = lengths
    triangles = ((first, second), (fourth, third))
    if any(not abs(one - other) < across < one + other for one, other in triangles):
        raise TakeoffError(_no_room(lengths, None, place))
    right, left = (
        math.acos((one**2 + across**2 - other**2) / (2 * one * across)) for one, other in triangles
    )
    return np.array([first, across * math.cos(right), across * math.sin(right),
                     fourth * math.cos(right + left), fourth * math.sin(right + left)])  # fmt: skip


def _no_room(lengths: Floats, off_mm: float | None, place: str) -> Mistake:
    sides = ", ".join(f"{each:g}" for each in lengths[:SIDES])
    off = "" if off_mm is None else f", {off_mm:.0f} mm off the nearest that there is"
    return Mistake(
        f"diagonals of {lengths[4]:g} and {lengths[5]:g} m over sides of {sides} m{off}",
        "two diagonals and four sides fit one room, within what a tape and the widths may be off",
        "tape both diagonals again from corner to corner, or the sides too and enter them as sides_m",
        place,
    )
