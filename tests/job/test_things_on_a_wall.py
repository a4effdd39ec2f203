"""Doors, fittings, loose plaster and high spots put elsewhere on a wall, one at a time: all else stays."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo import demo
from effort import examples
from hand import entry_of, job_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.job.findings import (
    USUAL,
    and_thing,
    around,
    new_fitting,
    new_opening,
    readings_in,
    things_on,
    with_thing,
    with_thing_at,
    with_things,
    without_thing,
)
from mytakeoff.job.job_wall import Fitting
from mytakeoff.survey.wall import Rectangle

WALL = mt.Wall(
    "A", 4.0, 2.5, (mt.Opening("door", 0.5, 0.0, 0.8, 2.0, 120.0), mt.Opening("window", 2.5, 0.9, 1.0, 1.1)),
    fitted=(mt.Opening("oven", 1.6, 0.0, 0.6, 1.4),),
)  # fmt: skip
KINDS = ("opening", "fitted", "fitting", "loose", "spot", "sweep")
AREAS = ("opening", "fitted", "loose")
centimetres = st.integers(0, 250).map(lambda number: number / 100)


def furnished() -> mt.Job:
    """A job of one wall that has of each kind of thing."""
    entry = replace(
        entry_of(WALL),
        fittings=(Fitting("socket", "socket", 0.3, 0.4), Fitting("lamp", "light", 2.0, 2.2)),
        loose=(mt.LooseArea(0.1, 1.0, 0.3, 0.4, 15.0), mt.LooseArea(3.6, 0.2, 0.2, 0.3, 20.0, fallen=True)),
    )
    survey = entry.survey.with_sweeps([mt.LaidEdge(0.2, 2.2, 2.0, 3.0, touches_m=(0.2, 1.8))])
    survey = survey.with_high_spots([(1.4, 2.1, 5.0), (2.2, 0.5, 4.0)], swept=True)
    return job_of(replace(entry, survey=survey))


def others(job: mt.Job, kind: str, nth: int) -> dict[str, tuple]:
    """All things of the wall but one."""
    found = {each: things_on(job.walls[0], each) for each in KINDS}
    return found | {kind: found[kind][:nth] + found[kind][nth + 1 :]}


@examples(60)
@given(kind=st.sampled_from(KINDS), nth=st.integers(0, 1), x_m=centimetres, z_m=centimetres)
def test_what_is_put_elsewhere_leaves_all_else_and_comes_back_the_same(kind, nth, x_m, z_m):
    job = furnished()
    there = things_on(job.walls[0], kind)
    if nth >= len(there):
        with pytest.raises(mt.TakeoffError, match="there are 1 of them"):
            with_thing_at(job, "A", kind, nth, x_m=x_m)
        return
    try:
        moved = with_thing_at(job, "A", kind, nth, x_m=x_m, z_m=z_m)
    except mt.TakeoffError as error:
        assert "wall" in str(error)  # noqa: PT017 - a place off the wall
        return
    place = things_on(moved.walls[0], kind)[nth]
    assert (place[:2] if kind == "spot" else (place.x_m, place.z_m)) == (x_m, z_m)
    assert others(moved, kind, nth) == others(job, kind, nth)
    assert moved.walls[0].wall == moved.walls[0].survey.wall  # the survey knows the wall that it is of
    before = there[nth]
    old = before[:2] if kind == "spot" else (before.x_m, before.z_m)
    assert with_thing_at(moved, "A", kind, nth, x_m=old[0], z_m=old[1]) == job


@examples(40)
@given(kind=st.sampled_from(KINDS), data=st.data())
def test_what_is_taken_out_and_put_in_again_is_the_same_job(kind, data):
    job = furnished()
    there = things_on(job.walls[0], kind)
    nth = data.draw(st.integers(0, len(there) - 1))
    out = without_thing(job, "A", kind, nth)
    assert others(out, kind, len(there)) == others(job, kind, nth)
    assert with_things(out, "A", kind, there) == job
    last = and_thing(out, "A", kind, there[nth])
    assert things_on(last.walls[0], kind) == (*there[:nth], *there[nth + 1 :], there[nth])


@examples(40)
@given(
    kind=st.sampled_from(AREAS),
    width_m=st.integers(1, 450).map(lambda number: number / 100),
    height_m=st.integers(1, 300).map(lambda number: number / 100),
)
def test_a_size_is_taken_where_the_wall_has_room_and_refused_in_words_elsewhere(kind, width_m, height_m):
    job = furnished()
    thing = things_on(job.walls[0], kind)[0]
    fits = thing.x_m + width_m <= 4.0 + 1e-9 and thing.z_m + height_m <= 2.5 + 1e-9
    if not fits:
        with pytest.raises(mt.TakeoffError, match=r"lies on (its|the) wall, 4 × 2\.5 m"):
            with_thing_at(job, "A", kind, 0, width_m=width_m, height_m=height_m)
        return
    sized = with_thing_at(job, "A", kind, 0, width_m=width_m, height_m=height_m)
    assert things_on(sized.walls[0], kind)[0] == replace(thing, width_m=width_m, height_m=height_m)


def test_a_moved_window_moves_its_plaster_and_its_price():
    """Wherever it hangs within reach of the survey, the area of plaster is the same."""
    job = furnished()
    before, after = (mt.evaluate(each) for each in (job, with_thing_at(job, "A", "opening", 1, x_m=2.7)))
    assert after.walls[0].build_up.area_m2 == pytest.approx(before.walls[0].build_up.area_m2, abs=1e-9)
    smaller = mt.evaluate(with_thing_at(job, "A", "opening", 1, width_m=0.5))
    gained = smaller.walls[0].build_up.area_m2 - before.walls[0].build_up.area_m2
    assert gained == pytest.approx(0.5 * 1.1, abs=1e-9)


def test_one_thing_takes_the_place_of_another():
    job = with_thing(furnished(), "A", "spot", 1, (2.2, 0.5, 6.0))
    assert things_on(job.walls[0], "spot") == ((1.4, 2.1, 5.0), (2.2, 0.5, 6.0))
    assert job.walls[0].survey.swept


def test_a_thing_is_about_its_place_and_kept_on_the_wall():
    assert around(WALL, None, 1.0, 0.5) == Rectangle(1.5, 1.0, 1.0, 0.5)
    assert around(WALL, (0.1, 2.5), 1.0, 0.5) == Rectangle(0.0, 2.0, 1.0, 0.5)
    assert around(WALL, (1.2345, 0.5)) == Rectangle(1.23, 0.5, 0.0, 0.0)
    assert around(WALL, (2.0, 1.0), 9.0, 9.0) == Rectangle(0.0, 0.0, 4.0, 2.5)  # cut to the wall


def test_a_new_door_is_as_large_as_the_last_and_stands_on_the_floor():
    door = new_opening(furnished(), "A", "door", (3.4, 1.7))
    assert door == mt.Opening("door 2", 3.0, 0.0, 0.8, 2.0, 120.0)


def test_a_first_window_has_the_usual_size_and_hangs_where_it_was_pressed():
    """1.2 × 1.2 m on a sill of 0.9 m: common practice, no source."""
    bare = job_of(entry_of(mt.Wall("B", 4.0, 2.5)))
    assert new_opening(bare, "B", "window") == replace(USUAL["window"], x_m=1.4)
    assert new_opening(bare, "B", "window", (2.0, 1.9)) == replace(USUAL["window"], x_m=1.4, z_m=1.3)
    low = job_of(entry_of(mt.Wall("low", 0.7, 1.8)))
    assert new_opening(low, "low", "door").rectangle == Rectangle(0.0, 0.0, 0.7, 1.8)


def test_a_new_socket_is_as_high_as_the_last_one():
    job = furnished()
    assert new_fitting(job, "A", "socket") == Fitting("socket 2", "socket", 2.0, 0.4)
    assert new_fitting(job, "A", "radiator") == Fitting("radiator", "radiator", 2.0, 1.25)
    assert new_fitting(job, "A", "switch", (1.111, 1.2)) == Fitting("switch", "switch", 1.11, 1.2)


def test_readings_under_an_opening_are_counted_and_stay():
    job = demo()
    entry = job.walls[0]
    ground = Rectangle(1.0, 0.0, 0.9, 2.0)
    x_m, z_m = entry.survey.x_m, entry.survey.z_m
    inside = sum(1.0 < x < 1.9 and 0.0 < z < 2.0 for x, z in zip(x_m, z_m, strict=True))
    assert readings_in(entry.survey, ground) == inside > 0
    doored = and_thing(job, entry.name, "opening", mt.Opening("door", 1.0, 0.0, 0.9, 2.0))
    assert doored.walls[0].survey.proud_mm.tolist() == entry.survey.proud_mm.tolist()
