"""The survey panel: from a file, by hand or scanned, to a wall of the job."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import replace
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, TypeVar

import ipywidgets as widgets

from mytakeoff.chain import evaluate
from mytakeoff.deviation import Deviation, deviation, mean_plane, profile
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.surveydesk import (
    Draft,
    SurveyFile,
    brought_file,
    chosen_wall,
    draft_of,
    entry_of,
    file_in,
    find_steps,
    read_draft,
    save_draft,
    scan_steps,
    survey_files,
    with_entry,
)
from mytakeoff.io.surveyfacts import facts_of
from mytakeoff.job import Job, JobWall
from mytakeoff.panels import surveypictures, surveywords, words
from mytakeoff.panels.buttons import make_buttons, safely
from mytakeoff.panels.openingrows import OpeningRows
from mytakeoff.panels.page import PageAids
from mytakeoff.panels.quiet import quiet
from mytakeoff.panels.steps import Steps
from mytakeoff.panels.surveycontrols import (
    NEW_WALL,
    NO_FILE,
    FileControls,
    LineControl,
    ScanControls,
    WallControls,
    against_list,
)
from mytakeoff.panels.surveylayout import layout
from mytakeoff.surface import Surface, grid_surface
from mytakeoff.survey import ScanChoice, Survey
from mytakeoff.wall import Wall

if TYPE_CHECKING:
    from mytakeoff.io.scanwalls import FoundWall

Made = TypeVar("Made")
NO_FOLDER = "This job was not opened from a folder, so there are no files to choose from and nowhere to save."


class SurveyPanel:
    """One wall's survey over a job.

    Attributes
    ----------
    job : Job
        As it is on the disk.
    draft : Draft
        What is being entered.
    survey, entry, surface, held
        Of the last file that could be read; None before.
    controls : dict of str to widget
    widget : widgets.Widget
        Show it as the last expression of a cell.
    """

    survey: Survey | None = None
    entry: JobWall | None = None
    surface: Surface | None = None
    held: Deviation | None = None

    def __init__(self, job: Job) -> None:
        self.job = job
        self.draft = draft_of(job, job.walls[0].name)
        self.walls: tuple[FoundWall, ...] = ()
        self._walls_of: tuple[Any, ...] = ()
        self._scratch: TemporaryDirectory[str] | None = None
        self._file: SurveyFile | None = None
        self._steps, self._busy = Steps(), False
        self.wall, self.file, self.scan = WallControls(job), FileControls(), ScanControls()
        self.openings = OpeningRows(safely(self.read, self._failed))
        size = job.walls[0].wall
        self.at_x = LineControl("at_x", "Upright line at x, m", size.width_m)
        self.at_z = LineControl("at_z", "Level line at z, m", size.height_m)
        self.against = against_list()
        parts = [widgets.HTML() for _ in range(9)]
        self.headline, self.problem, self.status, self.facts, self.left_out, *parts = parts
        self.map, self.places, self.lines, self.said = parts
        self.progress = widgets.FloatProgress(min=0.0, max=1.0, description="Reading the scan")
        self.buttons = make_buttons(
            {"stop": ("Stop", self.stop), "save": ("Save to the job", self.save)}, self._failed
        )
        self.controls: dict[str, Any] = {
            "wall": self.wall.pick, "name": self.wall.name, "room": self.wall.room,
            "background": self.wall.background, "width": self.wall.width, "height": self.wall.height,
            "file": self.file.pick, "plumb": self.file.plumb, "swept": self.file.swept,
            "same_plane": self.file.same_plane, "unit": self.scan.unit, "up": self.scan.up,
            "found": self.scan.found, "other_side": self.scan.other_side, "against": self.against,
            "at_x": self.at_x.slider, "at_z": self.at_z.slider,
        }  # fmt: skip
        self.page = PageAids(names={"at_x": "Upright line at x, m", "at_z": "Level line at z, m"})
        self.widget = layout(self)
        self._watch()
        self.choose_wall()

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return self.widget._repr_mimebundle_(**kwargs)

    # -- what the hand can do -------------------------------------------------------------------

    def choose_wall(self) -> None:
        """Show the wall that was picked, or start a new one."""
        name = self.wall.pick.value
        if name == NEW_WALL:
            new = Wall(f"wall {len(self.job.walls) + 1}", 4.0, 2.5)
            self.draft = Draft(new, self.wall.room.value, self.wall.background.value)
        else:
            self.draft = draft_of(self.job, name)
        self._file = self.draft.file
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
        self._file = file
        with quiet(self):
            self.scan.show(ScanChoice())
            self.file.offer(self._names(), file.name)
            self.file.same_plane.value = file.name == known
        self.read()

    def read(self) -> None:
        """Read the file again, for the wall as it stands in the boxes; a scan step by step."""
        self._steps.stop()
        self.said.value = ""
        if self._file is None:
            self._show_empty()
            return
        try:
            draft = self._typed()
        except TakeoffError as error:
            self._failed(error)
            return
        if draft.file is not None and draft.file.scan:
            self._waiting(True)
        self._steps.start(self._work(draft), lambda: None, self._failed)

    def stop(self) -> None:
        """Drop the scan that is being read; what was shown before stays."""
        self._steps.stop()
        self._waiting(False)
        self.status.value = words.said("Stopped; nothing was changed.")

    def accept_openings(self) -> None:
        """Take over the openings that were found in the scan."""
        if self.walls:
            self.openings.add_one(*self.walls[self.scan.found.value - 1].openings)

    def look(self) -> None:
        """Look for files in the job folder again."""
        with quiet(self):
            self.file.offer(self._names(), self._file.name if self._file else "")

    def save(self) -> None:
        """Save wall and survey to the job folder, if the job can be priced with them."""
        if not self.job.folder:
            self.said.value = words.said(NO_FOLDER)
            return
        if self.survey is None or self._typed() != self.draft:
            raise TakeoffError(
                Mistake(
                    "no survey that was read",
                    "what is saved is what is shown",
                    "put right what is told above",
                )
            )
        if self.draft.file is not None and self.draft.file.scan and not self._unit_is_sure():
            raise TakeoffError(_unit_unsaid())
        evaluate(with_entry(self.job, self.draft, entry_of(self.job, self.draft, self.survey)))
        self.job, self.draft = save_draft(self.job, self.draft, self.survey)
        self._file = self.draft.file
        with quiet(self):
            names = [*(wall.name for wall in self.job.walls), NEW_WALL]
            self.wall.pick.options = names
            self.wall.pick.value = self.draft.wall.name
            self.file.offer(self._names(), self._file.name if self._file else "")
            self.file.same_plane.value = True
        self.problem.value = ""
        file = self._file.name if self._file else ""
        self.said.value = words.said(
            f"Saved: {file} and job.toml in {self.job.folder}. budget.ipynb prices it."
        )

    # -- reading, in steps ----------------------------------------------------------------------

    def _work(self, draft: Draft) -> Iterator[bool | None]:
        """Everything from the file to the pictures."""
        if draft.replaces and draft == draft_of(self.job, draft.replaces):
            survey = self.job.wall(draft.replaces).survey  # read already, when the job was opened
        elif draft.file is not None and draft.file.scan:
            draft = yield from self._find(draft)
            if not self._unit_is_sure() and self.walls[0].unit_guess != "m":
                self._failed(TakeoffError(_unit_unsaid()))
                return
            survey = yield from self._through(scan_steps(draft, self.walls), 0.5, "Reading this wall")
        else:
            survey = read_draft(draft)
        entry = entry_of(self.job, draft, survey)
        # the wall as it was measured: what is loose still hangs on it
        surface = grid_surface(entry.survey, self.job.cell_m, self.job.reach_m)
        self.draft, self.survey, self.entry, self.surface = draft, survey, entry, surface
        self._waiting(False)
        self.problem.value = self.status.value = ""
        yield True
        yield from self._draw()

    def _find(self, draft: Draft) -> Generator[bool | None, None, Draft]:
        """The walls in the scan, unless they are known already; a new wall takes its size from them."""
        assert draft.file is not None
        key = (draft.file.path, draft.scan.unit, draft.scan.up)
        if key != self._walls_of:
            self.walls = yield from self._through(find_steps(draft), 0.0, "Looking for walls")
            self._walls_of = key
            with quiet(self):
                self.scan.list_walls(self.walls, draft.scan.found)
                if not draft.replaces:
                    size = self.walls[self.scan.found.value - 1].wall
                    self.wall.width.value, self.wall.height.value = size.width_m, size.height_m
        with quiet(self):
            self.scan.list_walls(self.walls, self.scan.found.value)
        return self._typed()

    def _through(
        self, steps: Generator[float, None, Made], start: float, doing: str
    ) -> Generator[bool | None, None, Made]:
        """The steps of one of two passes through a scan, shown on the bar."""
        while True:
            try:
                share = next(steps)
            except StopIteration as end:
                made: Made = end.value
                return made
            # what comes after the last points takes a while and has no share of its own
            self.progress.description = doing if share < 1 else "Working it out"
            self.progress.value = start + share / 2
            yield share >= 1

    def _draw(self) -> Iterator[bool | None]:
        """Words first, then the pictures, which take longer."""
        if self.surface is None or self.entry is None or self.draft.file is None or self.survey is None:
            return
        surface, entry = self.surface, self.entry
        with quiet(self):
            self.at_x.fit(surface.wall.width_m)
            self.at_z.fit(surface.wall.height_m)
        self.held = deviation(surface, self.against.value)
        self.headline.value = surveywords.headline(entry, mean_plane(surface))
        self.facts.value = surveywords.understood(facts_of(self.draft.file, self.survey, surface), surface)
        self.places.value = surveywords.places(self.held)
        yield True
        lines = profile(self.held, self.at_x.value, True), profile(self.held, self.at_z.value, False)
        self.lines.value = surveypictures.profiles(self.held, lines, entry.survey.plumb)
        yield True
        found = chosen_wall(self.draft, self.walls) if self.draft.file.scan and self.walls else None
        self.left_out.value = surveypictures.left_out(found) if found else ""
        self.map.value = surveypictures.maps(self.held, entry.name, self.at_x.value, self.at_z.value)

    def _redraw(self) -> None:
        if not self._busy and self.surface is not None:
            self._steps.start(self._draw(), lambda: None, self._failed)

    # -- between boxes and draft ----------------------------------------------------------------

    def _typed(self) -> Draft:
        """The draft as it stands in the boxes."""
        old = self.draft.wall
        wall = replace(
            old,
            name=self.wall.name.value.strip(),
            width_m=float(self.wall.width.value),
            height_m=float(self.wall.height.value),
            openings=self.openings.openings,
        )
        scan = self.scan.choice if self._file is not None and self._file.scan else ScanChoice()
        return Draft(
            wall, self.wall.room.value, self.wall.background.value, self._file, self.file.plumb.value,
            self.file.swept.value, scan, self.draft.replaces, self.file.same_plane.value,
        )  # fmt: skip

    def _fill(self) -> None:
        """The boxes as the draft has them."""
        draft = self.draft
        with quiet(self):
            self.wall.name.value = draft.wall.name
            self.wall.width.value, self.wall.height.value = draft.wall.width_m, draft.wall.height_m
            self.wall.room.value, self.wall.background.value = draft.room, draft.background
            self.openings.show(draft.wall.openings)
            self.file.plumb.value, self.file.swept.value = draft.plumb, draft.swept
            self.file.same_plane.value = draft.same_plane
            self.scan.show(draft.scan)
            self.file.offer(self._names(), draft.file.name if draft.file else "")

    def _names(self) -> tuple[str, ...]:
        return survey_files(self.job.folder) if self.job.folder else ()

    def _unit_is_sure(self) -> bool:
        return self.scan.unit.value is not None or bool(self.walls and self.walls[0].cloud.unit)

    def _show_empty(self) -> None:
        self.survey = self.entry = self.surface = self.held = None
        self._waiting(False)
        self.headline.value = '<div class="mt-total">No survey yet</div>'
        self.facts.value = "<p>Choose a file of the job folder, or bring one from this device.</p>"
        for text in (self.left_out, self.map, self.places, self.lines, self.problem, self.status):
            text.value = ""

    def _waiting(self, working: bool) -> None:
        self.progress.value = 0.0
        self.progress_row.layout.display = None if working else "none"
        scan = self._file is not None and self._file.scan
        self.scan.widget.layout.display = None if scan else "none"

    def _failed(self, error: Exception) -> None:
        self._waiting(False)
        self.problem.value = words.problem(str(error))

    progress_row: Any = None

    def _watch(self) -> None:
        """React to what the hand does; what the panel sets itself is no choice of the user's."""

        def follow(control: Any, action: Any) -> None:
            act = safely(action, self._failed)
            control.observe(lambda _: None if self._busy else act(), "value")

        follow(self.wall.pick, self.choose_wall)
        follow(self.file.pick, self.choose_file)
        follow(self.file.bring, self._bring_uploaded)
        for control in (*self.wall.watched, *self.file.watched, *self.scan.watched):
            follow(control, self.read)
        for control in (self.against, self.at_x.slider, self.at_z.slider):
            follow(control, self._redraw)
        self.file.look.on_click(safely(self.look, self._failed))
        self.scan.accept.on_click(safely(self.accept_openings, self._failed))

    def _bring_uploaded(self) -> None:
        for one in self.file.bring.value:
            self.bring(str(one["name"]), bytes(one["content"]))


def _unit_unsaid() -> Mistake:
    return Mistake(
        "a scan without a unit",
        "its unit is confirmed, never guessed",
        "say first what its numbers are in",
        "scan",
    )


def survey(job: Job) -> SurveyPanel:
    """The survey panel.

    Parameters
    ----------
    job : Job

    Returns
    -------
    SurveyPanel
        Show it as the last expression of a cell.
    """
    return SurveyPanel(job)
