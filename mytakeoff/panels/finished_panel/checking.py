"""Walls checked for a screen: worked out in steps, kept until what they depend on is another thing."""

from __future__ import annotations

from collections.abc import Generator, Hashable, Sequence
from dataclasses import replace
from typing import Any

from mytakeoff.acceptance.checked_wall import CheckedWall, checked_steps, is_looked_at, latest_survey
from mytakeoff.acceptance.in_room import is_taped, judge_in_room
from mytakeoff.acceptance.judge_finished import JudgedWall
from mytakeoff.acceptance.promised import promised_by
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.words import as_it_stood
from mytakeoff.steps import run
from mytakeoff.survey.survey import Survey
from mytakeoff.treatment.wall_result import WallResult

KEPT = 64


class Checking:
    """What the walls of a desk come to, each worked out once for the same record, survey and promise."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._judged: dict[Hashable, JudgedWall | None] = {}
        self._checked: dict[Hashable, CheckedWall] = {}

    @property
    def walls(self) -> tuple[WallResult, ...]:
        """The walls that are worked on: only they were promised anything."""
        return tuple(wall for wall in self._desk.store.result.walls if wall.worked)

    @property
    def looked_at(self) -> tuple[str, ...]:
        """Those of them of which something was written down that they can be checked by."""
        names = (wall.entry.name for wall in self.walls)
        return tuple(name for name in names if is_looked_at(self._desk.wall(name)))

    @property
    def judged(self) -> tuple[str, ...]:
        """Those that something was written down of that was promised: a clear width, too."""
        job, finished, looked_at = self._desk.store.job, self._desk.finished, self.looked_at
        names = (wall.entry.name for wall in self.walls)
        return tuple(name for name in names if name in looked_at or is_taped(job, name, finished))

    def wall(self, name: str) -> WallResult:
        """One of them by its name."""
        return next(wall for wall in self.walls if wall.entry.name == name)

    def steps(self, name: str, after: int = 0) -> Generator[None, None, CheckedWall]:
        """Check a wall, step by step; at once where that was done before.

        Parameters
        ----------
        name : str
        after : int
            As it stood after so many rounds; 0: as it does now [-].

        Raises
        ------
        TakeoffError
            As `checked_steps`.
        """
        job, wall, surveys = self._desk.store.job, self.wall(name), self._desk.surveys.get(name, {})
        record, survey, read = self._asked(name, after)
        judged_by, checked_by = (
            (*read, survey),
            (*read, record.rounds, record.snags, survey, tuple(surveys.items()), job.rates),
        )
        if checked_by not in self._checked:
            made = yield from checked_steps(job, wall, record, surveys, self._judged.get(judged_by))
            _keep(self._judged, judged_by, made.by_survey)
            _keep(self._checked, checked_by, made)
        in_room = judge_in_room(job, name, self._desk.finished, self._desk.surveys)
        return replace(self._checked[checked_by], in_room=in_room)

    def is_judged(self, name: str, after: int = 0) -> bool:
        """Whether the survey that a wall is judged by was judged before: else that takes seconds."""
        _, survey, read = self._asked(name, after)
        return survey is None or (*read, survey) in self._judged

    def _asked(self, name: str, after: int) -> tuple[FinishedWall, Survey | None, tuple[Any, ...]]:
        """A wall's record as it stood, the survey that it is judged by, and what that is held to."""
        job, record = self._desk.store.job, as_it_stood(self._desk.wall(name), after)
        survey = self._desk.surveys.get(name, {}).get(latest_survey(record))
        return record, survey, (promised_by(job, self.wall(name)), job.cell_m, job.reach_m, job.formats)

    def all_of(self, names: Sequence[str]) -> tuple[CheckedWall, ...]:
        """Walls by name, as they are now."""
        return tuple(run(self.steps(name)) for name in names)


def _keep(kept: dict[Hashable, Any], asked: Hashable, made: Any) -> None:
    kept[asked] = made
    if len(kept) > KEPT:
        del kept[next(iter(kept))]
