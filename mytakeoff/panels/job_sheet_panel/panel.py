"""The job sheet: where a job is entered, all of it, and saved as it is typed."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import ipywidgets as widgets

from mytakeoff.job.choices import Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.elevation.elevation import Elevation
from mytakeoff.panels.job_sheet_panel import buying, chosen_room, chosen_wall, walls, words
from mytakeoff.panels.job_sheet_panel.chosen_name import ChosenName
from mytakeoff.panels.job_sheet_panel.entries import Entries
from mytakeoff.panels.job_sheet_panel.entry_kind import EntryKind
from mytakeoff.panels.job_sheet_panel.parts_of_job import THE_JOB, WORKED_OUT, known_mixes
from mytakeoff.panels.lessons.box import LessonsBox
from mytakeoff.panels.parts.bind import labelled_list, offer
from mytakeoff.panels.parts.buttons import button_row, make_buttons, safely
from mytakeoff.panels.parts.fold import LazyFold
from mytakeoff.panels.parts.frame import framed, heading
from mytakeoff.panels.parts.html import element, problem
from mytakeoff.panels.parts.panel import JobPanel
from mytakeoff.panels.parts.quoting import keep_what_is_signed
from mytakeoff.panels.parts.slices import Waiting
from mytakeoff.panels.parts.stock import make, set_shown, source
from mytakeoff.panels.parts.words import headline
from mytakeoff.panels.readings.desk import ReadingsDesk

SOON_S = 0.3  # after the last change: the hand is shown first what it did
STYLE = source(__file__, "panel.css", "entries.css")
Content = Callable[[], Sequence[widgets.Widget]]


class JobSheetPanel(JobPanel):
    """All that a job's files hold, over one store.

    Attributes
    ----------
    controls, widget, store
        Those of every panel; the boxes of a part of the job by the name of its table, once they are made.
    folds : dict of str to LazyFold
        By title; what is in one is made when it is opened.
    wall, room : widgets.Dropdown
        Which wall is chosen, and of which room it is told how its walls join.
    elevation : Elevation or None
        That wall from the room, once its fold was opened.
    readings : ReadingsDesk or None
        Its readings, once their fold was opened.
    lessons : LessonsBox
        What finished jobs beside this one offer.
    """

    workbook = "job"

    def __init__(self, job: Job) -> None:
        self.entries: dict[str, Entries] = {}
        self.folds: dict[str, LazyFold] = {}
        self.elevation: Elevation | None = None
        self.readings: ReadingsDesk | None = None
        self._drawn: str | None = None
        self._saving, self._in_save = Waiting(), False
        super().__init__(job, ())
        self.headline, self.example = make(widgets.HTML), make(widgets.HTML)
        self._wall, self._room = ChosenName("wall", "Wall"), ChosenName("room", "Room")
        self.wall, self.room = self._wall.control, self._room.control
        self.mix = labelled_list(
            "known-mix", "A mix to copy", list(known_mixes(job)), next(iter(known_mixes(job)))
        )
        self.buttons = make_buttons(
            {
                "undo": ("Undo", self.undo),
                "save": ("Save again", self.save),
                "copy-mix": ("Copy it to your own", self.copy_mix),
            },
            self.failed,
        )
        self.controls = {"wall": self.wall, "room": self.room, "known_mix": self.mix}
        self.lessons = LessonsBox(self.store, self.failed)
        self._offer_names()
        self.widget = self._layout()
        self.watch()
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    def save(self) -> None:
        """Save what stands in the panel to the job's folder."""
        if self._in_save or not self.store.job.folder or not self.unsaved:
            return
        self._in_save, state = True, self.saved.state
        set_shown(self.buttons["save"], True)  # until it went well
        try:
            self._keep(self.store.job)
        finally:
            self._in_save = False
        set_shown(self.buttons["save"], False)
        self.show_problem()
        keep_what_is_signed(self, state)

    def save_soon(self) -> None:
        """Save once the page has been told what changed; at once where no loop runs, as in a script."""
        try:
            asyncio.get_running_loop()
        except RuntimeError:
            safely(self.save, self.failed)()
            return
        self._saving.start(SOON_S, safely(self.save, self.failed))

    def choose(self, name: str) -> None:
        """Show a wall under "The chosen wall"."""
        self.put(self.wall, name)
        self._chosen()

    def copy_mix(self) -> None:
        """Put a mix with the figures of the one that is chosen beside the user's own."""
        mix = known_mixes(self.store.job)[self.mix.value]
        if self.store.apply(lambda job: buying.copied_mix(job, mix)):
            self.say(f"{mix.name} is copied: give it a name and change its figures.")

    # -- what follows the store -----------------------------------------------------------------

    def refresh(self) -> None:
        """Show the store's job in all boxes that there are, and what it comes to."""
        result = self.store.result
        self.headline.value = words.first_here(result.job) or headline(result)
        self.example.value = words.written_so(result.job.formats)
        self._offer_names()
        with self.quietly():
            offer(self.mix, list(known_mixes(result.job)))
        for entries in self.entries.values():
            entries.refresh()
        self.lessons.refresh()
        self._draw()
        self.show_problem()

    def show_problem(self) -> None:
        """Say what is wrong in the boxes, all of it, or what was refused besides."""
        told = [text for entries in self.entries.values() for text in entries.mistakes]
        text = words.together([*filter(None, [self.store.problem]), *told])
        self.problem.value = problem(text) or problem(self.why, "To put right.")

    def watch(self) -> None:
        """Follow the store, and save what it holds."""
        super().watch()
        self.store.observe(lambda _: self.save_soon(), "result")
        self.follow(self.wall, self._chosen)
        self.follow(self.room, self._chosen_room)

    @property
    def chosen(self) -> JobWall | None:
        """The wall that is chosen, as the job has it; None where it has none."""
        name = self.wall.value
        return next((wall for wall in self.store.job.walls if wall.name == name), None)

    @property
    def chosen_room(self) -> Room | None:
        """The room that is chosen, as the job has it; None where it has none."""
        name = self.room.value
        return next((room for room in self.store.job.rooms if room.name == name), None)

    def _chosen(self) -> None:
        self._wall.keep([wall.name for wall in self.store.job.walls])
        self._start_again("wall.")
        self._draw()

    def _chosen_room(self) -> None:
        self._room.keep([room.name for room in self.store.job.rooms])
        self._start_again("room.")

    def _start_again(self, path: str) -> None:
        """Show boxes of what is chosen now."""
        for name, entries in self.entries.items():
            if name.startswith(path):
                entries.start_again()
        self.show_problem()

    def _draw(self) -> None:
        """Show the chosen wall where it is drawn and read; both follow the job by themselves."""
        if self._drawn == self.wall.value:
            return
        self._drawn = self.wall.value
        for shown in (self.elevation, self.readings):
            if shown is not None:
                shown.show(self._drawn)

    def _offer_names(self) -> None:
        """List the walls and the rooms."""
        with self.quietly():
            self._wall.offer([wall.name for wall in self.store.job.walls])
            self._room.offer([room.name for room in self.store.job.rooms])

    # -- what is done with rows -----------------------------------------------------------------

    def _act(self, doing: str, thing: Any) -> None:
        """Do what the button of a row says."""
        if doing == "floor":
            self.store.apply(lambda job: walls.with_floor(job, thing))
        elif doing == "copy" and isinstance(thing, walls.Listed):
            if self.store.apply(lambda job: walls.copied(job, thing.entry)):
                self.say(words.copied(thing.entry))
        elif doing == "copy":
            self.store.apply(lambda job: buying.copied_mix(job, thing))
        elif doing == "show":
            self.choose(thing.entry.name)
            self.folds["The chosen wall"].enter()
        elif doing == "gone" and isinstance(thing, walls.Listed):
            self.say(words.gone(thing.entry))
        self.show_problem()

    # -- layout ---------------------------------------------------------------------------------

    def boxes(self, kind: EntryKind) -> Entries:
        """The boxes of a part of the job, made once."""
        if kind.path not in self.entries:
            made = Entries(kind, self.store, self.show_problem, self.failed, self._act)
            self.entries[kind.path] = self.controls[kind.path] = made
        return self.entries[kind.path]

    def _fold(self, title: str, content: Content, *, opened: bool = False) -> LazyFold:
        self.folds[title] = LazyFold(title, content, opened=opened)
        return self.folds[title]

    def _kinds(self, kinds: Mapping[str, Sequence[EntryKind]]) -> list[widgets.Widget]:
        """A fold for each part, with the boxes of its kinds."""
        return [self._fold(title, partial(self._several, several)) for title, several in kinds.items()]

    def _several(self, kinds: Sequence[EntryKind]) -> list[widgets.Widget]:
        """Boxes under each other, the lists among them with a heading where there is more than one."""
        made: list[widgets.Widget] = []
        for kind in kinds:
            made += [heading(kind.several)] if kind.several and len(kinds) > 1 else []
            made += [make(widgets.HTML, element("p", kind.hint, css="mt-hint"))] if kind.hint else []
            made.append(self.boxes(kind))
        return made

    def _rooms_and_walls(self) -> list[widgets.Widget]:
        joined = self._fold("Corners, clear widths, diagonals", self._round_a_room)
        return [*self._several((walls.ROOMS, walls.WALLS)), joined]

    def _round_a_room(self) -> list[widgets.Widget]:
        return [self.room, *self._several(chosen_room.in_room(lambda: self.chosen_room))]

    def _chosen_wall(self) -> list[widgets.Widget]:
        def chosen() -> JobWall | None:
            return self.chosen

        on_wall: dict[str, Sequence[EntryKind]] = {
            title: (kind,) for title, kind in chosen_wall.on_wall(chosen).items()
        }
        on_wall["The square corner"] = (*on_wall["The square corner"], chosen_wall.wall_turn(chosen))
        more: dict[str, Sequence[EntryKind]] = {
            "Beads, rails, strips and more": (chosen_wall.wall_more(chosen),),
            "Mixes of this wall": (chosen_wall.wall_mixes(chosen),),
            "How this wall is treated": (chosen_wall.wall_treated(chosen),),
        }
        unread = self.chosen is not None and not self.chosen.is_read
        return [
            self.wall,
            self.boxes(chosen_wall.wall_form(chosen)),
            heading("Seen from the room"),
            self._elevation(),
            *self._kinds(on_wall),
            self._fold("Readings", self._readings, opened=unread),
            *self._kinds(more),
        ]

    def _elevation(self) -> widgets.Widget:
        """The chosen wall drawn, to place what stands on it by hand or by keys."""
        if self.elevation is None:
            self.elevation = Elevation(self.store, self.failed)
            self.elevation.show(self.wall.value)
        return self.elevation.widget

    def _readings(self) -> list[widgets.Widget]:
        """Where the chosen wall's readings are typed as it is read, and what they come to."""
        self.readings = ReadingsDesk(self.store, self.save, self.failed, self.workbook)
        self.readings.show(self.wall.value)
        return [self.readings.widget]

    def _lists(self) -> list[widgets.Widget]:
        return self._kinds(
            {
                "Prices": (buying.PRICES,),
                "Packs": (buying.PACKS,),
                "Suppliers": (buying.SUPPLIERS,),
                "Who a product is bought from": (buying.CHOSEN,),
                "Kept in stock": (buying.IN_STOCK,),
            }
        )

    def _worked_out(self) -> list[widgets.Widget]:
        mixes = self._fold(
            "Mixes of your own", lambda: [self.mix, self.buttons["copy-mix"], self.boxes(buying.OWN_MIXES)]
        )
        return [*self._kinds(WORKED_OUT), mixes]

    def _layout(self) -> widgets.Widget:
        first = make(widgets.HTML, words.first(self.store.job))
        set_shown(self.buttons["save"], False)
        entered = bool(self.store.job.walls)
        folds = [
            self._fold("The job", lambda: [self.boxes(THE_JOB), self.example], opened=True),
            self.lessons.widget,
            self._fold("Rooms and walls", self._rooms_and_walls, opened=True),
            self._fold("The chosen wall", self._chosen_wall, opened=entered),
            self._fold("Prices and packs", self._lists),
            self._fold("How it is worked out", self._worked_out),
        ]
        row = button_row({name: self.buttons[name] for name in ("undo", "save")})
        parts = {
            "headline": [self.headline, self.folder_line.widget, self.problem],
            "controls": [first, self.unsaved_line, row, self.said],
            "map": folds,
            "notes": [self.elsewhere],
        }
        return framed(parts, self.page, STYLE, "mt-job-sheet")


def job_sheet(job: Job) -> JobSheetPanel:
    """The job sheet of a job: show it as the last expression of a cell.

    Raises
    ------
    TakeoffError
        The job itself cannot be evaluated.
    """
    return JobSheetPanel(job)
