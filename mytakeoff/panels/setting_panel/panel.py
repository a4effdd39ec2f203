"""The setting-out panel: rails, fixings and cuts of the job, wall by wall, and the sheets for the ladder."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.charts.drawing.paper import PAPERS_MM
from mytakeoff.errors import TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.job.edits import with_rail_places, with_rails
from mytakeoff.job.job import Job
from mytakeoff.options.compare import AS_THE_JOB, ways_of, with_way
from mytakeoff.panels.parts.bind import BoundChoice, labelled_list, offer
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.controls import backing_choice
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import Html, element, message, scrolling
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.panels.setting_panel import pictures, words
from mytakeoff.panels.setting_panel.controls import BEDDED, NUMBERS, RAILS, RARE, STAY
from mytakeoff.panels.setting_panel.room_plan import RoomFolds
from mytakeoff.result import Result
from mytakeoff.settingout.rail_places import RailPlan, plan_steps, saved_money
from mytakeoff.settingout.set_out import SettingOut, WallSetting, set_out

WIDE_PX, NARROW_PX = 820.0, 350.0
STYLE = source(__file__, "panel.css")


class SettingPanel(JobPanel):
    """Setting out over one store.

    Attributes
    ----------
    controls, widget, store
        Those of every panel.
    setting : SettingOut or None
        Of the store's result; None where it cannot be set out, and `problem` says why.
    plan : RailPlan or None
        Better places for the rails of the chosen wall, once they are found.
    """

    workbook = "setting out"

    def __init__(self, job: Job, today: date | None = None) -> None:
        super().__init__(job, NUMBERS)
        self.today = today
        self.setting: SettingOut | None = None
        self.plan: RailPlan | None = None
        self._search, self._drawing = Steps(), Steps()
        self.choices = self._make_choices()
        self.bound |= self.choices
        names = [wall.name for wall in job.priced_walls]
        self.wall = labelled_list("wall", "Wall", names)
        self.way = labelled_list("way", "How the walls are treated", ways_of(job), AS_THE_JOB)
        self.paper = labelled_list("paper", "Paper", list(PAPERS_MM), "A4")
        self.headline, self.status = make(widgets.HTML), make(widgets.HTML)
        self.picture, self.narrow_picture, self.table, self.checks = (make(widgets.HTML) for _ in range(4))
        self.cables, self.saving, self.cuts = (make(widgets.HTML) for _ in range(3))
        self.rooms = RoomFolds()
        self.controls: dict[str, Any] = {
            **{name: bound.control for name, bound in self.bound.items()},
            "wall": self.wall,
            "way": self.way,
            "paper": self.paper,
        }
        self.buttons = make_buttons(
            {
                "carry": ("Carry the better places to the job", self.carry),
                "even": ("Stand them evenly again", self.even),
                "write": ("Write the sheets", self.write),
                "save": ("Save to the job", self.save),
            },
            self.failed,
        )
        self.widget = self._layout()
        self.watch()
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    def carry(self) -> None:
        """Stand the chosen wall's rails where the plane sits lowest, in the job and its folder."""
        plan = self.plan
        if plan is None:
            self.say("Better places are not worked out yet, or this wall has no rails.")
        elif self._stand(plan.wall, plan.best_x_m):
            self.save()

    def even(self) -> None:
        """Stand the chosen wall's rails where straightedge and openings want them; not saved by itself."""
        if self._stand(self.wall.value or "", ()):
            self.say("The rails stand as straightedge and openings want them. Save to the job to keep that.")

    def _stand(self, name: str, rails_x_m: tuple[float, ...]) -> bool:
        return self.store.apply(lambda job: with_rail_places(job, name, rails_x_m), "rails")

    def shown_as_saved(self) -> None:
        """The walls are treated as the job has it."""
        self.put(self.way, AS_THE_JOB)

    def write(self, folder: str | Path | None = None) -> tuple[Path, ...]:
        """Write the sheets as PDF, those of the chosen wall as SVG, every fixing as CSV, all or none.

        Returns
        -------
        tuple of Path
            The PDF first.

        Raises
        ------
        TakeoffError
            None of the walls can be set out: no sheet with a wrong number is written.
        """
        setting = self.to_write(self.setting)
        target = self.folder(folder)
        day = setting.job.formats.day(self.today or date.today())
        files = pictures.sheet_files(setting, self.wall.value, self.paper.value, day, target)
        write_all(files)
        missing = words.not_set_out(setting)
        said = f"Written to {target}: {', '.join(path.name for path in files)}."
        self.say(f"{said} They say what is {missing}." if missing else said)
        return tuple(files)

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self) -> None:
        """Set out the store's result; where no wall can be, the last picture stays, marked as from before."""
        result = self.store.result
        self.show_bound()
        with self.quietly():
            offer(self.wall, [wall.name for wall in result.job.priced_walls])
            offer(self.way, ways_of(result.job))
        self.why = ""
        set_shown(self.lists, bool(result.walls))
        if not result.walls:
            self._nothing(result.job)
            return
        try:
            self.setting = set_out(result)
        except TakeoffError as error:
            self._cannot(error)
            return
        self.why = words.refused(self.setting)
        self.show_problem()
        self.headline.value = words.headline(self.setting, result.cost.total)
        self.cuts.value = words.cut_list(self.setting)
        self.rooms.show(self.setting)
        self.show()

    def _nothing(self, job: Job) -> None:
        """No wall is read: nothing stays of what was shown."""
        self.setting = self.plan = None
        for steps in (self._search, self._drawing):
            steps.stop()
        self.show_problem()
        for text in (self.status, self.picture, self.narrow_picture, self.saving, self.checks):
            text.value = ""
        self.headline.value = words.nothing(job)

    def _cannot(self, error: TakeoffError) -> None:
        self.setting, self.plan, self.why = None, None, str(error)
        self.rooms.show(None)
        for steps in (self._search, self._drawing):
            steps.stop()
        self.show_problem()
        if not self.headline.value:
            self.headline.value = words.nothing(self.store.job)
        elif self.picture.value or self.table.value:
            self.status.value = message("What is shown is from before.")
        self.saving.value = ""

    def show(self) -> None:
        """Show the chosen wall: picture and table, then better places for its rails, a step at a time."""
        if self.setting is None:
            return
        wall = self.setting.wall(self.wall.value)
        self.status.value = message(words.read_words(wall))
        self.table.value = scrolling(words.fixing_table(wall))
        self.cables.value = words.cables(wall)
        self.checks.value = words.checks(wall)
        self.plan, self.saving.value = None, ""
        self._drawing.start(self._draw(wall), lambda: self._look(wall), self.failed)

    def _draw(self, wall: WallSetting) -> Iterator[None]:
        for shown, css, width_px in (
            (self.picture, "wide", WIDE_PX),
            (self.narrow_picture, "narrow", NARROW_PX),
        ):
            drawn = Html(pictures.elevation_svg(wall, width_px, css))
            shown.value = element("div", drawn, css=f"mt-elevation mt-elevation-{css}")
            yield

    def _look(self, wall: WallSetting) -> None:
        """Look for places where the plane sits lower, dropped when something else is asked meanwhile."""
        result = self.store.result
        if wall.rails:
            self.saving.value = message("Looking for places where the plane sits lower.")
        self._search.start(self._plans(result, wall), lambda: self._found(result), self.failed)

    def _plans(self, result: Result, wall: WallSetting) -> Iterator[None]:
        for plan in plan_steps(result.job, wall.wall):
            self.plan = plan
            yield

    def _found(self, result: Result) -> None:
        job, plan = result.job, self.plan
        if plan is None:
            self.saving.value = ""
            return
        better = plan.best_x_m != plan.even_x_m
        money = saved_money(job, plan) if better else None
        own = job.wall(plan.wall).rails_x_m
        self.saving.value = words.saving(plan, money, job.formats, own)

    # -- wiring and layout ----------------------------------------------------------------------

    def _make_choices(self) -> dict[str, BoundChoice]:
        return {
            "backing": backing_choice(self.store),
            "bedded": BoundChoice(
                self.store, "bedded", "Rails are held", BEDDED,
                lambda job: job.rails.bedded, lambda job, how: with_rails(job, bedded=how),
            ),
            "left_in": BoundChoice(
                self.store, "left_in", "Rails are", STAY,
                lambda job: job.rails.left_in, lambda job, stay: with_rails(job, left_in=stay),
            ),
        }  # fmt: skip

    def watch(self) -> None:
        """Follow the store and the hand."""
        super().watch()
        self.follow(self.wall, self.show)
        self.follow(self.way, self._treat)

    def _treat(self) -> None:
        name, saved = self.way.value, self.saved
        self.store.apply(lambda job: with_way(job, saved, name), "way")

    def _layout(self) -> widgets.Widget:
        of = {name: number.widget for name, number in self.numbers.items()}
        folded = Fold("Rail, screw, laser, stock", make(widgets.VBox, [of[number.name] for number in RARE]))
        self.lists = make(
            widgets.VBox,
            [
                heading("Fixings of this wall"), self.cables, self.table,
                heading("Rails to cut, for all walls"), self.cuts, *self.rooms.widgets,
            ],
        )  # fmt: skip
        parts = {
            "headline": [self.headline, self.first, self.folder_line.widget, self.problem],
            "map": [self.status, self.picture, self.narrow_picture, self.saving, self.checks],
            "controls": [
                self.wall, self.way, self.choices["backing"].control,
                *(of[number.name] for number in RAILS),
                self.choices["bedded"].control, self.choices["left_in"].control,
                folded, self.paper, self.unsaved_line,
                button_row(self.buttons), self.elsewhere, self.said,
            ],
            "notes": self.lists,
        }  # fmt: skip
        return framed(parts, self.page, STYLE, "mt-setting-panel")


def setting_out(job: Job, today: date | None = None) -> SettingPanel:
    """The setting-out panel of a job.

    Parameters
    ----------
    job : Job
    today : date, optional
        As it stands on the sheets; today unless given.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return SettingPanel(job, today)
