"""Numbers and lengths as hands type them into boxes: never a silent factor of ten or of a thousand.

The inch is 25.4 mm exactly: NIST SP 811 (2008), appendix B.6.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.errors import Check
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.files.typed import Holds, decimal_typed, number_typed, numbers_typed, readings
from mytakeoff.units import METRES

# with a comma, a point, Arabic and Persian marks, a true minus and signs of scripts from the right
LOCALES = (
    "",
    "de_AT",
    "de_CH",
    "fr_FR",
    "en_GB",
    "en_IN",
    "sv_SE",
    "ar_EG",
    "fa_IR",
    "he_IL",
    "hi_IN",
    "lv_LV",
)


def told(text: str, unit: str = "", holds: Holds | None = None, formats: Formats = HOUSE) -> str:
    """The mistake that is told of a text."""
    check = Check()
    assert number_typed(text, "box", check, unit, holds, formats) is None
    return str(check.mistakes[0])


@pytest.mark.parametrize(
    ("text", "unit", "wanted"),
    [
        ("0,95", "kg/l", 0.95), ("0.95 kg/l", "kg/l", 0.95), ("0,95kg / L", "kg/l", 0.95),
        ("4,2", "m", 4.2), ("4,2 m", "m", 4.2), ("4,2m", "mm", 4200), ("420 cm", "m", 4.2),
        ("4200mm", "m", 4.2),
        ("34,5", "mm", 34.5), ("−34,5", "mm", -34.5), ("- 3", "mm", -3), ("+3", "mm", 3), (".5", "m", 0.5),
        ("8' 2 1/2\"", "m", 2.5019), ('4"', "mm", 101.6), ("8 ft 2 in", "m", 2.4892), ("5′ 3″", "m", 1.6002),
        ("3/8 in", "mm", 9.525), ("1½\"", "mm", 38.1), ("12 %", "%", 12), ("12", "%", 12), ("8 m2", "m²", 8),
        ("12 000", "", 12000), ("12\u202f000,5", "", 12000.5), ("1.200.000", "", 1200000),
        ("1,200.5", "", 1200.5), ("1.200,5", "", 1200.5), ("0,950", "", 0.95), ("1200,750", "", 1200.75),
        ("1,20", "", 1.2), ("1,2000", "", 1.2),
    ],
)  # fmt: skip
def test_one_reading(text: str, unit: str, wanted: float) -> None:
    check = Check()
    assert number_typed(text, "box", check, unit) == pytest.approx(wanted, rel=1e-15)
    assert not check.mistakes


@pytest.mark.parametrize(
    ("text", "unit"),
    [("", ""), ("six", "mm"), ("3,x", "m"), ("1.2.3", ""), ("1,2,3", ""), ("4 2", "m"), ("12 34", ""),
     ("1e3", ""), ("nan", ""), ("inf", "m"), ("∞", ""), ("12 kg", "mm"), ("12 mm", "kg/l"), ("12 %", "kg/l"),
     ("8' 13\"", "m"), ("1/0\"", "m"), ("12 m²", "m"), ("--3", ""), ("1,20,000", ""), ("9" * 50, ""),
     ("9" * 5000, "m"), ("²", "")],
)  # fmt: skip
def test_what_is_no_number_is_told_with_what_to_write(text: str, unit: str) -> None:
    assert "box: " in told(text, unit)
    assert "type digits" in told(text, unit)


@pytest.mark.parametrize(
    ("text", "unit", "ways"),
    [("1,200", "", "1.2 or 1200"), ("1.200", "", "1.2 or 1200"), ("12,345", "", "12.3450 or 12345"),
     ("1,200 m", "mm", "1.2 m or 1200 m"), ("-1,500", "mm", "-1.5 or -1500"),
     ("100,000", "", "100 or 100000")],
)  # fmt: skip
def test_what_may_be_read_in_two_ways_is_asked_and_each_way_is_read_as_it_says(
    text: str, unit: str, ways: str
) -> None:
    assert f"it may be {ways}; write {ways}" in told(text, unit)
    check = Check()
    answers = [number_typed(way, "box", check, unit) for way in ways.split(" or ")]
    assert not check.mistakes
    assert answers == [float(size) for size in readings(text, unit)]


def test_both_ways_are_written_with_the_marks_of_the_job() -> None:
    assert "write 1,2 or 1200" in told("1.200", formats=Formats("de_AT"))


def test_of_two_readings_the_one_that_cannot_be_is_not_taken() -> None:
    def on_a_wall(metres: float) -> bool:
        return 0 < metres <= 60

    assert number_typed("1,200", "x", Check(), "m", on_a_wall) == 1.2
    assert number_typed("1,200", "x", Check(), "", lambda number: number >= 100) == 1200
    assert "it may be" in told("1,200 mm", "mm", lambda mm: on_a_wall(mm / 1000))
    assert "it may be" in told("100,500", "m", on_a_wall)  # neither can be: it is not for the program to say


@given(
    st.decimals(-(10**9), 10**9, allow_nan=False, places=4),
    st.sampled_from(LOCALES),
    st.sampled_from(["", "kg/l", "%", *METRES]),
)
@examples(300)
def test_what_a_box_shows_is_read_as_the_same_number_or_asked(
    number: Decimal, locale: str, unit: str
) -> None:
    shown = Formats(locale).typed(float(number))
    found = readings(shown, unit)
    assert found[0] == Fraction(number)
    assert len(found) == 1 or Fraction(number) * 1000 == found[1]


@given(st.text(max_size=12), st.sampled_from(["", "kg/l", *METRES]))
@examples(300)
def test_any_text_is_read_or_told(text: str, unit: str) -> None:
    check = Check()
    assert (number_typed(text, "box", check, unit) is None) == (len(check.mistakes) == 1)
    assert (decimal_typed(text, "box", Check(), unit) is None) or readings(text, "")


@given(st.integers(0, 40), st.integers(0, 11), st.integers(0, 15), st.sampled_from(list(METRES)))
@examples(200)
def test_feet_inches_and_sixteenths_come_out_exactly(
    feet: int, inches: int, sixteenths: int, unit: str
) -> None:
    text = f"{feet}' {inches} {sixteenths}/16\""
    mm = (Fraction(feet * 12 + inches) + Fraction(sixteenths, 16)) * Fraction(254, 10)
    assert readings(text, unit) == [mm / 1000 / METRES[unit]]


def test_several_lengths_in_one_box_are_read_by_its_unit() -> None:
    check = Check()
    assert numbers_typed("0,35 1,9", "touches", check, "m") == (0.35, 1.9)
    assert not check.mistakes
    assert numbers_typed("0.35 wide", "touches", check, "m") == (0.35,)
    assert "'wide'" in str(check.mistakes[0])
