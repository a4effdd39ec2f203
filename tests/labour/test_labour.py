"""Hours against published labour constants, and the rules that make them up."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest
from effort import examples
from hand import NO_RAILS, entry_of, flat, hours_of, job_of, one_wall
from hypothesis import assume, given
from hypothesis import strategies as st

from mytakeoff import LabourRates, LooseArea, Opening, RailChoice, Room, System, TakeoffError, Wall
from mytakeoff.formats.formats import HOUSE
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.pieces import float_h_per_m2, patch_hours, wall_factor
from mytakeoff.labour.schedule import schedule

RATES = LabourRates()


@pytest.mark.parametrize(("mm", "hours"), [(8, 0.5), (15, 0.5), (20, 0.6), (25, 0.7), (17.5, 0.55)])
def test_floating_by_thickness(mm, hours):
    # 0.5 to 15 mm and 0.1 for each further 5 mm (common practice, no source)
    assert float_h_per_m2(mm, LIGHT_GYPSUM, RATES) == pytest.approx(hours)


def test_patches_have_a_least_charge_each():
    # 0.5 each and 1.0 per m² (common practice, no source)
    assert patch_hours(3, 0.0, RATES) == pytest.approx(1.5)
    assert patch_hours(2, 0.75, RATES) == pytest.approx(1.75)


@pytest.mark.parametrize(
    ("width", "height", "storey", "factor"),
    [
        (3.0, 2.5, 0, 1.0),
        (3.0, 2.6, 0, 1.15),
        (1.5, 2.5, 0, 1.35),
        (1.6, 2.5, 0, 1.0),
        (0.5, 2.5, 0, 1.35),
        (0.5, 2.6, 2, 1.35 * 1.15 * 1.03**2),
    ],
)
def test_small_high_and_upstairs_walls_go_slower(width, height, storey, factor):
    # under 4 m² × 1.35, above 2.5 m high × 1.15 (common practice, no source)
    assert wall_factor(entry_of(Wall("A", width, height)), storey, RATES) == pytest.approx(factor)


def test_a_narrow_strip_beside_an_opening_is_small_by_its_net_area():
    wall = Wall("A", 3.0, 2.5, (Opening("door", 0.5, 0.0, 2.0, 2.2),))
    assert wall_factor(entry_of(wall), 0, RATES) == pytest.approx(1.35)


def test_hours_of_a_plain_wall_by_hand():
    # 3 × 2.5 m at 12 mm, brick primed, no rails: prime 7.5 × 0.05, float 7.5 × 0.5, set-up 1.25, one return
    # visit 0.5; done on one day and checked on another, so twice a clean-up of 0.5; 6.875 h go up to 8
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    tasks = labour_hours(job, [wall])
    assert hours_of(tasks, "prime") == pytest.approx(0.375)
    assert hours_of(tasks, "float backing") == pytest.approx(3.75)
    assert hours_of(tasks, "set up") == pytest.approx(1.25)
    assert hours_of(tasks, "return visits") == pytest.approx(0.5)
    [again] = [task for task in tasks if task.name == "return visits"]
    # not "2 visits": the headline counts the first one too
    assert again.said(HOUSE) == f"return visits: {job.walls[0].room} 1"
    assert hours_of(tasks, "clean up") == pytest.approx(2 * 0.5)
    assert hours_of(tasks, "to whole half days") == pytest.approx(8 - 6.875)
    assert tasks[-1].basis == "6.87 h, 2.87 h over 1 half day: another half day; 2 half days of 4 h"


def test_rails_beads_and_pieces_by_hand():
    job, wall = one_wall(mm=12.0, angle_bead_m=2.0, stop_bead_m=1.0, sockets=3, radiators=1)
    tasks = labour_hours(job, [wall])
    rails_m = 4 * 2.48  # 2.7 m between the outer rails at 1.2 m at most; 10 mm short at floor and ceiling
    assert hours_of(tasks, "rails") == pytest.approx(rails_m * 0.15)
    assert hours_of(tasks, "make good rail channels") == pytest.approx(rails_m * 0.06)
    assert hours_of(tasks, "beads") == pytest.approx(3 * 0.13)
    assert hours_of(tasks, "sockets and radiators") == pytest.approx(3 * 0.25 + 1.0)
    [fittings] = [task for task in tasks if task.name == "sockets and radiators"]
    assert fittings.basis.startswith("4 pieces, ")
    left_in = replace(job, rails=RailChoice(left_in=True))
    assert hours_of(labour_hours(left_in, [wall]), "make good rail channels") == 0


def test_deep_coats_are_dubbed_out_and_patches_paid_once():
    # 30 mm in coats of 15: the inner one is 7.5 m² × 15 mm, 0.1 h/m² and 0.02 h a litre (common practice, no
    # source)
    job, wall = one_wall(mm=30.0, rails=NO_RAILS)
    assert hours_of(labour_hours(job, [wall]), "dub out") == pytest.approx(0.75 + 112.5 * 0.02)
    # what fell off 1.5 m² × 20 mm deep is filled with the patch: 30 l less to dub out
    fallen = (LooseArea(0.5, 0.5, 1.5, 1.0, 20.0, fallen=True),)
    job, wall = one_wall(mm=30.0, rails=NO_RAILS, loose=fallen)
    tasks = labour_hours(job, [wall])
    assert hours_of(tasks, "dub out") == pytest.approx((0.75 + 112.5 * 0.02) * (112.5 - 30) / 112.5)
    assert hours_of(tasks, "patches") == pytest.approx(0.5 + 1.5)
    assert hours_of(tasks, "hack off and bag") == 0


def test_hacking_off_is_paid_by_the_grown_area():
    loose = (LooseArea(0.5, 0.5, 1.0, 1.0, 20.0),)
    job, wall = one_wall(mm=12.0, loose=loose)
    assert hours_of(labour_hours(job, [wall]), "hack off and bag") == pytest.approx(1.25 * 0.35)


def test_openings_by_is_1200_are_paid_for_up_to_half_a_square_metre():
    # up to 0.5 m² not deducted: IS 1200 part 12, civiljungle.com (secondary)
    hatch = Wall("A", 3.0, 2.5, (Opening("hatch", 1.0, 1.0, 0.5, 0.8),))
    job, wall = one_wall(mm=12.0, wall=hatch)
    net = hours_of(labour_hours(job, [wall]), "float backing")
    paid = hours_of(labour_hours(replace(job, opening_rule="is1200"), [wall]), "float backing")
    cells_m2 = wall.build_up.covered_area_m2
    assert net == pytest.approx(cells_m2 * 0.5)
    assert paid == pytest.approx((cells_m2 + 0.4) * 0.5)


@pytest.mark.parametrize(
    ("system", "mm", "background", "visits"),
    [
        (System(LIGHT_GYPSUM), 12, "brick", 1),  # one coat, then when dry
        (System(LIGHT_GYPSUM), 30, "brick", 1),  # two coats of gypsum the same day
        (System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0), 14, "brick", 1),
        (System(LIME_SAND), 9, "brick", 1),
        (System(LIME_SAND), 18, "brick", 2),  # lime waits over night
        (
            System(CEMENT_LIME),
            12,
            "brick",
            2,
        ),  # the spatterdash waits a day: Standzeiten, ausbauundfassade.de
        (System(CEMENT_LIME), 24, "brick", 3),
    ],
)
def test_visits_follow_the_waits_of_the_system(system, mm, background, visits):
    job, wall = one_wall(mm=mm, system=system, background=background)
    assert schedule(job, [wall]).returns == {"room": visits}


def test_set_up_is_by_room_and_stairs():
    rooms = (Room("low", 10.0), Room("high", 10.0, storey=3))
    entries = [
        entry_of(Wall(name, 3.0, 2.5), room=room)
        for name, room in (("A", "low"), ("B", "high"), ("C", "low"))
    ]
    job = job_of(*entries, rooms=rooms)
    tasks = labour_hours(job, [flat(job, entry, 12.0) for entry in entries])
    assert hours_of(tasks, "set up") == pytest.approx(1.25 * (1 + 1.03**3))
    assert hours_of(tasks, "return visits") == pytest.approx(0.5 * (1 + 1.03**3))


@given(mm=st.floats(8, 35), width=st.floats(0.4, 9), crew=st.integers(1, 3), least=st.integers(1, 6))
@examples(40)
def test_hours_add_up_to_whole_half_days_of_the_crew(mm, width, crew, least):
    rates = LabourRates(crew=crew, least_half_days=least)
    job, wall = one_wall(mm=mm, wall=Wall("A", width, 2.5), rates=rates)
    total = sum(task.hours for task in labour_hours(job, [wall]))
    half_days = total / (4 * crew)
    assert half_days == pytest.approx(round(half_days), abs=1e-5)
    by_the_hour = replace(job, rates=replace(rates, least_half_days=0))
    exact = sum(task.hours for task in labour_hours(by_the_hour, [wall]))
    assert total == pytest.approx(max(ceil(exact / (4 * crew) - 1e-9), least) * 4 * crew)
    assert half_days >= least


@given(mm=st.floats(8, 35), width=st.floats(0.4, 12), crew=st.integers(1, 3))
@examples(40)
def test_the_line_that_rounds_says_how_far_the_last_half_day_was_begun(mm, width, crew):
    job, wall = one_wall(mm=mm, wall=Wall("A", width, 2.5), rates=LabourRates(crew=crew))
    *work, last = labour_hours(job, [wall])
    assume(last.name == "to whole half days" and last.quantity >= 2)
    hours, half_day_h = sum(task.hours for task in work), 4.0 * crew
    assert hours + last.hours == pytest.approx(last.quantity * half_day_h)
    begun = job.formats.number(hours - (last.quantity - 1) * half_day_h, 2)
    assert f"{begun} h over {last.quantity - 1} half day" in last.basis
    assert "another half day" in last.basis


def test_a_small_job_is_charged_the_least():
    # least half a day (common practice, no source)
    free = dict.fromkeys(("room_set_up_h", "return_visit_h", "clean_up_h_per_day", "prime_h_per_m2"), 0.0)
    job, wall = one_wall(mm=8.0, wall=Wall("A", 0.5, 0.5), rails=NO_RAILS, rates=LabourRates(**free))
    tasks = labour_hours(job, [wall])
    assert sum(task.hours for task in tasks) == pytest.approx(4.0)
    assert tasks[-1].basis == "0.17 h, the first half day; 1 half day of 4 h"
    least = replace(job, rates=LabourRates(**free, least_half_days=3))
    last = labour_hours(least, [wall])[-1]
    assert last.basis == "0.17 h, at least 3 half days are charged; 3 half days of 4 h"


def test_no_walls_no_hours():
    job, _ = one_wall()
    assert labour_hours(job, []) == ()


@pytest.mark.parametrize(
    "wrong",
    [{"skim_h_per_m2": -0.1}, {"crew": 0}, {"day_h": 0.0}, {"storey_factor": 0.9}, {"float_to_mm": 0.0}],
)
def test_a_rate_out_of_its_range_is_refused(wrong):
    with pytest.raises(TakeoffError, match=f"labour rates: {next(iter(wrong)).split('_')[0]} .*it is"):
        LabourRates(**wrong)


def test_all_wrong_rates_are_told_at_once():
    with pytest.raises(TakeoffError) as told:
        LabourRates(skim_h_per_m2=-1.0, day_h=0.0)
    assert len(told.value.mistakes) == 2
