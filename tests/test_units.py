"""Conversions at the door, numbers as they are written, mistakes as they are told."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.formats.formats import say
from mytakeoff.formats.numerals import THIN_SPACE
from mytakeoff.units import METRES, decimal_of, round_money, to_metres, to_millimetres


# exact since the international yard and pound agreement of 1959: 1 in = 25.4 mm, 1 ft = 304.8 mm
@pytest.mark.parametrize(
    ("value", "unit", "metres"),
    [
        (1, "m", 1.0),
        (250, "cm", 2.5),
        (4200, "mm", 4.2),
        (1, "in", 0.0254),
        (1, "ft", 0.3048),
        (8, "ft", 2.4384),
    ],
)
def test_lengths(value, unit, metres):
    assert to_metres(value, unit) == metres
    assert to_millimetres(value, unit) == pytest.approx(metres * 1000, rel=1e-15)


@given(st.floats(-1e4, 1e4), st.sampled_from(sorted(METRES)))
def test_there_and_back(value, unit):
    assert to_metres(value, unit) / float(METRES[unit]) == pytest.approx(value, rel=1e-14, abs=1e-300)
    assert to_millimetres(value, unit) == pytest.approx(1000 * to_metres(value, unit), rel=1e-14, abs=1e-300)


def test_an_unknown_unit_is_refused():
    with pytest.raises(KeyError):
        to_metres(1.0, "yard")


@pytest.mark.parametrize(
    ("amount", "places", "rounded"),
    [
        ("12.345", 2, "12.35"),
        ("12.344999", 2, "12.34"),
        ("-12.345", 2, "-12.35"),
        ("0.5", 0, "1"),
        ("2.5", 0, "3"),
    ],
)
def test_money_is_rounded_half_up(amount, places, rounded):
    assert round_money(Decimal(amount), places) == Decimal(rounded)


@given(st.decimals(-(10**9), 10**9, places=5))
def test_rounding_is_within_half_a_cent(amount):
    rounded = round_money(amount)
    assert abs(rounded - amount) <= Decimal("0.005")
    assert rounded == round_money(rounded)


@given(st.floats(-1e9, 1e9))
def test_a_float_is_the_decimal_that_a_person_would_write(value):
    assert float(decimal_of(value)) == value
    assert len(decimal_of(value).as_tuple().digits) <= 17  # no binary tail


@pytest.mark.parametrize(
    ("value", "places", "said"),
    [
        (12345.678, 1, "12 345.7"),
        (999.5, 0, "1 000"),
        (0.125, 2, "0.13"),
        (Decimal("-1234.5"), 2, "-1 234.50"),
    ],
)
def test_numbers_as_written(value, places, said):
    assert say(value, places).replace(THIN_SPACE, " ") == said


def test_a_mistake_says_place_value_rule_and_remedy_in_that_order():
    mistake = Mistake("4200 mm", "readings are within 500 mm", "was it tenths of a millimetre?", "row 7")
    assert str(mistake) == "row 7: 4200 mm; readings are within 500 mm; was it tenths of a millimetre?"
    assert str(Mistake("4200 mm", "", "")) == "4200 mm"


def test_mistakes_are_collected_and_told_once():
    check = Check("wall A")
    check.that(True, "fine", "fine", "fine")
    check.that(False, "one", "rule", "remedy")
    check.that(False, "two", "rule", "remedy", "row 3")
    with pytest.raises(TakeoffError) as error:
        check.done()
    assert [str(mistake) for mistake in error.value.mistakes] == [
        "wall A: one; rule; remedy",
        "row 3: two; rule; remedy",
    ]
    assert str(error.value) == "wall A: one; rule; remedy\nrow 3: two; rule; remedy"


def test_no_mistake_no_error():
    check = Check("wall A")
    check.that(True, "fine", "fine", "fine")
    check.done()
    assert check.mistakes == []


def test_mistakes_from_further_down_are_taken_over():
    below, above = Check("row 1"), Check("file")
    below.that(False, "one", "rule", "remedy")
    with pytest.raises(TakeoffError) as error:
        below.done()
    above.add(error.value)
    above.that(False, "two", "rule", "remedy")
    with pytest.raises(TakeoffError) as error:
        above.done()
    assert [mistake.place for mistake in error.value.mistakes] == ["row 1", "file"]


def test_every_mistake_of_the_user_is_a_value_error():
    assert issubclass(TakeoffError, ValueError)
