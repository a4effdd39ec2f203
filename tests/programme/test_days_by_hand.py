"""Days, visits and dates of plain jobs, worked out by hand, and how they are said."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from bookings import MONDAY, booked
from demo import demo_result
from hand import NO_RAILS, entry_of, flat, job_of, one_wall, result_of

import mytakeoff as mt
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.catalogue import CEMENT_LIME, LIME_SAND
from mytakeoff.labour.waits import wall_steps
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.programme.programme import work_programme


def test_a_plain_wall_day_by_day():
    # 3 × 2.5 m at 12 mm on brick, no rails: set up 1.25 h, prime 0.375 h, by the quarter half an hour to
    # 9:45, it dries for 2 h; float 3.75 h from 11:45 to 16:00, half an hour of break from 12:00 among it;
    # then 12 mm dry for 12 days, so paint on the 14th and check on Monday
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    found = booked(job, wall)
    tasks = [(stint.step.task, stint.begins, stint.ends) for stint in found.stints]
    assert [task for task, _, _ in tasks] == [
        "set up and protect",
        "prime",
        "float backing",
        "float backing",
        "check and touch up",
    ]
    assert tasks[0][1] == datetime(2027, 3, 1, 8, 0)
    assert tasks[1][1:] == (datetime(2027, 3, 1, 9, 15), datetime(2027, 3, 1, 9, 45))
    assert tasks[2][1:] == (datetime(2027, 3, 1, 11, 45), datetime(2027, 3, 1, 12, 0))
    assert tasks[3][1:] == (datetime(2027, 3, 1, 12, 30), datetime(2027, 3, 1, 16, 0))
    assert found.walls[0].dry == tasks[3][2] + timedelta(days=12)
    assert found.paint_date == date(2027, 3, 14)
    assert found.days_to_paint == 13
    assert tasks[4][1] == datetime(2027, 3, 15, 8, 0)
    assert (found.days_on_site, found.visits) == (2, 2)
    # 6.875 h are charged as a whole day
    assert str(found) == "1 day's work on 2 days, in 2 visits, 1 Mar and 15 Mar; paint from 14 Mar"
    for_client = "2 days on site, in 2 visits, 1 Mar and 15 Mar; paint from 14 Mar"
    assert found.in_words("client") == for_client


def test_twice_as_slow_dries_twice_as_long():
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    slow = replace(job, calendar=Calendar(slow_down=2.0))
    found = booked(slow, wall)
    assert found.walls[0].dry - found.walls[0].laid == timedelta(days=24)


def test_while_one_wall_waits_another_is_worked_on():
    # each wall alone takes the crew away over the 24 h that its spatterdash hardens; together they still wait
    # once, not twice
    system = mt.System(CEMENT_LIME)
    entries = [entry_of(mt.Wall(name, 6.0, 2.5)) for name in "AB"]
    job = job_of(*entries, system=system, rails=NO_RAILS)
    walls = [flat(job, entry, 12.0) for entry in entries]
    both, alone = booked(job, *walls), booked(job, walls[0])
    assert alone.schedule.returns == {"room": 2}
    assert both.schedule.returns == {"room": 2}
    assert both.days_on_site < 2 * alone.days_on_site
    a, b = (next(s for s in both.stints if s.step.wall == name and s.step.task == "prime") for name in "AB")
    assert b.begins == a.ends  # B is thrown while A hardens


def test_two_plasterers_halve_the_time_and_not_the_hours():
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    pair = replace(job, rates=mt.LabourRates(crew=2))
    alone, two = (
        [s for s in booked(each, wall).stints if s.step.task == "float backing"] for each in (job, pair)
    )
    lasts = [sum((s.ends - s.begins for s in each), timedelta()) for each in (alone, two)]
    # set-up and prime of the pair take 0.81 h, an hour by the quarter: 1.875 h less 0.19 are 1.75
    assert lasts == [timedelta(hours=3.75), timedelta(hours=1.75)]
    assert sum(s.hours for s in two) == pytest.approx(sum(s.hours for s in alone))


def test_a_weekend_and_a_holiday_are_not_worked_but_plaster_dries():
    # floated on Friday; the check falls on Easter Monday, which is not worked on
    job, wall = one_wall(mm=10.0, rails=NO_RAILS)
    job = replace(job, calendar=Calendar(holidays=(date(2027, 3, 29),)))
    found = booked(job, wall, start=date(2027, 3, 19))
    assert found.walls[0].paint == date(2027, 3, 30)
    assert found.last_day == date(2027, 3, 30)


def test_rails_come_out_and_their_channels_take_part_of_the_backing():
    # four rails of 2.5 m, 20 mm wide and 6 mm deep: 1.2 l
    job, wall = one_wall(mm=12.0)
    steps = {step.task: step for step in wall_steps(job, wall, measure_wall(job, wall)).steps}
    rail_m = measure_wall(job, wall).rail_m
    assert steps["make good rail channels"].litres == pytest.approx(rail_m * 20 * 6 / 1000)
    assert steps["make good rail channels"].litres + steps["float backing"].litres == pytest.approx(90.0)
    assert steps["float backing"].why == "light gypsum backing holds without rails"
    left_in = replace(job, rails=mt.RailChoice(left_in=True))
    kept = [step.task for step in wall_steps(left_in, wall, measure_wall(left_in, wall)).steps]
    assert "make good rail channels" not in kept


def test_a_wall_that_is_left_as_it_is_has_no_day():
    job, wall = one_wall(mm=0.0)
    found = booked(job, wall)
    assert found.stints == ()
    assert found.paint_date == found.first_day == MONDAY


# -- in words ----------------------------------------------------------------------------------------


def test_the_demo_in_words():
    found = work_programme(demo_result())
    said = r"\d+½? days' work on \d+ days, in 2 visits, 1 to \d+ Mar and (\d+ Apr); paint from \1"
    assert re.fullmatch(said, str(found))
    work = found.job.formats.days(found.work_days)
    assert str(found).startswith(f"{work} days' work on {found.days_on_site} days")


def test_the_year_is_said_where_days_lie_in_two():
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    said = str(booked(job, wall, start=date(2026, 12, 29)))
    assert said.endswith("in 2 visits, 29 Dec 2026 and 11 Jan 2027; paint from 11 Jan 2027")
    german = str(booked(replace(job, locale="de_DE"), wall, start=date(2026, 12, 29)))
    assert german.endswith("29 Dez. 2026 and 11 Jan. 2027; paint from 11 Jan. 2027")


def test_a_job_that_says_no_first_day_says_no_date():
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    assert str(booked(job, wall, start=None)) == (
        "1 day's work on 2 days, in 2 visits; paint 13 days after the first"
    )


def test_without_plaster_there_is_no_day_for_paint():
    job, wall = one_wall(mm=0.0)
    found = booked(job, wall)
    assert (str(found), found.paint_from) == ("no work", None)
    assert mt.headline(result_of(job, wall)).paint_from is None


def test_a_client_reads_of_no_mix_and_no_hour():
    job, wall = one_wall(mm=18.0, system=mt.System(LIME_SAND), rails=NO_RAILS)
    found = booked(job, wall)
    told = found.to_frame("client").to_csv()
    assert "plaster sets" in told
    assert LIME_SAND.name not in told
    assert ":" not in told
    with pytest.raises(mt.TakeoffError, match="for the estimator or for the client"):
        found.to_frame("everybody")
