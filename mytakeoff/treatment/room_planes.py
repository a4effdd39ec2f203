"""The walls of a room of a job brought to planes together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from mytakeoff.bounds import check_number
from mytakeoff.corners.measuring import MeasuredCorner
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.job.choices import CORNER_TOLERANCE, Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.plane.outline import Outline
from mytakeoff.plane.rule import PlaneRule
from mytakeoff.rooms.joined import joined
from mytakeoff.rooms.planes import RoomPlanes
from mytakeoff.rooms.together import planes_together
from mytakeoff.surface.surface import Surface
from mytakeoff.treatment.bare_wall import CACHE_SIZE, bare_surface, own_rule

TWO_WALLS = 2
TURN_PLACES = 6  # of a turn [mm/m]: what a solver leaves beyond them moves no plaster


@lru_cache(maxsize=CACHE_SIZE)
def outline_stage(surface: Surface, rule: PlaneRule) -> Outline:
    """Cached `Outline.of`."""
    return Outline.of(surface, rule)


def room_planes(job: Job, room: str, tolerance_mm_per_m: float = 0.0) -> RoomPlanes:
    """The plumb planes of a room's walls that take the least plaster together.

    Corners stand at their angle, or within the tolerance of it; walls that shall be parallel are, within the
    same; clear widths that must remain do. Each plane keeps the least thickness of its wall and its rails, as
    `target_plane` does, on the faces as surveyed: loose plaster off, nothing taken down.

    Parameters
    ----------
    job : Job
    room : str
        Its name.
    tolerance_mm_per_m : float
        0 to 100 [mm/m].

    Returns
    -------
    RoomPlanes
        Of the walls that take part: priced, read, off a plumb plane, and not treated in another way of their
        own.

    Raises
    ------
    TakeoffError
        No such room, fewer than two walls that can take part, corners that do not close, walls that do not
        face one another, widths that cannot remain (by how much), or a survey that cannot be worked with.
    """
    check = Check(f"room {room!r}")
    check_number(check, CORNER_TOLERANCE, tolerance_mm_per_m=tolerance_mm_per_m)
    check.done()
    found = _room_called(job, room)
    walls, formats = _taking_part(job, found), job.formats.bare
    plumb = replace(job, plane=replace(job.plane, kind="plumb", cut_mm=0.0, lean_limit_mm_per_m=None))
    outlines = tuple(outline_stage(bare_surface(job, wall), own_rule(plumb, wall)) for wall in walls)
    surveys = tuple(wall.survey for wall in walls)
    planes = planes_together(found, surveys, outlines, float(tolerance_mm_per_m), formats)
    return replace(planes, notices=(*_left_out(job, found), *planes.notices))


def corners_found(job: Job, room: Room) -> tuple[MeasuredCorner, ...]:
    """The corners of a room as they were measured, closed where its walls go all round.

    What is priced makes no odds; a corner of a wall that cannot take part is free.

    Raises
    ------
    TakeoffError
        Angles that do not close, or are not those wanted by far; diagonals that no room has.
    """
    walls = _that_can(replace(job, only=()) if job.only else job, room)
    return joined(room, tuple(wall.survey for wall in walls)).corners


def priced_tolerance(job: Job, room: str, tolerances_mm_per_m: Sequence[float]) -> tuple[float, ...]:
    """What corners that may differ by so much save, against a room that is exactly square [l].

    Parameters
    ----------
    job : Job
    room : str
        Its name.
    tolerances_mm_per_m : sequence of float
        Each 0 to 100 [mm/m].

    Raises
    ------
    TakeoffError
        As `room_planes`.
    """
    square_l = room_planes(job, room).volume_l
    return tuple(square_l - room_planes(job, room, each).volume_l for each in tolerances_mm_per_m)


def squared_room(job: Job, name: str) -> RoomPlanes | None:
    """The planes of a room within the job's own tolerance; None where nothing of it can come square.

    What is priced alone makes no odds: a wall keeps the plane that it has in its room.

    Raises
    ------
    TakeoffError
        As `room_planes`, but for a room with less than two walls that can take part or with no corner.
    """
    room = next((each for each in job.rooms if each.name == name), None)
    whole = replace(job, only=()) if job.only else job
    if room is None or not room.corners or len(_that_can(whole, room)) < TWO_WALLS:
        return None
    planes = room_planes(whole, name, job.plane.corner_tolerance_mm_per_m)
    return planes if planes.squared else None


def may_come_square(job: Job) -> bool:
    """Whether a corner was measured between two walls of the job that can take part in their room."""
    for room in job.rooms:
        names = {wall.name for wall in _that_can(replace(job, only=()) if job.only else job, room)}
        for corner in room.corners:
            if {corner.wall, corner.next_wall} <= names and (corner.measured or room.diagonals is not None):
                return True
    return False


def squared_turn(job: Job, entry: JobWall) -> float | None:
    """Turn of a wall's plane where its room comes square; None: it takes no part [mm/m].

    Raises
    ------
    TakeoffError
        As `squared_room`.
    """
    if _treated_otherwise(entry):
        return None
    planes = squared_room(job, entry.room)
    if planes is None or entry.name not in planes.squared:
        return None
    return round(planes.walls[entry.name].b_mm_per_m, TURN_PLACES) + 0.0  # no -0.0


def is_squared(job: Job, entry: JobWall) -> bool:
    """Whether a wall shall come square in its room, as it is treated."""
    treatment = entry.treatment or job.treatment
    return job.plane.kind == "room" if treatment is None else treatment.in_room


def room_notices(job: Job) -> Iterator[str]:
    """What the user should know of the rooms that come square, and of those that cannot."""
    rooms = dict.fromkeys(wall.room for wall in job.priced_walls if is_squared(job, wall))
    for name in rooms:
        planes = squared_room(job, name)
        if planes is None:
            yield (
                f"{name}: nothing comes square there, and its walls are plumb and free to turn: no corner is "
                "known between two walls that were read off plumb planes."
            )
        else:
            yield from (f"{name}: {said}" for said in planes.notices)


def _room_called(job: Job, name: str) -> Room:
    for room in job.rooms:
        if room.name == name:
            return room
    names = ", ".join(repr(room.name) for room in job.rooms)
    remedy = f"choose from {names}" if names else "add the room"
    raise TakeoffError(Mistake(f"no room called {name!r}", "the job has to know it", remedy))


def _treated_otherwise(wall: JobWall) -> bool:
    """Whether a wall has a treatment of its own that does not square it."""
    return wall.treatment is not None and not wall.treatment.in_room


def _that_can(job: Job, room: Room) -> tuple[JobWall, ...]:
    """The walls of a room that can take part."""
    inside = (wall for wall in job.priced_walls if wall.room == room.name)
    return tuple(wall for wall in inside if wall.survey.plumb and not _treated_otherwise(wall))


def _taking_part(job: Job, room: Room) -> tuple[JobWall, ...]:
    """The walls of a room that its planes are found for; refused where they are fewer than two."""
    walls = _that_can(job, room)
    check = Check(f"room {room.name!r}")
    check.that(
        len(walls) >= TWO_WALLS,
        f"{len(walls) or 'no'} wall{'' if len(walls) == 1 else 's'} that can take part",
        "a room comes square by two walls that meet, priced, read, and off a plumb plane",
        "read the walls beside it off a plumb plane, or bring this one to a plane by itself",
    )
    check.done()
    return walls


def _left_out(job: Job, room: Room) -> Iterator[str]:
    """Why walls of a room take no part, and that nothing is taken down there."""
    for wall in (wall for wall in job.walls if wall.room == room.name):
        if wall not in job.chosen_walls:
            yield f"{wall.name} takes no part: it is not in the price."
        elif not wall.is_read:
            yield f"{wall.name} takes no part: it is not read yet."
        elif not wall.survey.plumb:
            yield f"{wall.name} takes no part: it was not read off a plumb plane."
        elif _treated_otherwise(wall):
            yield f"{wall.name} takes no part: it is treated in a way of its own."
    if job.plane.cut_mm > 0:
        yield "Nothing is taken down where the walls of a room come square together."
