"""The demo job with its front room's walls joined: round the chimney breast, by the alcove, to the window."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import mytakeoff as mt

ROOM = "front room"
SQUARE = mt.OffSquare("party wall", (2.7, 3.7), (0.1, 1.1), (12.0, 25.0), 1.3)
CORNERS = (  # clockwise as seen from above; invented, like the demo's readings
    mt.RoomCorner("breast left cheek", "breast front", 270.0, one_set_up=True),
    mt.RoomCorner("breast front", "breast right cheek", 270.0, one_set_up=True),
    mt.RoomCorner("breast right cheek", "party wall", one_set_up=True),
    mt.RoomCorner("party wall", "window wall", off_square=SQUARE),
)
WARDROBES = mt.ClearWidth(
    "run of wardrobes", "breast right cheek", "window wall", 3870.0, 0.2, between_planes_mm=3834.0
)


def joined(job: mt.Job) -> mt.Job:
    """The demo job with corners and a clear width."""
    rooms = (
        replace(room, corners=CORNERS, clear_widths=(WARDROBES,)) if room.name == ROOM else room
        for room in job.rooms
    )
    return replace(job, rooms=tuple(rooms))


def join_in(folder: Path, only: tuple[str, ...] = (), **plane: object) -> mt.Job:
    """Join them in a copy of the demo's folder, some walls alone priced, the plane chosen otherwise."""
    job = joined(mt.open_job(folder))
    mt.save_job(replace(job, only=only, plane=replace(job.plane, **plane)), folder)
    return mt.open_job(folder)
