"""What a document is made of, from top to bottom; the page, the sheet of paper and the test read the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Style = Literal["plain", "lead", "small"]


@dataclass(frozen=True)
class Letterhead:
    """Who writes: the firm's name, the lines below it, and its logo's file in the job folder."""

    firm: str
    lines: tuple[str, ...]
    logo: str


@dataclass(frozen=True)
class Title:
    """A heading of a level: 1 for the document's own."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    text: str
    style: Style = "plain"


@dataclass(frozen=True)
class Total:
    """The sum that everybody looks for first, what it is, and what goes with it."""

    amount: str
    words: str


@dataclass(frozen=True)
class Points:
    """Sentences one below the other."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Facts:
    """Labels with their words; where there are none, a line to fill in by hand.

    `split`: so many stand on the left, the others beside them; 0 for one below the other [-].
    """

    rows: tuple[tuple[str, str], ...]
    split: int = 0


@dataclass(frozen=True)
class Table:
    """Rows under a head.

    Parameters
    ----------
    caption : str
        What it shows, for who does not see it.
    head : tuple of str
    rows : tuple of tuple of str
    figures : tuple of int
        Columns of figures, which stand right [-].
    sums : int
        So many rows at the end are sums [-].
    small : bool
        Many columns: smaller letters.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()
    sums: int = 0
    small: bool = False


@dataclass(frozen=True)
class WallCard:
    """One wall: its picture, what is done, what it costs before tax, what will still show and when."""

    wall: str
    amount: str
    done: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class MapKey:
    """The scale of the walls' pictures."""


@dataclass(frozen=True)
class Warnings:
    """Cautions: title, words and source of each."""

    items: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Signatures:
    """Places to sign, side by side, under what is signed."""

    words: str
    parties: tuple[str, ...]


Block = (
    Letterhead | Title | Words | Total | Points | Facts | Table | WallCard | MapKey | Warnings | Signatures
)


@dataclass(frozen=True)
class Document:
    """A document: its title, whom it is for, what stands at the foot of each page, and its blocks."""

    title: str
    author: str
    for_whom: str
    foot: str
    blocks: tuple[Block, ...]


def section(title: str, *blocks: Block | None) -> Sequence[Block]:
    """Blocks under a heading; nothing where there are none."""
    there = [block for block in blocks if block is not None]
    return [Title(title), *there] if there else []


def points(items: Sequence[str]) -> Points | None:
    """Points, where there are any."""
    return Points(tuple(items)) if items else None
