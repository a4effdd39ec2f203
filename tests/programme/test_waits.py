"""How long each thing hardens and dries, from published waits."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from bookings import SYSTEMS, booked
from effort import examples
from hand import NO_RAILS, one_wall
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.catalogue import CEMENT_LIME, LIGHT_GYPSUM, LIME_SAND
from mytakeoff.labour.waits import drying_h, treatment_wait, wall_steps
from mytakeoff.measure.wall_measures import measure_wall


@pytest.mark.parametrize(("mm", "days"), [(1, 1), (5, 5), (10, 10), (15, 15)])
def test_gypsum_dries_a_day_a_millimetre(mm, days):
    # hausjournal.net, Wartezeit Streichen nach Verputzen; ausbauundfassade.de, lexikon, Standzeiten
    mix = replace(LIGHT_GYPSUM, least_coat_mm=0.5)
    _, wall = one_wall(mm=float(mm), system=mt.System(mix))
    assert drying_h(wall.layers, Calendar()) == (0.0, pytest.approx(24 * days))


def test_what_is_deeper_than_20_mm_dries_more_slowly():
    # 30 mm: 20 days and half as long again for the 10 mm behind (common practice, no source)
    _, wall = one_wall(mm=30.0)
    assert drying_h(wall.layers, Calendar())[1] == pytest.approx(24 * (20 + 15))


def test_a_spatterdash_waits_a_day_and_cement_48_hours_between_coats():
    # a day at least: Standzeiten, ausbauundfassade.de; 48 h: ASTM C926 practice, plastertalk.blog (secondary)
    job, wall = one_wall(mm=24.0, system=mt.System(CEMENT_LIME), rails=NO_RAILS)
    steps = wall_steps(job, wall, measure_wall(job, wall)).steps
    assert [(s.task, s.wait_h) for s in steps if s.wait_h] == [("prime", 24.0), ("dub out", 48.0)]


def test_damp_curing_and_drying_are_two_waits():
    job, wall = one_wall(mm=9.0, system=mt.System(LIME_SAND), rails=NO_RAILS)
    [dates] = booked(job, wall).walls
    assert dates.cured - dates.laid == timedelta(days=7)
    assert dates.dry - dates.cured == timedelta(days=9)


def test_no_treatment_no_wait():
    assert treatment_wait("", Calendar()) == (0.0, "")


@given(mm=st.floats(10, 24), slow=st.floats(1, 4), system=st.sampled_from(SYSTEMS))
@examples(30)
def test_a_colder_room_is_never_painted_earlier(mm, slow, system):
    job, wall = one_wall(mm=mm, system=system)
    cold = replace(job, calendar=Calendar(slow_down=slow))
    assert booked(cold, wall).paint_date >= booked(job, wall).paint_date
