"""What holds of the days of every job: working hours, rounding, waits, and counts by the definitions."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from bookings import MONDAY, booked, jobs, walls_of
from effort import examples
from hand import result_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.job.calendar import WEEKDAYS, Calendar
from mytakeoff.labour.clock import Clock
from mytakeoff.labour.waits import wall_steps
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.programme.programme import work_programme


def stretches(calendar, day: date, work_h: float) -> list[tuple[datetime, datetime]]:
    """From when to when is worked on a day, by the definitions and without the package's clock."""
    if WEEKDAYS[day.weekday()] not in calendar.weekdays or day in calendar.holidays:
        return []
    midnight = datetime.combine(day, datetime.min.time())
    begins = midnight + timedelta(hours=math.ceil(calendar.from_h * 4) / 4)
    ends = begins + timedelta(hours=math.floor(work_h * 4 + 1e-6) / 4)
    noon = midnight + timedelta(hours=calendar.break_from_h)
    rest = timedelta(hours=calendar.break_h)
    return [(begins, noon), (noon + rest, ends + rest)] if begins < noon < ends and rest else [(begins, ends)]


def working_time(calendar, work_h: float, since: datetime, until: datetime) -> timedelta:
    """Working time between two moments."""
    days = ((since + timedelta(days=n)).date() for n in range((until.date() - since.date()).days + 1))
    overlaps = (
        min(end, until) - max(start, since) for day in days for start, end in stretches(calendar, day, work_h)
    )
    return sum((each for each in overlaps if each > timedelta()), timedelta())


def work_h_of(job) -> float:
    """Hours of a day that are left when cleaning up is taken off them [h]."""
    return job.rates.day_h - job.rates.clean_up_h_per_day / job.rates.crew


@given(case=jobs(), start=st.dates(date(2027, 1, 1), date(2027, 12, 31)))
@examples(60)
def test_every_stint_lies_on_quarters_of_working_hours_and_outside_the_break(case, start):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls, start=start)
    calendar, work_h = replace(job.calendar, start=start), work_h_of(job)
    for stint in found.stints:
        assert stint.begins < stint.ends
        assert any(
            begins <= stint.begins and stint.ends <= ends
            for begins, ends in stretches(calendar, stint.day, work_h)
        )
        for at in (stint.begins, stint.ends):
            assert (at.minute % 15, at.second, at.microsecond) == (0, 0, 0)
    for before, after in pairwise(found.stints):
        assert before.ends <= after.begins  # one crew, one thing at a time
    assert found.first_day >= start


@given(case=jobs(), start=st.dates(date(2027, 1, 1), date(2027, 12, 31)))
@examples(60)
def test_days_and_visits_are_those_of_the_stints_and_of_the_price(case, start):
    job, walls = case[0], walls_of(*case)
    job = replace(job, calendar=replace(job.calendar, start=start))
    result = result_of(job, *walls)
    found, work_h = work_programme(result), work_h_of(job)
    stays = [[found.stints[0]]]
    for before, after in pairwise(found.stints):
        gap = working_time(job.calendar, work_h, before.ends, after.begins)
        if gap > timedelta(hours=job.rates.day_h / 2):
            first = stretches(job.calendar, after.day, work_h)[0][0]
            assert after.begins == first  # the crew comes back in a morning
            between = ((before.day + timedelta(days=n)) for n in range(1, (after.day - before.day).days))
            if any(stretches(job.calendar, day, work_h) for day in between):  # not on the very next one
                stays.append([])
        stays[-1].append(after)
    days = {stint.day for stint in found.stints}
    told = mt.headline(result)
    assert (told.visits, told.site_days) == (found.visits, found.days_on_site) == (len(stays), len(days))
    assert found.stays == tuple((stay[0].day, stay[-1].day) for stay in stays)
    clean = next(line for line in result.cost.lines if line.item.endswith("clean up"))
    assert float(clean.quantity) == pytest.approx(len(days) * job.rates.clean_up_h_per_day, abs=0.01)
    assert told.paint_from == max(wall.paint for wall in found.walls)
    hours = sum(line.quantity for line in result.cost.lines if line.item.startswith("plasterer: "))
    assert told.work_days == pytest.approx(float(hours) / (job.rates.crew * job.rates.day_h))


@given(case=jobs())
@examples(60)
def test_what_rounding_to_quarters_leaves_over_is_made_up_for(case):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls)
    exact, on_the_clock, short = 0.0, 0.0, 0
    for booking in found.schedule.bookings:
        own_h = booking.step.hours / job.rates.crew
        took_h = sum(end - start for start, end in booking.spans)
        # the nearest quarter, one for what was left over before, one that nobody comes back for
        assert own_h - 0.625 <= took_h <= max(own_h + 0.375, 0.25) + 1e-6
        exact, on_the_clock, short = exact + own_h, on_the_clock + took_h, short + (own_h < 0.25)
    assert abs(exact - on_the_clock) <= 0.375 + 0.25 * short + 1e-6


@given(case=jobs(), start=st.dates(date(2027, 1, 1), date(2027, 12, 31)))
@examples(60)
def test_dates_never_go_back_and_no_wait_is_cut_short(case, start):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls, start=start)
    waits = {}
    for stint in found.stints:
        wall = stint.step.wall
        if wall:
            assert stint.begins >= waits.get(wall, stint.begins)
        if stint.ready is not None:
            waits[wall] = stint.ready
    for dates in found.walls:
        assert dates.laid <= dates.cured <= dates.dry
        assert dates.paint >= dates.dry.date()
    assert found.paint_date >= found.first_day
    # no programme is shorter than its work, or than the slowest wall's own waits
    work_h = sum(stint.hours for stint in found.stints) / job.rates.crew
    assert found.days_on_site * job.rates.day_h >= work_h - 0.375
    own_h = max(
        steps.cure_h + steps.dry_h + sum(step.wait_h for step in steps.steps)
        for steps in (wall_steps(job, wall, measure_wall(job, wall)) for wall in walls)
    )
    first = datetime.combine(found.first_day, datetime.min.time())
    assert max(dates.dry for dates in found.walls) - first >= timedelta(hours=own_h, minutes=-1)


@given(at=st.floats(0, 200), quarters=st.integers(1, 240), piece=st.floats(0, 5))
def test_spans_hold_the_work_whole_and_whole_pieces_a_day(at, quarters, piece):
    hours = quarters / 4
    clock = Clock(Calendar(start=MONDAY), 7.5)
    spans = clock.spans(at, hours, piece)
    worked = sum(end - start for start, end in spans)
    assert hours - 0.25 <= worked <= hours
    assert spans[0][0] >= at
    by_day = defaultdict(float)
    for start, end in spans:
        by_day[start // 24] += end - start
    for done in list(by_day.values())[:-1]:
        one = max(0.25, min(piece, hours))
        assert done - 0.25 - 1e-6 <= one * math.floor(done / one + 1e-6)  # whole ones, to the quarter
    assert clock.between(spans[0][0], spans[-1][1]) >= worked
