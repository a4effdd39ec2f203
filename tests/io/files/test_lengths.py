"""Lengths with a unit of their own, in any cell.

The inch is 25.4 mm exactly: NIST SP 811 (2008), appendix B.6.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from survey_files import readings, survey_in

from mytakeoff import TakeoffError, Wall
from mytakeoff.io.files.lengths import length_of
from mytakeoff.units import METRES

WALL = Wall("north", 4.0, 2.6)


def plain(text: str) -> Fraction | None:
    return Fraction(text) if text.replace(".", "", 1).isdigit() else None


@pytest.mark.parametrize("unit", list(METRES))
@pytest.mark.parametrize(
    ("text", "mm"),
    [('4"', "101.6"), ("0' 4\"", "101.6"), ("8' 2\"", "2489.2"), ("8' 2 1/2\"", "2501.9"), ("8'", "2438.4"),
     ("8.5'", "2590.8"), ("8' 2.5\"", "2501.9"), ("3/8 in", "9.525"), ("-2 feet 6 inches", "-762"),
     ("8'2''", "2489.2"), ("42 cm", "420"), ("4.2 m", "4200"), ("35mm", "35"), ("1½\"", "38.1")],
)  # fmt: skip
def test_a_unit_that_is_written_wins_over_the_one_asked_for(text, mm, unit):
    found = length_of(text, unit, plain)
    assert found is not None
    assert found * METRES[unit] * 1000 == Fraction(mm)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("3/8", "ft"), ("8 1/2", "ft"), ("1/2", "m"), ("8 2", "ft"), ("8' 14\"", "ft"), ("1 3/8 mm", "mm"),
     ("'", "ft"), ("m", "m"), ("", "m"), ("tall", "ft")],
)  # fmt: skip
def test_what_could_be_two_lengths_or_none_is_none(text, unit):
    assert length_of(text, unit, plain) is None


@examples(60)
@given(whole=st.integers(0, 40), part=st.integers(0, 191), unit=st.sampled_from(list(METRES)))
def test_every_sixteenth_of_feet_and_inches_is_exact(whole, part, unit):
    over, sixteenths = divmod(part, 16)
    found = length_of(
        f"{whole}' {over} {sixteenths}/16\"" if sixteenths else f"{whole}' {over}\"", unit, plain
    )
    assert found is not None
    assert found * METRES[unit] == (whole * 12 + Fraction(part, 16)) * METRES["in"]


def test_heights_in_feet_and_inches_under_a_heading_that_speaks_of_the_readings_alone(tmp_path):
    content = "off_line_in;1';2' 6\";12' 4\"\n8' 2\";1 3/8;1 1/2;1\n4\";1;;1 1/4\n"
    survey = survey_in(tmp_path, content, WALL)
    assert readings(survey) == {
        (0.3048, 2.4892): -34.925, (0.762, 2.4892): -38.1, (3.7592, 2.4892): -25.4,
        (0.3048, 0.1016): -25.4, (3.7592, 0.1016): -31.75,
    }  # fmt: skip


def test_inches_alone_under_feet(tmp_path):
    survey = survey_in(tmp_path, 'x_ft;z_ft;off_line_in\n4";0;1\n0\' 4";8;1\n3;4";2\n', WALL)
    assert set(readings(survey)) == {(0.1016, 0.0), (0.1016, 2.4384), (0.9144, 0.1016)}


def test_a_length_is_told_as_it_was_written_and_the_remedy_shows_feet_and_inches(tmp_path):
    with pytest.raises(TakeoffError) as caught:
        survey_in(tmp_path, "off_line_in x_ft z_ft;1;2\n82';1;1\n3/8;1;1\n", WALL)
    far, unclear = caught.value.mistakes
    assert far.found == "height 82'"
    assert "8' 2 1/2\"" in unclear.remedy
