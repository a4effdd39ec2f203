"""What each cause did to a sum, held to the mean over all orders and to what makes that share the only one.

Efficiency, symmetry, the null player and additivity: L. S. Shapley, "A value for n-person games" (1953).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import permutations
from math import factorial

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.account.shapley import MOST_CAUSES, parts_in_order, shapley_parts

CENTS = st.integers(-10_000, 10_000).map(lambda cents: Decimal(cents) / 100)


@st.composite
def games(draw, most: int = 6):
    """Causes, and a sum for each set of them that were as they were."""
    causes = tuple("abcdef"[: draw(st.integers(1, most))])
    sums: dict[frozenset[str], Decimal] = {}

    def worth(taken: frozenset[str]) -> Decimal:
        return sums[taken]

    for mask in range(2 ** len(causes)):
        sums[frozenset(c for nth, c in enumerate(causes) if mask >> nth & 1)] = draw(CENTS)
    return causes, worth


@given(games(5))
@examples(60)
def test_it_is_the_mean_over_all_orders(game):
    causes, worth = game
    added = dict.fromkeys(causes, Fraction(0))
    for order in permutations(causes):
        for cause, part in parts_in_order(order, worth).items():
            added[cause] += Fraction(part)
    assert shapley_parts(causes, worth) == {c: each / factorial(len(causes)) for c, each in added.items()}


def test_six_causes_in_all_720_orders():
    causes = tuple("abcdef")
    figure = {"a": 3, "b": 5, "c": 2, "d": 7, "e": 11, "f": 13}

    def worth(taken):
        product = 1
        for cause in taken:
            product *= figure[cause]
        return Decimal(product) + len(taken) ** 3

    orders = list(permutations(causes))
    parts = shapley_parts(causes, worth)
    for cause in causes:
        told = sum(Fraction(parts_in_order(order, worth)[cause]) for order in orders)
        assert parts[cause] == told / len(orders)


@given(games())
@examples(60)
def test_parts_add_up_in_every_order_and_on_average(game):
    causes, worth = game
    whole = worth(frozenset(causes)) - worth(frozenset())
    assert sum(shapley_parts(causes, worth).values()) == Fraction(whole)
    assert sum(parts_in_order(causes[::-1], worth).values()) == whole


@given(games(4), games(4))
@examples(40)
def test_two_games_played_together_are_the_sum_of_both(one, other):
    causes = min(one[0], other[0], key=len)
    both = shapley_parts(causes, lambda taken: one[1](taken) + other[1](taken))
    apart = [shapley_parts(causes, game) for game in (one[1], other[1])]
    assert both == {cause: apart[0][cause] + apart[1][cause] for cause in causes}


@given(games(5))
@examples(40)
def test_who_changes_nothing_gets_nothing_and_moves_nobody(game):
    causes, worth = game
    with_idle = shapley_parts((*causes, "idle"), lambda taken: worth(taken - {"idle"}))
    assert with_idle.pop("idle") == 0
    assert with_idle == shapley_parts(causes, worth)


@given(st.lists(CENTS, min_size=4, max_size=4))
@examples(40)
def test_causes_alike_get_alike(by_size):
    """A sum that hangs on how many were as they were, not on which."""
    parts = shapley_parts("abc", lambda taken: by_size[len(taken)])
    assert set(parts.values()) == {Fraction(by_size[3] - by_size[0]) / 3}


def test_more_causes_than_can_be_worked_out_are_refused():
    with pytest.raises(ValueError, match=str(MOST_CAUSES)):
        shapley_parts([str(nth) for nth in range(MOST_CAUSES + 1)], lambda taken: Decimal(0))
