"""A wall from the room: what stands on it is placed by hand, by keys or by typing, one edit each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.findings import (
    Place,
    Thing,
    ThingKind,
    and_thing,
    things_on,
    with_thing,
    with_thing_at,
    without_thing,
)
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.panels.elevation import adding, words
from mytakeoff.panels.elevation.keys import Keys
from mytakeoff.panels.elevation.kinds import KINDS
from mytakeoff.panels.elevation.view import ElevationView
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.rows import Row
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.store import Store

NO_WALL = "No wall is chosen yet: add one, or choose it, and it is drawn here."
GONE = "It was taken out elsewhere meanwhile."
MARK = "M"  # before the numbers of places that are shown from outside
DRAFT = "draft "  # before the kind, in the key of what is not filled in yet
PLACE = ("x_m", "z_m", "width_m", "height_m")
BEGUN: tuple[ThingKind, ...] = ("loose", "spot", "fixed")  # kinds that wait for what was measured


class Elevation:
    """One wall of the store's job, seen from the room.

    Parameters
    ----------
    store : Store
        Takes the edits, each with `move` named, and is followed: a change made elsewhere shows at once.
    failed : function of an Exception
        Told what went wrong that is no mistake of the user's.

    Attributes
    ----------
    widget : Widget
        The drawing, and under it the boxes of what is chosen.
    view : ElevationView
        The drawing alone.
    rows : dict of str to Row
        The boxes of each kind of thing.
    """

    def __init__(self, store: Store, failed: Callable[[Exception], None]) -> None:
        self.store = store
        self.view = ElevationView(layout=widgets.Layout(width="auto"))
        self.rows = {kind: self._row(kind, self._typed, failed) for kind in KINDS}
        self.drafts = {kind: self._row(kind, self._filled_in, failed) for kind in BEGUN}
        every = (*self.rows.values(), *self.drafts.values())
        boxes = make(widgets.VBox, [row.widget for row in every], css="mt-elev-boxes")
        self.widget = make(widgets.VBox, [self.view, boxes], css="mt-elev-whole")
        self._name: str | None = None
        self._shown: tuple[Any, ...] = ()
        self._in_row: tuple[str, Any] = ("", None)
        self._keys = Keys()
        self.view.on_msg(lambda _, message, __: safely(lambda: self.take(message), failed)())
        store.observe(safely(self.refresh, failed), "result")
        self.show(None)

    def _row(
        self, kind: ThingKind, changed: Callable[[ThingKind], None], failed: Callable[[Exception], None]
    ) -> Row[Any]:
        out = safely(lambda: self.take_out(self.view.chosen), failed)
        row = Row(KINDS[kind], safely(partial(changed, kind), failed), out, self.store.job.formats)
        row.show(None)
        return row

    # -- what the caller does -----------------------------------------------------------------

    def show(self, wall_name: str | None) -> None:
        """Show a wall of the store's job; None, or one that is not there, for none."""
        if wall_name != self._name:
            self._name, self._keys, self._shown = wall_name, Keys(), ()
            for row in self.drafts.values():
                row.show(None)
            self.view.tell(chosen="", told="")
        self.refresh()

    def mark(self, places: Sequence[tuple[float, float, str]]) -> None:
        """Show places of the wall under letters, M1 and so on, instead of those shown before.

        Parameters
        ----------
        places : sequence of (x [m], z [m], words)
        """
        marked = enumerate(places, start=1)
        self.view.marks = [[x_m, z_m, f"{MARK}{nth}", said] for nth, (x_m, z_m, said) in marked]

    # -- what the hand does -------------------------------------------------------------------

    def take(self, message: Mapping[str, Any]) -> None:
        """Do what the page asks: `do` is "choose", "boxes", "place", "out" or "add"."""
        with self.view.hold_sync():  # what was refused goes back in the frame that says why
            try:
                self._do(message)
            finally:  # so that the page draws what is, whatever came of it
                self.view.answered = list(message.get("edit", ()))

    def _do(self, message: Mapping[str, Any]) -> None:
        key, at = str(message.get("key", "")), message.get("at")
        if message["do"] == "choose":
            self.choose(key)
        elif message["do"] == "boxes":
            self.choose(key)
            self._first_box(key).focus()
        elif message["do"] == "place":
            self.place(key, **{name: float(value) for name, value in message["place"].items()})
        elif message["do"] == "out":
            self.take_out(key)
        else:
            self.add(str(message["what"]), (float(at[0]), float(at[1])) if at else None)

    def choose(self, key: str) -> None:
        """Show the handles and the boxes of a thing, "" for none."""
        self.view.tell(chosen=key if key in self._every_key else "")
        self._show_boxes()

    def place(self, key: str, **place: float) -> bool:
        """Put a thing elsewhere, or give it another size: any of x_m, z_m, width_m, height_m [m]."""
        if key.startswith(DRAFT):
            return self._place_draft(self._draft_row(key), place)
        return self._edit(key, lambda job, kind, nth: with_thing_at(job, self._wall, kind, nth, **place))

    def take_out(self, key: str) -> bool:
        """Take a thing out; the store can bring it back."""
        if key.startswith(DRAFT):
            self._draft_row(key).show(None)
            self._draw()
            taken = True
        else:
            taken = self._edit(key, lambda job, kind, nth: without_thing(job, self._wall, kind, nth), "")
        if taken:
            self.choose("")
        return taken

    def add(self, what: str, at: Place | None = None) -> None:
        """Add a thing about a place [m], or in the middle, and choose it; one that lacks a reading waits."""
        kind, thing = adding.begun(self.store.job, self._wall, what, at)
        if isinstance(thing, Mapping):
            self.drafts[kind].number(len(things_on(self._entry, kind)) + 1)
            self.drafts[kind].show(None, thing)
            self._draw()
            self.choose(DRAFT + kind)
        elif self._apply(lambda job: and_thing(job, self._wall, kind, thing)):
            self.choose(self._keys.key_of(kind, -1))

    # -- what is typed ------------------------------------------------------------------------

    def _typed(self, kind: ThingKind) -> None:
        row, key = self.rows[kind], self.view.chosen
        made = None if row.missing else self._made(row)
        if made is not None:
            self._edit(key, lambda job, kind, nth: with_thing(job, self._wall, kind, nth, made))

    def _filled_in(self, kind: ThingKind) -> None:
        """What was begun becomes a thing once nothing is missing."""
        row = self.drafts[kind]
        made = None if row.missing else self._made(row)
        if made is None:
            self._draw()
            return
        row.used = False  # what is drawn once it is taken has the thing itself, and not this beside it
        if self._apply(lambda job: and_thing(job, self._wall, kind, made)):
            row.show(None)
            self._draw()
            self.choose(self._keys.key_of(kind, -1))
        else:
            row.used = True

    def _made(self, row: Row[Any]) -> Any:
        """What a row describes, None with the reason told where it describes nothing."""
        check = Check()
        made = row.made(check)
        self.view.told = str(TakeoffError(*check.mistakes)) if check.mistakes else ""
        return made

    def _place_draft(self, row: Row[Any], place: Mapping[str, float]) -> bool:
        with row.quietly():
            for name, value in place.items():
                row.boxes[name].value = value
        self._draw()
        return True

    # -- one edit -----------------------------------------------------------------------------

    def _edit(self, key: str, change: Callable[[Job, ThingKind, int], Job], move: str = "elevation") -> bool:
        """Change the thing of a key; whether it was taken. What it is now stands in the job alone."""
        found = self._keys.find(key)
        if found is None:
            self.view.told = GONE
            return False
        kind, nth = found
        return self._apply(lambda job: change(job, kind, nth), f"{move} {self._wall} {key}" if move else "")

    def _apply(self, change: Callable[[Job], Job], move: str = "") -> bool:
        taken = self.store.apply(change, move)
        self.view.told = "" if taken else self.store.problem
        return taken

    # -- what follows the store ---------------------------------------------------------------

    @property
    def _wall(self) -> str:
        return self._name or ""

    @property
    def _entry(self) -> JobWall:
        return self.store.job.wall(self._wall)

    @property
    def _every_key(self) -> set[str]:
        return {thing["key"] for thing in self.view.things}

    def _draft_row(self, key: str) -> Row[Any]:
        return next(row for kind, row in self.drafts.items() if key == DRAFT + kind)

    def _first_box(self, key: str) -> Any:
        """Where typing begins: of what is not filled in yet, the first box that is empty."""
        found = self._keys.find(key)
        row = self.rows[found[0]] if found else self._draft_row(key)
        empty = (field for field in row.kind.fields if field.label in row.missing)
        return row.boxes[next(empty, row.kind.fields[0]).name]

    def refresh(self) -> None:
        """Show the wall as the store's job has it; nothing is drawn again that is as it was."""
        job = self.store.job
        entry = next((each for each in job.walls if each.name == self._name), None)
        if entry is None:
            self.view.tell(
                wall={}, things=[], readings=[], choices=[], description=NO_WALL, chosen="", told=""
            )
            self._shown = ()
            self._show_boxes()
        elif self._shown != (entry, job.formats):
            self._shown = entry, job.formats
            self._draw()

    def _draw(self) -> None:
        job, entry = self.store.job, self._entry
        wall = entry.wall
        for row in (*self.rows.values(), *self.drafts.values()):
            row.write_as(job.formats)
        things = self._things(entry)
        keys = {thing["key"] for thing in things}
        self.view.tell(
            wall={"name": wall.name, "width": wall.width_m, "height": wall.height_m,
                  "skirting": wall.skirting_m, "cornice": wall.cornice_m},
            things=things,
            readings=[list(place) for place in words.places_read(entry.survey)],
            choices=adding.choices(job),
            chosen=self.view.chosen if self.view.chosen in keys else "",
            description=words.summary(entry, len(things), job.formats),
            point=job.formats.point,
            feet_and_inches=job.feet_and_inches,
        )  # fmt: skip
        self._show_boxes()

    def _things(self, entry: JobWall) -> list[words.Shape]:
        formats, drawn = self.store.job.formats, []
        for kind in KINDS:
            things = things_on(entry, kind)
            for nth, (key, thing) in enumerate(zip(self._keys.follow(kind, things), things, strict=True)):
                said = words.words_of(entry, kind, nth, thing, formats)
                mark = f"{KINDS[kind].letter}{nth + 1}"
                drawn.append({"key": key, "kind": words.NAMES[kind], "mark": mark, "words": said,
                              **words.shape_of(kind, thing)})  # fmt: skip
        return [*drawn, *(self._draft(kind, row) for kind, row in self.drafts.items() if row.used)]

    def _draft(self, kind: ThingKind, row: Row[Any]) -> words.Shape:
        """What is not filled in yet, where its boxes have it."""
        typed = {name[0]: row.boxes[name].value for name in PLACE if name in row.boxes}
        size = {name: value if isinstance(value, float) else 0.0 for name, value in typed.items()}
        said = f"{row.mark}, {words.NAMES[kind]} that does not count yet: {', '.join(row.missing)} missing."
        return {"key": DRAFT + kind, "kind": words.NAMES[kind], "mark": row.mark, "shape": kind,
                "draft": True, "words": said, **size}  # fmt: skip

    def _show_boxes(self) -> None:
        """Show the boxes of what is chosen, and no others."""
        key = self.view.chosen
        found = self._keys.find(key) if key else None
        thing: Thing | None = things_on(self._entry, found[0])[found[1]] if found else None
        if self._in_row == (key, thing) and not key.startswith(DRAFT):
            return
        self._in_row = key, thing
        for kind, row in self.rows.items():
            here = found is not None and found[0] == kind
            if here and found is not None:
                row.number(found[1] + 1)
            if here or row.used:
                row.show(thing if here else None)
        for kind, row in self.drafts.items():
            set_shown(row.widget, row.used and key == DRAFT + kind)
