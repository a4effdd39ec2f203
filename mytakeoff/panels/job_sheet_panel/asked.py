"""One thing that is asked for: the field it fills, its words, and the way from a text to a value and back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, is_dataclass, replace
from datetime import date
from decimal import Decimal
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from mytakeoff.bounds import Within, bounds_in
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats.formats import Formats
from mytakeoff.io.files.toml_fields import NAMED_IN, Key, keys_of
from mytakeoff.io.files.typed import decimal_typed, number_typed, numbers_typed, unit_of
from mytakeoff.panels.parts.bind import PER_CENT
from mytakeoff.panels.parts.boxes import on_a_wall

Kind = Literal[
    "number", "share", "whole", "decimal", "text", "lines", "choice", "tick", "day", "numbers", "several"
]
Options = list[tuple[str, Any]]
MUST: Any = object()  # an empty box stands for nothing
NEEDED = Mistake("nothing typed", "this has to be known", "type it")


@dataclass(frozen=True)
class Question:
    """One box.

    Parameters
    ----------
    key : str
        As the job's files have it, with the tables that it stands in: buying.supplier.name.
    name : str
        The field that it fills, with those that it stands in: recipe.sand_parts.
    label : str
        With its unit.
    kind : str
        A number, a share in per cent, a whole number, a number to the last digit, a text, lines of text, one
        of some things, yes or no, a day, numbers in one box.
    hint : str
        What it means, and what is usual.
    empty : value
        What an empty box stands for; MUST where it has to be filled in.
    within : Within or None
        What a number may be.
    options : tuple of (words, value)
        Of a choice.
    in_unit : str
        What a plain number is in, where the field's name does not say it.
    when : tuple of (str, str) or None
        Asked for only where another box has that in it: the field of that box, and what it has.
    """

    key: str
    name: str
    label: str
    kind: Kind
    hint: str = ""
    empty: Any = MUST
    within: Within | None = None
    options: tuple[tuple[str, Any], ...] = ()
    in_unit: str = ""
    when: tuple[str, str] | None = None

    @property
    def unit(self) -> str:
        """What a plain number in the box is in."""
        return "%" if self.kind == "share" else self.in_unit or unit_of(self.name)

    def shown(self, value: Any, formats: Formats) -> str | bool:
        """A value as it stands in the box."""
        if self.kind == "tick":
            return bool(value)
        if value is None:
            return ""
        if self.kind == "share":
            return formats.typed(round(value * PER_CENT, 6))
        if self.kind == "number":
            return formats.typed(value)
        if self.kind == "decimal":
            return formats.exact(value)
        if self.kind == "lines":
            return "\n".join(value)
        if self.kind == "numbers":
            return formats.apart.join(formats.typed(one) for one in value)
        return value.isoformat() if self.kind == "day" else f"{value}"

    def beside(self, value: Any, formats: Formats) -> str:
        """A length as the job shows it, beside the box that has it in the unit of its label; "" else."""
        several = value if isinstance(value, tuple) else (value,)
        if self.kind not in ("number", "numbers") or value is None:
            return ""
        return formats.apart.join(filter(None, (formats.beside(one, self.unit) for one in several)))

    def read(self, typed: Any, check: Check, formats: Formats, options: Options) -> Any:
        """The value in a box, None with the mistake noted where there is none."""
        if self.kind == "tick":
            return bool(typed)
        text = f"{typed}".strip()
        if self.kind == "choice":
            return self._chosen(text, check, options)
        if self.kind in ("text", "lines"):
            return self._words(text, check)
        if not text:
            return self._nothing(check)
        value = self._number(text, check, formats) if self.kind != "day" else _day(text, self.label, check)
        mistake = self._beyond(value) if value is not None else None
        check.mistakes += [mistake] if mistake else []
        return None if mistake else value

    def _words(self, text: str, check: Check) -> Any:
        if self.kind == "lines":
            return tuple(line.strip() for line in text.split("\n") if line.strip())
        return text.replace("\r", " ").replace("\n", " ") if text else self._nothing(check)

    def _chosen(self, text: str, check: Check, options: Options) -> Any:
        for _, value in options:
            if f"{'' if value is None else value}" == text:
                return value
        listed = ", ".join(words for words, _ in options)
        check.mistakes.append(
            Mistake(f"{text!r}", "it is one of a list", f"choose from {listed}", self.label)
        )
        return None

    def _nothing(self, check: Check) -> Any:
        if self.empty is MUST:
            check.mistakes.append(replace(NEEDED, place=self.label))
            return None
        return self.empty

    def _number(self, text: str, check: Check, formats: Formats) -> Any:
        holds = self.within.holds if self.within else on_a_wall(self.unit)
        if self.kind == "numbers":
            return numbers_typed(text, self.label, check, self.unit, holds) or None
        if self.kind in ("share", "decimal"):
            hundredth = (lambda shown: holds(shown / PER_CENT)) if holds and self.kind == "share" else holds
            unit = self.unit or formats.currency
            exact = decimal_typed(text, self.label, check, unit, hundredth, formats)
            return exact if exact is None or self.kind == "decimal" else float(exact / 100)
        found = number_typed(text, self.label, check, self.unit, holds, formats)
        return int(found) if found is not None and self.kind == "whole" and found == int(found) else found

    def _beyond(self, value: Any) -> Mistake | None:
        """What is wrong with a number that is not within its bounds."""
        several = value if isinstance(value, tuple) else (value,)
        name = self.name.rpartition(".")[2]
        found = (self.within.mistake(name, one, self.label) for one in several) if self.within else iter(())
        return next((mistake for mistake in found if mistake), None)


def _day(text: str, place: str, check: Check) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        check.mistakes.append(
            Mistake(f"{text!r}", "a day stands here", "write year, month and day: 2027-03-01", place)
        )
        return None


# -- what the fields of a dataclass ask for ------------------------------------------------------------


def asked_of(
    cls: type,
    words: Mapping[str, str],
    path: str = "",
    inside: str = "",
    without: frozenset[str] = frozenset(),
) -> tuple[Question, ...]:
    """A box for each field of a dataclass, and of the dataclasses in it; lists of tables have none.

    Parameters
    ----------
    cls : dataclass type
    words : mapping of str to str
        "Label | hint" by key.
    path, inside : str
        The table that it stands in, as the file and as the fields have it.
    without : set of str
        Keys that are asked for elsewhere.
    """
    return asked_with(keys_of(cls), words, path, without, inside)


def asked_with(
    keys: Mapping[str, Key], words: Mapping[str, str], path: str, without: frozenset[str], inside: str = ""
) -> tuple[Question, ...]:
    """The same of the keys of a table that is made of several dataclasses."""
    return tuple(_boxes(keys, words, path, inside, without))


def _boxes(
    keys: Mapping[str, Key], words: Mapping[str, str], path: str, inside: str, without: frozenset[str]
) -> Iterator[Question]:
    for name, key in keys.items():
        whole = f"{path}.{name}" if path else name
        field = f"{inside}.{key.field}" if inside else key.field
        if whole in without:
            continue
        bare, optional = _bare(key.hint)
        if is_dataclass(bare) and isinstance(bare, type):
            for each in asked_of(bare, words, whole, field, without):
                yield replace(each, empty=None) if optional and each.kind != "tick" else each
        elif (kind := _kind(bare, key.hint, field)) is not None:
            yield _box(key, kind, whole, field, words, optional)


def _box(key: Key, kind: Kind, whole: str, field: str, words: Mapping[str, str], optional: bool) -> Question:
    label, _, hint = words[whole].partition(" | ")
    within = next(bounds_in(key.hint), None)
    unit = "%" if kind == "share" else unit_of(field)
    usual = within.usual if within and "usual" in within.usual else ""
    return Question(
        whole,
        field,
        f"{label}, {unit}" if unit else label,
        kind,
        hint or usual,
        None if optional else MUST if key.default is MISSING else key.default,
        within,
        _listed(key.hint),
    )


def _bare(hint: Any) -> tuple[Any, bool]:
    """A type without its bounds and without None; whether None was among it."""
    if get_origin(hint) in (Union, UnionType):
        return _bare(next(part for part in get_args(hint) if part is not NoneType))[0], True
    if get_origin(hint) is Annotated and hint not in NAMED_IN:
        return _bare(get_args(hint)[0])
    return hint, False


def _kind(bare: Any, hint: Any, name: str) -> Kind | None:
    if get_origin(bare) is Literal or bare in NAMED_IN:
        return "choice"
    if get_origin(bare) is tuple:
        inner = _bare(get_args(bare)[0])[0]
        return {float: "numbers", str: "lines"}.get(inner)  # type: ignore[return-value]
    if bare is float and name.endswith("_share"):
        return "share"
    plain = {bool: "tick", float: "number", int: "whole", Decimal: "decimal", str: "text", date: "day"}
    return plain.get(bare)  # type: ignore[return-value]


def _listed(hint: Any) -> tuple[tuple[str, Any], ...]:
    """What a choice is among, by its type."""
    bare = _bare(hint)[0]
    values = get_args(bare) if get_origin(bare) is Literal else tuple(NAMED_IN.get(bare, ()))
    return tuple((f"{value}" or "none", value) for value in values)


# -- values of a thing, and a thing with other values --------------------------------------------------


def value_in(thing: Any, name: str) -> Any:
    """A value of a thing, by the fields that it stands in; None where one of them is not there."""
    for part in name.split("."):
        thing = None if thing is None else getattr(thing, part)
    return thing


def with_values(cls: Any, thing: Any, values: Mapping[str, Any]) -> Any:
    """A thing with other values in its fields, or a new one.

    Parameters
    ----------
    cls : dataclass type
    thing : instance of it, or None
    values : mapping of str to value
        By the fields that they stand in. A part that need not be there is not where nothing of it is.

    Raises
    ------
    TakeoffError
        What the class refuses.
    """
    own: dict[str, Any] = {name: value for name, value in values.items() if "." not in name}
    inner: dict[str, dict[str, Any]] = {}
    for name, value in values.items():
        head, _, rest = name.partition(".")
        if rest:
            inner.setdefault(head, {})[rest] = value
    for head, several in inner.items():
        bare, optional = _bare(keys_of(cls)[head].hint)
        own[head] = _part(bare, None if thing is None else getattr(thing, head), several, optional)
    return cls(**own) if thing is None else replace(thing, **own)


def _part(cls: Any, there: Any, values: dict[str, Any], optional: bool) -> Any:
    """A part of a thing; where it need not be there, it is not without what it cannot do without."""
    needed = [key.field for key in keys_of(cls).values() if key.required]
    given = {name: value for name, value in values.items() if value is not None}
    if optional and (
        any(name in values and name not in given for name in needed) or (there is None and not given)
    ):
        return None
    lacking = [name.replace("_", " ") for name in needed if name not in given]
    if there is None and lacking:
        raise TakeoffError(Mistake(f"no {', '.join(lacking)}", "the rest is told with it", "type that too"))
    return with_values(cls, there, values if there is not None else given)
