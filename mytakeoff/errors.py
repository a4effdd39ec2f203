"""Mistakes in what the user entered, told so that they can be put right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

Made = TypeVar("Made")


@dataclass(frozen=True)
class Mistake:
    """One mistake: the value found, the rule that it broke, what to do, and where it stands.

    Examples
    --------
    >>> print(Mistake("width 0 m", "a wall is wider than nothing", "give its width in metres", "wall A"))
    wall A: width 0 m; a wall is wider than nothing; give its width in metres
    """

    found: str
    rule: str
    remedy: str
    place: str = ""

    def __str__(self) -> str:
        said = "; ".join(part for part in (self.found, self.rule, self.remedy) if part)
        return f"{self.place}: {said}" if self.place else said


class TakeoffError(ValueError):
    """Every mistake in the user's data, all those found at once.

    Attributes
    ----------
    mistakes : tuple of Mistake
        In the order in which they stand in the file or on the screen.
    """

    def __init__(self, *mistakes: Mistake) -> None:
        self.mistakes = mistakes
        super().__init__("\n".join(str(mistake) for mistake in mistakes))


@dataclass
class Check:
    """Collects mistakes, so that all are told together.

    Examples
    --------
    >>> check = Check("wall A")
    >>> check.that(2.6 > 0, "height 2.6 m", "a wall is higher than nothing", "measure it again")
    >>> check.done()
    """

    place: str = ""
    mistakes: list[Mistake] = field(default_factory=list)

    def that(self, holds: bool, found: str, rule: str, remedy: str, place: str = "") -> None:
        """Note a mistake unless `holds`."""
        if not holds:
            self.mistakes.append(Mistake(found, rule, remedy, place or self.place))

    def add(self, error: TakeoffError) -> None:
        """Take over the mistakes of an error raised further down."""
        self.mistakes.extend(error.mistakes)

    def made(self, make: Callable[[], Made]) -> Made | None:
        """What `make` gives, or None with its mistakes noted."""
        try:
            return make()
        except TakeoffError as error:
            self.add(error)
            return None

    def done(self) -> None:
        """Raise `TakeoffError` if anything was noted."""
        if self.mistakes:
            raise TakeoffError(*self.mistakes)
