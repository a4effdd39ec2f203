"""A job with other walls: what its rooms say of how walls join goes with those that are no more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import mytakeoff as mt


def of_walls(job: mt.Job, walls: Iterable[mt.JobWall], **changes: Any) -> mt.Job:
    """The job with these walls, the corners and widths between them, and other fields changed."""
    walls = tuple(walls)
    names = [entry.name for entry in walls]
    rooms = tuple(room.of_walls(names) for room in changes.pop("rooms", job.rooms))
    return replace(job, walls=walls, rooms=rooms, **changes)
