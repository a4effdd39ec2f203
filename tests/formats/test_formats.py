"""Numbers as they are read: nothing has no sign, and numbers with a comma are told apart."""

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.formats.formats import Formats
from mytakeoff.formats.inches import MINUS

WAYS = (Formats(), Formats(decimal_comma=True), Formats("de_AT"), Formats("en_US"), Formats("sv_SE"))


@examples(60)
@given(st.floats(-1e6, 1e6), st.integers(0, 3), st.sampled_from(WAYS))
def test_nothing_has_no_sign(value: float, places: int, formats: Formats):
    """Whoever reads \"-0 mm\" looks for what is the matter (common practice, no source)."""
    for text in (formats.number(value, places), formats.fixed(value, places), formats.short(0.0 * value)):
        if not any(digit in text for digit in "123456789"):
            assert not text.startswith(("-", MINUS))


@pytest.mark.parametrize("formats", WAYS)
def test_a_small_minus_is_nothing(formats: Formats):
    assert formats.number(-0.04, 1) == formats.number(0.0, 1)
    assert formats.fixed(-0.0004, 3) == formats.fixed(0.0, 3)
    assert formats.short(-0.0) == "0"
    assert formats.number(-2.0) != formats.number(2.0)


def test_numbers_with_a_comma_are_told_apart_by_semicolons():
    assert Formats().apart == ", "
    assert Formats(decimal_comma=True).apart == Formats("de_AT").apart == "; "
