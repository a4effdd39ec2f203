"""How far an input may be off, by the user or by marked defaults; what finished jobs said of inputs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check

DENSITY = "mix density"
WASTE = "waste"
LEAST = "least thickness"
LABOUR = "labour rate"
SURVEY = "survey"
Off = Annotated[float, Within(-100.0, 100.0, usual="write a factor, a share or mm: see its input")]


@dataclass(frozen=True)
class Range:
    """How far an input may plausibly be off.

    Parameters
    ----------
    name : str
        One of "mix density", "waste", "least thickness", "labour rate", "survey".
    low, high : float
        Density and labour rate as a factor [-], waste as a share added [-], least thickness as millimetres
        added [mm]; survey as millimetres by which readings miss what is there [mm]: added to what floated
        walls are priced with on top, taken from the tolerance that hollows are judged by.
    source : str

    Raises
    ------
    TakeoffError
        An unknown name, or ends that are in the wrong order.
    """

    name: str
    low: Off
    high: Off
    source: str = ""

    def __post_init__(self) -> None:
        check = Check(f"range of {self.name!r}")
        check_numbers(self, check)
        known = ", ".join(UNCHANGED)
        check.that(self.name in UNCHANGED, f"{self.name!r}", "its input is known", f"choose from {known}")
        check.done()
        middle = UNCHANGED[self.name]
        check.that(
            self.low <= middle <= self.high,
            f"from {self.low:g} to {self.high:g}",
            f"the figure entered, {middle:g}, lies within its range",
            "write the low end first",
        )
        check.that(
            middle == 0 or self.low > 0,
            f"a factor of {self.low:g}",
            "a factor is above 0",
            "0.9 takes 10 % off",
        )
        check.done()


Figure = Annotated[float, Within(0.0, 10_000.0, usual="write it as the offer had it")]


@dataclass(frozen=True)
class LearntFigure:
    """What the user's own finished jobs offered to this job, and what became of it: the reason stays here.

    Parameters
    ----------
    name : str
        Of the figure: "mix density: gypsum skim", "waste", "hours: rails".
    was, becomes : float
        What the job had, and what was offered, 0 to 10 000 [the figure's unit].
    jobs : int
        How many finished jobs say so, 1 or more [-].
    since : date or None
        When the first of them began.
    taken : bool
        Else the job was left as it was.

    Raises
    ------
    TakeoffError
        No name, or a figure that cannot be.
    """

    name: str
    was: Figure
    becomes: Figure
    jobs: Annotated[int, Within(1, 100_000, usual="count the finished jobs that it is from")] = 1
    since: date | None = None
    taken: bool = True

    def __post_init__(self) -> None:
        check = Check(f"learnt {self.name!r}")
        check_numbers(self, check)
        check.that(
            bool(self.name.strip()), "no name", "what was learnt is of a figure", "write which it is of"
        )
        check.done()


UNCHANGED = {DENSITY: 1.0, WASTE: 0.0, LEAST: 0.0, LABOUR: 1.0, SURVEY: 0.0}
_MARKED = "common practice, no source"
DEFAULT_RANGES: tuple[Range, ...] = (
    Range(DENSITY, 0.95, 1.1, _MARKED),
    Range(WASTE, -0.04, 0.08, _MARKED),
    Range(LEAST, -1.0, 3.0, _MARKED),
    Range(LABOUR, 0.9, 1.2, _MARKED),
    Range(SURVEY, -1.0, 2.0, _MARKED),
)
