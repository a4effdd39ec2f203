"""The panel of the finished wall: judged by what was promised, made good round by round, settled up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.conformity import GUARDED, SIMPLE, AcceptanceRule
from mytakeoff.acceptance.in_words import promised_words
from mytakeoff.acceptance.promised import promised_by
from mytakeoff.acceptance.snag_table import snag_frame
from mytakeoff.acceptance.verdict_table import verdict_frame
from mytakeoff.audience import CLIENT, named_for
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import csv_bytes
from mytakeoff.io.files.written import SNAGS, VERDICTS
from mytakeoff.io.finished.finished_file import FINISHED_FILE
from mytakeoff.io.forms.desk import survey_files
from mytakeoff.io.job.news import files_of
from mytakeoff.job.job import Job
from mytakeoff.panels.finished_panel import pictures, words
from mytakeoff.panels.finished_panel.again_rows import AgainBox
from mytakeoff.panels.finished_panel.checking import Checking
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.found_view import FoundView
from mytakeoff.panels.finished_panel.record_line import RecordLine
from mytakeoff.panels.finished_panel.rounds_rows import RoundsBox
from mytakeoff.panels.finished_panel.settling import AccountBox
from mytakeoff.panels.finished_panel.width_rows import WidthsBox
from mytakeoff.panels.lessons.box import LessonsBox
from mytakeoff.panels.parts.bind import BoundTick, labelled_list, offer
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.controls import shown_to
from mytakeoff.panels.parts.fold import Fold, explained
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import element, message, problem
from mytakeoff.panels.parts.panel import NOT_SAVED, NOWHERE, JobPanel
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source

RULES = [(GUARDED, GUARDED), (SIMPLE, SIMPLE)]
STYLE = source(__file__, "panel.css", "account.css")


class FinishedPanel(JobPanel):
    """The finished walls of a job, over one store and the record of what really happened.

    Attributes
    ----------
    controls, widget, store
        Those of every panel.
    desk : Desk
        The record, as it stands here.
    rounds : RoundsBox
        Rounds of checking the chosen wall, as boxes.
    again : AgainBox
        Its later surveys and fixed places, as boxes.
    widths : WidthsBox
        Clear widths that it stands at, as boxes.
    checked : CheckedWall or None
        The chosen wall by the chosen rule; None where nothing was written down of it, or it cannot be yet.
    """

    workbook = "finished wall"

    def __init__(self, job: Job, today: date | None = None) -> None:
        super().__init__(job, ())
        self.today = today
        self.desk = Desk(self.store)
        self.checked: CheckedWall | None = None
        self._checking, self._working = Checking(self.desk), Steps()
        self.record = RecordLine(self.desk, self.failed, lambda: self.page.comm is None)
        self.rounds = RoundsBox(self.desk, self._files, self.failed, today)
        self.again, self.widths = AgainBox(self.desk, self._files), WidthsBox(self.desk)
        self.view = shown_to()
        self.wall = labelled_list("wall", "Wall", [])
        self.stood = labelled_list("stood", "As it stood", [words.NOW])
        self.rule = labelled_list("rule", "Decided by", RULES, GUARDED)
        self.done = BoundTick(self.store, "done", "The job is done", _is_done, self._with_done)
        self.bound["done"] = self.done
        self.headline, self.promised, self.status = (make(widgets.HTML) for _ in range(3))
        self.put_on, self.found = make(widgets.HTML), FoundView()
        self.boxes = self._more_boxes()
        self.controls: dict[str, Any] = {
            "view": self.view, "wall": self.wall, "stood": self.stood, "rule": self.rule,
            "done": self.done.control,
            **self.rounds.controls, **self.again.controls,
            **{name: control for box in self.boxes for name, control in box.controls.items()},
        }  # fmt: skip
        own = make_buttons(
            {
                "save": ("Save to the job", self.save),
                "snags": ("Write the snag list", self.write_snags),
                "verdicts": ("Write the verdicts", self.write_verdicts),
            },
            self.failed,
        )
        self.buttons = own | self.rounds.buttons | self.record.buttons
        for box in self.boxes:
            self.buttons |= box.buttons
        self.widget = self._layout()
        self.watch()
        self.refresh()

    # what else is told of a finished job: each has `widget`, `controls`, `buttons`, `refresh(client)`
    def _more_boxes(self) -> list[Any]:
        return [AccountBox(self.desk, self.failed), LessonsBox(self.store, self.failed)]

    # -- what the hand can do -------------------------------------------------------------------

    def save(self) -> None:
        """Save what was written down, and the job, to the job's folder."""
        if not self.store.job.folder:
            self.say(NOWHERE)
            return
        try:
            if self.wall.value:
                for taken in (self.rounds, self.again, self.widths):
                    taken.check_finished()
            if unfinished := [each for box in self.boxes for each in getattr(box, "unfinished", ())]:
                raise TakeoffError(*unfinished)
            if not self.desk.is_saved:
                self.desk.save()
        except TakeoffError:
            self.say(NOT_SAVED)
            raise
        self.record.know()
        super().save()

    def write_snags(self, folder: str | Path | None = None) -> tuple[Path, Path]:
        """Write the snags of all walls that were looked at, as PDF to tick and as CSV; gives where."""
        job, audience = self.store.job, self.view.value
        lists = [wall.snags for wall in self._all(self._checking.looked_at)]
        pdf, table = (
            self.folder(folder) / named_for(name, audience) for name in (SNAGS.replace(".csv", ".pdf"), SNAGS)
        )
        day = job.formats.day(self.today or date.today())
        frame = snag_frame(lists, audience, job.formats)
        write_all({
            pdf: pictures.sheet_pdf(lists, job, day, audience), table: csv_bytes(frame, job.decimal_comma)
        })  # fmt: skip
        self.say(f"The snag list is in {pdf}, its table in {table.name} beside it.")
        return pdf, table

    def write_verdicts(self, folder: str | Path | None = None) -> Path:
        """Write the verdicts on all walls that anything was judged of as CSV; gives where they went."""
        job, audience = self.store.job, self.view.value
        target = self.folder(folder) / named_for(VERDICTS, audience)
        walls = [wall.decided_by(self._rule) for wall in self._all(self._checking.judged)]
        frame = verdict_frame(walls, audience, job.formats)
        write_all({target: csv_bytes(frame, job.decimal_comma)})
        self.say(f"The verdicts are in {target}.")
        return target

    def _all(self, names: Sequence[str]) -> tuple[CheckedWall, ...]:
        """Walls by name, checked.

        Raises
        ------
        TakeoffError
            There is none.
        """
        found = self._checking.all_of(names)
        if not found:
            self.say("Nothing was written: no wall was looked at yet.")
            raise TakeoffError(
                Mistake("no wall was looked at", "a list is of finished walls",
                        "choose a survey of the finished face, add a round, or tape a clear width")
            )  # fmt: skip
        return found

    def _with_done(self, job: Job, done: bool) -> Job:
        """Done, or as far as the saved job is; a done one that is taken back is signed."""
        before = self.saved.state if self.saved.state != "done" else "signed"
        return replace(job, state="done" if done else before)

    # -- what others do in the folder -----------------------------------------------------------

    @property
    def unsaved(self) -> tuple[str, ...]:
        """What was changed of the job, and what was written down, and is not saved."""
        return (*super().unsaved, *words.changed(self.desk.opened, self.desk.finished))

    def _files(self) -> tuple[str, ...]:
        """Files of the folder that may be surveys, without those that the job was priced by."""
        job = self.store.job
        if not job.folder:
            return ()
        first = files_of(job)
        return tuple(name for name in survey_files(job.folder) if name not in first)

    # -- what follows store and desk --------------------------------------------------------------

    def refresh(self) -> None:
        """Follow the job: its walls, and whether what was written down can have happened on it."""
        self.show_bound()
        self._show_boxes()
        self.desk.check_again()

    def _follow_desk(self) -> None:
        """Follow the record; what was refused leaves the last good screen."""
        self.show_problem()
        names = [wall.entry.name for wall in self._checking.walls]
        self._show_parts(bool(names))
        self._show_walls(names)
        if names:
            self._show_wall()
        self.count()

    def show_problem(self) -> None:
        """Say what store or desk refused."""
        refused = self.store.problem or self.desk.problem
        self.problem.value = problem(refused) or problem(self.desk.unread, f"{FINISHED_FILE}, as it is now:")

    def _show_parts(self, walls: bool) -> None:
        """What there is to see of walls, and of that what a client sees."""
        client = self.view.value == CLIENT
        for part in (*self.checks, *self.estimators):
            set_shown(part, (walls or part not in self.checks) and not (client and part in self.estimators))

    def _show_walls(self, names: list[str]) -> None:
        begun = next(iter((*self._checking.looked_at, *self._checking.judged)), None)
        with self.quietly():
            offer(self.wall, names, self.wall.value if self.wall.value in names else begun)
        if not names:
            self._working.stop()
            self.checked = None
            self._show_headline()

    def _show_wall(self) -> None:
        """The chosen wall: its boxes at once, what it comes to in steps."""
        name = self.wall.value
        with self.quietly():
            offer(self.stood, words.stood(self.desk.wall(name), self.store.job.formats))
        self.again.show(name)
        self.widths.show(name)
        self.rounds.show(name)
        self._show_put_on(name)
        held = promised_by(self.store.job, self._checking.wall(name))
        self.promised.value = element("p", promised_words(held, self.store.job.formats))
        if name not in self._checking.judged:
            self._working.stop()
            self._show_nothing(name)
            return
        known = self.checked is not None and self._checking.is_judged(name, self.stood.value)
        self.status.value = self.status.value if known else message("Checking the wall …")
        self._working.start(self._check(name), lambda: None, self._cannot)

    def _show_nothing(self, name: str) -> None:
        """Nothing was written down of a wall: what to do first."""
        self.checked = None
        self.found.clear()
        self._show_headline(name)
        self.status.value = words.what_first() if self.view.value != CLIENT else ""
        self.rounds.show_snags(None)

    def _cannot(self, error: Exception) -> None:
        """It cannot be checked as it stands: the last good screen stays, and why is said."""
        self.status.value = message("What is shown is from before.") if self.checked is not None else ""
        self.failed(error)

    def _check(self, name: str) -> Iterator[bool | None]:
        """Words first, then the map for a wide panel and for a narrow one."""
        made = yield from self._checking.steps(name, self.stood.value)
        self.checked = made.decided_by(self._rule)
        self.status.value = ""
        self._show_checked()
        yield True
        yield from self.found.draw(made.snags, self.store.job.formats)

    def _show_checked(self) -> None:
        checked = self.checked
        if checked is not None:
            self._show_headline(checked.name)
            record = words.as_it_stood(self.desk.wall(checked.name), self.stood.value)
            self.found.show(checked, record, self.store.job.formats, self.view.value)
            self._of_round()

    def _show_headline(self, name: str = "") -> None:
        record, after = self.desk.wall(name), self.stood.value
        said = words.headline(self.store.result, self.checked, record, self.view.value, after)
        if self.headline.value != said:
            self.headline.value = said

    def _show_put_on(self, name: str) -> None:
        found = next((each for each in self.desk.measured if each.wall == name), None)
        wall, record = self._checking.wall(name), self.desk.wall(name)
        self.put_on.value = words.put_on(wall, record, found, self.store.job.formats)

    @property
    def _rule(self) -> AcceptanceRule:
        return AcceptanceRule(self.rule.value)

    # -- wiring and layout ----------------------------------------------------------------------

    def watch(self) -> None:
        """Follow the store, the desk and the hand."""
        super().watch()
        self.desk.watch(safely(self._follow_desk, self.failed))
        self.follow(self.view, self._show_view)
        self.follow(self.wall, self._choose)
        self.follow(self.stood, self._show_wall)
        self.follow(self.rule, self._decide)
        self.rounds.round.observe(lambda _: self._of_round(), "value")
        if self.saved.folder:
            self.record.start(self.saved.folder)

    def _choose(self) -> None:
        self.checked = None
        self.put(self.stood, 0)
        self.desk.check_again()  # what was refused of the wall before is dropped

    def _of_round(self) -> None:
        if self.checked is not None and not self.stood.value:  # ticks are of the list as it is now
            self.rounds.show_snags(self.checked.snags)

    def _decide(self) -> None:
        if self.checked is not None:
            self.checked = self.checked.decided_by(self._rule)
            self._show_checked()

    def _show_view(self) -> None:
        """A client reads verdicts, map, snags and days."""
        self._show_boxes()
        self._follow_desk()

    def _show_boxes(self) -> None:
        for box in self.boxes:
            box.refresh(self.view.value == CLIENT)

    def _layout(self) -> widgets.Widget:
        measured = [self.again.widget, self.widths.widget]
        folds = make(
            widgets.Box,
            [
                Fold("Rounds of checking", self.rounds.widget, "rounds", opened=True),
                Fold("Measured again", make(widgets.VBox, measured), "again", opened=True),
            ],
            css="mt-side-by-side",
        )
        own = make(
            widgets.VBox,
            [folds, heading("What was put on"), self.put_on, *(box.widget for box in self.boxes)],
        )
        checks = make(
            widgets.VBox, [heading("What was promised"), self.promised, self.status, self.found.widget]
        )
        save = {name: self.buttons[name] for name in ("save", "snags", "verdicts")}
        self.estimators = [own, self.done.control, self.unsaved_line, self.buttons["save"]]
        self.checks = [self.wall, self.stood, self.rule, checks, own]
        parts = {
            "headline": [
                self.headline, self.first, self.folder_line.widget, self.record.widget,
                self.problem,
            ],
            "map": checks,
            "controls": [
                self.view, self.wall, self.stood, self.rule, self.done.control,
                explained(words.WHAT_THESE_DO), self.unsaved_line, button_row(save), self.said,
            ],
            "notes": own,
        }  # fmt: skip
        return framed(parts, self.page, STYLE, "mt-finished-panel")


def _is_done(job: Job) -> bool:
    return job.state == "done"


def finished(job: Job, today: date | None = None) -> FinishedPanel:
    """The panel of the finished wall.

    Parameters
    ----------
    job : Job
        What was written down of it lies beside it, in ``finished.toml``.
    today : date, optional
        What a new round begins with, and the day on the lists; the clock's unless given.

    Returns
    -------
    FinishedPanel
        Show it as the last expression of a cell.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return FinishedPanel(job, today)
