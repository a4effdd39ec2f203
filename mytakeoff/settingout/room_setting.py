"""A room of the job set out: its planes, whether the walls stand on them, and the lines that find them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from mytakeoff.errors import TakeoffError, told
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.job import Job
from mytakeoff.plane.target_plane import TargetPlane
from mytakeoff.rooms.planes import RoomPlanes, SquaredCorner
from mytakeoff.settingout.faces_in_plan import rough_turn_rad
from mytakeoff.settingout.square_lines import SquareLines, square_lines
from mytakeoff.treatment.room_planes import room_planes
from mytakeoff.treatment.wall_result import WallResult

SAME_MM = 0.01
FEWEST = 2  # walls that have a corner between them


@dataclass(frozen=True, eq=False)
class RoomSetting:
    """A room whose corners are listed.

    Parameters
    ----------
    name : str
    planes : RoomPlanes or None
        None where they cannot be found: `why` says it.
    walls : mapping of str to WallResult
        Those that take part.
    squared : bool
        Whether the job brings them to these planes; False: so they would stand.
    lines : tuple of SquareLines
        Empty where they are not.
    why : str
    formats : Formats
    """

    name: str
    planes: RoomPlanes | None = None
    walls: Mapping[str, WallResult] | None = None
    squared: bool = False
    lines: tuple[SquareLines, ...] = ()
    why: str = ""
    formats: Formats = HOUSE

    def found_deg(self, corner: SquaredCorner) -> float | None:
        """The angle between the rough faces at a corner, by the lines that they lie about [°]."""
        if corner.planes_deg is None or self.walls is None:
            return None
        turns = (rough_turn_rad(self.walls[name]) for name in (corner.next_wall, corner.wall))
        return corner.planes_deg - math.degrees(next(turns) - next(turns))


def rooms_set_out(job: Job, walls: Sequence[WallResult]) -> tuple[RoomSetting, ...]:
    """The rooms of a job whose corners are listed.

    Parameters
    ----------
    job : Job
    walls : sequence of WallResult
        As the job treats them.
    """
    return tuple(_rooms(job, {wall.entry.name: wall for wall in walls}))


def _rooms(job: Job, walls: Mapping[str, WallResult]) -> Iterator[RoomSetting]:
    for room in job.rooms:
        inside = [wall for wall in walls.values() if wall.entry.room == room.name]
        if not room.corners or len(inside) < FEWEST:
            continue
        try:
            planes = room_planes(job, room.name, job.plane.corner_tolerance_mm_per_m)
        except TakeoffError as error:
            yield RoomSetting(room.name, why=" ".join(told(error.mistakes, 1)), formats=job.formats)
            continue
        part = {name: walls[name] for name in planes.walls}
        squared = all(wall.floated and _same(wall, planes.walls[name]) for name, wall in part.items())
        lines = square_lines(planes, part, job.formats.feet_and_inches) if squared else ()
        yield RoomSetting(room.name, planes, part, squared, lines, formats=job.formats)


def _same(wall: WallResult, plane: TargetPlane) -> bool:
    """Whether a wall is brought to a plane."""
    ends = ((x, z) for x in (0.0, wall.entry.wall.width_m) for z in (0.0, wall.entry.wall.height_m))
    return all(abs(float(wall.plane.at(*end)) - float(plane.at(*end))) <= SAME_MM for end in ends)
