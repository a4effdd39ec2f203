"""More coats, more hours; fewer, less: by area and thickness; the same hours in price and programme."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo import demo, demo_result
from effort import examples
from hand import NO_RAILS, SITE_MIX, SKIMMED, entry_of, flat, hours_of, job_of, one_wall
from hypothesis import assume, example, given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.coats.build_up import BuildUp
from mytakeoff.coats.coats import layers
from mytakeoff.job.catalogue import CEMENT_LIME, GYPSUM_SKIM, LIGHT_GYPSUM, LIME_SAND
from mytakeoff.job.edits import with_mix
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.pieces import wall_pieces
from mytakeoff.labour.schedule import schedule
from mytakeoff.measure.materials import mix_needs
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.takeoff.takeoff import takeoff_lines

FALLEN = mt.LooseArea(0.2, 0.3, 0.9, 0.8, 20.0, fallen=True)
DUBBING = replace(LIGHT_GYPSUM, name="dubbing out", least_coat_mm=0.0, max_coat_mm=30.0, max_total_mm=90.0)


def ramp(job, entry, least_mm, most_mm):
    """The wall with a thickness that rises evenly from its left end to its right."""
    wall = flat(job, entry, least_mm)
    row = np.linspace(least_mm, most_mm, wall.surface.x_m.size)
    thickness = np.broadcast_to(row, wall.surface.proud_mm.shape)
    build_up = BuildUp(wall.surface, thickness, np.zeros_like(thickness))
    return replace(wall, build_up=build_up, layers=layers(build_up, wall.system))


def coated(mix, most_mm, depths, fallen, finish_mm, dubbing, rates):
    """A ramped wall whose backing goes on in coats of at most so much."""
    backing = replace(mix, max_coat_mm=most_mm, max_total_mm=200.0)
    finish = replace(GYPSUM_SKIM, max_total_mm=50.0) if finish_mm else None
    system = mt.System(backing, finish, finish_mm, DUBBING if dubbing else None)
    entry = entry_of(mt.Wall("A", 3.0, 2.5), loose=(FALLEN,) if fallen else ())
    job = job_of(entry, system=system, rails=NO_RAILS, rates=rates)
    return job, ramp(job, entry, *depths)


def work_hours(job, wall):
    return sum(piece.hours for piece in wall_pieces(job, wall, measure_wall(job, wall)))


def coats_of(wall):
    return sum(len(layer.coats) for layer in wall.layers)


@given(
    mix=st.sampled_from([LIGHT_GYPSUM, CEMENT_LIME, LIME_SAND]),
    least_mm=st.floats(8, 40),
    more_mm=st.floats(0, 60),
    thin_mm=st.floats(8, 40),
    thicker_mm=st.floats(0, 30),
    fallen=st.booleans(),
    finish_mm=st.sampled_from([0.0, 2.0]),
    dubbing=st.booleans(),
    own=st.sampled_from([{}, {"float_h_per_m2": 0.4}, {"further_coat_h_per_m2": 0.25}]),
)
@example(LIGHT_GYPSUM, 13.0, 6.0, 9.0, 1.0, False, 2.0, False, {})
@examples(200)
def test_hours_never_fall_with_more_coats(
    mix, least_mm, more_mm, thin_mm, thicker_mm, fallen, finish_mm, dubbing, own
):
    depths, rates = (least_mm, least_mm + more_mm), mt.LabourRates(**own)
    many, few = (
        coated(mix, most, depths, fallen, finish_mm, dubbing, rates)
        for most in (thin_mm, thin_mm + thicker_mm)
    )
    assert coats_of(many[1]) >= coats_of(few[1])
    # Depth that is floated with the last coat is not dubbed out: as many coats share it otherwise.
    floated_l = max(last_backing_l(many[1]) - last_backing_l(few[1]), 0.0)
    spared = rates.each_10_mm_h_per_m2 * floated_l / 10.0  # a litre is a millimetre on a square metre
    assert work_hours(*many) >= work_hours(*few) - spared - 1e-9


def last_backing_l(wall):
    return next(layer.coats[0].volume_l for layer in wall.layers if layer.role == "backing")


@given(thin=st.floats(4, 40), thicker=st.floats(0.5, 30), mm=st.floats(10, 60))
@examples(100)
def test_a_coat_more_over_the_whole_wall_takes_more_hours(thin, thicker, mm):
    many, few = (
        coated(LIGHT_GYPSUM, max(most, 8.0), (mm, mm), False, 0.0, False, mt.LabourRates())
        for most in (thin, thin + thicker)
    )
    more = coats_of(many[1]) - coats_of(few[1])
    assume(more > 0)  # as many coats shared otherwise, 9 + 9 mm for 10 + 8, have more or less to dub out
    # 7.5 m² at 0.1 h/m² a coat (common practice, no source); what its litres take can only come on top
    assert work_hours(*many) >= work_hours(*few) + more * 0.75 - 1e-9


def test_the_coat_depth_moves_hours_days_and_price():
    # at 10 mm some wall takes four coats, at 21.5 mm none more than three
    four = mt.evaluate(with_mix(demo(), "light gypsum backing", max_coat_mm=10.0))
    three = mt.evaluate(with_mix(demo(), "light gypsum backing", max_coat_mm=21.5))
    assert (four.coats, three.coats) == (4, 3)
    assert four.days > three.days
    assert four.cost.total > three.cost.total
    # whole days of the calendar: the same where the last of them has room for it
    assert mt.work_programme(four).days_on_site >= mt.work_programme(three).days_on_site
    work = [sum(day.hours for day in mt.work_programme(each).days) for each in (four, three)]
    assert work[0] > work[1] + 2


def test_the_basis_of_a_deep_coat_says_what_a_coat_and_what_its_depth_takes():
    job, wall = one_wall(mm=30.0, rails=NO_RAILS)
    [task] = [task for task in labour_hours(job, [wall]) if task.name == "dub out"]
    assert task.basis == "7.5 m², 0.1 h/m² a coat and 0.2 h/m² for each 10 mm, patches apart: 3.00 h"
    assert (task.quantity, task.unit) == (pytest.approx(7.5), "m²")


def test_a_finish_in_two_coats_takes_longer_than_in_one():
    # 7.5 m²: 0.3 h/m² for the last coat; 3 mm under it are a further coat, 0.1 h/m² and 0.02 h a litre
    two = mt.System(LIGHT_GYPSUM, replace(GYPSUM_SKIM, max_total_mm=6.0), 6.0)
    job, wall = one_wall(mm=18.0, system=two, rails=NO_RAILS)
    under = 7.5 * 0.1 + 22.5 * 0.02
    [finish] = [task for task in labour_hours(job, [wall]) if task.name == "finish coat"]
    assert finish.hours == pytest.approx(7.5 * 0.3 + under)
    assert "7.5 m², 0.3 h/m²; 7.5 m², 0.1 h/m² a coat and 0.2 h/m² for each 10 mm: 3.45 h" in finish.basis


def test_patches_in_two_coats_take_longer_than_in_one():
    job = demo()
    patch = mt.Treatment("patch", "patch what has fallen")
    deep = replace(job, treatment=patch, only=("party wall",))
    thin = with_mix(deep, "dubbing-out gypsum", max_coat_mm=8.0)
    one, several = (hours_of(labour_hours(each, mt.evaluate(each).walls), "patches") for each in (deep, thin))
    assert several > one


# -- rates of the user's own -------------------------------------------------------------------------


def test_an_own_rate_for_dubbing_out_stays_the_whole_of_it():
    # written before there was a rate for each coat: 0.3 h for 10 mm, and nothing beside it
    job, wall = one_wall(mm=45.0, rails=NO_RAILS, rates=mt.LabourRates(dub_out_h_per_m2_per_10_mm=0.3))
    [task] = [task for task in labour_hours(job, [wall]) if task.name == "dub out"]
    assert task.hours == pytest.approx(225 * 0.03)
    assert "0.3 h/m² for each 10 mm whatever the number of coats (your own rate)" in task.basis
    both = mt.LabourRates(dub_out_h_per_m2_per_10_mm=0.3, further_coat_h_per_m2=0.2)
    hours = hours_of(labour_hours(replace(job, rates=both), [wall]), "dub out")
    assert hours == pytest.approx(225 * 0.03 + 15 * 0.2)


def test_an_own_rate_for_floating_holds_for_every_mix():
    own = mt.LabourRates(float_h_per_m2=0.45, labourer_share=0.8)
    assert {own.float_for(mix) for mix in (LIGHT_GYPSUM, CEMENT_LIME, LIME_SAND)} == {0.45}
    assert {own.labourer_for(mix) for mix in (LIGHT_GYPSUM, SITE_MIX, None)} == {0.8}


def test_rates_of_a_job_file_stay_as_they_were_entered(tmp_path):
    mt.save_job(replace(demo(), rates=mt.LabourRates(float_h_per_m2=0.5)), tmp_path / "job")
    file = tmp_path / "job" / "job.toml"
    text = file.read_text(encoding="utf-8")
    assert "[rates]" in text
    old = "dub_out_h_per_m2_per_10_mm = 0.2\nlabourer_share = 0.5\nskim_h_per_m2 = 0.3"
    file.write_text(text.replace("float_h_per_m2 = 0.5", f"float_h_per_m2 = 0.5\n{old}"), encoding="utf-8")
    rates = mt.open_job(tmp_path / "job").rates
    assert (rates.float_h_per_m2, rates.dub_out_h_per_m2_per_10_mm, rates.labourer_share) == (0.5, 0.2, 0.5)
    assert rates.further_for(CEMENT_LIME) == 0.0


# -- the labourer ------------------------------------------------------------------------------------


def test_what_is_mixed_on_site_keeps_a_labourer_longer():
    # 7.5 m² of cement-lime mixed on site, 0.64 h/m²: 4.8 h × 1.1, all else × 0.5
    job, wall = one_wall(mm=12.0, system=mt.System(SITE_MIX), rails=NO_RAILS)
    tasks = labour_hours(job, [wall])
    assert sum(task.site_mixed_h for task in tasks) == pytest.approx(4.8)
    total = sum(task.hours for task in tasks)
    lines = {line.label: line for line in takeoff_lines(job, [wall]).quantities}
    helper = lines["labourer"]
    assert float(helper.quantity) == pytest.approx((total - 4.8) * 0.5 + 4.8 * 1.1, abs=0.01)
    assert (
        helper.basis
        == f"{total - 4.8:.2f} plasterer's hours × 0.5 and 4.80 laying what is mixed on site × 1.1"
    )


# -- one definition for price and programme ----------------------------------------------------------


@pytest.mark.parametrize(
    ("system", "background"),
    [(mt.System(SITE_MIX), "brick"), (mt.System(LIME_SAND), "wood lath"), (SKIMMED, "brick")],
)
def test_steps_take_the_hours_litres_and_days_of_the_price(system, background):
    job, wall = one_wall(mm=22.0, system=system, background=background)
    tasks, planned = labour_hours(job, [wall]), schedule(job, [wall])
    priced = sum(task.hours for task in tasks if task.name not in ("clean up", "to whole half days"))
    assert sum(booking.step.hours for booking in planned.bookings) == pytest.approx(priced)
    [need] = [need for need in mix_needs(job, [wall]) if need.mix == system.backing]
    steps = [booking.step for booking in planned.bookings if booking.step.mix == system.backing]
    assert sum(step.litres for step in steps) == pytest.approx(need.litres)
    assert sum(step.dry_kg for step in steps) == pytest.approx(need.dry_kg)


def test_clean_up_is_on_the_days_of_the_programme():
    result = demo_result()
    [task] = [task for task in labour_hours(result.job, result.walls) if task.name == "clean up"]
    assert task.quantity == mt.work_programme(result).days_on_site
    assert task.basis == f"{task.quantity} days on site × 0.5 h"


# -- nothing without a rate --------------------------------------------------------------------------


def test_everything_without_a_labour_rate_is_told_at_once():
    job, wall = one_wall(mm=14.0, system=SKIMMED)
    odd = tuple(replace(layer, role="lime wash") for layer in wall.layers)
    unknown = replace(wall, layers=odd, treatment=mt.Treatment("like the garage", "as it is"))
    with pytest.raises(mt.TakeoffError) as told:
        labour_hours(job, [unknown])
    assert len(told.value.mistakes) == 2
    first = str(told.value.mistakes[0])
    assert "wall 'A', like the garage" in first
    assert "gypsum skim as 'lime wash'" in first
    assert "finish, backing, dubbing out, patches, thin patches" in first
    measures = replace(measure_wall(job, wall), treatment="lime slurry")
    with pytest.raises(mt.TakeoffError, match=r"lime slurry on brick.*primer, grit primer"):
        labour_hours(job, [wall], [measures])
