"""Cut list: pieces from stock lengths with the fewest lengths bought.

One-dimensional cutting stock: each stock length is cut by a pattern; the least number of patterns that gives
every piece is a whole-number programme, solved by scipy's `milp`. With few patterns all of them take part and
the answer is exact. With many, those that matter are found one by one (Gilmore and Gomory, Operations
Research 9, 1961): the bound that comes with them is then shown beside the answer.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from mytakeoff.errors import Check

MOST_PATTERNS = 4000
MOST_ROUNDS = 120
MOST_NODES = 2000  # of the search tree: a bound on work, so that a busy machine gives the same cuts
Counts = NDArray[np.int64]


@dataclass(frozen=True)
class Piece:
    """One length to cut.

    Parameters
    ----------
    name : str
        Where it goes: "party wall, rail 2".
    length_mm : int
        To the whole millimetre [mm].
    """

    name: str
    length_mm: int


@dataclass(frozen=True)
class Stock:
    """One stock length and what is cut from it, longest first."""

    pieces: tuple[Piece, ...]
    left_mm: int
    """What is over when its pieces are cut, the saw's cuts taken off [mm]."""


@dataclass(frozen=True)
class CutList:
    """What is cut from what.

    Parameters
    ----------
    stock_mm, kerf_mm : int
        Length of a stock length, width of a cut [mm].
    stocks : tuple of Stock
        Each one to buy, fullest first.
    at_least : int
        No cutting takes fewer stock lengths than this [-].
    """

    stock_mm: int
    kerf_mm: int
    stocks: tuple[Stock, ...]
    at_least: int

    @property
    def count(self) -> int:
        """Stock lengths to buy [-]."""
        return len(self.stocks)

    @property
    def exact(self) -> bool:
        """Whether it is proved that no fewer will do."""
        return self.count == self.at_least

    @property
    def cut_m(self) -> float:
        """Length of all pieces [m]."""
        return sum(piece.length_mm for stock in self.stocks for piece in stock.pieces) / 1000

    @property
    def left_m(self) -> float:
        """Offcuts of all stock lengths together, the saw's cuts taken off [m]."""
        return sum(stock.left_mm for stock in self.stocks) / 1000

    @property
    def left_share(self) -> float:
        """What is bought and does not end up in a piece, as a share of it [-]."""
        bought = self.count * self.stock_mm / 1000
        return 1 - self.cut_m / bought if bought else 0.0


def cut_list(pieces: Iterable[Piece], stock_mm: int, kerf_mm: int = 0) -> CutList:
    """The fewest stock lengths that give all pieces.

    Parameters
    ----------
    pieces : iterable of Piece
    stock_mm : int
        Length of a stock length, more than 0 [mm].
    kerf_mm : int
        What the saw takes between two pieces, and between the last one and what is over, 0 or more [mm].

    Returns
    -------
    CutList
        Checked again: every piece is cut once and no stock length gives more than it has.

    Raises
    ------
    TakeoffError
        A piece longer than the stock, or a measure out of its range.

    Examples
    --------
    Three rails of 2.58 m and two of 0.4 m from lengths of 3 m: the short ones fit beside the long.

    >>> rails = [Piece(f"rail {n}", 2580) for n in range(3)] + [Piece("over the door", 400)] * 2
    >>> cuts = cut_list(rails, 3000, 2)
    >>> cuts.count, cuts.exact, [stock.left_mm for stock in cuts.stocks]
    (3, True, [16, 16, 418])
    """
    pieces = sorted(pieces, key=lambda piece: (-piece.length_mm, piece.name))
    _check(pieces, stock_mm, kerf_mm)
    need = Counter(piece.length_mm for piece in pieces)
    lengths = sorted(need, reverse=True)
    if not lengths:
        return CutList(stock_mm, kerf_mm, (), 0)
    takes = np.array([length + kerf_mm for length in lengths])
    wanted = np.array([need[length] for length in lengths])
    cuts, bound = _fewest(takes, wanted, stock_mm + kerf_mm)
    stocks = _handed_out(pieces, lengths, cuts, stock_mm, kerf_mm)
    _verify(pieces, stocks, stock_mm, kerf_mm)
    return CutList(stock_mm, kerf_mm, stocks, bound)


def _check(pieces: Sequence[Piece], stock_mm: int, kerf_mm: int) -> None:
    check = Check("cut list")
    check.that(
        stock_mm > 0 and kerf_mm >= 0,
        f"stock of {stock_mm} mm, saw cut of {kerf_mm} mm",
        "stock is longer than nothing, a saw cut 0 or more",
        "3000 mm and 2 mm are usual",
    )
    for piece in pieces:
        check.that(
            0 < piece.length_mm <= stock_mm,
            f"{piece.length_mm} mm from stock of {stock_mm} mm",
            "a piece is cut from one stock length, no longer than that",
            "buy longer stock and say so: 'Length in which rails are sold' (stock_m under rails in job.toml)",
            piece.name,
        )
    check.done()


def _fewest(takes: Counts, wanted: Counts, room: int) -> tuple[list[Counts], int]:
    """A pattern for each stock length, and how many no cutting can do without."""
    greedy = _first_fit(takes, wanted, room)
    length = math.ceil(float(takes @ wanted) / room - 1e-9)
    if len(greedy) == length:  # less than the length of all pieces nobody can buy
        return greedy, length
    patterns = _all_patterns(takes, wanted, room)
    if patterns is not None:
        return _whole(patterns, wanted, greedy)
    patterns, bound = _found_patterns(takes, wanted, room, greedy)
    cuts, _ = _whole(patterns, wanted, greedy)
    return cuts, bound


def _first_fit(takes: Counts, wanted: Counts, room: int) -> list[Counts]:
    """Longest first, each into the first stock length with room: never bad, seldom best."""
    cuts: list[Counts] = []
    left: list[int] = []
    for kind, count in enumerate(wanted):
        for _ in range(count):
            at = next((n for n, free in enumerate(left) if free >= takes[kind]), len(cuts))
            if at == len(cuts):
                cuts.append(np.zeros(len(takes), dtype=np.int64))
                left.append(room)
            cuts[at][kind] += 1
            left[at] -= int(takes[kind])
    return cuts


def _all_patterns(takes: Counts, wanted: Counts, room: int) -> Counts | None:
    """Every pattern that takes no further piece that is wanted; None where they are too many."""
    found: list[Counts] = []
    for pattern in _patterns(takes, wanted, room):
        found.append(pattern)
        if len(found) > MOST_PATTERNS:
            return None
    return np.array(found)


def _patterns(takes: Counts, wanted: Counts, room: int) -> Iterator[Counts]:
    """Full patterns, by how many of the longest piece they hold."""
    pattern = np.zeros(len(takes), dtype=np.int64)

    def fill(kind: int, left: int) -> Iterator[Counts]:
        if kind == len(takes):
            if not ((takes <= left) & (pattern < wanted)).any():
                yield pattern.copy()
            return
        for count in range(min(int(wanted[kind]), left // int(takes[kind])), -1, -1):
            pattern[kind] = count
            yield from fill(kind + 1, left - count * int(takes[kind]))
        pattern[kind] = 0

    return fill(0, room)


def _found_patterns(takes: Counts, wanted: Counts, room: int, greedy: list[Counts]) -> tuple[Counts, int]:
    """Patterns that matter for the relaxed programme, and its value rounded up, which is a bound."""
    patterns = np.unique(np.array(greedy), axis=0)
    bound = math.ceil(float(takes @ wanted) / room - 1e-9)
    for _ in range(MOST_ROUNDS):
        relaxed = linprog(np.ones(len(patterns)), A_ub=-patterns.T, b_ub=-wanted, method="highs")
        worth = -relaxed.ineqlin.marginals
        better, value = _knapsack(takes, wanted, room, worth)
        # Farley (Operations Research 38, 1990): the value over the best pattern's worth is a bound any time.
        bound = max(bound, math.ceil(float(relaxed.fun or 0.0) / max(value, 1.0) - 1e-6))
        if value <= 1 + 1e-9:
            break
        patterns = np.vstack([patterns, better])
    return patterns, bound


def _knapsack(takes: Counts, wanted: Counts, room: int, worth: NDArray[np.float64]) -> tuple[Counts, float]:
    """The pattern of most worth, piece by piece over all lengths."""
    best = np.zeros(room + 1)
    taken: list[tuple[int, NDArray[np.bool_]]] = []
    for kind, size in enumerate(takes.tolist()):
        for _ in range(min(int(wanted[kind]), room // size)):
            with_it = np.full(room + 1, -np.inf)
            with_it[size:] = best[: room + 1 - size] + worth[kind]
            better = with_it > best + 1e-12
            best = np.where(better, with_it, best)
            taken.append((kind, better))
    pattern, at = np.zeros(len(takes), dtype=np.int64), room
    for kind, better in reversed(taken):
        if better[at]:
            pattern[kind] += 1
            at -= int(takes[kind])
    return pattern, float(best[room])


def _whole(patterns: Counts, wanted: Counts, greedy: list[Counts]) -> tuple[list[Counts], int]:
    """Whole numbers of the patterns, and the bound that the programme proved."""
    solved = milp(
        np.ones(len(patterns)),
        integrality=np.ones(len(patterns), dtype=np.int64),
        bounds=Bounds(0, float(wanted.sum())),
        constraints=LinearConstraint(patterns.T.astype(float), lb=wanted.astype(float)),
        options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
    )
    bound = math.ceil(solved.mip_dual_bound - 1e-6) if solved.mip_dual_bound is not None else 1
    if solved.x is None or round(float(solved.x.sum())) >= len(greedy):
        return greedy, bound
    times = np.round(solved.x).astype(int)
    return [pattern for pattern, count in zip(patterns, times, strict=True) for _ in range(count)], bound


def _handed_out(
    pieces: Sequence[Piece], lengths: Sequence[int], cuts: Iterable[Counts], stock_mm: int, kerf_mm: int
) -> tuple[Stock, ...]:
    """The named pieces to the patterns; a pattern that gives more than is wanted gives less."""
    waiting = {length: [piece for piece in pieces if piece.length_mm == length] for length in lengths}
    stocks = []
    for pattern in sorted(cuts, key=lambda cut: [-int(count) for count in cut]):
        given: list[Piece] = []
        for length, count in zip(lengths, pattern, strict=True):
            given += [waiting[length].pop(0) for _ in range(min(int(count), len(waiting[length])))]
        if given:
            used = sum(piece.length_mm for piece in given) + kerf_mm * len(given)
            stocks.append(Stock(tuple(given), max(stock_mm - used, 0)))
    return tuple(sorted(stocks, key=lambda stock: stock.left_mm))


def _verify(pieces: Sequence[Piece], stocks: Sequence[Stock], stock_mm: int, kerf_mm: int) -> None:
    """See again, without the programme, that the cuts can be made and give everything."""
    cut = Counter(piece for stock in stocks for piece in stock.pieces)
    fits = all(
        sum(piece.length_mm for piece in stock.pieces) + kerf_mm * (len(stock.pieces) - 1) <= stock_mm
        for stock in stocks
    )
    if cut != Counter(pieces) or not fits:
        raise RuntimeError("the cut list does not give every piece once, which is a fault of this program")
