"""Pieces from stock lengths, against printed instances, exhaustive search and bounds."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff import TakeoffError
from mytakeoff.rails import cut_list as cutlist
from mytakeoff.rails.cut_list import Piece, cut_list

# The paper machine of the encyclopedia article "Cutting stock problem" (5600 mm rolls, 13 widths), printed
# with its answer there and wherever it is copied: 73 rolls, 0.401 % waste.
PAPER_MM = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip
# Chvátal, Linear Programming, chapter 13: raws of 100 in; the instance is shown at miro.gams.com/gallery
# (cutstock); the relaxed optimum 452.25, so 453 raws, is from memory of the chapter.
CHVATAL_IN = {45: 97, 36: 610, 31: 395, 14: 211}


def pieces(wanted):
    return [Piece(f"{length} no. {n}", length) for length, count in wanted.items() for n in range(count)]


def recut(cuts, wanted, stock, kerf=0):
    """Feasible, reckoned again: every piece once, no stock length over its length."""
    named = sorted(piece.name for one in cuts.stocks for piece in one.pieces)
    assert named == sorted(piece.name for piece in wanted)
    for one in cuts.stocks:
        lengths = [piece.length_mm for piece in one.pieces]
        assert sum(lengths) + kerf * (len(lengths) - 1) <= stock
        assert one.left_mm == max(stock - sum(lengths) - kerf * len(lengths), 0)


def test_the_paper_machine_takes_73_rolls():
    cuts = cut_list(pieces(PAPER_MM), 5600)
    recut(cuts, pieces(PAPER_MM), 5600)
    assert (cuts.count, cuts.exact) == (73, True)
    assert cuts.left_share == pytest.approx(0.00401, abs=5e-6)


def test_the_raws_of_the_textbook():
    cuts = cut_list(pieces(CHVATAL_IN), 100)
    recut(cuts, pieces(CHVATAL_IN), 100)
    assert (cuts.count, cuts.exact) == (453, True)


def test_patterns_found_one_by_one_reach_the_same_answer(monkeypatch):
    monkeypatch.setattr(cutlist, "MOST_PATTERNS", 10)
    cuts = cut_list(pieces(PAPER_MM), 5600)
    recut(cuts, pieces(PAPER_MM), 5600)
    assert (cuts.count, cuts.exact) == (73, True)


def fewest_by_trying(lengths, stock, kerf):
    """Every way of putting pieces, longest first, into stock lengths."""
    lengths = tuple(sorted(lengths, reverse=True))

    @cache
    def most(at, left):
        if at == len(lengths):
            return 0
        need = lengths[at] + kerf
        ways = [
            most(at + 1, tuple(sorted((*left[:n], free - need, *left[n + 1 :]))))
            for n, free in enumerate(left)
            if free >= need and free not in left[:n]
        ]
        ways.append(1 + most(at + 1, tuple(sorted((*left, stock + kerf - need)))))
        return min(ways)

    return most(0, ())


@examples(60)
@given(
    lengths=st.lists(st.integers(1, 30), min_size=1, max_size=8),
    stock=st.integers(30, 60),
    kerf=st.integers(0, 3),
    few=st.booleans(),
)
def test_small_cases_against_trying_everything(lengths, stock, kerf, few):
    wanted = [Piece(f"no. {n}", length) for n, length in enumerate(lengths)]
    most = cutlist.MOST_PATTERNS
    cutlist.MOST_PATTERNS = 2 if few else most
    try:
        cuts = cut_list(wanted, stock, kerf)
    finally:
        cutlist.MOST_PATTERNS = most
    recut(cuts, wanted, stock, kerf)
    best = fewest_by_trying(lengths, stock, kerf)
    assert cuts.at_least <= best <= cuts.count
    if not few:
        assert cuts.count == best


@examples(8)
@given(lengths=st.lists(st.integers(100, 2580), min_size=20, max_size=60))
def test_the_bound_is_never_above_the_answer_and_never_below_the_length_of_all_pieces(lengths):
    wanted = [Piece(f"no. {n}", length) for n, length in enumerate(lengths)]
    cuts = cut_list(wanted, 3000, 2)
    recut(cuts, wanted, 3000, 2)
    assert math.ceil(sum(lengths) / 3000) <= cuts.at_least <= cuts.count


def test_the_saw_takes_its_part():
    # two pieces of 1500 mm come from 3000 mm only with a saw that takes nothing
    halves = [Piece("a", 1500), Piece("b", 1500)]
    assert cut_list(halves, 3000, 0).count == 1
    assert cut_list(halves, 3000, 1).count == 2


def test_no_pieces_take_no_stock():
    assert cut_list([], 3000).count == 0


def test_every_piece_longer_than_the_stock_is_told():
    with pytest.raises(TakeoffError) as told:
        cut_list([Piece("rail 1", 2580), Piece("rail 2", 2400), Piece("rail 3", 2580)], 2500, 2)
    assert [mistake.place for mistake in told.value.mistakes] == ["rail 1", "rail 3"]
    assert "2580 mm from stock of 2500 mm" in str(told.value)


def test_stock_of_no_length_is_refused():
    with pytest.raises(TakeoffError, match="longer than nothing"):
        cut_list([], 0)


def test_fuller_lengths_come_first():
    cuts = cut_list(pieces({2580: 3, 400: 2}), 3000, 2)
    assert np.all(np.diff([stock.left_mm for stock in cuts.stocks]) >= 0)
