"""Where cables are to be expected: the usual zones, to look there first before drilling.

The zones of BS 7671:2018, 522.6.202 (seen on secondary pages): within 150 mm of the top of the wall, within
150 mm of an angle of two walls, and straight up, down or across from an accessory; on a wall of 100 mm or
less also from the accessories of its other face. There is no zone along the bottom of the wall.
"""

from __future__ import annotations

from dataclasses import dataclass

from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.wall import Rectangle

EDGE_M = 0.15
ACCESSORY_M = 0.15  # a double socket's width (common practice, no source): the strip is as wide as that
SOURCE = "BS 7671:2018, 522.6.202, seen on secondary pages"
WARNING = (
    "Striped ground: look here first. These are only the usual zones: old wiring keeps to none of them, "
    "pipes to no zone at all. They do not replace a detector, nor switching off at the board and "
    "proving dead."
)


@dataclass(frozen=True)
class Zone:
    """Ground in which a cable is to be expected, and why."""

    ground: Rectangle
    why: str

    def holds(self, x_m: float, z_m: float) -> bool:
        """Whether a place [m] lies in it, its rim included."""
        left, low = self.ground.x_m, self.ground.z_m
        return (
            left - 1e-9 <= x_m <= left + self.ground.width_m + 1e-9
            and low - 1e-9 <= z_m <= low + self.ground.height_m + 1e-9
        )


def zones_of(entry: JobWall) -> tuple[Zone, ...]:
    """The usual zones of one wall: top, corners, and from each fitting with a cable on either face.

    Examples
    --------
    >>> from mytakeoff.job.job_wall import Fitting
    >>> from mytakeoff.survey.survey import Survey
    >>> from mytakeoff.survey.wall import Wall
    >>> wall = Wall("A", 4.0, 2.6)
    >>> survey = Survey.from_readings(wall, [0, 4, 0], [0, 0, 2.6], [0, 0, 0])
    >>> socket = Fitting("socket", "socket", 1.2, 0.45)
    >>> entry = JobWall(wall, "room", survey, "brick", fittings=(socket,))
    >>> [zone.why for zone in zones_of(entry) if zone.holds(3.0, 0.5)]
    ['level with the socket']
    """
    wall = entry.wall
    side = min(EDGE_M, wall.width_m)
    top = min(EDGE_M, wall.height_m)
    zones = [
        Zone(Rectangle(0.0, wall.height_m - top, wall.width_m, top), "top of the wall"),
        Zone(Rectangle(0.0, 0.0, side, wall.height_m), "left corner"),
        Zone(Rectangle(wall.width_m - side, 0.0, side, wall.height_m), "right corner"),
    ]
    for fitting in (fitting for fitting in entry.fittings if fitting.cabled):
        face = " on the other face, in a wall of 100 mm or less" if fitting.other_face else ""
        left, right = _around(fitting.x_m, wall.width_m)
        low, high = _around(fitting.z_m, wall.height_m)
        upright = Rectangle(left, 0.0, right - left, wall.height_m)
        level = Rectangle(0.0, low, wall.width_m, high - low)
        zones.append(Zone(upright, f"above and below the {fitting.name}{face}"))
        zones.append(Zone(level, f"level with the {fitting.name}{face}"))
    return tuple(zones)


def _around(middle_m: float, end_m: float) -> tuple[float, float]:
    """A strip as wide as an accessory, kept on the wall."""
    return max(0.0, middle_m - ACCESSORY_M / 2), min(end_m, middle_m + ACCESSORY_M / 2)


def cable_reasons(zones: tuple[Zone, ...], x_m: float, z_m: float) -> tuple[str, ...]:
    """Why a cable is to be expected at a place [m]; empty outside the usual zones."""
    return tuple(zone.why for zone in zones if zone.holds(x_m, z_m))
