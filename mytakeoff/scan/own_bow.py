"""An instrument's own bow: ranges that err alike in a direction, so that all walls of a station are bent.

Cheap depth cameras and spinning scanners measure too long or too short towards the sides of what they see. On
one wall that looks like a bowed wall. Where walls that stand differently to the instrument are bent alike, it
is the instrument; where only one wall tells, it can be said that its bow may be.

Notes
-----
The error of a range is taken to grow with the square of one of three angles: from the line of sight (a
camera), above or below level (a spinning scanner), or from the perpendicular of the wall (how flatly the beam
meets it). Nothing finer is told by a wall that may be bowed itself. On each wall the coefficient is fitted
beside a plane, over the cells of its smooth face, and may be off by as much as large patches differ.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from mytakeoff.formats.formats import say
from mytakeoff.scan.walls import NEAR_M, ORIGIN_FAR, CloudWall
from mytakeoff.survey.stance import fitted, ninths, smooth_face, spread_of
from mytakeoff.survey.survey import Floats

Angle = Literal["from the line of sight", "above level", "from the perpendicular"]
ANGLES: tuple[Angle, ...] = ("from the line of sight", "above level", "from the perpendicular")
NARROW = 0.6  # length of the mean of all directions from which on the instrument looks one way, as a camera
LEAST_MM = 3.0  # a bow of less over a wall is not told from the wall's own
SURE, LIKELY = 3.0, 2.0  # standard deviations
ALIKE = 0.5  # of the common coefficient that each wall's may differ by
SAME_WAY = 0.94  # walls whose directions have a larger product stand alike and tell nothing of one another
EXPLAINED = 0.4  # of a wall's bend that has to lie about the instrument's axis, so that it may be its


@dataclass(frozen=True, eq=False)
class OwnBow:
    """What an instrument bends a wall by, as far as it is told.

    Parameters
    ----------
    sensor_m, axis : (3,) float
        Where it stood, and the way it looked, in the wall's frame: along, up, towards the room [m, -].
    angle : str
        With whose square a range errs.
    mm_per_rad2, off_mm_per_rad2 : float
        How much too long a range is for a radian squared, and how far that may be off [mm].
    over_mm : float
        From the hollowest to the proudest place that it makes on this wall, its plane taken out [mm].
    shared : bool
        Whether other walls of the scan are bent alike; else it may be the wall's own bow.
    """

    sensor_m: Floats
    axis: Floats
    angle: Angle
    mm_per_rad2: float
    off_mm_per_rad2: float
    over_mm: float
    shared: bool

    def still_mm(self, taken_out: bool) -> float:
        """What of it is in the wall's readings; once it is taken out, what may be left of it [mm]."""
        left = min(1.0, LIKELY * self.off_mm_per_rad2 / max(abs(self.mm_per_rad2), 1e-12))
        return self.over_mm * left if taken_out else self.over_mm

    def said(self, taken_out: bool) -> str:
        """What the user should know of it."""
        over = f"{say(self.over_mm)} mm from its hollowest to its proudest place"
        if not self.shared:
            return (
                f"The wall bows by {over}, about where the instrument looked: that may be the instrument's "
                "own bow, which one wall alone cannot tell."
            )
        if taken_out:
            return f"The instrument bends all walls of this scan alike; this one's {over} were taken out."
        return (
            f"The instrument bends all walls of this scan alike, this one by {over}: say whether that is "
            "taken out."
        )

    def other_side(self, width_m: float) -> OwnBow:
        """The same for the wall as it is seen from behind; its width [m]."""
        mirror = np.array([-1.0, 1.0, -1.0])
        sensor = self.sensor_m * mirror + np.array([width_m, 0.0, 0.0])
        return replace(self, sensor_m=sensor, axis=self.axis * mirror)

    def taken_out(self, places_m: Floats) -> Floats:
        """Points (n, 3) of the wall's frame moved along their rays to where they were without it [m]."""
        ray = _rays(places_m, self.sensor_m)
        too_long_m = self.mm_per_rad2 / 1000.0 * _squared(self.angle, ray, self.axis)
        return np.asarray(places_m - ray * too_long_m[:, None])


@dataclass(frozen=True)
class _Told:
    """What one wall tells of an error that grows with the square of an angle.

    Its coefficient and how far that may be off [mm]; how far the wall is bent for a coefficient of 1, its
    plane taken out [-]; the part of the wall's bend that the error makes [-].
    """

    mm: float
    off_mm: float
    bend: float
    explained: float

    @property
    def sure(self) -> bool:
        """Whether it is more than nothing."""
        return abs(self.mm) > SURE * self.off_mm


@dataclass(frozen=True, eq=False)
class _Seen:
    """One wall as an instrument sees it, in the wall's frame."""

    wall: CloudWall
    sensor: Floats
    sight: Floats

    @cached_property
    def told(self) -> dict[Angle, _Told]:
        """What it tells for each angle."""
        x, z, proud_mm = self.wall.cells
        counts, face_mm = smooth_face(x, z, proud_mm, np.ones_like(x))
        ray = _rays(np.column_stack([x, z, proud_mm / 1000.0]), self.sensor)
        plane, patch = np.column_stack([np.ones_like(x), x, z]), ninths(x, z)

        def off(columns: Floats, values: Floats) -> Floats:
            return np.asarray((values - columns @ fitted(columns, values, counts))[counts > 0])

        told = {}
        for angle in ANGLES:
            made = _squared(angle, ray, self.sight) * ray[:, 2]
            with_it = np.column_stack([plane, made])
            left = np.square(off(with_it, face_mm)).sum() / max(np.square(off(plane, face_mm)).sum(), 1e-12)
            mm = float(fitted(with_it, proud_mm, counts)[3])
            off_mm = float(spread_of(with_it, proud_mm, counts, patch)[3])
            told[angle] = _Told(mm, off_mm, float(np.ptp(off(plane, made))), 1.0 - float(left))
        return told

    def bow(self, angle: Angle, mm: float, off_mm: float, shared: bool) -> OwnBow:
        """What a coefficient does to this wall."""
        over_mm = abs(mm) * self.told[angle].bend
        return OwnBow(self.sensor, self.sight, angle, mm, off_mm, over_mm, shared)


def own_bows_steps(
    walls: Sequence[CloudWall], points_m: Floats, sensors_m: Floats
) -> Generator[None, None, tuple[OwnBow | None, ...]]:
    """What the instrument bends each wall of a scan by, in steps; None where nothing of the kind is told.

    Parameters
    ----------
    walls : sequence of CloudWall
    points_m : (n, 3) float
        The thinned cloud [m].
    sensors_m : (k, 3) float
        Where instruments stood; the origin is taken for it where the file says nothing [m].
    """
    if len(sensors_m) > 1:
        return (None,) * len(walls)  # which of them saw a point is not known
    sensor = sensors_m[0] if len(sensors_m) else np.zeros(3)
    sight = _rays(points_m, sensor).mean(axis=0)
    angles = ANGLES if np.linalg.norm(sight) > NARROW else ANGLES[1:]
    seen = [_seen(wall, sensor, sight) for wall in walls]
    there = [each for each in seen if each is not None]
    for each in there:
        _ = each.told  # kept
        yield
    shared = [common for angle in angles if (common := _common(there, angle)) is not None]
    if shared:
        _, angle, mm, off_mm = min(shared)
        return tuple(None if each is None else each.bow(angle, mm, off_mm, True) for each in seen)
    return tuple(None if each is None else _alone(each, there, angles) for each in seen)


def _seen(wall: CloudWall, sensor: Floats, sight: Floats) -> _Seen | None:
    """A wall as it is seen from the sensor; None where that is on the wall's plane or in another country."""
    frame = wall.frame
    x, z, proud = (float(each[0]) for each in frame.places(sensor[None, :]))
    size = max(frame.width_m, frame.height_m)
    if abs(proud) < NEAR_M * wall.scale or np.linalg.norm([x, z, proud]) > ORIGIN_FAR * size:
        return None
    way = np.array([sight @ frame.right, sight @ frame.up, sight @ frame.out])
    return _Seen(wall, np.array([x, z, proud]), way / max(float(np.linalg.norm(way)), 1e-12))


def _rays(places_m: Floats, sensor: Floats) -> Floats:
    """Directions (n, 3) from the sensor to some places [-]."""
    away = places_m - sensor
    return np.asarray(away / np.maximum(np.linalg.norm(away, axis=1), 1e-9)[:, None])


def _squared(angle: Angle, ray: Floats, sight: Floats) -> Floats:
    """The square of an angle of each ray [rad²]."""
    if angle == "above level":
        return np.asarray(np.arcsin(np.clip(ray[:, 1], -1.0, 1.0)) ** 2)
    along = ray @ sight if angle == "from the line of sight" else np.abs(ray[:, 2])
    return np.asarray(np.arccos(np.clip(along, -1.0, 1.0)) ** 2)


def _common(seen: Sequence[_Seen], angle: Angle) -> tuple[float, Angle, float, float] | None:
    """The coefficient that walls standing differently share: misfit, angle, it, how far off; None: none."""
    known = [each for each in seen if np.isfinite(each.told[angle].off_mm)]
    if not _differ([each for each in known if each.told[angle].sure]):
        return None
    mm = np.array([each.told[angle].mm for each in known])
    off = np.array([each.told[angle].off_mm for each in known])
    weight = 1.0 / np.maximum(off, 1e-3 * np.abs(mm).max()) ** 2
    common = float(weight @ mm / weight.sum())
    misfit = float(weight @ (mm - common) ** 2 / (len(mm) - 1))
    common_off = float(np.sqrt(max(misfit, 1.0) / weight.sum()))
    alike = np.abs(mm - common) <= np.maximum(ALIKE * abs(common), SURE * off)
    most = max(abs(common) * each.told[angle].bend for each in known)
    if abs(common) <= SURE * common_off or not alike.all() or most < LEAST_MM:
        return None
    return misfit, angle, common, common_off


def _differ(seen: Sequence[_Seen]) -> bool:
    """Whether two of some walls stand differently."""
    ways = [each.wall.frame.out for each in seen]
    return any(float(one @ other) < SAME_WAY for one in ways for other in ways)


def _alone(seen: _Seen, others: Sequence[_Seen], angles: Sequence[Angle]) -> OwnBow | None:
    """What may be the instrument's in a wall that no other confirms; None: its bow is its own, or none."""
    angle = max(angles, key=lambda each: seen.told[each].explained)
    told = seen.told[angle]
    if told.explained < EXPLAINED or abs(told.mm) * told.bend < LEAST_MM:
        return None
    for other in others:
        its = other.told[angle]
        if abs(its.mm - told.mm) > SURE * np.hypot(its.off_mm, told.off_mm) and _differ([seen, other]):
            return None  # another wall is not bent so
    return seen.bow(angle, told.mm, told.off_mm, False)
