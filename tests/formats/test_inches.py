"""Lengths in feet and inches: what is shown, typed back, is the length within half of its fraction."""

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.formats.inches import NBSP
from mytakeoff.io.files.typed import number_typed

INCHES, METRIC = Formats(feet_and_inches=True), Formats()
INCH_MM = 25.4  # exactly, by the agreement of 1959 on the international yard and pound
ROUNDING_MM = 1e-6


def typed_back(text: str, unit: str) -> float:
    check = Check()
    found = number_typed(text, "length", check, unit)
    assert found is not None, check.mistakes
    return found


@examples(120)
@given(st.floats(-60.0, 60.0), st.sampled_from((None, 0, 1, 2, 3)))
def test_a_place_typed_back_is_within_half_its_fraction(metres: float, places: int | None):
    part = 16 if places in (None, 3) else 8
    away = abs(typed_back(INCHES.length(metres, places=places), "m") - metres) * 1000
    assert away <= INCH_MM / part / 2 + ROUNDING_MM


@examples(120)
@given(st.floats(-600.0, 600.0), st.sampled_from((None, 0, 1)))
def test_a_thickness_typed_back_is_within_half_its_fraction(mm: float, places: int | None):
    text = INCHES.depth(mm, places=places)
    if text.startswith("under"):
        assert 0.05 <= abs(mm) < INCH_MM / 64
        return
    part = 16 if abs(mm) >= INCH_MM / 2 - INCH_MM / 64 else 32
    assert abs(typed_back(text, "mm") - mm) <= INCH_MM / part / 2 + ROUNDING_MM


@examples(60)
@given(st.integers(0, 60 * 12 * 8))
def test_what_a_tape_shows_is_written_as_it_shows_it(eighths: int):
    metres = eighths * INCH_MM / 8000
    assert typed_back(INCHES.length(metres, places=2), "m") == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize(
    ("metres", "shown"),
    [  # the international foot is 0.3048 m and the yard 0.9144 m exactly (agreement of 1959)
        (0.3048, "1'"),
        (0.9144, "3'"),
        (0.0254, '1"'),
        (3.9, "12' 9 1/2\""),
        (2.4384, "8'"),
        (0.0, '0"'),
        (-0.6096, "−2'"),
        (0.30479, "1'"),
    ],
)
def test_places_by_the_published_foot(metres: float, shown: str):
    assert INCHES.length(metres, places=2).replace(NBSP, " ") == shown


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (25.4, '1"'),
        (12.7, '1/2"'),
        (7.9375, '5/16"'),
        (0.79375, '1/32"'),
        (0.3, 'under 1/32"'),
        (0.01, '0"'),
        (0.0, '0"'),
        (34.925, '1 3/8"'),
        (-12.7, '−1/2"'),
    ],
)
def test_thicknesses_by_the_published_inch(mm: float, shown: str):
    assert INCHES.depth(mm).replace(NBSP, " ") == shown


def test_metric_is_as_it_was():
    assert METRIC.length(4.2, 2.6, between=" × ") == "4.2 × 2.6 m"
    assert METRIC.length(1.2, places=3) == "1.200 m"
    assert METRIC.depth(12.5, places=0) == "13 mm"
    assert METRIC.depth(2430.4, places=0, grouped=False) == "2430 mm"
    assert METRIC.depth(3.0, 25.0) == "3 to 25 mm"
    assert METRIC.slope(3.0) == "3 mm a metre"
    assert Formats("de_AT").length(2.5) == "2,5 m"


def test_slopes_are_told_over_ten_feet():
    """1/8 inch in 10 feet is 1.04 mm a metre (25.4 / 8 mm over 3.048 m)."""
    assert INCHES.slope(25.4 / 8 / 3.048) == '1/8" in 10 feet'


def test_gaps_and_leans_are_in_inches():
    assert INCHES.mm(0.02) == '0"'
    assert INCHES.mm(3.175) == '1/8"'
    assert INCHES.lean(-12.7, 2.4384) == "leans 1/2\" back over its 8'"
    assert INCHES.lean(0.3, 2.4384) == "stands plumb over its 8'"
