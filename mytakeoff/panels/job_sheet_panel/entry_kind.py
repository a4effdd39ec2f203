"""What is asked of things of one kind, and where in the job they stand: as data."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from mytakeoff.job.job import Job
from mytakeoff.panels.job_sheet_panel.asked import Options, Question, value_in, with_values

Pair = tuple[Any, Any]  # a thing as the job has it, None for a new one; and as it shall be
DIGITS = ("number", "share", "whole", "decimal")
OUT, UP, DOWN = ("out", "Remove"), ("up", "Move up"), ("down", "Move down")
MOVES = ("out", "up", "down")


@dataclass(frozen=True)
class EntryKind:
    """What is asked of things of one kind, and where in the job they stand.

    Parameters
    ----------
    path : str
        Of their table in the job's files.
    cls : dataclass type
        Of one of them; anything else is read and made by `values` and `make`.
    asked : tuple of Question
    read : function of Job
        Gives them.
    write : function of Job and pairs of (as it was, as it shall be)
        Gives the job with them; what is gone is in no pair.
    called : str
        One of them, as in "Add a supplier"; empty for a form, which has one thing and always has it.
    several : str
        All of them, for those who do not see the table.
    options, suggest : mapping of str to function of Job
        What a box is among, and what may be meant, by field.
    values : function of the thing
        Values by field.
    make : function of (thing or None, values)
    named : function of the thing
        What one is known by to those who do not see it, where that is not what its first box says.
    facts : function of (Job, thing)
        What else is said of one.
    actions : tuple of (name, words)
        What can be done with one.
    cannot : function of (Job, thing)
        Which of the actions cannot be done with one, by name.
    blank : function of Job
        What a new one has filled in.
    most : int or None
        So many at most.
    hint : str
        What is said of all of them.
    """

    path: str
    cls: Any
    asked: tuple[Question, ...]
    read: Callable[[Job], Sequence[Any]]
    write: Callable[[Job, Sequence[Pair]], Job]
    called: str = ""
    several: str = ""
    options: Mapping[str, Callable[[Job], Options]] = field(default_factory=dict)
    suggest: Mapping[str, Callable[[Job], Sequence[str]]] = field(default_factory=dict)
    values: Callable[[Any], Mapping[str, Any]] | None = None
    make: Callable[[Any, Mapping[str, Any]], Any] | None = None
    named: Callable[[Any], str] | None = None
    facts: Callable[[Job, Any], str] | None = None
    actions: tuple[tuple[str, str], ...] = (OUT,)
    cannot: Callable[[Job, Any], Sequence[str]] = lambda job, thing: ()
    blank: Callable[[Job], Mapping[str, Any]] = lambda job: {}
    most: int | None = None
    hint: str = ""

    def __post_init__(self) -> None:
        kinds = dict.fromkeys(self.options, "choice")
        object.__setattr__(self, "asked", of_kind(self.asked, **kinds))

    def values_of(self, thing: Any) -> Mapping[str, Any]:
        """The values of a thing, by field."""
        if self.values is not None:
            return self.values(thing)
        return {each.name: value_in(thing, each.name) for each in self.asked}

    def made(self, thing: Any, values: Mapping[str, Any]) -> Any:
        """A thing with these values."""
        return self.make(thing, values) if self.make is not None else with_values(self.cls, thing, values)


def head_of(kind: EntryKind) -> dict[str, Any]:
    """What of the boxes never changes."""
    columns = [
        {
            "name": asked.name,
            "label": asked.label,
            "kind": asked.kind,
            "hint": asked.hint,
            "digits": asked.kind in DIGITS,
            "suggest": asked.name in kind.suggest,
            "when": asked.when and list(asked.when),
        }
        for asked in kind.asked
    ]
    return {
        "form": not kind.called,
        "cards": any(asked.when for asked in kind.asked),
        "columns": columns,
        "caption": kind.several,
        "facts": kind.facts is not None,
        "add": f"Add {kind.called}" if kind.called else "",
        "actions": [list(each) for each in kind.actions],
        "most": kind.most,
    }


def form(
    path: str,
    cls: Any,
    asked: tuple[Question, ...],
    read: Callable[[Job], Any],
    write: Callable[[Job, Any], Job],
    **more: Any,
) -> EntryKind:
    """The boxes of one thing that is always there."""
    return EntryKind(
        path, cls, asked, lambda job: (read(job),), lambda job, pairs: write(job, pairs[0][1]), **more
    )


def only(asked: Sequence[Question], *names: str) -> tuple[Question, ...]:
    """Those boxes, in that order."""
    of = {each.name: each for each in asked}
    return tuple(of[name] for name in names)


def but(asked: Sequence[Question], *names: str) -> tuple[Question, ...]:
    """All boxes but those."""
    return tuple(each for each in asked if each.name not in names)


def of_kind(asked: Sequence[Question], **kinds: Any) -> tuple[Question, ...]:
    """The boxes, some of another kind."""
    return tuple(replace(each, kind=kinds.get(each.name, each.kind)) for each in asked)
