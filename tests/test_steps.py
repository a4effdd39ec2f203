"""Work on long arrays in short steps gives what one call of numpy gives, and stops where it is closed."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mytakeoff import steps as bysteps
from mytakeoff.steps import Cache, banded, blocks, firsts, relabel, run

AT_ONCE = 50
WHOLE = st.integers(-(2**62), 2**62)


@pytest.fixture(autouse=True, scope="module")
def _short_steps():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bysteps, "AT_ONCE", AT_ONCE)
        yield


@given(st.lists(st.integers(0, 9), max_size=400), st.integers(0, 2**63))
def test_what_came_first_is_what_unique_finds(picks, seed):
    few = np.random.default_rng(seed).integers(0, 2**64, 10, dtype=np.uint64)
    numbers = few[np.array(picks, dtype=np.intp)]
    _, at = np.unique(numbers, return_index=True)
    assert np.flatnonzero(run(firsts(numbers))).tolist() == sorted(at.tolist())


@given(arrays(np.uint16, st.integers(0, 500), elements=st.integers(0, 2**16 - 1)))
def test_each_number_is_in_one_piece_and_no_piece_is_longer_than_it_must_be(numbers):
    pieces = run(banded(numbers))
    found = [numbers[piece] for piece in pieces]
    assert sorted(np.concatenate([np.empty(0, int), *pieces]).tolist()) == list(range(numbers.size))
    assert all(first.max() < second.min() for first, second in pairwise(found))
    for piece in found:
        assert piece.size <= AT_ONCE or np.unique(piece).size == 1


@given(st.integers(0, 1000))
def test_blocks_cover_a_length_once(size):
    numbers = np.arange(size)
    assert np.concatenate([np.empty(0, int), *(numbers[block] for block in blocks(size))]).tolist() == list(
        range(size)
    )


def test_closing_steps_that_are_told_otherwise_closes_the_steps():
    ended = []

    def work():
        try:
            yield from range(5)
        finally:
            ended.append(True)

    steps = relabel(work(), str)
    assert next(steps) == "0"
    steps.close()
    assert ended == [True]


def test_what_was_made_lately_is_kept_and_comes_without_a_step():
    made: list[int] = []

    def make():
        yield
        made.append(len(made))
        return made[-1]

    kept = Cache(most=2)
    first = [run(kept.steps(key, make)) for key in ("a", "b", "a", "c", "a", "b")]
    assert first == [0, 1, 0, 2, 0, 3]
    assert list(kept.steps("b", make)) == []
    assert [key for key, _ in kept.latest()] == ["b", "a"]
