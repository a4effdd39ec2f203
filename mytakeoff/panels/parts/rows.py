"""Things of one kind as rows of boxes that can be added, changed and taken out.

What a kind of row asks for is data: a `RowKind` with its `BoxField`s. Boxes stay empty until they are filled
in.

Notes
-----
A row counts only when it is filled in; one that is not stops the saving. A box that was not touched keeps its
value to the last digit. Rows fold under buttons, since stock accordions take the mouse only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, Generic, Literal, TypeVar

import ipywidgets as widgets

from mytakeoff.errors import Check, Mistake
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.typed import numbers_typed
from mytakeoff.panels.parts.bind import Quiet, offer
from mytakeoff.panels.parts.boxes import DayBox, NumberBox, on_a_wall
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.units import METRES

Thing = TypeVar("Thing")
FieldKind = Literal["number", "numbers", "text", "choice", "tick", "day"]


@dataclass(frozen=True)
class BoxField:
    """One box of a row.

    Parameters
    ----------
    name : str
        Of the field that it fills.
    label : str
        With its unit.
    kind : "number", "numbers", "text", "choice", "tick" or "day"
        Numbers stand in one box with blanks between them.
    needed : bool
        The row counts only when it is filled in.
    options : tuple of (words, value)
        Of a choice; the value "" stands for none yet.
    signed : bool
        A number that may be below zero.
    """

    name: str
    label: str
    kind: FieldKind = "number"
    needed: bool = True
    options: tuple[tuple[str, Any], ...] = ()
    signed: bool = False

    @property
    def unit(self) -> str:
        """The unit of length that its label says, if any."""
        said = self.label.rpartition(", ")[2].split(" ")[0]
        return said if said in METRES else ""


def _as_fields(thing: Any) -> Mapping[str, Any]:
    return {one.name: getattr(thing, one.name) for one in fields(thing)}


@dataclass(frozen=True)
class RowKind(Generic[Thing]):
    """What a row of one kind asks for, and the thing that comes of it.

    Parameters
    ----------
    name : str
        Of its CSS class.
    called : str
        One of them, as in "Add a high spot".
    letter : str
        Before its number, on the row and on the map.
    fields : tuple of BoxField
    make : function of (values by field name)
        Gives the thing; may raise TakeoffError.
    blank : mapping
        What a new row has filled in.
    taken_over : tuple of str
        Fields that a new row takes from the row before it.
    read : function of the thing
        Gives the values by field name.
    most : int or None
        Rows at most.
    """

    name: str
    called: str
    letter: str
    fields: tuple[BoxField, ...]
    make: Callable[..., Thing]
    blank: Mapping[str, Any]
    taken_over: tuple[str, ...] = ()
    read: Callable[[Thing], Mapping[str, Any]] = _as_fields
    most: int | None = None


def _box(field: BoxField, formats: Formats) -> Any:
    label, css = {"description": field.label}, f"mt-small mt-in-{field.name}"
    if field.kind == "choice":
        return make(widgets.Dropdown, options=list(field.options), css=css, **label)
    if field.kind == "tick":
        return make(widgets.Checkbox, indent=False, css=css.replace("mt-small", "mt-tick"), **label)
    if field.kind == "day":
        return make(DayBox, formats=formats, css=css, **label)
    if field.kind == "number":
        return make(NumberBox, unit=field.unit, formats=formats, signed=field.signed, css=css, **label)
    return make(widgets.Text, continuous_update=False, css=css, **label)


class Row(Quiet, Generic[Thing]):
    """The boxes of one thing; a row out of use is hidden and used again."""

    def __init__(
        self,
        kind: RowKind[Thing],
        changed: Callable[[], None],
        taken_out: Callable[[Row[Thing]], None],
        formats: Formats,
    ) -> None:
        self.kind, self.used, self._formats = kind, False, formats
        self._changed = changed
        self._thing: Thing | None = None
        self._values: dict[str, Any] = {}
        self.head = make(widgets.HTML, css="mt-row-head")
        self.hint = make(widgets.HTML, css="mt-row-hint")
        self.boxes = {field.name: _box(field, formats) for field in kind.fields}
        self.out = make(widgets.Button)
        self.out.on_click(lambda _: taken_out(self))
        for box in self.boxes.values():
            box.observe(self._typed, "value")
        parts = [self.head, *self.boxes.values(), self.out, self.hint]
        self.widget = make(widgets.HBox, parts, css=f"mt-entry mt-{kind.name}")

    def number(self, nth: int) -> None:
        """Say which of its kind it is."""
        self.mark = f"{self.kind.letter}{nth}"
        self.head.value = element("strong", self.mark)
        self.out.description = f"Take {self.mark} out"

    def write_as(self, formats: Formats) -> None:
        """Write numbers as the job does now."""
        if formats != self._formats:
            self._formats = formats
            for box in self.boxes.values():
                if isinstance(box, NumberBox | DayBox):
                    box.write_as(formats)

    def offer(self, name: str, options: Sequence[tuple[str, Any]]) -> None:
        """Have one of its choices offer these."""
        with self.quietly():
            offer(self.boxes[name], list(options))

    def show(self, thing: Thing | None, values: Mapping[str, Any] | None = None) -> None:
        """Show a thing, or a new row with these values; neither puts the row out of use."""
        values = values if thing is None else self.kind.read(thing)
        self.used, self._thing = values is not None, thing
        self._values = dict(values or {})
        with self.quietly():
            if self.used:
                for field in self.kind.fields:
                    self.boxes[field.name].value = self._in_box(field)
                self._say_missing()
            set_shown(self.widget, self.used)

    def _in_box(self, field: BoxField) -> Any:
        """What a box was given."""
        value = self._values[field.name]
        return " ".join(self._formats.typed(one) for one in value) if field.kind == "numbers" else value

    @property
    def place(self) -> str:
        """What to call it in a message."""
        return self.mark if " " in self.mark else f"{self.kind.called.split(' ', 1)[1]} {self.mark}"

    @property
    def missing(self) -> tuple[str, ...]:
        """Labels of the boxes that still have to be filled in."""
        empty = (f for f in self.kind.fields if f.needed and f.kind != "tick")
        return tuple(field.label for field in empty if not str(self.boxes[field.name].value).strip())

    @property
    def unfinished(self) -> Mistake:
        """What to say of a row that is not filled in, where nothing else will do."""
        return Mistake(
            f"{', '.join(self.missing)}: nothing typed",
            "a row is filled in or taken out",
            "fill it in, or take it out",
            self.place,
        )

    def made(self, check: Check) -> Thing | None:
        """What the row describes, None with the mistakes noted where it describes nothing."""
        before = len(check.mistakes)
        values = {field.name: self.value(field, check) for field in self.kind.fields}
        if len(check.mistakes) > before:
            return None
        if self._thing is not None and values == {name: self._values[name] for name in values}:
            return self._thing
        own = Check()
        thing = own.made(lambda: self._changed_thing(values))
        check.mistakes += [replace(each, place=self.place) for each in own.mistakes]
        return thing

    def _changed_thing(self, values: Mapping[str, Any]) -> Thing:
        whole: dict[str, Any] = {**(self._values if self._thing is not None else {}), **values}
        return self.kind.make(**whole)

    def value(self, field: BoxField, check: Check) -> Any:
        """What a box holds; one that was not touched keeps what it was given, to the last digit."""
        box, place = self.boxes[field.name], f"{self.place}, {field.label}"
        typed = box.value
        if field.kind == "number":
            return None if typed == "" else box.number(check, place)
        if typed == self._in_box(field):
            return self._values[field.name]
        if field.kind == "numbers":
            return numbers_typed(typed, place, check, field.unit, on_a_wall(field.unit))
        return typed.strip() if field.kind == "text" else typed

    def tell(self, mistakes: Sequence[Mistake]) -> None:
        """Say at the row what is wrong in it, until something else is typed; else what is missing."""
        said = " ".join(f"{replace(each, place='')}." for each in mistakes)
        if said:
            self.hint.value = element("span", f"Not taken: {said}", css="mt-hint mt-wrong")
        else:
            self._say_missing()

    def _say_missing(self) -> None:
        missing = ", ".join(self.missing)
        said = f"{self.mark} counts when this is filled in: {missing}"
        self.hint.value = element("span", said, css="mt-hint") if missing else ""

    def _typed(self, _: Any) -> None:
        if self._busy or not self.used:
            return
        self._say_missing()
        self._changed()


class Rows(Generic[Thing]):
    """All things of one kind on a wall: `things`, `widget`."""

    def __init__(self, kind: RowKind[Thing], changed: Callable[[], None], formats: Formats = HOUSE) -> None:
        self.kind, self._changed, self._formats = kind, changed, formats
        self.rows: list[Row[Thing]] = []
        self.add = make(widgets.Button, description=f"Add {kind.called}", css="mt-add")
        self.add.on_click(lambda _: self.add_blank())
        self.box = make(widgets.VBox, [])
        self.widget = make(widgets.VBox, [self.box, self.add], css=f"mt-{kind.name}-rows")

    @property
    def used(self) -> list[Row[Thing]]:
        """The rows in use."""
        return [row for row in self.rows if row.used]

    @property
    def things(self) -> tuple[Thing, ...]:
        """As `read` gives them."""
        return self.read()

    def read(self) -> tuple[Thing, ...]:
        """What the rows describe, those left out that are not filled in yet.

        Raises
        ------
        TakeoffError
            Every row that cannot be.
        """
        check = Check()
        made = [row.made(check) for row in self.used if not row.missing]
        check.done()
        return tuple(thing for thing in made if thing is not None)

    @property
    def unfinished(self) -> tuple[Mistake, ...]:
        """A mistake for each row that is not filled in."""
        return tuple(row.unfinished for row in self.used if row.missing)

    def write_as(self, formats: Formats) -> None:
        """Write the numbers of all rows as the job does now."""
        self._formats = formats
        for row in self.rows:
            row.write_as(formats)

    def offer(self, name: str, options: Sequence[tuple[str, Any]]) -> None:
        """Have a choice of every row offer these from now on, what is chosen among them."""
        wider = (replace(each, options=tuple(options)) if each.name == name else each
                 for each in self.kind.fields)  # fmt: skip
        self.kind = replace(self.kind, fields=tuple(wider))
        for row in self.rows:
            row.offer(name, options)

    def show(self, things: Sequence[Thing]) -> None:
        """Show these and no others."""
        for row in self.used[len(things) :]:
            row.show(None)
        for nth, thing in enumerate(things):
            self._row(nth).show(thing)
        self._place()

    def add_one(self, *added: Thing) -> None:
        """Add things that are filled in."""
        for thing in added:
            self._row(len(self.used)).show(thing)
        self._place()
        self._changed()

    def add_blank(self) -> None:
        """Add a row to fill in, and go to its first box."""
        used, values = self.used, dict(self.kind.blank)
        if used:
            again = (field for field in self.kind.fields if field.name in self.kind.taken_over)
            values |= {field.name: used[-1].value(field, Check()) for field in again}
        row = self._row(len(used))
        row.show(None, values)
        self._place()
        row.boxes[self.kind.fields[0].name].focus()
        if not row.missing:
            self._changed()

    def _row(self, nth: int) -> Row[Thing]:
        """The nth row, made if there are fewer."""
        while len(self.rows) <= nth:
            self.rows.append(Row(self.kind, self._changed, self._take_out, self._formats))
        self.rows[nth].number(nth + 1)
        return self.rows[nth]

    def _place(self) -> None:
        wanted = tuple(row.widget for row in self.rows)
        if self.box.children != wanted:
            self.box.children = wanted
        for nth, row in enumerate(self.used, start=1):
            row.number(nth)
        full = self.kind.most is not None and len(self.used) >= self.kind.most
        set_shown(self.add, not full)

    def _take_out(self, gone: Row[Thing]) -> None:
        counted = not gone.missing
        gone.show(None)
        self.rows.remove(gone)
        self.rows.append(gone)
        self._place()
        self.add.focus()
        if counted:
            self._changed()
