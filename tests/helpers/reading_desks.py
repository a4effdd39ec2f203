"""A desk for readings over a job in a folder, saved as the job sheet saves it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import mytakeoff as mt
from mytakeoff.io.job.save_job import save_job
from mytakeoff.panels.readings.desk import ReadingsDesk
from mytakeoff.store import Store
from mytakeoff.survey.reading_grid import TypedGrid


class SavedDesk(ReadingsDesk):
    """A desk that saves its job, and what went wrong beside it."""

    def __init__(self, job: mt.Job) -> None:
        self.saved, self.errors = job, list[Exception]()
        super().__init__(Store(job), self.save, self.errors.append)

    def save(self) -> None:
        """Save the job over what was saved last."""
        self.saved = save_job(self.store.job, self.store.job.folder, self.saved).job

    @property
    def wall(self) -> mt.Survey:
        """The readings of the wall that is shown, in the job."""
        assert self._wall is not None
        return self.store.job.wall(self._wall).survey

    @property
    def grid(self) -> TypedGrid:
        """Its sheet's grid."""
        assert self._wall is not None
        typed = self.sheets.of(self._wall).own.typed
        assert isinstance(typed, TypedGrid)
        return typed


def unread(job: mt.Job, name: str) -> mt.Job:
    """The job with nothing read on a wall."""
    walls = (
        replace(each, survey=mt.Survey.none(each.wall)) if each.name == name else each for each in job.walls
    )
    return replace(job, walls=tuple(walls))


def held(job: mt.Job) -> mt.Job:
    """The job as a screen has it: what lies between the readings is worked out once the hand rests."""
    return replace(job, worked_out=replace(job.worked_out, held=True))


def desk_over(folder: Path, wall: str, *, nothing_read: bool = False) -> SavedDesk:
    """A desk for a wall of the job in a folder, from which its readings were taken out first if so wished."""
    job = mt.open_job(folder)
    if nothing_read:
        job = save_job(unread(job, wall), folder, job).job
    desk = SavedDesk(held(job))
    desk.show(wall)
    return desk


def type_column(desk: SavedDesk, column: int, start_mm: float = 20.0) -> None:
    """Type every place of a column, as one would from the top."""
    grid = desk.grid
    for n, z_m in enumerate(grid.z_m):
        if (n, column) in grid.walk(desk.store.job.wall(desk._wall or "").wall):
            assert desk.type(grid.x_m[column], z_m, str(start_mm + n)), desk.keys.refused
