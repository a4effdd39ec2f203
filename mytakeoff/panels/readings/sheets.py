"""Readings on their way into the job and into the sheet of their wall: both, or neither."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.typed import number_typed
from mytakeoff.io.job.typed_sheet import WallSheet, saying, sheet_of, survey_with, write_sheet
from mytakeoff.io.survey.cells import MOST_MM, NOT_READ
from mytakeoff.job.job import Job
from mytakeoff.store import Store
from mytakeoff.survey.reading_grid import NOT_READABLE, Read, Typed
from mytakeoff.survey.survey import Survey

LINES = "off_plumb_lines"


class TypedSheets:
    """The sheets of a job's walls that are typed into.

    Nothing is kept here of what was read: it stands in the job and in the sheet, which is read each time.

    Parameters
    ----------
    store : Store
    workbook : str
        What the workbook is called that writes.
    """

    def __init__(self, store: Store, workbook: str = "") -> None:
        self.store, self.workbook = store, workbook
        self._said: dict[str, Survey] = {}  # of walls that were typed into, as their sheets say them
        self._begun: dict[str, str] = {}  # and the names of those sheets

    def of(self, wall: str) -> WallSheet:
        """The sheet of a wall as it stands in the folder.

        Raises
        ------
        TakeoffError
            See `sheet_of`.
        """
        return sheet_of(self.store.job, wall, self._begun.get(wall, ""))

    def put(self, sheet: WallSheet, typed: Typed, ahead: Callable[[Job], None]) -> None:
        """Take readings into the job and write them into their sheet.

        Parameters
        ----------
        sheet : WallSheet
        typed : TypedGrid or TypedList
            What it shall hold.
        ahead : function of Job
            Told the job as it will be, before anything else is worked out of it.

        Raises
        ------
        TakeoffError
            A reading that cannot be, a job that cannot be with it, a sheet that cannot be written: then both
            are as they were.
        """
        wall, store = sheet.wall, self.store
        before = store.job.wall(wall).survey
        text, survey = survey_with(store.job, sheet, typed)
        self._said[wall] = survey
        try:
            ahead(with_survey(store.job, wall, survey))
            self._apply(wall, survey)
            if store.job.folder:
                write_sheet(store.job, sheet, text, self.workbook)
        except TakeoffError:
            self._said[wall] = before
            if store.job.wall(wall).survey != before:
                self._apply(wall, before)
            raise
        self._begun[wall] = sheet.name

    def say(self, wall: str, *, plumb: bool, swept: bool) -> None:
        """Have the job say how a wall was measured.

        Raises
        ------
        TakeoffError
            The job cannot be so.
        """
        self._apply(wall, replace(self.store.job.wall(wall).survey, plumb=plumb, swept=swept))

    def _apply(self, wall: str, survey: Survey) -> None:
        if not self.store.apply(lambda job: with_survey(job, wall, survey)):
            problem, self.store.problem = self.store.problem, ""
            raise TakeoffError(Mistake(problem, "", ""))

    def follow(self) -> None:
        """Let the sheets that were typed into say what the job says, where a step was taken back.

        Raises
        ------
        TakeoffError
            One of them cannot be written.
        """
        there = {entry.name: entry.survey for entry in self.store.job.walls}
        for wall, said in list(self._said.items()):
            now = there.get(wall)
            if now is None:
                del self._said[wall]
            elif now != said:
                self._said[wall] = now
                self._fit(wall, now)

    def _fit(self, wall: str, now: Survey) -> None:
        sheet = self.of(wall)
        _, read = survey_with(self.store.job, sheet, sheet.own.typed)
        if sheet.is_new or sheet.own.sense == LINES or read.readings_digest == now.readings_digest:
            return
        text, _ = survey_with(self.store.job, sheet, saying(sheet, now))
        write_sheet(self.store.job, sheet, text, self.workbook)

    def understood(self, sheet: WallSheet, x_m: float, z_m: float, text: str) -> Read:
        """A reading as it was typed at a place [m], in the sheet's unit and sense.

        Raises
        ------
        TakeoffError
            It is no number.
        """
        text = text.strip()
        if text in NOT_READ:
            return NOT_READABLE if text else None
        check, own, formats = Check(), sheet.own, self.store.job.formats
        place = formats.place(x_m, z_m, grouped=True)
        number = number_typed(text, place, check, own.unit, own.holds, formats)
        check.that(
            number is None or own.holds(number),
            repr(text),
            f"a wall lies within {formats.depth(MOST_MM)} of the line it was measured from",
            "was it typed in another unit, or without its decimal mark? Put it right",
            place,
        )
        check.done()
        return number


def with_survey(job: Job, wall: str, survey: Survey) -> Job:
    """The job with other readings of a wall."""
    walls = (replace(each, survey=survey) if each.name == wall else each for each in job.walls)
    return replace(job, walls=tuple(walls))
