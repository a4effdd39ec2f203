"""Bags to order, against trying every number of bags one by one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.ranges.bags_to_order import order_for


@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=40),
    st.floats(0.05, 0.95),
    st.integers(0, 20),
    st.integers(0, 200),
)
def test_the_order_is_the_least_that_lasts_and_the_cheapest_that_there_is(needed, share, unused, trip):
    order = order_for(np.array(needed, dtype=float), share, unused, trip)
    lasts = [bags for bags in range(31) if sum(n <= bags for n in needed) >= share * len(needed) - 1e-6]
    assert order.bags == max(lasts[0], min(needed))
    price = {
        bags: sum(unused * max(bags - n, 0) + trip * (n > bags) for n in needed) / len(needed)
        for bags in range(31)
    }
    assert price[order.cheapest] == pytest.approx(min(price.values()))
    assert order.expected_price == pytest.approx(price[order.bags])


def test_bags_taken_back_for_their_price_are_ordered_freely_and_cheap_trips_sparingly():
    needed = np.arange(5.0, 15.0)
    assert order_for(needed, 0.5, unused_price=0, trip_price=10).cheapest == 14
    assert order_for(needed, 0.5, unused_price=10, trip_price=0).cheapest == 5


@pytest.mark.parametrize(("share", "unused", "trip"), [(0.0, 1, 1), (1.0, 1, 1), (0.5, -1, 1), (0.5, 1, -1)])
def test_what_cannot_be_is_refused(share, unused, trip):
    with pytest.raises(mt.TakeoffError, match="the confidence is between"):
        order_for(np.array([3.0]), share, unused, trip)
