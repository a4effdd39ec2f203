"""What a job may be instead: ways of treating a wall, what they are compared by, scenarios."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any

from mytakeoff.bounds import Across, Width, Within, check_numbers
from mytakeoff.errors import Check

TreatmentKind = Annotated[str, "a way that mytakeoff.treatment.ways knows"]
AS_IT_IS: TreatmentKind = "as it is"
PATCH: TreatmentKind = "patch what has fallen"
STRAIGHTEN: TreatmentKind = "straighten the hollows"
FLOAT_LEANING: TreatmentKind = "float following the lean"
FLOAT_PLUMB: TreatmentKind = "float plumb"


@dataclass(frozen=True)
class Treatment:
    """One way of treating the walls of a job.

    Parameters
    ----------
    name : str
        As it stands in the table of options.
    kind : str
        The way: "as it is", "patch what has fallen", "straighten the hollows", "float following the lean",
        "float plumb"; one that is not known is refused where the wall is treated.
    skim : bool
        An even coat over a wall that was patched or straightened; a floated wall has its finish anyway.
    square : bool
        Square to the measured corner; "float plumb" only.
    in_room : bool
        Square in the room, with its other walls; "float plumb" only, and nothing is taken down then.
    take_down : bool
        High spots taken down as deep as it pays, within what the background allows. False: floated walls
        are taken down by the depth that the job has for its plane, the others not at all.

    Raises
    ------
    TakeoffError
        No name, a wall that is to be square without being plumb, square in both ways, or square in the room
        with high spots taken down.

    Examples
    --------
    >>> Treatment("patch only", "patch what has fallen", skim=False).take_down
    False
    """

    name: str
    kind: TreatmentKind
    skim: bool = True
    square: bool = False
    take_down: bool = False
    in_room: bool = False

    def __post_init__(self) -> None:
        check = Check(f"option {self.name!r}")
        check.that(
            bool(self.name.strip()), "no name", "an option has a name", "write what the client calls it"
        )
        check.that(
            not (self.square or self.in_room) or self.kind == FLOAT_PLUMB,
            f"square{' in the room' if self.in_room else ''}, but {self.kind}",
            "only a wall that is floated plumb is squared",
            f"leave {'in_room' if self.in_room else 'square'} out, or float it plumb",
        )
        check.that(
            not (self.square and self.in_room),
            "square to the corner, and in the room",
            "a wall is squared in one way",
            "leave square or in_room out",
        )
        check.that(
            not (self.in_room and self.take_down),
            "square in the room, with high spots taken down",
            "nothing is taken down where the walls of a room come square together",
            "leave take_down or in_room out",
        )
        check.done()


@dataclass(frozen=True)
class PlumbThing:
    """Something plumb that stands against a wall and shows its lean: a door frame, the side of a wardrobe.

    Parameters
    ----------
    name : str
    wall : str
        Name of one of the job's walls.
    x_m : float
        Where it begins, from the wall's left end [m].
    width_m : float
        How wide it is, more than 0 [m].

    Raises
    ------
    TakeoffError
        A place left of the wall, or a thing of no width.
    """

    name: str
    wall: str
    x_m: Across
    width_m: Width = 0.1

    def __post_init__(self) -> None:
        check = Check(f"beside {self.name!r}")
        check_numbers(self, check)
        check.done()


@dataclass(frozen=True)
class Compare:
    """What options are judged by (common practice, no source; 3 mm under 2 m: NHBC Standards 2020, 9.1.3).

    Parameters
    ----------
    grade : str
        Name of a finish grade; "own" for the user's own: the tolerance under the straightedge, and the lean.
    tolerance_mm : float
        Greatest gap under the edge in the user's own grade, more than 0 [mm].
    straightedge_m : float
        Length of the edge that is laid on the wall, more than 0 [m].
    left_mm : float
        Gap left in a hollow that is filled, more than 0; common practice, no source [mm].
    lean_mm_per_m : float or None
        Lean allowed, 0 or more: in the user's own grade, and of a face that is floated to follow the wall;
        None: any [mm/m].
    take_down : bool
        The standard options take high spots down where it pays.
    beside : tuple of PlumbThing
        Where a lean is seen.

    Raises
    ------
    TakeoffError
        A tolerance, an edge or a rest that is not more than 0, a lean under 0.
    """

    grade: str = "own"
    tolerance_mm: Annotated[float, Within(0.01, 200.0, usual="3 mm under 2 m is a usual grade")] = 3.0
    straightedge_m: Annotated[float, Within(0.05, 10.0, usual="2 m is usual")] = 2.0
    left_mm: Annotated[float, Within(0.01, 200.0, usual="0.5 mm is usual")] = 0.5
    lean_mm_per_m: Annotated[float, Within(0.0, 600.0, usual="0 for plumb, or leave it out")] | None = None
    take_down: bool = True
    beside: tuple[PlumbThing, ...] = ()

    def __post_init__(self) -> None:
        check = Check("what options are compared by")
        check_numbers(self, check)
        check.done()


MOST_EDITS = (
    500  # more than the sliders, prices and mixes of a house; a file that has more was made to be big
)
LONGEST_NAME = 100
QUOTED = r'"(?:[^"\\\x00-\x1f]|\\["\\/bfnrt]|\\u[0-9a-fA-F]{4})*"'  # as JSON has it
OF_A_WALL = re.compile(rf"wall ({QUOTED})\.")


def quoted(name: str) -> str:
    """A name as it stands in what an edit changes, so that any name can stand there.

    Examples
    --------
    >>> print(quoted('the "good" wall'))
    "the \\"good\\" wall"
    """
    return json.dumps(name, ensure_ascii=False)


@dataclass(frozen=True)
class Edit:
    """One thing that a scenario says otherwise than the job.

    Parameters
    ----------
    change : str
        What it changes, by the keys of ``job.toml``: ``waste_share``, ``plane.kind``,
        ``mix "gypsum skim".density_kg_per_l``, ``wall "party wall".treatment.kind``, ``price "primer"``,
        ``pack "primer, tub of 5 kg".price``.
    to : number, text, yes or no, day, or a tuple of them
        What it is then, as the file would write it; None: left out.
    """

    change: str
    to: Any = None

    def with_wall_names(self, names: Mapping[str, str]) -> Edit:
        """The same edit where walls are called otherwise: new names by their old ones.

        Examples
        --------
        >>> Edit('wall "north".strip', "paper").with_wall_names({"north": "street"}).change
        'wall "street".strip'
        """
        change, to, of = self.change, self.to, OF_A_WALL.match(self.change)
        if of is not None and (name := json.loads(of[1])) in names:
            change = f"wall {quoted(names[name])}.{change[of.end() :]}"
        if change == "only" and isinstance(to, (tuple, list)):
            to = type(to)(names.get(name, name) for name in to)
        return replace(self, change=change, to=names.get(to, to) if change.endswith(".wall") else to)


@dataclass(frozen=True)
class Scenario:
    """What-if: a named set of edits of the job, kept beside it and no part of what was agreed.

    Parameters
    ----------
    name : str
        As the client hears it, 1 to 100 letters.
    edits : tuple of Edit
        Each changes something else; 500 at most.

    Raises
    ------
    TakeoffError
        No name or a very long one, too many edits, or two of one thing.

    Examples
    --------
    >>> Scenario("less waste", (Edit("waste_share", 0.08),)).edits[0].to
    0.08
    """

    name: str
    edits: tuple[Edit, ...] = ()

    def __post_init__(self) -> None:
        check = Check(f"scenario {self.name[:LONGEST_NAME]!r}")
        check.that(
            bool(self.name.strip()), "no name", "a scenario has a name", "write what the client calls it"
        )
        check.that(
            len(self.name) <= LONGEST_NAME,
            f"a name of {len(self.name)} letters",
            f"a name has {LONGEST_NAME} at most",
            "write what the client calls it",
        )
        check.that(
            len(self.edits) <= MOST_EDITS,
            f"{len(self.edits)} edits",
            f"a scenario has {MOST_EDITS} at most",
            "make another job of it: Save into a new folder",
        )
        changed = [edit.change for edit in self.edits]
        for change in sorted({change for change in changed if changed.count(change) > 1}):
            check.that(False, f"{change} twice", "each edit changes something else", "take one of them out")
        check.done()
