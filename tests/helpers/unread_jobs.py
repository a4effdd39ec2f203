"""Jobs that are only begun: without a wall, and with walls that are not read yet."""

from __future__ import annotations

from dataclasses import replace

from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt

READ, UNREAD = "breast left cheek", "breast right cheek"


def unread(job: mt.Job, *names: str) -> mt.Job:
    """The job with nothing read of these walls."""
    return replace(
        job,
        walls=tuple(
            replace(wall, survey=mt.Survey.none(wall.wall)) if wall.name in names else wall
            for wall in job.walls
        ),
    )


def bare(job: mt.Job) -> mt.Job:
    """The job without rooms and walls."""
    return replace(job, walls=(), rooms=(), extras=(), only=(), compare=replace(job.compare, beside=()))


def small() -> mt.Job:
    """Two small walls of the demo job, both read; in no folder, whose `finished.toml` is of all of it."""
    job = coarse_demo()
    walls = tuple(wall for wall in job.walls if wall.name in (READ, UNREAD))
    return of_walls(job, walls, compare=replace(job.compare, beside=()), folder="")


BEGUN = {
    "no wall": lambda: bare(small()),
    "none read": lambda: unread(small(), READ, UNREAD),
    "none of the priced read": lambda: replace(unread(small(), UNREAD), only=(UNREAD,)),
    "some read": lambda: unread(small(), UNREAD),
}
