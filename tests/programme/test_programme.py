"""The programme: dates worked out by hand, rules that hold for every job, and published waits."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from demo import demo
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
    # 3 × 2.5 m at 12 mm on brick, no rails: set up 1.25 h, prime 0.375 h to 9:37:30, it dries for 2 h; float
    # 3.75 h from 11:37:30 to 15:22:30, then 12 mm dry for 12 days, so paint on the 14th and check on Monday
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    found = booked(job, wall)
    tasks = [(stint.step.task, stint.begins, stint.ends) for stint in found.stints]
    assert [task for task, _, _ in tasks] == [
        "set up and protect",
        "prime",
        "float backing",
        "check and touch up",
    ]
    assert tasks[0][1] == datetime(2027, 3, 1, 8, 0)
    assert tasks[2][1:] == (datetime(2027, 3, 1, 11, 38), datetime(2027, 3, 1, 15, 22))
    assert found.walls[0].dry == tasks[2][2] + timedelta(days=12)
    assert found.paint_date == date(2027, 3, 14)
    assert found.days_to_paint == 13
    assert tasks[3][1] == datetime(2027, 3, 15, 8, 0)
    assert (found.days_on_site, found.visits) == (2, 2)


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
        next(s for s in booked(each, wall).stints if s.step.task == "float backing") for each in (job, pair)
    )
    assert (two.ends - two.begins) * 2 == pytest.approx(alone.ends - alone.begins, abs=timedelta(minutes=2))
    assert two.hours == alone.hours


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
    calendar = Calendar(
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


@given(case=jobs(), start=st.dates(date(2027, 1, 1), date(2027, 12, 31)))
@examples(60)
def test_dates_never_go_back_and_nothing_is_done_twice_or_at_night(case, start):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls, start=start)
    calendar, minute = job.calendar, timedelta(minutes=1.01)
    before = None
    ends, waits = {}, {}
    for stint in found.stints:
        on = datetime.combine(stint.day, datetime.min.time())
        assert calendar.works(stint.day)
        assert stint.begins >= on + timedelta(hours=calendar.from_h) - minute
        assert stint.ends <= on + timedelta(hours=calendar.from_h + job.rates.day_h) + minute
        assert before is None or stint.begins >= before  # one crew: stints follow one another
        before = stint.ends
        wall = stint.step.wall
        if wall and id(stint.step) not in ends:
            assert stint.begins >= waits.get(wall, stint.begins) - minute
        if stint.last:
            ends[id(stint.step)] = stint.ends
            waits[wall] = stint.ends + timedelta(hours=stint.step.wait_h)
    for dates in found.walls:
        assert dates.laid <= dates.cured <= dates.dry
        assert dates.paint >= dates.dry.date()
    assert found.first_day >= start
    assert found.paint_date >= found.first_day
    # no programme is shorter than its work, or than the slowest wall's own waits
    work_h = sum(stint.hours for stint in found.stints) / job.rates.crew
    assert found.days_on_site * job.rates.day_h >= work_h - 0.05
    own_h = max(
        steps.cure_h + steps.dry_h + sum(step.wait_h for step in steps.steps)
        for steps in (wall_steps(job, wall, measure_wall(job, wall)) for wall in walls)
    )
    first = datetime.combine(found.first_day, datetime.min.time())
    assert max(dates.dry for dates in found.walls) - first >= timedelta(hours=own_h) - minute


@given(case=jobs())
@examples(40)
def test_hours_litres_and_visits_are_those_of_the_price(case):
    job, walls = case[0], walls_of(*case)
    found = booked(job, *walls, start=None)  # the job's own calendar, as the price has it
    priced = {task.name: task for task in labour_hours(job, walls)}
    fixed = ("clean up", "up to half days")
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
        {"rates": mt.LabourRates(day_h=0.001, clean_up_h_per_day=0.0)},
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


@given(at=st.floats(0, 200), hours=st.floats(0, 60), piece=st.floats(0, 5))
def test_spans_hold_the_work_whole_and_whole_pieces_a_day(at, hours, piece):
    clock = Clock(Calendar(start=MONDAY), 7.5)
    spans = clock.spans(at, hours, piece)
    assert sum(end - start for start, end in spans) == pytest.approx(hours, abs=1e-5)
    assert spans[0][0] >= at
    for start, end in spans[:-1]:
        if piece > 0.01:
            pieces = (end - start) / min(piece, hours)
            assert pieces == pytest.approx(round(pieces), abs=1e-4)
    assert clock.between(spans[0][0], spans[-1][1]) >= hours - 1e-5
