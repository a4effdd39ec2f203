"""One finished wall of a job with all that its record says: what it is held to, its verdict, its snags."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass, replace

from mytakeoff.acceptance.conformity import FAIL, TOO_CLOSE, AcceptanceRule, Judged, Outcome
from mytakeoff.acceptance.in_room import NOTHING_ELSE, InRoom
from mytakeoff.acceptance.judge_finished import LAID, JudgedWall, judge_finished_steps, worst_outcome
from mytakeoff.acceptance.promised import Promised, promised_by
from mytakeoff.acceptance.reading_errors import ReadingErrors
from mytakeoff.acceptance.rounds import face_of, snag_book_steps
from mytakeoff.acceptance.snags import SnagList, snag_list
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.job.job import Job
from mytakeoff.steps import run
from mytakeoff.survey.survey import Survey
from mytakeoff.treatment.wall_result import WallResult


@dataclass(frozen=True, eq=False)
class CheckedWall:
    """A finished wall as its record has it.

    Parameters
    ----------
    promised : Promised
    snags : SnagList
        After all rounds; where there are none, what its survey shows.
    survey : str
        By which it is judged; "": by none.
    by_survey : JudgedWall or None
        None: it was looked at by hand alone, or nobody looked at it.
    by_hand : tuple of Judged
        The worst that an edge laid by hand shows by now; none where nobody laid one.
    in_room : InRoom
        How it stands to its neighbours.
    """

    promised: Promised
    snags: SnagList
    survey: str = ""
    by_survey: JudgedWall | None = None
    by_hand: tuple[Judged, ...] = ()
    in_room: InRoom = NOTHING_ELSE

    @property
    def name(self) -> str:
        """The wall's."""
        return self.promised.wall.name

    @property
    def looked_at(self) -> bool:
        """Whether anybody looked at its face; else a tape alone tells of it."""
        return self.by_survey is not None or bool(self.snags.known_after)

    @property
    def judged(self) -> tuple[Judged, ...]:
        """All that was judged, what the survey shows first."""
        by_survey = self.by_survey.judged if self.by_survey else ()
        return (*by_survey, *self.by_hand, *self.in_room.judged)

    @property
    def outcome(self) -> Outcome:
        """The worst of all; by hand alone a wall may fail and never passes: an edge tells of its place."""
        if self.by_survey is None:
            return FAIL if any(each.outcome == FAIL for each in self.judged) else TOO_CLOSE
        return worst_outcome(self.judged)

    def decided_by(self, rule: AcceptanceRule) -> CheckedWall:
        """The same, pass and fail decided by another rule: nothing is measured anew for that."""
        by_survey = self.by_survey and replace(self.by_survey, judged=_by(rule, self.by_survey.judged))
        in_room = replace(self.in_room, judged=_by(rule, self.in_room.judged))
        return replace(self, by_survey=by_survey, by_hand=_by(rule, self.by_hand), in_room=in_room)


def _by(rule: AcceptanceRule, judged: tuple[Judged, ...]) -> tuple[Judged, ...]:
    return tuple(replace(each, rule=rule) for each in judged)


def latest_survey(record: FinishedWall) -> str:
    """The file of a finished wall by which it is judged: of its last round with one, else that of its face.

    Examples
    --------
    >>> latest_survey(FinishedWall("A", after="a.csv", later="b.csv")), latest_survey(FinishedWall("A"))
    ('b.csv', '')
    """
    of_rounds = [each.survey for each in record.rounds if each.survey]
    return of_rounds[-1] if of_rounds else record.later or record.after


def is_looked_at(record: FinishedWall) -> bool:
    """Whether anything was written down by which the face of a wall can be checked.

    Examples
    --------
    >>> is_looked_at(FinishedWall("A")), is_looked_at(FinishedWall("A", after="a.csv"))
    (False, True)
    """
    return bool(record.rounds or latest_survey(record))


def check_wall(
    job: Job,
    wall: WallResult,
    record: FinishedWall,
    surveys: Mapping[str, Survey],
    known: JudgedWall | None = None,
) -> CheckedWall:
    """Judge a finished wall and list its snags.

    Parameters
    ----------
    job : Job
        Its labour rates, cells and reach hold here, too.
    wall : WallResult
        As it is priced.
    record : FinishedWall
        What was written down of it.
    surveys : mapping of str to Survey
        By the files that the record names.
    known : JudgedWall or None
        The verdict on its latest survey, where that was given before: marks and rounds move it no more.

    Returns
    -------
    CheckedWall
        By guarded acceptance; `CheckedWall.decided_by` has it by another rule.

    Raises
    ------
    TakeoffError
        As `promised_by`, `judge_finished` and `snag_book`.
    """
    return run(checked_steps(job, wall, record, surveys, known))


def checked_steps(
    job: Job,
    wall: WallResult,
    record: FinishedWall,
    surveys: Mapping[str, Survey],
    known: JudgedWall | None = None,
) -> Generator[None, None, CheckedWall]:
    """The same in steps, for a screen."""
    promised, name = promised_by(job, wall), latest_survey(record)
    survey = surveys.get(name)
    cells = job.cell_m, job.reach_m, job.formats
    if record.rounds:
        told = None, job.rates, *cells, record.snags
        snags = yield from snag_book_steps(promised, record.rounds, surveys, *told)
    else:
        surface = None if survey is None else face_of(survey, job.cell_m, job.reach_m)
        snags = snag_list(promised, surface, survey, rates=job.rates, formats=job.formats)
    yield
    by_survey = known
    if known is None and survey is not None:
        by_survey = yield from judge_finished_steps(promised, survey, None, None, *cells)
    return CheckedWall(promised, snags, name, by_survey, tuple(_by_hand(promised, snags, record)))


def _by_hand(promised: Promised, snags: SnagList, record: FinishedWall) -> Iterator[Judged]:
    """The worst mark of the last round and of what is still to do: what was put right counts no more."""
    last = record.rounds[-1].marks if record.rounds else ()
    marks = (*last, *(mark for snag in snags.to_do for mark in snag.marks))
    held = [(mark.departs_mm - (promised.gap_limit_mm(mark.edge_m) or 0.0), mark) for mark in marks]
    if held:
        yield _judged_mark(max(held, key=lambda each: each[0])[1], promised)


def _judged_mark(mark: HandMark, promised: Promised) -> Judged:
    limit = promised.gap_limit_mm(mark.edge_m)
    assert limit is not None  # `check_marks` has seen to it
    return Judged(
        LAID, "mm", 0.0, limit, mark.departs_mm, ReadingErrors().wedge_mm, "at most", AcceptanceRule(),
        mark.x_m, mark.z_m, mark.edge_m,
    )  # fmt: skip
