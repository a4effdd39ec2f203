"""A survey panel beside other workbooks: what is not saved yet, and what others have saved meanwhile."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import fields, replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.forms.desk import Draft, draft_of, entry_of, with_entry
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.news import Looks, files_of
from mytakeoff.job.findings import Findings
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.panel import REST_S, Panel
from mytakeoff.panels.parts.rows import Rows
from mytakeoff.panels.parts.slices import Waiting
from mytakeoff.panels.parts.stock import make
from mytakeoff.panels.parts.watching import Asked, FolderLine, FolderWatch, read_again, unsaved_words
from mytakeoff.panels.survey_panel.controls import WallControls
from mytakeoff.panels.survey_panel.finding_rows import FindingRows
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

INSIDE = (Draft, Wall, Findings)  # whose parts are kept or taken one by one
UNREAD = "what stands in the boxes"


def mine_over(before: Any, mine: Any, theirs: Any) -> Any:
    """What was changed here, over what the folder says of the rest.

    Parameters
    ----------
    before, mine, theirs : Draft
        As it was opened, as it is entered here, as the folder says it now.
    """
    if mine == before:
        return theirs
    if type(mine) not in INSIDE or theirs == before:
        return mine
    parts = [field.name for field in fields(mine)]
    sides = {name: [getattr(side, name) for side in (before, mine, theirs)] for name in parts}
    return replace(theirs, **{name: mine_over(*side) for name, side in sides.items()})


class SharedSurvey(Panel):
    """What a survey panel does for others to be seen, and to see others.

    Attributes
    ----------
    job : Job
        As it is on the disk, as far as the panel has seen.
    draft : Draft
        What is being entered.
    survey : Survey or None
        Of the last file that could be read.
    folder_line, unsaved_line : widgets
        What others did in the folder; how much of what is entered is not saved.
    """

    job: Job
    draft: Draft
    survey: Survey | None
    wall: WallControls
    openings: Rows[Any]
    found: FindingRows

    def __init__(self) -> None:
        super().__init__()
        self._asked: Asked | None = None
        self._counting = Waiting()
        self.unsaved_line = make(widgets.HTML)
        self.folder_line = FolderLine(self.take_theirs, self.keep_mine, self.failed)
        self.folder_watch = FolderWatch(self._look_again, self.failed, lambda: self.unsaved_line.comm is None)

    @abstractmethod
    def _typed(self) -> Draft:
        """The draft as it stands in the boxes."""

    @abstractmethod
    def show_draft(self, draft: Draft) -> None:
        """Show a draft in the boxes, of a wall of `job` or a new one, and read its file."""

    def first_draft(self) -> Draft:
        """The job's first wall; in a job without walls, a new one."""
        return draft_of(self.job, self.job.walls[0].name) if self.job.walls else self.new_draft()

    def new_draft(self) -> Draft:
        """A wall that the job does not have yet, in the room that is chosen; "" while there is none."""
        new = Wall(f"wall {len(self.job.walls) + 1}", 4.0, 2.5)
        return Draft(new, self.wall.room.value or "", self.wall.background.value)

    def show_walls(self) -> None:
        """List the job's walls and rooms, the draft's wall chosen; say what to do first."""
        self.say_first(self.job)
        with self.quietly():
            self.wall.offer_walls(self.job, self.draft.replaces)

    @property
    def unfinished(self) -> tuple[Mistake, ...]:
        """Rows that are begun and not complete."""
        return (*self.openings.unfinished, *self.found.unfinished)

    @property
    def unsaved(self) -> tuple[str, ...]:
        """What was entered for the wall and is not saved."""
        try:
            typed = self._typed()
        except TakeoffError:
            return (UNREAD,)
        if self.unfinished:
            return (UNREAD,)
        if typed == self._as_opened(typed.replaces) or not (typed.replaces or typed.file):
            return ()
        if self.survey is None or typed != self.draft:
            return (UNREAD,)
        made = with_entry(self.job, typed, entry_of(self.job, typed, self.survey))
        return what_changed(self.job, made) or (UNREAD,)

    def _as_opened(self, name: str) -> Draft | None:
        known = any(wall.name == name for wall in self.job.walls)
        return draft_of(self.job, name) if known else None

    def share(self) -> None:
        """Begin to look at the folder."""
        self.count()
        if self.job.folder:
            self.folder_watch.start(self.job.folder, files_of(self.job))

    def count_soon(self) -> None:
        """Say how much is not saved, once the hand rests."""
        self._counting.start(REST_S, safely(self.count, self.failed))

    def count(self) -> None:
        """Say how much is not saved; where nothing is any more, what the folder says is taken over."""
        mine = self.unsaved
        said = unsaved_words(mine)
        if self.unsaved_line.value != said:
            self.unsaved_line.value = said
        if self._asked is not None and not mine:
            self.take_theirs()

    def now_saved(self, job: Job, looks: Looks) -> None:
        """Take note of what the folder says, as it was read after those looks at its files."""
        self.job, self._asked = job, None
        self.folder_watch.know(looks, files_of(job))
        self.folder_line.clear()
        self.count()

    def take_theirs(self) -> None:
        """Show what the folder says; what was entered for the wall is dropped."""
        if (asked := self._asked) is None:
            return
        name, mine, there = self.draft.replaces, self.unsaved, asked.there
        opened = self._as_opened(name)
        self.job, self._asked = there, None
        draft = self._as_opened(name)
        if mine or draft != opened:
            self.show_draft(draft or self.first_draft())
        else:
            self.show_walls()
        self.now_saved(there, asked.looks)
        self.folder_line.taken_over(asked.theirs, asked.who)

    def keep_mine(self) -> None:
        """Keep what was entered, over what the folder says of the rest; a wall that is gone is a new one."""
        if (asked := self._asked) is None:
            return
        mine, opened = self._typed(), self._as_opened(self.draft.replaces)
        self.job, self._asked = asked.there, None
        theirs = self._as_opened(mine.replaces)
        kept = replace(mine, replaces="") if theirs is None else mine_over(opened, mine, theirs)
        self.show_draft(kept)
        self.now_saved(asked.there, asked.looks)
        self.say("What you entered is kept and not saved yet.")

    def _look_again(self, before: Looks | None, looks: Looks) -> None:
        """Read the folder, whose files have come to rest as something else."""
        asked = read_again(self.folder_watch, self.folder_line, self.job, before, looks)
        if asked is None:
            return
        self._asked = asked if asked.theirs else None
        if not asked.theirs:
            self.folder_line.settle()
        elif mine := self.unsaved:
            self.folder_line.ask(asked.theirs, mine, asked.who)
        else:
            self.take_theirs()
