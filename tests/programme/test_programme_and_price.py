"""The programme lays, mixes and works what the price charges, and both read one schedule."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

import pytest
from bookings import MONDAY, booked, jobs, walls_of
from demo import demo, demo_result
from effort import examples
from hand import NO_RAILS, entry_of, one_wall
from hypothesis import given

import mytakeoff as mt
from mytakeoff.coats.coats import layers
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
from mytakeoff.labour.hours import labour_hours
from mytakeoff.labour.schedule import _planned
from mytakeoff.measure.materials import mix_needs
from mytakeoff.programme.programme import work_programme
from mytakeoff.takeoff.takeoff import takeoff_lines


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
