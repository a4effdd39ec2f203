"""Parts of an uncertainty put together, held to the Guide's worked example and to draws."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.change.uncertainty import Part, combined

# JCGM 100:2008, H.1 (from memory): an end gauge, parts of its length in nm with their degrees of freedom.
END_GAUGE = [
    Part("calibration of the standard", 25.0, 18.0),
    Part("measured difference", 9.7, 25.6),
    Part("difference in expansion", 2.9, 50.0),
    Part("difference in temperature", 16.6, 2.0),
]
SECOND_ORDER_NM = 11.7  # H.1.7: not among those above


def test_the_guide_s_end_gauge():
    """H.1.5: 32 nm; H.1.6: 16 degrees of freedom, t for 99 % is 2.92, expanded 93 nm."""
    found = combined(END_GAUGE, sure_share=0.99)
    assert found.standard == pytest.approx(32.0, abs=0.5)
    assert np.floor(found.freedom) == 16
    assert found.factor == pytest.approx(2.92, abs=0.005)
    assert round(found.standard) * found.factor == pytest.approx(93.0, abs=0.5)
    assert combined([*END_GAUGE, Part("second order", SECOND_ORDER_NM)]).standard == pytest.approx(
        34, abs=0.5
    )


@pytest.mark.parametrize(("freedom", "factor"), [(1, 12.71), (2, 4.30), (5, 2.57), (10, 2.23), (50, 2.01)])
def test_the_guide_s_table_of_factors(freedom, factor):
    """JCGM 100:2008, table G.2, the column of 95 % (from memory)."""
    assert combined([Part("one", 1.0, freedom)]).factor == pytest.approx(factor, abs=0.005)


def test_what_is_known_for_sure_takes_the_normal_factor():
    assert combined([Part("one", 2.0)]).factor == pytest.approx(1.96, abs=0.0005)
    assert combined([Part("none", 0.0, 3.0)]).expanded == 0.0


@examples(50)
@given(st.lists(st.tuples(st.floats(0.01, 50.0), st.floats(1.0, 500.0)), min_size=1, max_size=6))
def test_freedom_lies_between_the_least_and_the_sum(parts):
    found = combined([Part("one", *each) for each in parts])
    freedoms = [freedom for _, freedom in parts]
    assert min(freedoms) * (1 - 1e-9) <= found.freedom <= sum(freedoms) * (1 + 1e-9)
    assert found.standard == pytest.approx(np.linalg.norm([standard for standard, _ in parts]))
