"""The rounds of checking one wall: which one is chosen, its day, its survey, marks by hand, what was done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from itertools import chain
from typing import Any

import ipywidgets as widgets

from mytakeoff.acceptance.snags import CHECKED, Snag, SnagList
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.finished.numbered_snag import NumberedSnag
from mytakeoff.formats.formats import WEEKDAY, Formats
from mytakeoff.panels.finished_panel import words
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.parts.bind import Quiet, labelled, labelled_list, offer
from mytakeoff.panels.parts.buttons import button_row, make_buttons
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.rows import BoxField, RowKind, Rows
from mytakeoff.panels.parts.stock import make, set_shown

SHOWN = (("light shows under it", "light"), ("it rocks", "rocks"))
MARKS: RowKind[HandMark] = RowKind(
    "marks", "a mark", "M",
    (
        BoxField("x_m", "From the left, m"), BoxField("z_m", "From the floor, m"),
        BoxField("kind", "The edge", "choice", options=SHOWN), BoxField("mm", "By, mm"),
        BoxField("edge_m", "Length of the edge, m"),
    ),
    HandMark,
    {"x_m": None, "z_m": None, "kind": "light", "mm": None, "edge_m": 2.0},
    taken_over=("kind", "edge_m"),
)  # fmt: skip
HINT = (
    "Each place where the edge was laid: the gap under it, or how far one end lifts while the other is "
    "pressed down; 0 where neither is seen. A mark confirms the snag that is near, opens one, or shows that "
    "it is gone."
)
DAY = "Day of the round"
READY_TICKS = 12  # a box made while a page loads may reach it before what it refers to, and is an error there
NO_ROUND = "No round yet: each looks at the wall on one day, with a survey, with a straightedge, or both."


class DoneTicks(Quiet):
    """A box to tick for each snag that may have been touched up before a round: `numbers`, `widget`."""

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed, self._numbers = changed, list[int]()
        self.boxes: list[widgets.Checkbox] = []
        self.said = make(widgets.HTML)
        self._box = make(widgets.VBox, [])
        self.widget = make(widgets.VBox, [self.said, self._box], css="mt-done-ticks")
        self._have(READY_TICKS)
        self._hide_from(0)

    @property
    def numbers(self) -> tuple[int, ...]:
        """Those that are ticked."""
        ticked = zip(self._numbers, self.boxes, strict=False)
        return tuple(number for number, box in ticked if box.value)

    def show(self, snags: Sequence[Snag], done: Sequence[int], formats: Formats) -> None:
        """Offer these snags, those ticked that are done."""
        numbers = [snag.number for snag in snags]
        unknown = [number for number in done if number not in numbers]
        said = [*(words.snag_line(snag, formats) for snag in snags), *(f"{each}" for each in unknown)]
        self._numbers = [*numbers, *unknown]
        with self.quietly():
            self._have(len(said))
            for box, words_of_it, number in zip(self.boxes, said, self._numbers, strict=False):
                set_shown(box, True)
                box.description, box.value = words_of_it, number in done
            self._hide_from(len(said))
        title = "Touched up since the round before" if said else ""
        self.said.value = element("p", title, css="mt-hint") if title else ""

    def _have(self, count: int) -> None:
        """See that there are so many boxes at least."""
        self.boxes += [self._made() for _ in range(count - len(self.boxes))]
        if len(self._box.children) != len(self.boxes):
            self._box.children = tuple(self.boxes)

    def _hide_from(self, count: int) -> None:
        for box in self.boxes[count:]:
            set_shown(box, False)

    def _made(self) -> widgets.Checkbox:
        box = make(widgets.Checkbox, indent=False, css="mt-tick mt-touched-up")
        box.observe(lambda _: None if self._busy else self._changed(), "value")
        return box


class RoundsBox(Quiet):
    """Rounds of the chosen wall as boxes: `widget`, `controls`, `buttons`.

    Parameters
    ----------
    desk : Desk
        Every edit goes through it: all boxes of a round together, so that what was refused stays as it was
        typed until it can be.
    files : function
        The files that may be surveys, by their names.
    failed : function
        Told what a button raised.
    today : date or None
        What a new round begins with; None: the clock's.
    """

    def __init__(
        self,
        desk: Desk,
        files: Callable[[], Sequence[str]],
        failed: Callable[[Exception], None],
        today: date | None = None,
    ) -> None:
        self._desk, self._files, self._today = desk, files, today
        self._name, self._shown = "", tuple[Any, ...]()
        self._list: SnagList | None = None  # of the wall that is shown, once it is known
        formats = desk.store.job.formats
        self.round = labelled_list("round", "Round", [])
        self.day = labelled(widgets.DatePicker, "round-day", DAY)
        self.survey = labelled_list("round-survey", "Survey of that day", [("none", "")])
        self.marks = Rows[HandMark](MARKS, self._typed, formats)
        self.done = DoneTicks(self._typed)
        self.controls: dict[str, Any] = {
            "round": self.round, "round_day": self.day, "round_survey": self.survey,
        }  # fmt: skip
        self.buttons = make_buttons(
            {
                "add-round": ("Add a round", self.add),
                "drop-round": ("Take this round out", self.drop),
            },
            failed,
        )
        hint = make(widgets.HTML, element("p", HINT, css="mt-hint"))
        self._of_round = make(
            widgets.VBox, [self.day, self.survey, self.done.widget, hint, self.marks.widget],
        )  # fmt: skip
        self.said = make(widgets.HTML)
        self.widget = make(
            widgets.VBox, [self.said, self.round, button_row(self.buttons), self._of_round], css="mt-rounds"
        )
        self.round.observe(lambda _: None if self._busy else self._choose(), "value")
        for control in (self.day, self.survey):
            control.observe(lambda _: None if self._busy else self.take(), "value")

    # -- what the hand can do ---------------------------------------------------------------------

    def add(self) -> None:
        """Add a round of today, its survey that of the finished face where none has it yet."""
        record = self._desk.wall(self._name)
        starts = filter(None, (self._desk.store.job.calendar.start,))  # nobody checks it before that
        on = max([self._today or date.today(), *starts, *(each.on for each in record.rounds)])
        named = [each.survey for each in record.rounds]
        survey = record.after if record.after not in named else ""
        made = CheckRound(on, survey)
        count = len(record.rounds)
        if self._desk.edit_wall(self._name, lambda wall: replace(wall, rounds=(*wall.rounds, made))):
            self.show(self._name, count)

    def drop(self) -> None:
        """Take the chosen round out."""
        nth = self.round.value
        if nth is None:
            return

        def without(wall: FinishedWall) -> FinishedWall:
            return self._with_rounds(wall, (*wall.rounds[:nth], *wall.rounds[nth + 1 :]))

        self._desk.edit_wall(self._name, without)

    def take(self) -> bool:
        """Take over all that stands in the boxes of the chosen round; whether it could be."""
        nth = self.round.value
        if nth is None:
            return True
        return self._desk.edit_wall(self._name, lambda wall: self._with_round(wall, nth))

    def _typed(self) -> None:
        self.take()

    def _with_round(self, wall: FinishedWall, nth: int) -> FinishedWall:
        check = Check(f"wall {self._name!r}, round {nth + 1}")
        marks, day = check.made(self.marks.read), self.day.value
        check.that(day is not None, "no day", "a round is of one day", "choose it")
        check.done()
        assert day is not None  # it was told
        made = CheckRound(day, self.survey.value or "", marks or (), self.done.numbers)
        return self._with_rounds(wall, (*wall.rounds[:nth], made, *wall.rounds[nth + 1 :]))

    def _with_rounds(self, wall: FinishedWall, rounds: tuple[CheckRound, ...]) -> FinishedWall:
        """A wall with other rounds, and the places of the snags that are said to be touched up in them."""
        before, now = _touched_up(wall.rounds), _touched_up(rounds)
        written = {
            each.number: each for each in wall.snags if each.number in now or each.number not in before
        }
        shown = () if self._list is None else self._list.snags
        new = {each.number: _place_of(each) for each in shown if each.number in now}
        places = {**new, **written}
        return replace(wall, rounds=rounds, snags=tuple(places[number] for number in sorted(places)))

    def check_finished(self) -> None:
        """See that every row is filled in and taken, before it is saved.

        Raises
        ------
        TakeoffError
            Rows that are not.
        """
        if unfinished := self.marks.unfinished:
            raise TakeoffError(*unfinished)
        self._desk.check_taken(self.take(), "a round", self._name)

    # -- what follows the desk --------------------------------------------------------------------

    def show(self, name: str, chosen: int | None = None) -> None:
        """Show the rounds of a wall; the chosen one, else the one that was, else the last.

        Boxes are set only where what was written down is another thing than they show.
        """
        record, formats = self._desk.wall(name), self._desk.store.job.formats
        other, self._name = name != self._name, name
        self._list = None if other else self._list
        rounds = record.rounds
        options = [(words.round_name(nth + 1, each, formats), nth) for nth, each in enumerate(rounds)]
        last = len(rounds) - 1 if rounds and other else None
        wanted = chosen if chosen is not None else self.round.value if last is None else last
        if wanted is None or wanted >= len(rounds):
            wanted = len(rounds) - 1
        with self.quietly():
            offer(self.round, options, wanted if rounds else None)
        self.said.value = "" if rounds else element("p", NO_ROUND)
        for part in (self.round, self._of_round, self.buttons["drop-round"]):
            set_shown(part, bool(rounds))
        self._show_round(record)

    def _choose(self) -> None:
        self._show_round(self._desk.wall(self._name))

    def _show_round(self, record: FinishedWall) -> None:
        nth = self.round.value
        if nth is None or nth >= len(record.rounds):
            self._shown = ()
            return
        each = record.rounds[nth]
        here = self._name, nth, each
        with self.quietly():
            offered = _offered(self._files(), each.survey)
            if here == self._shown:
                offer(self.survey, offered)
                return
            offer(self.survey, offered, each.survey)
            self.day.value = each.on
            self._say_day()
            for row in self.marks.rows:
                row.write_as(self._desk.store.job.formats)
            if here[:2] != self._shown[:2] or _read(self.marks) != each.marks:
                self.marks.show(each.marks)
        self._shown = here
        self._show_ticks()

    def _say_day(self) -> None:
        """A browser writes dates as its own country does; the label says the day as the job writes it."""
        day, formats = self.day.value, self._desk.store.job.formats
        said = f": {formats.day(day, WEEKDAY)} {formats.day(day)}" if day else ""
        self.day.description = f"{DAY}{said}"

    def show_snags(self, snags: SnagList | None) -> None:
        """Offer the snags that may have been touched up before the chosen round."""
        self._list = snags
        self._show_ticks()

    def _show_ticks(self) -> None:
        """Tick what was written down of the chosen round, with words as far as its snags are known."""
        nth, record, snags = self.round.value, self._desk.wall(self._name), self._list
        if nth is None or nth >= len(record.rounds):
            return
        done = record.rounds[nth].done
        numbers = set(chain(*snags.known_after[nth - 1 : nth])) if snags is not None and nth else set()
        there = () if snags is None else sorted(snags.snags, key=lambda snag: snag.number)
        may_be = [each for each in there if each.number in numbers]
        offered = [each for each in may_be if each.number in done or each.state != CHECKED]
        self.done.show(offered, done, self._desk.store.job.formats)


def _touched_up(rounds: Sequence[CheckRound]) -> set[int]:
    return {number for each in rounds for number in each.done}


def _place_of(snag: Snag) -> NumberedSnag:
    """Where its number is to be given again: numbers are given where a snag is found first."""
    x_m, z_m = snag.found_at or (snag.x_m, snag.z_m)
    return NumberedSnag(snag.number, snag.kind, round(x_m, 2), round(z_m, 2))


def _offered(files: Sequence[str], named: str) -> list[tuple[str, str]]:
    names = dict.fromkeys([*files, *filter(None, (named,))])
    return [("none", ""), *((name, name) for name in names)]


def _read(rows: Rows[HandMark]) -> tuple[HandMark, ...] | None:
    """What rows describe; None where some of it cannot be."""
    try:
        return rows.read()
    except TakeoffError:
        return None
