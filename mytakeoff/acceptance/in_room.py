"""How a finished wall stands in its room: its corners, by later surveys, and its clear widths, by tape.

A later survey is read off a plane of its own. Its fixed places tell how that is turned against the plane of
the first one, and between those planes the corner was measured when the job was priced.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.acceptance.conformity import AcceptanceRule, Judged
from mytakeoff.acceptance.in_words import where_words
from mytakeoff.acceptance.judge_finished import CORNER, judge_corner, judge_width
from mytakeoff.acceptance.read_stance import ReadStance, read_stance
from mytakeoff.acceptance.reading_errors import ReadingErrors
from mytakeoff.acceptance.rounds import face_of
from mytakeoff.change.registration import enough, registered, tells_all
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.measuring import measured
from mytakeoff.corners.room_corner import RoomCorner
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.finished.taped_width import TapedWidth
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.survey import Survey

Surveys = Mapping[str, Mapping[str, Survey]]
NO_TOLERANCE = "Corners are not judged: no tolerance of them was agreed."
WHAT_IT_TAKES = (
    "it takes the corner measured, and the finished face of both walls read with their fixed places."
)


@dataclass(frozen=True)
class InRoom:
    """How one wall stands to the others.

    Parameters
    ----------
    judged : tuple of Judged
        Corners that the surveys of both walls tell, clear widths that were taped.
    notices : tuple of str
        Those that were promised and are not told, and why.
    """

    judged: tuple[Judged, ...] = ()
    notices: tuple[str, ...] = ()


NOTHING_ELSE = InRoom()


def judge_in_room(
    job: Job, name: str, finished: Finished, surveys: Surveys, rule: AcceptanceRule | None = None
) -> InRoom:
    """Hold the corners of a finished wall to the angles that were promised, and what must remain to the tape.

    Parameters
    ----------
    job : Job
        Whose planes are brought square to one another in the room (``kind = "room"``); else no corner was
        promised.
    name : str
        The wall's.
    finished : Finished
        What was written down of it and of its neighbours.
    surveys : mapping of str to mapping of str to Survey
        By wall, then by the files that `finished` names.
    rule : AcceptanceRule or None
        None: guarded acceptance.

    Raises
    ------
    TakeoffError
        A survey of too few readings.
    """
    rule = rule or AcceptanceRule()
    at_corners, at_widths = _corners(job, name, finished, surveys, rule), _widths(job, name, finished, rule)
    return InRoom(at_corners.judged + at_widths.judged, at_corners.notices + at_widths.notices)


def _corners(job: Job, name: str, finished: Finished, surveys: Surveys, rule: AcceptanceRule) -> InRoom:
    """The corners of a wall, where its plane was brought square in the room."""
    corners = [each for room in job.rooms for each in room.corners if name in (each.wall, each.next_wall)]
    if job.plane.kind != "room" or not corners:
        return NOTHING_ELSE
    limit = job.plane.corner_tolerance_mm_per_m
    if limit <= 0:
        return InRoom(notices=(NO_TOLERANCE,))
    judged, notices = list[Judged](), list[str]()
    for corner in corners:
        found = _judged(job, corner, limit, finished, surveys)
        other = corner.next_wall if corner.wall == name else corner.wall
        if found is None:
            notices.append(f"The corner with {other} is not judged: {WHAT_IT_TAKES}")
        else:
            judged.append(replace(found, what=f"{CORNER} with {other}", rule=rule))
    return InRoom(tuple(judged), tuple(notices))


def widths_at(job: Job, name: str) -> tuple[tuple[str, ClearWidth], ...]:
    """The clear widths that a wall stands at, each with its room's name."""
    asked = ((room.name, each) for room in job.rooms for each in room.clear_widths)
    return tuple((room, each) for room, each in asked if name in (each.wall, each.opposite))


def no_more_asked(job: Job, finished: Finished) -> tuple[TapedWidth, ...]:
    """What was taped, and no room asks for by that name."""
    asked = {(room.name, each.name) for room in job.rooms for each in room.clear_widths}
    return tuple(each for each in finished.clear_widths if (each.room, each.name) not in asked)


def is_taped(job: Job, name: str, finished: Finished) -> bool:
    """Whether a clear width was taped that a wall stands at."""
    return any(_taped(room, each, finished) for room, each in widths_at(job, name))


def _taped(room: str, asked: ClearWidth, finished: Finished) -> TapedWidth | None:
    there = (each for each in finished.clear_widths if (each.room, each.name) == (room, asked.name))
    return next(there, None)


def _widths(job: Job, name: str, finished: Finished, rule: AcceptanceRule) -> InRoom:
    """The clear widths of a wall: surveys tell them no better than a tape, which is laid in a minute."""
    judged, notices = list[Judged](), list[str]()
    for room, asked in widths_at(job, name):
        taped = _taped(room, asked, finished)
        if taped is not None:
            judged.append(judge_width(asked, taped.mm, taped.known_mm, rule))
            continue
        where = where_words(asked, job.formats)
        notices.append(f"The clear width for {asked.name} is not judged: lay a tape {where}.")
    return InRoom(tuple(judged), tuple(notices))


def _judged(
    job: Job, corner: RoomCorner, limit: float, finished: Finished, surveys: Surveys
) -> Judged | None:
    names, entries = (corner.wall, corner.next_wall), {entry.name: entry for entry in job.walls}
    records = {wall.name: wall for wall in finished.walls}
    if not all(name in entries and name in records for name in names):
        return None
    stands = [
        _in_first_frame(job, entries[each], records[each], surveys.get(each, {}).get(records[each].after))
        for each in names
    ]
    first = {each: entries[each].survey for each in names if entries[each].survey.plumb}
    if len(first) < len(names) or stands[0] is None or stands[1] is None:
        return None
    return judge_corner(measured(corner, first), (stands[0], stands[1]), limit)


def _in_first_frame(
    job: Job, entry: JobWall, record: FinishedWall, after: Survey | None
) -> ReadStance | None:
    """How a finished face stands to the plane of the wall's first survey; None where nothing ties them."""
    if after is None:
        return None
    again = {each.name: each.after_mm for each in record.fixed_again if each.after_mm is not None}
    places = [each for each in entry.fixed_places if each.name in again]
    x, z = np.array([each.x_m for each in places]), np.array([each.z_m for each in places])
    plumb = entry.survey.plumb and after.plumb
    if not enough(x, z, plumb) or not tells_all(x, z, plumb):
        return None
    moved = np.array([again[each.name] - each.proud_mm for each in places])
    reading_mm = ReadingErrors().reading_mm
    fit = registered(x, z, moved, math.sqrt(2.0) * reading_mm, plumb).fit
    stands = read_stance(after, face_of(after, job.cell_m, job.reach_m), reading_mm)
    return replace(
        stands,
        turn_mm_per_m=stands.turn_mm_per_m - float(fit.unknowns[1]),
        turn_sd_mm_per_m=math.hypot(stands.turn_sd_mm_per_m, math.sqrt(float(fit.covariance[1, 1]))),
    )
