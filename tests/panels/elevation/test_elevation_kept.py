"""The elevation without a browser: what the page asks becomes one edit, and what others change shows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.formats.formats import Formats
from mytakeoff.job.edits import with_margins
from mytakeoff.job.findings import things_on, with_thing_at, without_thing
from mytakeoff.job.job_wall import Fitting
from mytakeoff.panels.elevation.elevation import GONE, NO_WALL, Elevation
from mytakeoff.panels.elevation.keys import Keys
from mytakeoff.store import Store

WALL = "door wall"  # a door, two fittings, fallen plaster


def unexpected(error: Exception) -> None:
    raise error


@pytest.fixture
def elevation() -> Elevation:
    """The demo's door wall on cells of 10 cm."""
    shown = Elevation(Store(coarse_demo()), unexpected)
    shown.show(WALL)
    return shown


def entry(elevation: Elevation, name: str = WALL) -> mt.JobWall:
    return elevation.store.job.wall(name)


def thing(elevation: Elevation, mark: str) -> dict[str, Any]:
    return next(each for each in elevation.view.things if each["mark"] == mark)


def ask(elevation: Elevation, **message: Any) -> None:
    """What the page sends when a hand lets go."""
    elevation.take({"edit": ["page", 1], **message})


def test_everything_on_the_wall_is_drawn_and_said(elevation):
    drawn = {each["mark"]: each["shape"] for each in elevation.view.things}
    assert drawn == {"L1": "fallen", "O1": "opening", "P1": "socket", "P2": "switch"}
    assert elevation.view.wall == {
        "name": WALL, "width": 3.4, "height": 2.6, "skirting": 0.0, "cornice": 0.0
    }  # fmt: skip
    assert thing(elevation, "O1")["words"] == (
        "O1, door, opening, 0.85 m wide, 2.05 m high, 2.30 m from the left end, on the floor."
    )
    assert "switch on the other face of the wall" in thing(elevation, "P2")["words"]
    assert len(elevation.view.readings) == entry(elevation).survey.x_m.size
    assert elevation.view.description == (
        "Wall door wall from the room, 3.40 m wide and 2.60 m high, 4 things on it, 31 places read."
    )


def test_laid_edges_are_drawn_as_long_as_they_are():
    """One 2 m long from x 0.5 m, z 1.0 m at 45°: its end is 1.414 m further and as much higher."""
    job = coarse_demo()
    edge = mt.LaidEdge(0.5, 0.4, 2.0, 3.0, "rising", touches_m=(0.5,), gap_at_m=1.0)
    wall = job.wall("window wall")
    laid = replace(wall, survey=wall.survey.with_sweeps([edge]))
    shown = Elevation(Store(of_walls(job, (laid,), only=(), compare=mt.Compare())), unexpected)
    shown.show("window wall")
    drawn = thing(shown, "E1")
    assert drawn["to"] == pytest.approx((0.5 + 2**0.5, 0.4 + 2**0.5))
    assert drawn["dots"][0] == pytest.approx((0.5 + 0.5 / 2**0.5, 0.4 + 0.5 / 2**0.5))
    assert "straightedge of 2.00 m laid rising at 45°, worst gap 3 mm" in drawn["words"]


def test_a_door_put_elsewhere_is_one_edit_and_one_step_back(elevation):
    before = elevation.store.job
    ask(elevation, do="place", key=thing(elevation, "O1")["key"], place={"x_m": 2.0})
    assert entry(elevation).wall.openings[0].x_m == 2.0
    assert elevation.store.job == with_thing_at(before, WALL, "opening", 0, x_m=2.0)
    assert thing(elevation, "O1")["x"] == 2.0
    assert elevation.view.answered == ["page", 1]
    assert elevation.store.undo()
    assert elevation.store.job == before
    assert thing(elevation, "O1")["x"] == 2.3


def test_moves_by_keys_in_quick_succession_are_one_step_back(elevation):
    key = thing(elevation, "P1")["key"]
    before = elevation.store.job
    for x_m in (0.81, 0.82, 0.83):
        ask(elevation, do="place", key=key, place={"x_m": x_m})
    assert entry(elevation).fittings[0].x_m == 0.83
    elevation.store.undo()
    assert elevation.store.job == before


def test_what_cannot_be_is_refused_in_words_and_goes_back(elevation):
    before, shown = elevation.store.result, elevation.view.things
    ask(elevation, do="place", key=thing(elevation, "O1")["key"], place={"x_m": 3.0})
    assert elevation.store.result is before
    assert elevation.view.things == shown
    assert "an opening lies on its wall, 3.4 × 2.6 m" in elevation.view.told
    assert elevation.view.answered == ["page", 1]  # so that the page draws it where it was
    ask(elevation, do="place", key=thing(elevation, "O1")["key"], place={"x_m": 2.2})
    assert elevation.view.told == ""


def test_the_page_is_answered_even_where_something_fails(elevation):
    with pytest.raises(TypeError):  # a fitting has no width
        ask(elevation, do="place", key=thing(elevation, "P1")["key"], place={"width_m": 1.0})
    assert elevation.view.answered == ["page", 1]


def test_openings_over_one_another_and_over_readings_are_told(elevation):
    """The model counts what they share once, and keeps the readings."""
    elevation.add("window", (2.3, 1.5))
    assert "It lies over door: what they share counts once" in thing(elevation, "O2")["words"]
    inside = sum(
        1.7 < x < 2.9 and z > 0.8 and z < 2.2
        for x, z in zip(entry(elevation).survey.x_m, entry(elevation).survey.z_m, strict=True)
    )
    assert (
        f"{inside} readings lie in it: they count for the wall beside it" in thing(elevation, "O2")["words"]
    )


def test_boxes_of_what_is_chosen_write_the_same_edit(elevation):
    elevation.choose(thing(elevation, "O1")["key"])
    row = elevation.rows["opening"]
    assert [each.used for each in elevation.rows.values()].count(True) == 1
    row.boxes["width_m"].value = "80 cm"
    row.boxes["name"].value = "door to the hall"
    row.boxes["bottom"].value = True
    opening = entry(elevation).wall.openings[0]
    assert (opening.width_m, opening.name) == (0.8, "door to the hall")
    assert opening.reveal_sides == ("left", "right", "top", "bottom")
    row.boxes["x_m"].value = "3"
    assert "an opening lies on its wall" in elevation.view.told
    assert row.boxes["x_m"].value == 3.0  # what was typed stays, to be put right
    assert entry(elevation).wall.openings[0] == opening
    row.boxes["x_m"].value = "zwei"
    assert "a length stands here" in elevation.view.told
    row.boxes["x_m"].value = "2,1"
    assert (elevation.view.told, entry(elevation).wall.openings[0].x_m) == ("", 2.1)


def test_a_box_that_was_emptied_changes_nothing(elevation):
    elevation.choose(thing(elevation, "P1")["key"])
    before = elevation.store.job
    elevation.rows["fitting"].boxes["x_m"].value = ""
    assert elevation.store.job == before
    assert "counts when this is filled in" in elevation.rows["fitting"].hint.value


def test_what_is_taken_out_comes_back_by_undo(elevation):
    before = elevation.store.job
    elevation.choose(thing(elevation, "P1")["key"])
    elevation.rows["fitting"].out.click()
    assert [each.name for each in entry(elevation).fittings] == ["light switch in the hall"]
    assert elevation.view.chosen == ""
    elevation.store.undo()
    assert elevation.store.job == before


def test_a_new_fitting_is_chosen_and_lies_where_it_was_pressed(elevation):
    elevation.add("radiator", (1.234, 0.4))
    assert entry(elevation).fittings[-1] == Fitting("radiator", "radiator", 1.23, 0.4)
    assert elevation.view.chosen == thing(elevation, "P3")["key"]
    elevation.add("door")
    assert entry(elevation).wall.openings[-1] == mt.Opening(
        "door 2", 1.27, 0.0, 0.85, 2.05, reveal_mm=entry(elevation).wall.openings[0].reveal_mm
    )


def test_usual_sizes_are_the_users_own_or_marked(elevation):
    hints = {value: hint for value, _, hint in elevation.view.choices}
    assert hints["door"] == "0.85 × 2.05 m, as your last one."
    assert hints["fitted unit"] == "1.00 × 2.00 m, common practice, no source: measure yours."


def test_a_high_spot_waits_for_its_reading(elevation):
    before = elevation.store.job
    elevation.add("spot", (1.0, 1.5))
    assert elevation.store.job == before
    draft = thing(elevation, "H1")
    assert (draft["draft"], draft["x"], draft["z"]) == (True, 1.0, 1.5)
    assert "does not count yet: Reading, mm missing" in draft["words"]
    ask(elevation, do="place", key=draft["key"], place={"x_m": 1.1})
    elevation.drafts["spot"].boxes["mm"].value = "31"
    assert things_on(entry(elevation), "spot") == ((1.1, 1.5, -31.0),)
    assert "draft" not in thing(elevation, "H1")
    assert elevation.view.chosen == thing(elevation, "H1")["key"]


def test_what_is_filled_in_never_stands_there_twice(elevation):
    marks: list[list[str]] = []
    elevation.view.observe(lambda change: marks.append([each["mark"] for each in change["new"]]), "things")
    elevation.add("spot", (1.0, 1.5))
    elevation.drafts["spot"].boxes["mm"].value = "9999999"  # refused: it stays to be put right
    assert "draft" in thing(elevation, "H1")
    elevation.drafts["spot"].boxes["mm"].value = "31"
    assert marks
    assert all(len(set(each)) == len(each) for each in marks)


def test_a_fixed_place_waits_for_its_name_and_its_reading(elevation):
    elevation.show("window wall")  # where none is marked
    elevation.add("fixed", (1.0, 1.5))
    assert "does not count yet: What it is, Reading, mm missing" in thing(elevation, "F1")["words"]
    elevation.drafts["fixed"].boxes["name"].value = "socket box"
    elevation.drafts["fixed"].boxes["mm"].value = "212"
    place = mt.FixedPlace("socket box", 1.0, 1.5, -212.0)
    assert entry(elevation, "window wall").fixed_places == (place,)
    assert thing(elevation, "F1")["words"].startswith("F1, socket box, fixed place, 212 mm off the line")
    ask(elevation, do="place", key=thing(elevation, "F1")["key"], place={"x_m": 1.2})
    assert entry(elevation, "window wall").fixed_places == (replace(place, x_m=1.2),)


def test_what_was_begun_can_be_taken_out_again(elevation):
    before = elevation.view.things
    elevation.add("spot")
    ask(elevation, do="out", key=elevation.view.chosen)
    assert elevation.view.things == before
    assert not elevation.drafts["spot"].used


def test_a_loose_area_takes_over_the_depth_of_the_last_one(elevation):
    elevation.add("loose", (2.0, 1.0))
    depth_mm = entry(elevation).loose[0].depth_mm
    assert entry(elevation).loose[1] == mt.LooseArea(1.75, 0.75, 0.5, 0.5, depth_mm)
    elevation.show("window wall")  # the first there
    elevation.add("loose", (0.5, 0.5))
    assert entry(elevation, "window wall").loose == ()
    elevation.drafts["loose"].boxes["depth_mm"].value = "12"
    assert entry(elevation, "window wall").loose == (mt.LooseArea(0.25, 0.25, 0.5, 0.5, 12.0),)


def test_a_change_made_elsewhere_shows_and_keeps_what_is_chosen(elevation):
    key = thing(elevation, "P2")["key"]
    elevation.choose(key)
    elevation.store.apply(lambda job: without_thing(job, WALL, "fitting", 0))
    assert thing(elevation, "P1")["key"] == key == elevation.view.chosen
    ask(elevation, do="place", key=key, place={"z_m": 1.2})  # a hand that was moving it meanwhile
    assert [(each.name, each.z_m) for each in entry(elevation).fittings] == [
        ("light switch in the hall", 1.2)
    ]


def test_what_was_taken_out_elsewhere_is_not_moved(elevation):
    key = thing(elevation, "P1")["key"]
    elevation.store.apply(lambda job: without_thing(job, WALL, "fitting", 0))
    before = elevation.store.job
    ask(elevation, do="place", key=key, place={"x_m": 1.0})
    assert (elevation.store.job, elevation.view.told) == (before, GONE)


def test_a_price_edit_sends_the_page_nothing(elevation):
    sent: list[str] = []
    elevation.view.observe(lambda change: sent.append(change["name"]))
    elevation.store.apply(lambda job: with_margins(job, profit_share=0.2))
    assert sent == []


def test_numbers_follow_the_way_the_job_writes_them(elevation):
    elevation.choose(thing(elevation, "O1")["key"])
    elevation.store.apply(lambda job: replace(job, decimal_comma=True))
    assert elevation.view.point == ","
    assert "2,30 m from the left end" in thing(elevation, "O1")["words"]
    assert elevation.rows["opening"].boxes["x_m"].formats == Formats("", "EUR", 2, True)


def test_marks_from_outside_have_letters_and_words(elevation):
    elevation.mark([(1.0, 2.0, "would narrow the litres by 12 %"), (0.5, 0.5, "by 3 %")])
    assert elevation.view.marks == [
        [1.0, 2.0, "M1", "would narrow the litres by 12 %"], [0.5, 0.5, "M2", "by 3 %"]
    ]  # fmt: skip
    elevation.mark([])
    assert elevation.view.marks == []


def test_no_wall_is_no_trouble(elevation):
    elevation.show(None)
    assert (elevation.view.wall, elevation.view.things, elevation.view.description) == ({}, [], NO_WALL)
    elevation.show("a wall that is gone")
    assert elevation.view.description == NO_WALL
    elevation.show(WALL)
    assert thing(elevation, "O1")["x"] == 2.3


def test_a_scan_is_not_drawn_point_by_point():
    job = coarse_demo()
    wall = job.walls[0]
    scan = replace(wall, survey=replace(wall.survey, layout="scan"))
    shown = Elevation(Store(replace(job, walls=(scan, *job.walls[1:]))), unexpected)
    shown.show(wall.name)
    assert shown.view.readings == []
    assert shown.view.description.endswith("a scan read.")


def test_keys_stay_with_things_that_others_come_before():
    one, two, three = (0.0, 0.0, 1.0), (1.0, 0.0, 1.0), (2.0, 0.0, 1.0)
    keys = Keys()
    first = keys.follow("spot", [one, two, three])
    assert keys.follow("spot", [two, three]) == first[1:]
    moved = keys.follow("spot", [(1.0, 0.5, 1.0), three, one])
    assert moved[:2] == first[1:]
    assert moved[2] not in first
    assert keys.find(moved[2]) == ("spot", 2)
    assert keys.find(first[0]) is None


def test_of_two_things_alike_the_one_that_moves_is_known():
    keys, alike = Keys(), (1.0, 0.0, 1.0)
    first = keys.follow("spot", [alike, alike])
    assert keys.follow("spot", [(1.0, 0.1, 1.0), alike]) == first


def test_a_wall_that_is_not_read_yet_takes_things_all_the_same():
    job = coarse_demo()
    wall = job.wall(WALL)
    unread = replace(wall, survey=mt.Survey.none(wall.wall), loose=(), corner=None)
    walls = tuple(unread if each is wall else each for each in job.walls)
    shown = Elevation(Store(replace(job, walls=walls)), unexpected)
    shown.show(WALL)
    assert shown.view.description.endswith("3 things on it, not read yet.")
    ask(shown, do="place", key=thing(shown, "O1")["key"], place={"x_m": 2.0})
    shown.add("socket", (1.0, 0.4))
    shown.add("loose", (1.0, 1.5))
    shown.drafts["loose"].boxes["depth_mm"].value = "15"
    assert shown.view.told == ""
    after = shown.store.job.wall(WALL)
    assert (after.wall.openings[0].x_m, after.fittings[-1].x_m, after.loose[0].depth_mm) == (2.0, 1.0, 15.0)
    assert not after.survey.is_enough
