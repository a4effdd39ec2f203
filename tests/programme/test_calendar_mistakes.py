"""Calendars, crews and mixes that leave no programme: each is told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from bookings import MONDAY, booked
from hand import one_wall

import mytakeoff as mt
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND


def test_a_calendar_that_leaves_no_day_says_so():
    # every Monday of more than a year is a holiday, and nothing but Mondays is worked on
    holidays = tuple(MONDAY + timedelta(days=7 * week) for week in range(60))
    job, wall = one_wall(calendar=Calendar(weekdays=("monday",), holidays=holidays))
    with pytest.raises(mt.TakeoffError, match="no day to work on from 2 Mar 2027 for a year"):
        booked(job, wall)


def test_everything_wrong_with_a_calendar_is_told_at_once():
    with pytest.raises(mt.TakeoffError) as told:
        Calendar(weekdays=("montag",), from_h=24.0, slow_down=0.0, primer_h=-1.0)
    assert len(told.value.mistakes) == 4
    with pytest.raises(mt.TakeoffError, match="no weekday is worked on"):
        Calendar(weekdays=())


def test_a_crew_of_nobody_is_refused():
    with pytest.raises(mt.TakeoffError, match="crew 0; it is a whole number, 1 to 100"):
        mt.LabourRates(crew=0)


def test_each_pot_life_shorter_than_one_gauging_is_told():
    short = mt.System(replace(LIGHT_GYPSUM, pot_life_min=4.0), replace(GYPSUM_SKIM, pot_life_min=10.0), 2.0)
    job, wall = one_wall(mm=14.0, system=short)
    with pytest.raises(mt.TakeoffError) as told:
        booked(job, wall)
    assert len(told.value.mistakes) == 2
    assert "one gauging, 3 l at least, is laid before it sets in the bucket" in str(told.value)
    two = replace(job, rates=mt.LabourRates(crew=4))
    assert booked(two, wall).stints


@pytest.mark.parametrize(
    "slip",
    [
        {"system": mt.System(replace(LIME_SAND, cure_days=365.0)), "calendar": Calendar(slow_down=20.0)},
        {
            "system": mt.System(replace(LIGHT_GYPSUM, dry_days_per_mm=30.0)),
            "calendar": Calendar(slow_down=9.0),
        },
        {
            "rates": mt.LabourRates(
                day_h=0.5,
                clean_up_h_per_day=0.0,
                float_h_per_m2=50.0,
                float_to_mm=0.1,
                float_more_h_per_m2_per_5_mm=50.0,
            ),
            "system": mt.System(replace(LIGHT_GYPSUM, pot_life_min=1e5)),
            "calendar": Calendar(weekdays=("monday",)),
        },
    ],
)
def test_a_job_that_would_go_on_for_ever_is_refused(slip):
    job, wall = one_wall(mm=18.0, **slip)
    with pytest.raises(mt.TakeoffError, match="end within 3660 days"):
        booked(job, wall)


def test_a_start_that_no_calendar_holds_is_refused():
    with pytest.raises(mt.TakeoffError, match="begins between 1900 and 2200"):
        Calendar(start=date(9999, 12, 31))


def test_a_day_without_time_for_work_is_refused():
    job, wall = one_wall(rates=mt.LabourRates(clean_up_h_per_day=0.0))
    tiny = replace(job, rates=mt.LabourRates(clean_up_h_per_day=8.0))
    with pytest.raises(mt.TakeoffError, match="a day leaves time for work"):
        booked(tiny, wall)
    late = replace(job, calendar=Calendar(from_h=20.0))
    with pytest.raises(mt.TakeoffError, match="ends by midnight"):
        booked(late, wall)
