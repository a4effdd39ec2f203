"""Options of the user's own, and what stands plumb: added in the screen, kept in the job."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from mytakeoff.job.edits import with_compare, with_treatment, without_treatment
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import AS_IT_IS, PATCH, PlumbThing, Treatment
from mytakeoff.options.compare import standing
from mytakeoff.panels.parts.bind import labelled_list, number_box, offer, text_box, tick
from mytakeoff.panels.parts.boxes import numbers_in
from mytakeoff.panels.parts.buttons import make_buttons
from mytakeoff.panels.parts.stock import make
from mytakeoff.store import Store
from mytakeoff.treatment.ways import WAYS

NONE = "none yet"
Failed = Callable[[Exception], None]


class OwnOptions:
    """A form that adds an option to the job, and a list that takes one out: `widget`, `controls`."""

    def __init__(self, store: Store, failed: Failed) -> None:
        self.store = store
        self.name = text_box("own_name", "Name", placeholder="patch without a skim")
        kinds = [(kind, kind) for kind in WAYS if kind != AS_IT_IS]
        self.kind = labelled_list("own_kind", "Way", kinds, PATCH)
        self.skim = tick("own_skim", "With a skim over it (patched or straightened)", True)
        self.square = tick("own_square", "Square to the corner (floated plumb)")
        self.in_room = tick("own_in_room", "Square in the room (floated plumb, nothing taken down)")
        self.take_down = tick("own_take_down", "High spots taken down where it pays")
        self.added = labelled_list("own_added", "Options of your own", [NONE], NONE)
        self.buttons = make_buttons(
            {"add_own": ("Add this option", self.add), "remove_own": ("Remove it", self.remove)}, failed
        )
        self.controls: dict[str, Any] = {
            "own_name": self.name,
            "own_kind": self.kind,
            "own_skim": self.skim,
            "own_square": self.square,
            "own_in_room": self.in_room,
            "own_take_down": self.take_down,
            "own_added": self.added,
        }
        *form, added = self.controls.values()
        self.widget = make(widgets.VBox, [*form, self.buttons["add_own"], added, self.buttons["remove_own"]])
        self.refresh(store.job)

    def add(self) -> bool:
        """Add what the form says; whether it was taken."""
        fills = WAYS[self.kind.value].plane is None

        def change(job: Job) -> Job:
            treatment = Treatment(
                self.name.value.strip(),
                self.kind.value,
                skim=self.skim.value or not fills,
                square=self.square.value,
                take_down=self.take_down.value,
                in_room=self.in_room.value,
            )
            return with_treatment(job, treatment)

        return self.store.apply(change)

    def remove(self) -> bool:
        """Take the option in the list out of the job; whether there was one."""
        name = self.added.value
        return name != NONE and self.store.apply(lambda job: without_treatment(job, name))

    def refresh(self, job: Job) -> None:
        """List the job's own options."""
        _list(self.added, [treatment.name for treatment in job.treatments])
        self.buttons["remove_own"].disabled = not job.treatments


class PlumbThings:
    """What a lean is seen beside: named, placed, taken away again: `widget`, `controls`."""

    def __init__(self, store: Store, failed: Failed) -> None:
        self.store = store
        walls = [wall.name for wall in store.job.walls]
        self.name = text_box("thing_name", "Name", placeholder="door frame")
        self.wall = labelled_list("thing_wall", "Against", walls)
        self.x = number_box("thing_x_m", "From the left end, m", unit="m", formats=store.job.formats)
        self.width = number_box("thing_width_m", "Width, m", unit="m", formats=store.job.formats, value=0.1)
        self.there = labelled_list("thing_there", "Named already", [NONE], NONE)
        self.buttons = make_buttons(
            {"add_thing": ("Stand it there", self.add), "remove_thing": ("Take it away", self.remove)}, failed
        )
        self.controls: dict[str, Any] = {
            "thing_name": self.name,
            "thing_wall": self.wall,
            "thing_x_m": self.x,
            "thing_width_m": self.width,
            "thing_there": self.there,
        }
        *form, there = self.controls.values()
        self.widget = make(
            widgets.VBox, [*form, self.buttons["add_thing"], there, self.buttons["remove_thing"]]
        )
        self.refresh(store.job)

    def add(self) -> bool:
        """Stand what the form says against its wall; whether it was taken."""

        def change(job: Job) -> Job:
            name = self.name.value.strip() or "something plumb"
            return standing(job, PlumbThing(name, self.wall.value or "", *numbers_in(self.x, self.width)))

        return self.store.apply(change)

    def remove(self) -> bool:
        """Take away the thing in the list; whether there was one."""
        name = self.there.value

        def change(job: Job) -> Job:
            return with_compare(job, beside=tuple(each for each in job.compare.beside if each.name != name))

        return name != NONE and self.store.apply(change)

    def refresh(self, job: Job) -> None:
        """List the job's own, and its walls."""
        offer(self.wall, [wall.name for wall in job.walls])
        _list(self.there, [thing.name for thing in job.compare.beside])
        self.buttons["remove_thing"].disabled = not job.compare.beside


def _list(control: widgets.Dropdown, names: list[str]) -> None:
    """Show these names in a list, the last one chosen where the one before is gone."""
    names = names or [NONE]
    if list(control.options) != names:
        control.options = names
        control.value = names[-1]
