"""From what was measured at a corner to the angle between the planes that its walls were read off.

Off the rough faces a square or a tape tells the angle between two lines that lie on them. Each line stands
askew to the survey's plane by what the readings at its two ends differ; so much is taken off.

Notes
-----
Facing a wall, x runs to the right and `proud` towards you, so a line that comes forward to the right is
turned clockwise, seen from above, by ``beta = atan(slope)``. The angle inside the room between two walls is
what their planes have, less ``beta_next - beta_wall``.

Standard deviations are put together as those of independent errors (Gauss): of the tape, of a reading, and of
the rough face where nobody read it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from mytakeoff.corners.room_corner import OffSquare, RoomCorner, Triangle
from mytakeoff.survey.corner import proud_mm_at
from mytakeoff.survey.edges import UNDER_M
from mytakeoff.survey.interpolate import distance_m, readings_of
from mytakeoff.survey.survey import Floats, Survey

MM_PER_M = 1000.0
READ_SD_MM = 1.0  # of a reading of the survey; common practice, no source
# Of the face between readings by hand, half of what an edge there is trusted to; common practice, no source.
BETWEEN_SD_MM = 2.0


@dataclass(frozen=True)
class MeasuredCorner:
    """A corner as it was found.

    Parameters
    ----------
    corner : RoomCorner
    angle_deg : float or None
        Between the planes that its two walls were measured off, inside the room; None: free [°].
    sd_mm_per_m : float
        Its standard deviation, 0 where it is exact [mm/m].
    """

    corner: RoomCorner
    angle_deg: float | None
    sd_mm_per_m: float = 0.0

    @property
    def off_mm_per_m(self) -> float | None:
        """How much wider than wanted the planes stand, over a metre [mm/m].

        Examples
        --------
        >>> round(MeasuredCorner(RoomCorner("A", "B"), 90.5).off_mm_per_m, 2)
        8.73
        """
        if self.angle_deg is None:
            return None
        return MM_PER_M * math.radians(self.angle_deg - self.corner.angle_deg)


@dataclass(frozen=True)
class Line:
    """A line on a wall: its turn from the survey's plane, clockwise [rad], and its variance [rad²]."""

    turn: float
    variance: float

    @classmethod
    def through(cls, x_m: Sequence[float], proud_mm: Floats, variance_mm2: Floats) -> Line:
        """Through two places of a wall with their heights and the variances of these [m, mm, mm²].

        Examples
        --------
        >>> line = Line.through((0.0, 2.0), np.array([0.0, 4.0]), np.array([1.0, 1.0]))
        >>> round(1000 * line.turn, 3), round(1000 * line.variance**0.5, 3)
        (2.0, 0.707)
        """
        run = x_m[1] - x_m[0]
        slope = float(proud_mm[1] - proud_mm[0]) / run / MM_PER_M
        variance = float(variance_mm2.sum()) / run**2 / MM_PER_M**2
        return cls(math.atan(slope), variance / (1.0 + slope**2) ** 2)

    @classmethod
    def on_face(cls, survey: Survey, x_m: Sequence[float], z_m: float, sd_mm: float = READ_SD_MM) -> Line:
        """On the rough face from one place to another, at one height [m], read to `sd_mm` [mm]."""
        x, z = np.array(x_m), np.full(2, z_m)
        return cls.through(x_m, proud_mm_at(survey, x, z), face_variance_mm2(survey, x, z, sd_mm))


def face_variance_mm2(survey: Survey, x_m: Floats, z_m: Floats, sd_mm: float = READ_SD_MM) -> Floats:
    """Variance of the face at single places: of a reading, and of the rough face between them [mm²]."""
    variance = np.full(x_m.size, sd_mm**2)
    if survey.layout != "scan":
        variance[distance_m(readings_of(survey), x_m, z_m) > UNDER_M] += BETWEEN_SD_MM**2
    return variance


def measured(corner: RoomCorner, surveys: Mapping[str, Survey]) -> MeasuredCorner:
    """The angle between the planes that two walls were measured off.

    Parameters
    ----------
    corner : RoomCorner
    surveys : mapping of str to Survey
        By the names of their walls: those off a plumb plane of which enough is read. Without both of the
        corner's it is free.

    Returns
    -------
    MeasuredCorner

    Examples
    --------
    Both faces lie on their planes, and the tape from mark to mark is 15 mm longer than 5 m: 90.36°, and two
    millimetres' standard deviation of three tapes, with a reading's, come to 1.5 mm/m.

    >>> from mytakeoff.survey.wall import Wall
    >>> read = [0, 3, 4, 0, 3, 4], [1, 1, 1, 2, 2, 2], [0, 0, 0, 0, 0, 0]
    >>> surveys = {name: Survey.from_readings(Wall(name, 4.0, 2.5), *read) for name in "AB"}
    >>> found = measured(RoomCorner("A", "B", triangle=Triangle(3.0, 4.0, 5.015, 1.0)), surveys)
    >>> round(found.angle_deg, 2), round(found.sd_mm_per_m, 2)
    (90.36, 1.48)
    """
    if not corner.measured or not {corner.wall, corner.next_wall} <= set(surveys):
        return MeasuredCorner(corner, None)
    if corner.one_set_up:
        return MeasuredCorner(corner, corner.angle_deg)
    wall, after = surveys[corner.wall], surveys[corner.next_wall]
    if corner.off_square is not None:
        between, (line, next_line) = (
            Line(math.radians(corner.angle_deg), 0.0),
            _square_lines(corner, corner.off_square, surveys),
        )
    else:
        assert corner.triangle is not None
        between, (line, next_line) = _taped(corner.triangle), _run_lines(corner.triangle, wall, after)
    return brought_to_planes(corner, between, line, next_line)


def brought_to_planes(corner: RoomCorner, between: Line, line: Line, next_line: Line) -> MeasuredCorner:
    """A corner by the angle between a line on each of its walls, and how these lie to the survey's planes."""
    angle = between.turn + next_line.turn - line.turn
    variance = between.variance + line.variance + next_line.variance
    return MeasuredCorner(corner, math.degrees(angle), MM_PER_M * math.sqrt(variance))


def _square_lines(corner: RoomCorner, square: OffSquare, surveys: Mapping[str, Survey]) -> tuple[Line, Line]:
    """How the two legs of a square lie to the planes of `wall` and `next_wall`."""
    on_wall = square.on == corner.wall
    laid = Line.on_face(surveys[square.on], square.on_x_m, square.z_m, square.sd_mm)
    other = surveys[corner.next_wall if on_wall else corner.wall]
    x, z = np.array(square.x_m), np.full(2, square.z_m)
    stands_mm = proud_mm_at(other, x, z) + np.array(square.off_square_mm)
    variance = face_variance_mm2(other, x, z, square.sd_mm) + square.sd_mm**2
    leg = Line.through(square.x_m, stands_mm, variance)
    return (laid, leg) if on_wall else (leg, laid)


def _run_lines(triangle: Triangle, wall: Survey, after: Survey) -> tuple[Line, Line]:
    """How the runs of a triangle lie to the planes of `wall` and `next_wall`."""
    end = wall.wall.width_m
    along = max(end - triangle.run_m, 0.0), end
    beyond = 0.0, min(triangle.next_run_m, after.wall.width_m)
    return Line.on_face(wall, along, triangle.z_m), Line.on_face(after, beyond, triangle.z_m)


def _taped(triangle: Triangle) -> Line:
    """The angle of a triangle by its sides (law of cosines) and its variance [rad, rad²]."""
    run, after, across = triangle.run_m, triangle.next_run_m, triangle.diagonal_m
    cosine = (run**2 + after**2 - across**2) / (2 * run * after)
    angle = math.acos(cosine)
    by_length = (across, run - after * cosine, after - run * cosine)
    sd_m = triangle.sd_mm / MM_PER_M
    height = run * after * math.sin(angle)
    return Line(angle, sum((each * sd_m / height) ** 2 for each in by_length))
