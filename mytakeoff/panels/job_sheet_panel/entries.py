"""Things of one kind of the job as boxes: a form for one of them, a table where there may be several."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import anywidget
import traitlets

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.job import Job
from mytakeoff.panels.job_sheet_panel.asked import MUST, Options, Question
from mytakeoff.panels.job_sheet_panel.entry_kind import MOVES, EntryKind, Pair, head_of
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.stock import source
from mytakeoff.store import Store

MOST_SHOWN = 100  # rows at a time: more are no list that one reads


@dataclass
class Entry:
    """One thing, and what stands in its boxes that is not taken."""

    key: int
    thing: Any
    typed: dict[str, Any] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)
    told: str = ""


class Entries(anywidget.AnyWidget):
    """Boxes over things of one kind of a store's job.

    Attributes
    ----------
    head, rows, options, suggest, note, focus
        What the page shows.
    answered
        The last edit of each page that `rows` answer: a page leaves a box alone that it has sent since.
    entries : list of Entry
    """

    _esm = source(__file__, "entries.js")

    head: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    rows: traitlets.List[Any] = traitlets.List().tag(sync=True)
    options: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    suggest: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    note = traitlets.Unicode().tag(sync=True)
    focus: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    answered: traitlets.Dict[str, int] = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        kind: EntryKind,
        store: Store,
        said: Callable[[], None],
        failed: Callable[[Exception], None],
        act: Callable[[str, Any], Any] | None = None,
    ) -> None:
        super().__init__(
            head=head_of(kind), _dom_classes=("mt-entries-of", f"mt-{kind.path.replace('.', '-')}")
        )
        self.kind, self.store, self._said, self._act = kind, store, said, act
        self.entries: list[Entry] = []
        self._answered: dict[str, int] = {}
        self._made = 0
        self.on_msg(lambda _, message, __: safely(lambda: self.take(message), failed)())
        self.refresh()

    # -- what the hand can do -------------------------------------------------------------------

    def take(self, message: Mapping[str, Any]) -> None:
        """Do what the page tells."""
        doing, key = message.get("do"), message.get("key")
        entry = next((each for each in self.entries if each.key == key), None)
        if doing == "add":
            self.add()
        elif entry is None:
            return  # it is gone by now
        elif doing == "edit":
            self._answered[str(message.get("by", ""))] = int(message.get("nth", 0))
            self._edit(entry, str(message["name"]), message["value"])
        elif doing in MOVES[1:]:
            self._move(entry, -1 if doing == "up" else 1)
        elif doing == "out":
            self._take_out(entry)
        elif self._act is not None:
            self._act(str(doing), entry.thing)

    def add(self) -> None:
        """Add a row to fill in, and go to its first box."""
        job = self.store.job
        entry, blank = self._entry(None), self.kind.blank(job)
        shown = {
            each.name: each.shown(blank[each.name], job.formats)
            for each in self.kind.asked
            if each.name in blank
        }
        entry.typed = dict(shown)
        self.entries.append(entry)
        self.paint()
        self._go_to(entry)

    @property
    def mistakes(self) -> list[str]:
        """What is wrong in its boxes."""
        return [text for entry in self.entries for text in (*entry.said.values(), entry.told) if text]

    def _edit(self, entry: Entry, name: str, value: Any) -> None:
        entry.typed[name] = value
        for names in (tuple(entry.typed), (name,)):
            entry.said, entry.told = {}, ""
            if self._take(entry, names) or entry.thing is None:
                break
        self._tell_rest(entry)
        self.paint()
        self._said()

    def _take(self, entry: Entry, names: Iterable[str]) -> bool:
        """Take what was typed into these boxes to the job; whether it was taken."""
        before, typed = entry.thing, {name: entry.typed[name] for name in names}
        asked = {each.name for each in self._asked(entry, typed)}
        typed = {name: value for name, value in typed.items() if name in asked}
        values = self._values(entry, typed) if typed else None
        if values is None:
            return False
        try:
            entry.thing = self.kind.made(before, values)
        except TakeoffError as error:
            entry.told = str(error)
            return False
        entry.typed = {name: value for name, value in entry.typed.items() if name not in typed}
        if self._apply(
            [(before if each is entry else each.thing, each.thing) for each in self._whole], entry
        ):
            return True
        entry.thing, entry.typed = before, {**entry.typed, **typed}
        return False

    def _apply(self, pairs: Sequence[Pair], entry: Entry | None) -> bool:
        """Write to the job, what is refused told at its row."""
        write = self.kind.write
        taken = self.store.apply(lambda job: write(job, pairs))
        if not taken and entry is not None:
            entry.told, self.store.problem = self.store.problem, ""
        return taken

    @property
    def _whole(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.thing is not None]

    def _values(self, entry: Entry, typed: Mapping[str, Any]) -> dict[str, Any] | None:
        """The values in some boxes of an entry, all of a new one; None with what is wrong of them told."""
        job, found = self.store.job, dict[str, Any]()
        for asked in self._asked(entry, typed):
            check = Check()
            if asked.name in typed:
                choices = self._choices(asked, job)
                found[asked.name] = asked.read(typed[asked.name], check, job.formats, choices)
            elif entry.thing is None and asked.empty is not MUST:
                found[asked.name] = asked.empty
            if check.mistakes:
                entry.said[asked.name] = str(TakeoffError(*check.mistakes))
        return None if entry.said or self._missing(entry, typed) else found

    def _asked(self, entry: Entry, typed: Mapping[str, Any]) -> Iterator[Question]:
        """The boxes that are asked for, by what stands in others or was typed there."""
        values = {} if entry.thing is None else self.kind.values_of(entry.thing)
        for asked in self.kind.asked:
            if asked.when is None or typed.get(asked.when[0], values.get(asked.when[0])) == asked.when[1]:
                yield asked

    def _missing(self, entry: Entry, typed: Mapping[str, Any]) -> tuple[Question, ...]:
        """What a new row still lacks, or one that something else is asked of than was."""
        values = {} if entry.thing is None else self.kind.values_of(entry.thing)
        needed = (each for each in self._asked(entry, typed) if each.empty is MUST and each.kind != "tick")
        return tuple(
            each
            for each in needed
            if values.get(each.name) is None and not f"{typed.get(each.name, '')}".strip()
        )

    def _tell_rest(self, entry: Entry) -> None:
        """Say again what is wrong of all that is still not taken."""
        if entry.thing is not None and entry.typed:
            told = entry.told
            self._values(entry, entry.typed)
            entry.told = told
        lacking = {asked.name for asked in self._missing(entry, entry.typed)}
        entry.said = {name: text for name, text in entry.said.items() if name not in lacking}

    def _move(self, entry: Entry, by: int) -> None:
        """Put it before or behind its neighbour."""
        whole = self._whole
        at = whole.index(entry) if entry in whole else -1
        if at < 0 or not 0 <= at + by < len(whole):
            return
        here, there = self.entries.index(entry), self.entries.index(whole[at + by])
        before = list(self.entries)
        self.entries.insert(there, self.entries.pop(here))
        if not self._apply([(each.thing, each.thing) for each in self._whole], entry):
            self.entries = before
        self.paint()
        self._said()

    def _take_out(self, entry: Entry) -> None:
        rest = [each for each in self._whole if each is not entry]
        nth = self.entries.index(entry)
        if entry.thing is not None:
            self.entries.remove(entry)
            if not self._apply([(each.thing, each.thing) for each in rest], entry):
                self.entries.insert(nth, entry)
            elif self._act is not None:
                self._act("gone", entry.thing)
        else:
            self.entries.remove(entry)
        self.paint()
        self._said()
        if entry not in self.entries:
            self._go_to(self.entries[min(nth, len(self.entries) - 1)] if self.entries else None)

    def _go_to(self, entry: Entry | None) -> None:
        name = self.kind.asked[0].name
        self.focus = {
            "key": entry.key if entry else -1,
            "name": name,
            "count": self.focus.get("count", 0) + 1,
        }

    # -- what follows the job -------------------------------------------------------------------

    def refresh(self) -> None:
        """Show what the job says; what is typed and not taken stays where its thing does."""
        things = list(self.kind.read(self.store.job))
        if things != [entry.thing for entry in self._whole]:
            left, found = list(self._whole), list[Entry | None]()
            for thing in things:
                entry = next((each for each in left if each.thing == thing), None)
                found.append(entry)
                left = [each for each in left if each is not entry]
            self.entries = [
                *(entry or self._again(thing, left) for entry, thing in zip(found, things, strict=True)),
                *(entry for entry in self.entries if entry.thing is None),
            ]
        self.paint()

    def start_again(self) -> None:
        """Show things of another kin: what was typed beside the ones before goes with them."""
        self.entries = []
        self.refresh()

    def _again(self, thing: Any, left: list[Entry]) -> Entry:
        """The entry of a thing that is another one now, so that the hand stays in its box; else a new one."""
        if not left:
            return self._entry(thing)
        entry = left.pop(0)
        entry.thing = thing
        return entry

    def _entry(self, thing: Any) -> Entry:
        self._made += 1
        return Entry(self._made, thing)

    def paint(self) -> None:
        """Show all rows as they are."""
        job, kind = self.store.job, self.kind
        listed, whole = self.entries, self._whole
        few = [*listed[:MOST_SHOWN], *(entry for entry in listed[MOST_SHOWN:] if entry.thing is None)]
        more = len(listed) - len(few)
        with self.hold_sync():
            self.options = {
                asked.name: [
                    [f"{'' if value is None else value}", words] for words, value in self._choices(asked, job)
                ]
                for asked in kind.asked
                if asked.kind == "choice"
            }
            self.suggest = {name: list(dict.fromkeys(offer(job))) for name, offer in kind.suggest.items()}
            self.rows = [self._row(entry, job, whole) for entry in few]
            self.answered = dict(self._answered)
            self.note = f"{len(few)} of {len(listed)} are shown; {more} more are in the job." if more else ""

    def _choices(self, asked: Question, job: Job) -> Options:
        offered = self.kind.options.get(asked.name)
        return offered(job) if offered else list(asked.options)

    def _row(self, entry: Entry, job: Job, whole: Sequence[Entry]) -> dict[str, Any]:
        thing, kind = entry.thing, self.kind
        values = kind.values_of(thing) if thing is not None else {}
        cells, beside = {}, {}
        for asked in kind.asked:
            value = values.get(asked.name)
            if value is None and asked.empty is not MUST and (thing is None or asked.when):
                value = asked.empty
            cells[asked.name] = entry.typed.get(asked.name, asked.shown(value, job.formats))
            if asked.name not in entry.typed and (said := asked.beside(value, job.formats)):
                beside[asked.name] = said
        missing = ", ".join(asked.label for asked in self._missing(entry, entry.typed))
        off = ["up"] if thing is None or entry is whole[0] else []
        off += ["down"] if thing is None or entry is whole[-1] else []
        off += (
            [name for name, _ in kind.actions if name not in MOVES]
            if thing is None
            else kind.cannot(job, thing)
        )
        name = f"{cells[kind.asked[0].name]}"
        if kind.named is not None:
            name = kind.named(thing) if thing is not None else ""
        return {
            "key": entry.key,
            "name": name or "new row",
            "cells": cells,
            "beside": beside,
            "said": entry.said,
            "told": entry.told,
            "wait": f"It counts when this is filled in: {missing}." if missing else "",
            "facts": kind.facts(job, thing) if kind.facts and thing is not None else "",
            "off": off,
        }
