"""Bags to order, against trying every number of bags one by one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.ranges.bags_to_order import chances_of, enough_share, order_for


@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=40),
    st.integers(0, 35),
    st.integers(0, 20),
    st.integers(0, 200),
)
def test_what_being_wrong_costs_and_the_cheapest_that_there_is(needed, bags, unused, trip):
    order = order_for(np.array(needed, dtype=float), bags, unused, trip)
    price = {
        tried: sum(unused * max(tried - n, 0) + trip * (n > tried) for n in needed) / len(needed)
        for tried in range(36)
    }
    assert order.bags == bags
    assert order.short_share == pytest.approx(sum(n > bags for n in needed) / len(needed))
    assert price[order.cheapest] == pytest.approx(min(price.values()))
    assert order.expected_price == pytest.approx(price[bags])


def test_bags_taken_back_for_their_price_are_ordered_freely_and_cheap_trips_sparingly():
    needed = np.arange(5.0, 15.0)
    assert order_for(needed, 9, unused_price=0, trip_price=10).cheapest == 14
    assert order_for(needed, 9, unused_price=10, trip_price=1).cheapest == 5


@pytest.mark.parametrize(("bags", "unused", "trip"), [(-1, 1, 1), (1, -1, 1), (1, 1, -1)])
def test_what_cannot_be_is_refused(bags, unused, trip):
    with pytest.raises(mt.TakeoffError, match="bags and prices are 0 or more"):
        order_for(np.array([3.0]), bags, unused, trip)


@given(st.lists(st.integers(0, 400), min_size=1, max_size=40), st.integers(0, 420), st.integers(1, 9))
def test_the_chances_of_all_numbers_of_bags_add_up_and_tell_what_is_ordered(needed, bags, most):
    chances = chances_of(np.array(needed, dtype=float), bags, most)
    assert len(chances) <= most
    assert sum(chance.share for chance in chances) == pytest.approx(1.0)
    assert sum(chance.holds(bags) for chance in chances) == 1
    for chance in chances:
        assert chance.share == pytest.approx(sum(map(chance.holds, needed)) / len(needed))
    assert enough_share(np.array(needed), bags) == sum(n <= bags for n in needed) / len(needed)
