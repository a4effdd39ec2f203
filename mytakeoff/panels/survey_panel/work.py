"""From a survey's file to a wall's face in steps, each result kept until what it depends on changes."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import ipywidgets as widgets

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.forms.desk import (
    Draft,
    draft_of,
    entry_of,
    find_steps,
    read_draft,
    scan_steps,
    ways_steps,
)
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.parts.stock import make
from mytakeoff.scan.stands_off import leave_out, leave_out_steps
from mytakeoff.steps import relabel
from mytakeoff.surface.surface import Surface, grid_surface_steps
from mytakeoff.survey.said import Said, ScanChoice, StandsOff, answered
from mytakeoff.survey.stands_off import stands_off
from mytakeoff.survey.survey import Survey
from mytakeoff.treatment.floated import floated_wall

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall

Made = TypeVar("Made")
UNIT_UNSAID = Mistake(
    "a scan without a unit",
    "its unit is confirmed, never guessed",
    "say first what its numbers are in",
    "scan",
)
UP_UNSAID = Mistake(
    "a scan that may stand in several ways",
    "which way is up is picked, never guessed",
    "pick under 'Up is' the one that stands as the wall does",
    "scan",
)
EitherWay = tuple[float, float]  # litres with a place and without it
KEPT_AND_OUT: tuple[Said, Said] = ("plaster", "left out")
MOST_WEIGHED = 4  # places of a wall whose litres are worked out either way
MOST_POINTS = 500_000  # of a scan that is weighed: a longer one would hold the screen
Steps = Generator[bool | None, None, Made]


class SurveyWork:
    """Reads what a draft names; a scan's walls and points are found once.

    Attributes
    ----------
    walls : tuple of FoundWall
        Those of the last scan.
    ways : tuple of FoundWall
        The largest by each axis that may be up, where that is more than one.
    progress : widgets.FloatProgress
        How far a scan is read.
    """

    def __init__(self) -> None:
        self.walls: tuple[FoundWall, ...] = ()
        self.ways: tuple[FoundWall, ...] = ()
        self.progress = make(widgets.FloatProgress, min=0.0, max=1.0, description="Reading the scan")
        self._walls_of: tuple[Any, ...] = ()
        self._read: tuple[Any, Survey] | None = None
        self._whole: tuple[Any, Survey] | None = None
        self._face: tuple[Any, Surface] | None = None

    def knows_walls(self, draft: Draft) -> bool:
        """Whether the walls are those of this draft's scan."""
        return self._walls_of == _scan_of(draft)

    def find(self, draft: Draft) -> Steps[None]:
        """The walls in a draft's scan, and how they are where it stands another way up."""
        self.walls = yield from self._through(find_steps(draft), 0.0, "Looking for walls")
        if draft.scan.up is None:  # what may be up stays to be seen when one of them is picked
            self.ways = yield from self._through(ways_steps(self.walls), 0.0, "Looking for walls")
        elif self._walls_of[:1] != _scan_of(draft)[:1]:
            self.ways = ()
        self._walls_of = _scan_of(draft)

    def size_is_found(self, draft: Draft, known: bool) -> bool:
        """Whether a draft has its size from a wall of the scan, and not from a tape: none before its unit is
        said, since other numbers are no metres."""
        size = draft.wall.width_m, draft.wall.height_m
        return self.unit_is_sure(draft.scan) and (
            not known or any(size == (found.wall.width_m, found.wall.height_m) for found in self.walls)
        )

    def unit_is_sure(self, choice: ScanChoice) -> bool:
        """Whether a scan's unit was said, or is laid down by its format."""
        return choice.unit is not None or bool(self.walls and self.walls[0].cloud.unit)

    def check_said(self, choice: ScanChoice) -> None:
        """See that all of a scan was said that is not guessed: its unit, and which of several ways is up.

        Raises
        ------
        TakeoffError
            Something was not. Of several ways that z is among, z is what scans have up by custom.
        """
        asked = choice.up is None and bool(self.ways) and self.walls[0].up != "z"
        unsaid = [] if self.unit_is_sure(choice) else [UNIT_UNSAID]
        unsaid += [UP_UNSAID] if asked else []
        if unsaid:
            raise TakeoffError(*unsaid)

    def read(self, job: Job, draft: Draft, again: bool = True) -> Steps[Survey]:
        """The readings of a draft's file.

        Parameters
        ----------
        job : Job
        draft : Draft
        again : bool
            Read a sheet even if it was read before: it may have been changed. A scan is read once.
        """
        assert draft.file is not None
        key = _read_by(draft)
        if self._read is not None and self._read[0] == key and (draft.file.scan or not again):
            return self._read[1]
        if draft.replaces and draft == draft_of(job, draft.replaces):
            survey = job.wall(draft.replaces).survey  # read already, when the job was opened
        elif not draft.file.scan:
            survey = read_draft(draft)
        else:
            if self._whole is None or self._whole[0] != draft.readings:
                whole = yield from self._through(scan_steps(draft, self.walls), 0.5, "Reading this wall")
                self._whole = draft.readings, whole
            survey = yield from relabel(leave_out_steps(self._whole[1], draft.found.said), lambda _: None)
        self._read = key, survey
        return survey

    def has_read(self, draft: Draft) -> bool:
        """Whether the draft's scan need not be read again."""
        whole = self._whole is not None and self._whole[0] == draft.readings
        return whole or (self._read is not None and self._read[0] == _read_by(draft))

    def has_job_or_read(self, job: Job, draft: Draft) -> bool:
        """Whether the draft's scan need not be read, or the job's own reading of it will do."""
        unchanged = bool(draft.replaces) and draft == draft_of(job, draft.replaces)
        return unchanged or self.has_read(draft)

    def face(self, job: Job, entry: JobWall, draft: Draft, survey: Survey) -> Steps[Surface]:
        """The wall as it stands: what is loose hangs on it, what has fallen is gone."""
        found = draft.found
        key = (
            survey,
            found.said,
            draft.wall,
            found.high_spots,
            found.sweeps,
            found.fallen,
            draft.swept,
            job.formats,
        )
        if self._face is None or self._face[0] != key:
            made = yield from grid_surface_steps(
                entry.survey, job.cell_m, job.reach_m, found.fallen, formats=job.formats
            )
            self._face = key, made
        return self._face[1]

    def either_way(self, job: Job, draft: Draft, survey: Survey) -> Iterator[EitherWay | None]:
        """Litres that the wall takes with each place that stands off, and without it; None where untold."""
        places = stands_off(entry_of(job, draft, survey).survey)
        for nth, place in enumerate(places):
            few = nth < MOST_WEIGHED and survey.x_m.size <= MOST_POINTS
            yield self._litres(job, draft, survey, place) if few else None

    def _litres(self, job: Job, draft: Draft, survey: Survey, place: StandsOff) -> EitherWay | None:
        found = []
        for word in KEPT_AND_OUT:
            said = answered(draft.found.said, place.at, word)
            other = replace(draft, found=replace(draft.found, said=said))
            if survey.layout == "scan":
                if self._whole is None or self._whole[0] != draft.readings:
                    return None  # it was read when the job was opened
                survey = leave_out(self._whole[1], said)
            try:
                wall = floated_wall(job, entry_of(job, other, survey))
            except TakeoffError:  # no plane can be set then
                return None
            found.append(wall.build_up.volume_l)
        return found[0], found[1]

    def _through(self, steps: Generator[float, None, Made], start: float, doing: str) -> Steps[Made]:
        """The steps of one of two passes through a scan, shown on the bar."""

        def show(share: float) -> bool:
            # what comes after the last points takes a while and has no share of its own
            said = doing if share < 1 else "Working it out"
            news = self.progress.description != said
            self.progress.description = said
            self.progress.value = start + share / 2
            return news

        return relabel(steps, show)


def _read_by(draft: Draft) -> tuple[Any, ...]:
    """What a draft's survey depends on; of a sheet what is said of readings comes after they are read."""
    assert draft.file is not None
    return (*draft.readings, draft.found.said if draft.file.scan else ())


def _scan_of(draft: Draft) -> tuple[Any, ...]:
    assert draft.file is not None
    return draft.file.path, draft.scan.unit, draft.scan.up
