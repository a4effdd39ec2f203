"""Mistakes in what the user entered, told so that they can be put right."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import TypeVar

Made = TypeVar("Made")
CELL = re.compile(r"(.*), row ([0-9]+), column ([A-Z]+)", re.DOTALL)
MOST_ALONE = 3  # mistakes of one kind that are told one by one; more are told as one
MOST_NAMED = 3  # of those: values, places and runs of cells that are named


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
        In the order in which they stand in the file or on the screen; what is printed tells those of one kind
        together.
    """

    def __init__(self, *mistakes: Mistake) -> None:
        self.mistakes = mistakes
        super().__init__("\n".join(told(mistakes)))


def told(mistakes: Iterable[Mistake], alone: int = MOST_ALONE) -> list[str]:
    """A line for each mistake; many of one kind share a line, at the place of the first.

    Of one kind are those that break one rule in one file or on one wall, with the same to do about it.

    Parameters
    ----------
    mistakes : iterable of Mistake
    alone : int
        So many of a kind have a line each.

    Examples
    --------
    >>> places = [f"a.csv, row {row}, column B" for row in (3, 4, 5, 6)]
    >>> told(Mistake("'x'", "a number stands here", "type one", place) for place in places)
    ["a.csv: 4 cells, column B, rows 3 to 6: 'x'; a number stands here; type one"]
    """
    kinds: dict[tuple[str, ...], list[Mistake]] = {}
    for mistake in mistakes:
        kinds.setdefault(_kind(mistake), []).append(mistake)
    return [
        line
        for kind in kinds.values()
        for line in ([str(one) for one in kind] if len(kind) <= alone else [_together(kind)])
    ]


def _kind(mistake: Mistake) -> tuple[str, ...]:
    cell = CELL.fullmatch(mistake.place)
    file = (cell[1], "cell") if cell else (mistake.place.split(", ")[0],)
    return mistake.rule, mistake.remedy, *file


def _together(kind: Sequence[Mistake]) -> str:
    """Mistakes of one kind in one line: how many, where the first are, what was found there."""
    cells = [match for match in (CELL.fullmatch(one.place) for one in kind) if match]
    if cells:
        file, where = cells[0][1], _cells((_column(match[3]), int(match[2])) for match in cells)
        said = f"{len(kind)} cells, {where}: {_first(dict.fromkeys(one.found for one in kind))}"
    else:
        file, said = kind[0].place.split(", ")[0], "; ".join(_places(kind))
    return str(Mistake(said, kind[0].rule, kind[0].remedy, file))


def _places(kind: Sequence[Mistake]) -> list[str]:
    """What was found at each place; what was found at many of them once, with the first of them."""
    at: dict[str, list[str]] = {}
    for one in kind:
        at.setdefault(one.found, []).append(one.place.partition(", ")[2])
    said = []
    for found, places in at.items():
        if len(places) > MOST_ALONE:
            where = _first(filter(None, dict.fromkeys(places)))
            said.append(f"{found}, {len(places)} times" + (f": {where}" if where else ""))
        else:
            said += [f"{place}: {found}" if place else found for place in places]
    return said


def _first(texts: Iterable[str], between: str = ", ") -> str:
    """The first of some texts, and whether there are more."""
    texts = list(texts)
    return between.join(texts[:MOST_NAMED]) + (" …" if len(texts) > MOST_NAMED else "")


def _cells(cells: Iterable[tuple[int, int]]) -> str:
    """Cells by column and row, as runs: "column B, rows 3 to 14"."""
    rows_of: dict[int, list[int]] = {}
    for column, row in sorted(set(cells)):
        rows_of.setdefault(column, []).append(row)
    alike = (list(columns) for _, columns in groupby(rows_of, key=lambda column: rows_of[column]))
    runs = (f"{_run('column', one, column_letters)}, {_run('row', rows_of[one[0]], str)}" for one in alike)
    return _first(runs, "; ")


def _run(word: str, numbers: Sequence[int], name: Callable[[int], str]) -> str:
    """Rows or columns by their numbers, as a run where they are one."""
    if len(numbers) == 1:
        return f"{word} {name(numbers[0])}"
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{word}s {name(numbers[0])} to {name(numbers[-1])}"
    return f"{word}s {_first(map(name, numbers))}"


def _column(letters: str) -> int:
    """The number of a column by its letters, counted from 1."""
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - ord("A") + 1
    return number


def column_letters(column: int) -> str:
    """The letters over a spreadsheet's column, counted from 1.

    Examples
    --------
    >>> column_letters(3), column_letters(28)
    ('C', 'AB')
    """
    letters = ""
    while column > 0:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


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
        """Take over the mistakes of an error raised further down, each once."""
        self.mistakes.extend(each for each in error.mistakes if each not in self.mistakes)

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
