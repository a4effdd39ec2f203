"""The programme: dates worked out by hand, rules that hold for every job, and published waits."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from demo import demo, demo_result
from effort import examples
from hand import entry_of, flat, job_of, one_wall
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.coats.coats import layers
from mytakeoff.cost.cost import job_cost
from mytakeoff.job.calendar import WEEKDAYS, Calendar
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND
from mytakeoff.labour.clock import Clock
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.schedule import _planned
from mytakeoff.labour.waits import drying_h, treatment_wait, wall_steps
from mytakeoff.measure.materials import mix_needs
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.programme.programme import work_programme
from mytakeoff.result import Result
from mytakeoff.takeoff.takeoff import takeoff_lines

MONDAY = date(2027, 3, 1)
NO_RAILS = mt.RailChoice(used=False)
SKIMMED = mt.System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0)
NOTHING_FIXED = dict.fromkeys(("room_set_up_h", "return_visit_h", "clean_up_h_per_day"), 0.0)


def result_of(job, *walls) -> Result:
    return Result(job, walls, mix_needs(job, walls), job_cost(job, walls))


def booked(job, *walls, start=MONDAY):
    return work_programme(result_of(job, *walls), start)


# -- by hand -----------------------------------------------------------------------------------------


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


def test_price_headline_and_programme_read_one_schedule_and_a_price_moves_no_day():
    job = demo_result().job
    mt.headline(mt.evaluate(job))
    before = _planned.cache_info().misses
    dearer = replace(job, margins=replace(job.margins, overhead_share=0.37))
    result = mt.evaluate(dearer)
    mt.headline(result)
    work_programme(result)
    assert _planned.cache_info().misses == before
    slower = replace(job, rates=replace(job.rates, skim_h_per_m2=0.41))
    mt.headline(mt.evaluate(slower))
    assert _planned.cache_info().misses == before + 1  # by the price; the headline reads the same one


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


# -- waits from outside ------------------------------------------------------------------------------


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


# -- for every job -----------------------------------------------------------------------------------

SYSTEMS = (mt.System(LIGHT_GYPSUM), SKIMMED, mt.System(LIME_SAND), mt.System(CEMENT_LIME))


@st.composite
def jobs(draw):
    """One to three walls of any system in one or two rooms, with any crew, hours and calendar."""
    rooms = (mt.Room("low", 10.0), mt.Room("high", 10.0, storey=2))
    entries, depths = [], []
    for nth in range(draw(st.integers(1, 3))):
        wall = mt.Wall(f"wall {nth}", draw(st.floats(0.5, 6)), 2.5)
        loose = (mt.LooseArea(0.1, 0.1, 0.3, 0.4, 15.0),) if draw(st.booleans()) else ()
        entries.append(
            entry_of(
                wall,
                room=draw(st.sampled_from(["low", "high"])),
                system=draw(st.sampled_from(SYSTEMS)),
                loose=loose,
                sockets=draw(st.integers(0, 2)),
            )
        )
        depths.append(draw(st.floats(10, 24)))
    noon = st.integers(44, 56).map(lambda quarters: quarters / 4)
    calendar = Calendar(
        break_from_h=draw(noon),
        break_h=draw(st.sampled_from([0.0, 0.25, 0.5, 1.0])),
        weekdays=draw(st.lists(st.sampled_from(WEEKDAYS), min_size=1, max_size=7, unique=True).map(tuple)),
        holidays=tuple(MONDAY + timedelta(days=d) for d in draw(st.lists(st.integers(0, 40), max_size=6))),
        from_h=draw(st.floats(6, 10)),
        slow_down=draw(st.floats(0.5, 3)),
    )
    rates = mt.LabourRates(crew=draw(st.integers(1, 3)), day_h=draw(st.floats(4, 10)))
    rails = mt.RailChoice(
        used=draw(st.booleans()),
        left_in=draw(st.booleans()),
        bedded=draw(st.sampled_from(["fixings", "dabs"])),
    )
    job = job_of(*entries, rooms=rooms, calendar=calendar, rates=rates, rails=rails)
    return job, depths


def walls_of(job, depths):
    return [flat(job, entry, mm, allowance_mm=mm % 3) for entry, mm in zip(job.walls, depths, strict=True)]


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


@given(case=jobs())
@examples(40)
def test_hours_litres_and_visits_are_those_of_the_price(case):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls, start=None)  # the job's own calendar, as the price has it
    priced = {task.name: task for task in labour_hours(job, walls)}
    fixed = ("clean up", "to whole half days")
    hours = sum(task.hours for name, task in priced.items() if name not in fixed)
    assert sum(stint.hours for stint in found.stints) == pytest.approx(hours)
    assert priced["return visits"].quantity == sum(found.schedule.returns.values())
    litres = defaultdict(float)
    for stint in found.stints:
        if stint.step.mix:
            litres[stint.step.mix.name] += stint.step.litres * stint.share
    needs = mix_needs(job, walls)
    priced_l = {need.mix.name: need.litres + need.allowance_l for need in needs}
    assert dict(litres) == pytest.approx(priced_l)
    dry_kg = [
        priced_l[n.mix.name] * n.mix.density_kg_per_l * (1 + n.waste_share) for n in needs
    ]  # no mix of these is made on site
    assert sum(s.step.dry_kg * s.share for s in found.stints) == pytest.approx(sum(dry_kg))
    for stint in (stint for stint in found.stints if stint.last and stint.step.gaugings):
        assert sum(s.gaugings for s in found.stints if s.step is stint.step) == stint.step.gaugings


@given(case=jobs())
@examples(40)
def test_the_price_and_the_programme_count_the_same_gaugings(case):
    job, walls = case[0], walls_of(*case)
    mixed = defaultdict(int)
    for stint in booked(job, *walls, start=None).stints:
        if stint.step.mix:
            mixed[stint.step.mix.name] += stint.gaugings
    lines = {line.label: line.basis for line in takeoff_lines(job, walls).quantities}
    said = {name: int(re.search(r"(\d+) gaugings?\b", lines[name]).group(1)) for name in mixed}
    assert said == dict(mixed)


@pytest.mark.parametrize("kind", ["float plumb", "patch what has fallen", "straighten the hollows"])
def test_what_the_demo_lays_is_what_it_buys_whatever_is_done(kind):
    result = mt.evaluate(mt.carry(demo(), mt.Treatment("so", kind)))
    litres, mixed = defaultdict(float), defaultdict(int)
    for stint in work_programme(result, MONDAY).stints:
        if stint.step.mix:
            litres[stint.step.mix.name] += stint.step.litres * stint.share
            mixed[stint.step.mix.name] += stint.gaugings
    bought = {need.mix.name: need.litres + need.allowance_l for need in result.needs}
    assert dict(litres) == pytest.approx(bought, abs=0.1)  # less than that is laid with the next coat
    said = {line.item: line.basis for line in result.cost.lines}
    assert all(f"{count} gauging" in said[name] for name, count in mixed.items())


def test_gaugings_by_hand():
    # 3 × 2.5 m twice, 12 mm and 1 mm allowed: 97.5 l each, with a tenth for waste 107.25 l; a plasterer
    # floats 15 mm of 2 m² an hour, 45 l in the 90 minutes of the pot, a bag is 31.25 l: 4 gaugings a wall,
    # not 7 for both
    job, wall = one_wall(mm=12.0, rails=NO_RAILS, allowance_mm=1.0)
    other = replace(wall, entry=entry_of(mt.Wall("B", 3.0, 2.5)))
    both = replace(job, walls=(wall.entry, other.entry))
    assert sum(stint.gaugings for stint in booked(both, wall, other).stints) == 8
    (line,) = (q for q in takeoff_lines(both, [wall, other]).quantities if q.label == LIGHT_GYPSUM.name)
    assert "8 gaugings" in line.basis


def test_a_speck_that_is_deeper_is_no_gauging_and_no_line_of_the_programme():
    # 17 mm, one coat of 15 and a finish of 2, and one cell of 200 half a millimetre deeper: 0.02 l dubbed out
    deep = mt.System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0, replace(LIGHT_GYPSUM, name="deep", max_total_mm=60.0))
    job, wall = one_wall(mm=17.0, rails=NO_RAILS, system=deep)
    thickness = wall.build_up.thickness_mm.copy()
    thickness[0, 0] += 0.5
    build_up = replace(wall.build_up, thickness_mm=thickness)
    speck = replace(wall, build_up=build_up, layers=layers(build_up, deep))
    assert 0 < min(coat.volume_l for layer in speck.layers for coat in layer.coats) < 0.1
    stints = booked(job, speck).stints
    assert all(stint.step.dry_kg >= 0.05 for stint in stints if stint.step.mix)
    assert [s.step.task for s in stints] == [s.step.task for s in booked(job, wall).stints]


@given(mm=st.floats(10, 24), slow=st.floats(1, 4), system=st.sampled_from(SYSTEMS))
@examples(30)
def test_a_colder_room_is_never_painted_earlier(mm, slow, system):
    job, wall = one_wall(mm=mm, system=system)
    cold = replace(job, calendar=Calendar(slow_down=slow))
    assert booked(cold, wall).paint_date >= booked(job, wall).paint_date


# -- mistakes ----------------------------------------------------------------------------------------


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
    with pytest.raises(mt.TakeoffError, match="crew 0; it is 1 or more"):
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
        {"system": mt.System(replace(LIME_SAND, set_h=1e6))},
        {"system": mt.System(replace(LIGHT_GYPSUM, dry_days_per_mm=1e5))},
        {"rates": mt.LabourRates(day_h=0.25, clean_up_h_per_day=0.0, float_h_per_m2=500.0)},
        {"calendar": Calendar(slow_down=1e6)},
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
