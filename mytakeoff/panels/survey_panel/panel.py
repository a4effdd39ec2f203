"""The survey panel: from a file, by hand or scanned, to a wall of the job."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from mytakeoff.chain import evaluate
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.forms.desk import (
    Draft,
    SurveyFile,
    brought_file,
    chosen_wall,
    draft_of,
    entry_of,
    file_in,
    found_beside,
    save_draft,
    says_no_headings,
    survey_files,
    with_entry,
)
from mytakeoff.job.findings import Findings, findings_of
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.findings.row_kinds import OPENINGS
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.frame import Links, framed, heading
from mytakeoff.panels.parts.html import message
from mytakeoff.panels.parts.page_aids import PageAids
from mytakeoff.panels.parts.rows import Rows
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.panels.survey_panel.controls import NEW_WALL, NO_FILE, FileControls, ScanControls, WallControls
from mytakeoff.panels.survey_panel.finding_rows import FindingRows
from mytakeoff.panels.survey_panel.sharing import SharedSurvey
from mytakeoff.panels.survey_panel.told import Told
from mytakeoff.panels.survey_panel.view import SurveyView
from mytakeoff.panels.survey_panel.work import UNIT_UNSAID, SurveyWork
from mytakeoff.surface.deviation import Deviation
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.said import ScanChoice
from mytakeoff.survey.survey import Survey

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall

NO_FOLDER = "This job was not opened from a folder, so there are no files to choose from and nowhere to save."
STYLE = source(__file__, "panel.css")


class SurveyPanel(SharedSurvey):
    """One wall's survey over a job.

    Attributes
    ----------
    controls, widget
        Those of every panel.
    entry, surface, held
        Of the last file that could be read; None before.
    """

    survey: Survey | None = None
    entry: JobWall | None = None
    surface: Surface | None = None

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self._scratch: TemporaryDirectory[str] | None = None
        self._file: SurveyFile | None = None
        self._steps, self.work = Steps(), SurveyWork()
        self.wall, self.file, self.scan = WallControls(job), FileControls(), ScanControls()
        self.draft = self.first_draft()
        entered = safely(self.entered, self.failed)
        self.openings, self.found = Rows(OPENINGS, entered, job.formats), FindingRows(entered, job.formats)
        view = self.view = SurveyView(self.draft.wall, self.found.answer, job.formats)
        self.against, self.at_x, self.at_z, self.lines = view.against, view.at_x, view.at_z, view.lines
        self.headline, self.facts, self.left_out = view.headline, view.facts, view.left_out
        self.map, self.places, self.marked = view.map, view.places, view.marked
        self.status = make(widgets.HTML)
        self.told = Told(self.problem, self.status)
        self._wanted: Draft | None = None
        self.progress = self.work.progress
        self.buttons = make_buttons(
            {"stop": ("Stop", self.stop), "save": ("Save to the job", self.save)}, self.failed
        )
        self.controls: dict[str, Any] = {
            "wall": self.wall.pick, "name": self.wall.name, "room": self.wall.room,
            "background": self.wall.background, "width": self.wall.width, "height": self.wall.height,
            "file": self.file.pick, "plumb": self.file.plumb, "swept": self.file.swept,
            "same_plane": self.file.same_plane, "unit": self.scan.unit, "up": self.scan.up,
            "found": self.scan.found, "other_side": self.scan.other_side, "bow_out": self.scan.bow_out,
            "against": self.against, "at_x": self.at_x.slider, "at_z": self.at_z.slider,
        }  # fmt: skip
        self.progress_row = make(widgets.HBox, [self.progress, self.buttons["stop"]], css="mt-waiting")
        self.page = make(PageAids, names={"at_x": "Upright line at x, m", "at_z": "Level line at z, m"})
        self.links = Links(self, job.folder)
        self.widget = self._layout()
        self._watch()
        self.choose_wall()
        self.share()

    @property
    def held(self) -> Deviation | None:
        """The wall held to its plane."""
        return self.view.held

    @property
    def walls(self) -> tuple[FoundWall, ...]:
        """The walls in the last scan."""
        return self.work.walls

    # -- what the hand can do -------------------------------------------------------------------

    def choose_wall(self) -> None:
        """Show the wall that was picked, or start a new one."""
        name = self.wall.pick.value
        self.show_draft(self.new_draft() if name == NEW_WALL else draft_of(self.job, name))

    def show_draft(self, draft: Draft) -> None:
        """Show a draft in the boxes, of a wall of the job or a new one, and read its file."""
        self.draft, self._file = draft, draft.file
        self.show_walls()
        self._fill()
        self.read()

    def choose_file(self) -> None:
        """Read the file that was picked."""
        name = self.file.pick.value
        if name == NO_FILE:
            return
        if self._file is None or self._file.name != name:
            self._take_file(file_in(self.job.folder, name))

    def bring(self, name: str, content: bytes) -> None:
        """Read a file that came from the user's device."""
        self._scratch = self._scratch or TemporaryDirectory(prefix="mytakeoff-")
        self._take_file(brought_file(self._scratch.name, name, content))

    def _take_file(self, file: SurveyFile) -> None:
        known = self.job.wall(self.draft.replaces).survey.source if self.draft.replaces else ""
        before, self._file, beside = self._file, file, found_beside(file)
        with self.quietly():
            self.scan.show(ScanChoice())
            self.file.headings.show(None, says_no_headings(file))
            self.file.offer(self._names(), file.name)
            same = self.file.same_plane.value = file.name == known
            said = self.job.wall(self.draft.replaces).survey.plumb if same else beside.plumb
            self.file.plumb.value = self.file.plumb_of(file, before, said)
            self.file.swept.value = beside.swept or self.file.swept.value
            self.found.add(beside.findings)
        self.keep_of_plane()

    def keep_of_plane(self) -> None:
        """What was read off the plane of the job's survey goes out of the rows, or back in, as is ticked."""
        known = self.draft.replaces
        with self.quietly():
            before = findings_of(self.job.wall(known)) if known else Findings()
            self.found.keep_of_plane(before, self.file.same_plane.value)
        self.read()

    def read(self) -> None:
        """Read the file again, for the wall as it stands in the boxes; a scan step by step."""
        self._start()

    def entered(self) -> None:
        """Take over what stands in the rows; the readings are not read again for it."""
        self._start(again=False)

    def _start(self, again: bool = True) -> None:
        self.said.value = ""
        self.count_soon()
        if self._file is None:
            self._steps.stop()
            self._show_empty()
            return
        try:
            draft = self._typed()
        except TakeoffError as error:
            self.stop_work()
            self._not_read(error)
            return
        if not again and draft == self._wanted == self.draft:
            self.told.all_is_read()  # what is shown, or just being drawn, is this
            return
        self.stop_work()
        self._wanted = draft
        if draft.file is not None and draft.file.scan and not self.work.has_read(draft):
            self._waiting(True)
        self._steps.start(self._work(draft, again), lambda: None, self._not_read)

    def stop(self) -> None:
        """Drop the scan that is being read; what was shown before stays."""
        self.stop_work()
        self._waiting(False)
        shown = self.draft.file.name if self.surface is not None and self.draft.file else "nothing yet"
        self.status.value = message(f"Stopped; nothing was changed. What is shown is {shown}.")

    def stop_work(self) -> None:
        """Drop what is being worked out."""
        self._steps.stop()
        self._wanted = None

    def accept_openings(self) -> None:
        """Take over the openings that were found in the scan."""
        self.openings.add_one(*self.scan.proposed)

    def look(self) -> None:
        """Look for files in the job folder again."""
        with self.quietly():
            self.file.offer(self._names(), self._file.name if self._file else "")

    def save(self) -> None:
        """Save wall and survey to the job folder, if the job can be priced with them."""
        if not self.job.folder:
            self.say(NO_FOLDER)
            return
        if unfinished := (*self.unfinished, *self.view.asked.unanswered):
            raise TakeoffError(*unfinished)
        if self.survey is None or self._typed() != self.draft:
            said = "what is saved is what is shown", "put right what is told above"
            raise TakeoffError(Mistake("no survey that was read", *said))
        if self.draft.file is not None and self.draft.file.scan:
            self.work.check_said(self.draft.scan)
        evaluate(with_entry(self.job, self.draft, entry_of(self.job, self.draft, self.survey)))
        saved, self.draft = save_draft(self.job, self.draft, self.survey)
        self._file = self.draft.file
        self.now_saved(saved.job, self.folder_watch.looks())
        self.show_walls()
        self.look()
        self.put(self.file.same_plane, True)
        self.told.all_is_read()
        file, folder = self._file.name if self._file else "", self.job.folder
        self.say(" ".join((f"Saved: {file} and job.toml in {folder}. budget.ipynb prices it.", *saved.told)))

    # -- reading, in steps ----------------------------------------------------------------------

    def _work(self, draft: Draft, again: bool) -> Iterator[bool | None]:
        """Everything from the file to the pictures."""
        if draft.file is not None and draft.file.scan and not self.work.has_job_or_read(self.job, draft):
            draft = yield from self._find(draft)
            if not self.work.unit_is_sure(draft.scan) and self.walls[0].unit_guess != "m":
                self._not_read(TakeoffError(UNIT_UNSAID))
                return
        survey = yield from self.work.read(self.job, draft, again)
        self.scan.offer_bow(survey.bow_mm)
        entry = entry_of(self.job, draft, survey)
        surface = yield from self.work.face(self.job, entry, draft, survey)
        self.draft, self.survey, self.entry, self.surface = draft, survey, entry, surface
        self._waiting(False)
        self.told.all_is_read()
        self.count_soon()
        yield True
        yield from self._draw()

    def _find(self, draft: Draft) -> Generator[bool | None, None, Draft]:
        """The walls in the scan, unless they are known; a new wall takes its size from the one chosen."""
        known = self.work.knows_walls(draft)
        if not known:
            yield from self.work.find(draft)
        with self.quietly():
            chosen = self.scan.found.value if known else draft.scan.found
            self.scan.list_walls(self.walls, chosen, self.job.formats)
            self.scan.list_ways(self.work.ways, self.job.formats, "" if draft.scan.up else self.walls[0].up)
            if not draft.replaces and self.work.size_is_found(draft, known):
                size = self.walls[self.scan.found.value - 1].wall
                self.wall.width.value, self.wall.height.value = size.width_m, size.height_m
        return self._typed()

    def _draw(self) -> Iterator[bool | None]:
        """The wall as it was last worked out."""
        if self.surface is None or self.entry is None or self.draft.file is None or self.survey is None:
            return
        with self.quietly():
            self.view.fit(self.surface.wall)
        known = self.draft.file.scan and self.work.knows_walls(self.draft)
        scanned = chosen_wall(self.draft, self.walls) if known else None
        formats = self.job.formats
        yield from self.view.draw(self.draft, self.survey, self.entry, self.surface, scanned, formats)
        moves = self.work.either_way(self.job, self.draft, self.survey)
        yield from self.view.asked.weigh(moves, formats)

    def _redraw(self) -> None:
        if not self._busy and self.surface is not None:
            self._steps.start(self._draw(), lambda: None, self.failed)

    # -- between boxes and draft ----------------------------------------------------------------

    def _typed(self) -> Draft:
        """The draft as it stands in the boxes."""
        check = Check()
        openings = check.made(self.openings.read) or ()
        found = check.made(lambda: self.found.findings) or Findings()
        wall = check.made(lambda: self.wall.as_typed(self.draft.wall, openings))
        check.done()
        assert wall is not None  # else a mistake was noted
        return Draft(
            wall, self.wall.room.value or "", self.wall.background.value, self._file, self.file.plumb.value,
            self.file.swept.value, self._choice, self.draft.replaces, found,
        )  # fmt: skip

    @property
    def _choice(self) -> ScanChoice:
        scanned = self._file is not None and self._file.scan
        return self.scan.choice if scanned else ScanChoice(headings=self.file.headings.value)

    def _fill(self) -> None:
        """The boxes as the draft has them."""
        draft = self.draft
        with self.quietly():
            self.wall.name.value = draft.wall.name
            self.wall.width.value, self.wall.height.value = draft.wall.width_m, draft.wall.height_m
            self.wall.room.value, self.wall.background.value = draft.room or None, draft.background
            self.openings.show(draft.wall.openings)
            self.file.plumb.value, self.file.swept.value = draft.plumb, draft.swept
            self.found.show(draft.found)
            self.file.same_plane.value = True
            self.scan.show(draft.scan)
            self.file.headings.show(draft.scan.headings, says_no_headings(draft.file))
            self.file.offer(self._names(), draft.file.name if draft.file else "")

    def _names(self) -> tuple[str, ...]:
        return survey_files(self.job.folder) if self.job.folder else ()

    def _show_empty(self) -> None:
        self.survey = self.entry = self.surface = None
        self._waiting(False)
        self.view.clear()
        self.told.all_is_read()

    def _waiting(self, working: bool) -> None:
        self.progress.value = 0.0
        set_shown(self.progress_row, working)
        scanned = self._file is not None and self._file.scan
        set_shown(self.scan.widget, scanned)
        self.file.say_plumb(scanned)

    def failed(self, error: Exception) -> None:
        """Say what went wrong, beside why the file was not read; nothing is waited for any more."""
        self._waiting(False)
        self.told.failed(error)

    def _not_read(self, error: Exception) -> None:
        """Say why the file was not read; the wall of another reading goes, that of this one is marked."""
        name = self._file.name if self._file else ""
        if self.surface is not None and (self._file, self._choice) != (self.draft.file, self.draft.scan):
            self.survey = self.entry = self.surface = None
            self.view.clear(name)
        self._waiting(False)
        self.told.not_read(error, name if self.surface is not None else "")

    def _watch(self) -> None:
        """React to what the hand does."""
        self.follow(self.wall.pick, self.choose_wall)
        self.follow(self.file.pick, self.choose_file)
        self.follow(self.file.bring, self._bring_uploaded)
        self.follow(self.file.same_plane, self.keep_of_plane)
        for control in (*self.wall.watched, *self.file.watched, *self.scan.watched):
            self.follow(control, self.read)
        for control in (self.against, self.at_x.slider, self.at_z.slider):
            self.follow(control, self._redraw)
        self.file.look.on_click(safely(self.look, self.failed))
        self.scan.accept.on_click(safely(self.accept_openings, self.failed))

    def _bring_uploaded(self) -> None:
        for one in self.file.bring.value:
            self.bring(str(one["name"]), bytes(one["content"]))

    def _layout(self) -> widgets.Widget:
        """All parts of the panel, in the order in which they are read."""
        lines = make(widgets.HBox, [self.at_x.widget, self.at_z.widget], css="mt-lines")
        parts = {
            "headline": [self.headline, self.first, self.folder_line.widget, self.problem],
            "controls": [
                heading("The wall"), self.wall.widget, heading("Its survey"), self.file.widget,
                self.scan.widget, self.unsaved_line, button_row({"save": self.buttons["save"]}), self.said,
            ],
            "map": [
                self.progress_row, self.status, heading("What was understood"), self.facts, self.left_out,
                self.view.beside,
                heading("How it stands"), self.against, self.view.explained, self.map, self.places,
                self.marked, lines, self.lines,
            ],
            "notes": [
                heading("Openings"), self.openings.widget, heading("Found on the wall"), self.found.widget,
            ],
        }  # fmt: skip
        return framed(parts, self.page, STYLE, "mt-survey-panel")


def survey(job: Job) -> SurveyPanel:
    """The survey panel of a job: show it as the last expression of a cell."""
    return SurveyPanel(job)
