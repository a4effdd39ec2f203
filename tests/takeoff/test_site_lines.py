"""What goes with the work: each line reckoned by hand or counted off the programme, and named while off."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest
from demo import demo, demo_result
from effort import examples
from example_job import example_folder
from hand import SKIMMED, entry_of, flat, job_of, one_wall, result_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff import Site
from mytakeoff.job.catalogue import UNITS
from mytakeoff.options.compare import compare
from mytakeoff.options.table import options_frame
from mytakeoff.programme.programme import booked
from mytakeoff.resources import demo_folder, starting_job_folder
from mytakeoff.takeoff.takeoff import takeoff_lines

PLAIN = mt.Wall("A", 3.0, 2.5)
DOOR = mt.Opening("door", 1.0, 0.0, 0.85, 2.05)
ADDED = ("stripping paper", "stripping paint", "working platform hire", "travel", "parking")


def amounts(job, *walls):
    """Quantities by item."""
    found = {}
    for line in takeoff_lines(job, walls).quantities:
        found[line.item] = found.get(line.item, 0.0) + float(line.quantity)
    return found


def programme_of(job, *walls):
    return booked(result_of(job, *walls))


def wall_with(wall=PLAIN, **details):
    """A wall, 17 mm all over, and its job, with fields of the entry."""
    entry = entry_of(wall, "sound old plaster", **details)
    job = job_of(entry)
    return job, flat(job, entry, 17.0)


# -- off unless it is asked for ----------------------------------------------------------------------


def test_off_it_costs_nothing_and_is_named():
    job, wall = wall_with()
    takeoff = takeoff_lines(job, [wall])
    assert not {line.item for line in takeoff.quantities} & {*ADDED, "skirting and architrave"}
    named = " | ".join(takeoff.excluded)
    assert all(item in named for item in (*ADDED, "skirting and architrave"))


def test_a_wall_just_as_high_as_the_reach_wants_no_platform():
    for height_m, wanted in ((2.0, False), (2.01, True)):
        job, wall = wall_with(mt.Wall("A", 3.0, height_m))
        named = " | ".join(takeoff_lines(job, [wall]).excluded)
        assert ("working platform hire" in named) == wanted


def test_on_it_is_priced_and_named_no_more():
    job, wall = wall_with(skirting_off_m=3.0, strip="paper")
    priced = replace(job, site=Site(travel=True, parking=True, platform=True))
    takeoff = takeoff_lines(priced, [wall])
    items = {line.item for line in takeoff.quantities}
    assert items >= {*ADDED, "skirting and architrave"} - {"stripping paint"}
    assert not set(takeoff.excluded) & items
    assert not any("platform" in name for name in takeoff.excluded)


def test_every_new_item_has_a_price_in_both_jobs_that_come_with_the_package():
    for folder in (demo_folder(), starting_job_folder()):
        prices = mt.open_job(folder).prices
        assert {item: prices.of(item).unit for item in ADDED} == {item: UNITS[item] for item in ADDED}


# -- by the day ----------------------------------------------------------------------------------------


@given(
    heights=st.lists(st.sampled_from([1.8, 2.0, 2.4, 3.1]), min_size=1, max_size=4),
    mm=st.floats(10, 30),
    crew=st.integers(1, 3),
)
@examples(40)
def test_days_are_those_that_the_programme_works_on(heights, mm, crew):
    walls = [mt.Wall(f"wall {n}", 2.0 + n, height) for n, height in enumerate(heights)]
    site = Site(travel=True, parking=True, platform=True)
    entries = [entry_of(wall) for wall in walls]
    job = job_of(*entries, system=SKIMMED, site=site, rates=mt.LabourRates(crew=crew))
    made = [flat(job, entry, mm) for entry in entries]
    found, stints = amounts(job, *made), programme_of(job, *made).stints
    days = {stint.day for stint in stints}
    high = {wall.name for wall in walls if wall.height_m > 2.0}
    assert found["travel"] == found["parking"] == len(days)
    on_high = {stint.day for stint in stints if stint.step.wall in high}
    assert found.get("working platform hire", 0) == len(on_high) <= len(days)


def test_plaster_that_ends_below_reach_needs_no_platform():
    entry = entry_of(mt.Wall("A", 3.0, 2.5, cornice_m=0.6))
    job = job_of(entry, site=Site(platform=True))
    assert "working platform hire" not in amounts(job, flat(job, entry, 12.0))
    lower = replace(job, site=Site(platform=True, reach_m=1.8))
    assert amounts(lower, flat(job, entry, 12.0))["working platform hire"] >= 1


@pytest.mark.parametrize("reach_m", [0.0, -1.0, float("nan"), float("inf")])
def test_a_reach_is_more_than_nothing(reach_m):
    with pytest.raises(mt.TakeoffError, match="2 m is usual"):
        Site(reach_m=reach_m)


# -- beads where there is no reveal -------------------------------------------------------------------


def test_a_stop_bead_goes_up_across_and_down_a_door():
    # 2 × 2.05 + 0.85 m
    job, wall = wall_with(mt.Wall("A", 3.0, 2.5, (DOOR,)), stop_bead_m=1.0, edge_bead="stop bead")
    assert DOOR.edge_m == pytest.approx(4.95)
    assert amounts(job, wall)["stop bead"] == pytest.approx(5.95)
    hours = {line.label: line.basis for line in takeoff_lines(job, [wall]).quantities}
    assert hours["plasterer: beads"].startswith("5.95 m, ")


def test_an_angle_bead_by_choice_and_a_fitted_unit_by_its_sides():
    unit = mt.Opening("unit", 2.0, 0.0, 0.6, 1.0, reveal_sides=("left", "top"))
    window = mt.Opening("window", 0.1, 1.0, 0.5, 0.8, reveal_mm=150.0)
    room = mt.Wall("A", 3.0, 2.5, (DOOR, window), fitted=(unit,))
    job, wall = wall_with(room, edge_bead="angle bead", angle_bead_m=0.5)
    found = amounts(job, wall)
    # corner, door, unit, and the window's reveals, which have theirs in any case
    assert found["angle bead"] == pytest.approx(0.5 + 4.95 + 1.6 + 2.1)
    assert "stop bead" not in found


def test_edges_without_a_bead_are_named_unless_beads_were_entered_for_them():
    job, wall = one_wall(wall=mt.Wall("A", 3.0, 2.5, (DOOR,)))
    assert "beads along 4.95 m of A where plaster meets linings" in takeoff_lines(job, [wall]).excluded
    job, wall = one_wall(wall=mt.Wall("A", 3.0, 2.5, (DOOR,)), stop_bead_m=5.0)
    assert not any("linings" in name for name in takeoff_lines(job, [wall]).excluded)


def test_reveals_have_their_beads_already():
    window = mt.Opening("window", 1.0, 0.9, 1.2, 1.2, reveal_mm=180.0)
    assert (window.reveal_m, window.edge_m) == (pytest.approx(3.6), 0.0)


# -- skirting and stripping ---------------------------------------------------------------------------


def test_paper_is_stripped_where_the_plaster_stays():
    # 3 × 2.5 m without a door of 0.85 × 2.05 m and 0.8 × 0.5 m of loose plaster that grows by a quarter
    loose = (mt.LooseArea(0.1, 1.0, 0.8, 0.5, 15.0),)
    entry = entry_of(mt.Wall("A", 3.0, 2.5, (DOOR,)), "sound old plaster", loose=loose, strip="paper")
    job = job_of(entry)
    m2 = 7.5 - 0.85 * 2.05 - 0.8 * 0.5 * 1.25
    assert amounts(job, *mt.evaluate(job).walls)["stripping paper"] == pytest.approx(m2, abs=0.005)


def test_skirting_by_wall_and_as_an_extra_add_up():
    job, wall = wall_with(skirting_off_m=2.15)
    both = replace(job, extras=(mt.Extra("skirting and architrave", 4.0),))
    assert amounts(both, wall)["skirting and architrave"] == pytest.approx(6.15)


def test_wrong_lengths_and_what_cannot_be_stripped_are_refused():
    for wrong, told in (
        ({"skirting_off_m": -1.0}, "0 to 1000 m"),
        ({"skirting_off_m": float("nan")}, "0 to 1000 m"),
        ({"strip": "tiles"}, "what is stripped is one of"),
        ({"edge_bead": "glitter"}, "a bead at edges one of"),
    ):
        with pytest.raises(mt.TakeoffError, match=told):
            entry_of(mt.Wall("A", 3.0, 2.5), **wrong)


# -- files --------------------------------------------------------------------------------------------


def test_what_is_priced_by_choice_is_saved_and_opens_again(tmp_path: Path):
    start = mt.open_job(example_folder())
    [entry] = start.walls
    more = replace(entry, skirting_off_m=6.5, strip="paint", edge_bead="stop bead")
    site = Site(travel=True, platform=True, reach_m=1.9)
    mt.save_job(replace(start, walls=(more,), site=site), tmp_path)
    again = mt.open_job(tmp_path)
    assert again.site == site
    [back] = again.walls
    assert (back.skirting_off_m, back.strip, back.edge_bead) == (6.5, "paint", "stop bead")


def test_a_misspelt_key_of_the_site_is_refused(tmp_path: Path):
    mt.save_job(mt.open_job(example_folder()), tmp_path)
    file = tmp_path / "job.toml"
    said = file.read_text(encoding="utf-8")
    assert "\ntravel = false" in said
    file.write_text(said.replace("\ntravel = false", "\ntravels = true"), encoding="utf-8")
    with pytest.raises(mt.TakeoffError, match="travels"):
        mt.open_job(tmp_path)
    assert {each.name for each in fields(Site)} == {"travel", "parking", "platform", "reach_m"}


def test_files_with_the_price_name_what_is_not_in_it(tmp_path: Path):
    from mytakeoff.io.tables.costs import export_costs

    result = demo_result()
    text = export_costs(result, tmp_path / "table.csv").read_text(encoding="utf-8-sig")
    assert all(item in text for item in result.cost.excluded)
    job = replace(demo(), only=("door wall",))
    options = [option for option in compare(job) if isinstance(option, mt.OptionResult)]
    frame = options_frame(options)
    for option, said in zip(options, frame["not_in_price"], strict=True):
        assert said.split("; ") == list(option.cost.excluded)
