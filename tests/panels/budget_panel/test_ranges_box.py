"""How sure the figures are, on the budget panel: words, marks, an added reading, and what waits for what."""

from __future__ import annotations

import asyncio
import re
import shutil
from dataclasses import replace
from decimal import Decimal

import pytest
from csv_back import read_back

import mytakeoff as mt
from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.catalogue import LIGHT_GYPSUM, UNITS
from mytakeoff.job.choices import Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import System
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.panels import budget
from mytakeoff.panels.budget_panel import ranges_box
from mytakeoff.panels.parts import range_words
from mytakeoff.ranges.job_ranges import Band
from mytakeoff.resources import demo_folder


def small_job() -> Job:
    wall = mt.Wall("A", 2.0, 2.0)
    x = [0.1, 1.0, 1.9] * 3
    z = [0.1] * 3 + [1.0] * 3 + [1.9] * 3
    survey = mt.Survey.from_readings(wall, x, z, [0, 3, 1, 4, 9, 2, 5, 3, 6])
    other = mt.Wall("B", 1.0, 2.0)
    plain = mt.Survey.from_readings(other, [0, 1, 0, 1], [0, 0, 2, 2], [0, 1, 2, 4])
    walls = JobWall(wall, "room", survey, "brick"), JobWall(other, "room", plain, "brick")
    items = [(LIGHT_GYPSUM.name, "bag"), *UNITS.items()]
    prices = PriceList(tuple(Price(name, unit, Decimal(10)) for name, unit in items))
    return Job("small", (Room("room", 12.0),), walls, System(LIGHT_GYPSUM), prices)


@pytest.fixture
def panel():
    return budget(small_job())


def test_nothing_is_worked_out_until_the_hand_rests(panel):
    assert panel.sure.line.value == ""
    panel.sure.work_out()
    assert "likely" in panel.sure.line.value


def test_the_line_says_what_is_in_the_price_what_is_likely_and_what_to_order(panel):
    panel.sure.work_out()
    said, sure = panel.sure.line.value, panel.sure.sure
    result = panel.store.result
    between = f"{result.volume_l:.0f} measured, {result.allowance_l:.0f} for what lies between the readings"
    assert f"In the price {result.litres:.0f} l ({between})" in said
    assert f"likely {sure.litres.low:.0f} to {sure.litres.high:.0f} l (8 in 10)" in said
    count = sure.mixes[0].order.bags
    assert "enough in 80 of 100 such jobs" in said
    assert re.search(rf"That is {count} bags? of light gypsum backing", said)
    assert count == result.bags


def test_what_is_shown_from_before_says_so_and_is_replaced(panel):
    panel.sure.work_out()
    before = panel.sure.line.value
    panel.controls["least_mm"].value = 14.0
    assert "(before the change)" in panel.sure.line.value
    panel.sure.work_out()
    assert panel.sure.line.value != before
    assert "(before the change)" not in panel.sure.line.value


def test_places_are_listed_and_marked_on_the_map_by_the_same_numbers(panel):
    panel.sure.work_out()
    spots = [mark[0] for mark in panel.wall_view.map.touches]
    panel.controls["show_next"].value = True
    marks = [mark for mark in panel.wall_view.map.touches if mark[0] not in spots]
    found = panel.sure.sure.wall("A").readings
    assert marks == [[f"M{n}", place.x_m, place.z_m] for n, place in enumerate(found, start=1)]
    for number, x_m, z_m in marks:
        assert f"<th scope='row'>{number}</th><td>{x_m:.2f}</td><td>{z_m:.2f}</td>" in panel.sure.table.value
    panel.controls["show_next"].value = False
    assert [mark[0] for mark in panel.wall_view.map.touches] == spots


def test_another_wall_shows_its_own_places(panel):
    panel.sure.work_out()
    panel.controls["show_next"].value = True
    panel.controls["wall"].value = "B"
    found = panel.sure.sure.wall("B").readings
    marks = [mark for mark in panel.wall_view.map.touches if mark[0].startswith("M")]
    assert marks == [[f"M{n}", place.x_m, place.z_m] for n, place in enumerate(found, start=1)]


def test_a_reading_is_added_at_a_place_and_can_be_taken_back(panel):
    panel.sure.work_out()
    panel.controls["next_place"].value = 1
    place = panel.sure.sure.wall("A").readings[0]
    assert (panel.controls["next_x_m"].value, panel.controls["next_z_m"].value) == (place.x_m, place.z_m)
    panel.controls["next_off_line_mm"].value = -30.0
    litres = panel.store.result.volume_l
    panel.sure.add()
    survey = panel.store.job.wall("A").survey
    assert (survey.x_m[-1], survey.z_m[-1], survey.proud_mm[-1]) == (place.x_m, place.z_m, 30.0)
    assert panel.store.result.volume_l > litres + 40  # the face, and less open between readings
    panel.undo()
    assert panel.store.job.wall("A").survey.x_m.size == 9


def test_what_is_likely_stands_beside_the_box_and_is_never_taken_for_a_reading(panel):
    panel.sure.work_out()
    panel.controls["next_place"].value = 1
    place = panel.sure.sure.wall("A").readings[0]
    off = panel.controls["next_off_line_mm"]
    assert off.value == ""
    assert off.placeholder == f"likely {-place.guess_mm:.0f} ± {place.sd_mm:.1f}"
    panel.sure.buttons["add"].click()
    assert "a reading is read off the wall" in panel.problem.value
    assert panel.store.job.wall("A").survey.x_m.size == 9
    panel.controls["next_place"].value = 0
    assert off.placeholder == ""


def test_a_reading_is_typed_with_either_mark_and_its_box_is_empty_for_the_next(panel):
    for name, typed in (("next_x_m", "0,5"), ("next_z_m", "25 cm"), ("next_off_line_mm", "34,5")):
        panel.controls[name].value = typed
    panel.sure.add()
    survey = panel.store.job.wall("A").survey
    assert (survey.x_m[-1], survey.z_m[-1], survey.proud_mm[-1]) == (0.5, 0.25, -34.5)
    assert [box.value for box in panel.sure.boxes] == ["", "", ""]
    panel.sure.add()  # a second click adds no second reading
    assert panel.store.job.wall("A").survey.x_m.size == 10
    assert "nothing typed" in panel.problem.value


def test_what_may_be_read_in_two_ways_is_asked_and_adds_nothing(panel):
    for name, typed in (("next_x_m", "0.5"), ("next_z_m", "1"), ("next_off_line_mm", "1,200")):
        panel.controls[name].value = typed
    panel.sure.buttons["add"].click()
    assert panel.store.job.wall("A").survey.x_m.size == 9
    assert "1.2 or 1200" in panel.problem.value
    assert panel.sure.off.value == "1,200"
    assert "mt-refused" in panel.sure.off._dom_classes
    assert "mt-refused" not in panel.sure.x._dom_classes
    panel.sure.off.value = "1.2"
    panel.sure.buttons["add"].click()
    assert panel.store.job.wall("A").survey.proud_mm[-1] == -1.2
    assert panel.problem.value == ""


def test_what_is_typed_of_a_place_outlives_new_ranges_but_not_another_wall(panel):
    panel.sure.work_out()
    panel.controls["next_place"].value, panel.sure.off.value = 1, "12"
    at = panel.sure.x.value, panel.sure.z.value
    panel.controls["waste_share"].value = 0.2  # moves no plaster: the places are the same
    panel.sure.work_out()
    assert (panel.sure.x.value, panel.sure.z.value, panel.sure.off.value) == (*at, 12.0)
    assert panel.controls["next_place"].value == 1
    panel.sure.x.value = 0.33
    assert panel.controls["next_place"].value == 0
    assert panel.sure.off.placeholder == ""
    panel.controls["wall"].value = "B"
    assert [box.value for box in panel.sure.boxes] == ["", "", ""]


def test_a_reading_off_the_wall_is_told_and_nothing_changes(panel):
    panel.sure.work_out()
    panel.sure.x.value, panel.sure.z.value, panel.controls["next_off_line_mm"].value = 9.0, 0.0, "12"
    panel.sure.add()
    assert [box.value for box in panel.sure.boxes] == [9.0, 0.0, 12.0]
    assert all("mt-refused" in box._dom_classes for box in panel.sure.boxes)
    assert "readings lie on the wall" in panel.problem.value
    assert panel.store.job.wall("A").survey.x_m.size == 9


def test_an_added_reading_is_saved_in_a_survey_file_of_its_own(tmp_path):
    mt.save_job(small_job(), tmp_path)
    panel = budget(mt.open_job(tmp_path))
    panel.sure.work_out()
    panel.controls["next_place"].value, panel.controls["next_off_line_mm"].value = 1, "12"
    panel.sure.add()
    panel.save()
    again = mt.open_job(tmp_path)
    assert again.wall("A").survey.x_m.size == 10
    assert again.wall("A").survey.proud_mm.tolist() == panel.store.job.wall("A").survey.proud_mm.tolist()
    shutil.rmtree(tmp_path)


def test_the_confidence_and_the_price_at_it_are_the_jobs_and_are_saved(tmp_path):
    mt.save_job(small_job(), tmp_path)
    panel = budget(mt.open_job(tmp_path))
    panel.controls["confidence_share"].value = 0.97
    assert panel.sure.missed.widget.layout.display == "none"
    panel.controls["price_at_confidence"].value = False
    panel.controls["missed_high_spot_mm"].value = 3.0
    assert [wall.allowance_mm for wall in panel.store.result.walls] == pytest.approx([3.0, 3.0])
    assert panel.sure.confidence.widget.layout.display == "none"
    panel.save()
    again = mt.open_job(tmp_path)
    assert (again.sureness.confidence_share, again.missed_high_spot_mm) == (0.97, 3.0)
    panel.controls["price_at_confidence"].value = True
    assert panel.store.job.missed_high_spot_mm is None


def test_where_a_loop_runs_the_ranges_follow_by_themselves_and_a_change_drops_them(monkeypatch):
    monkeypatch.setattr(ranges_box, "REST_S", 0.01)

    async def shown() -> tuple[str, str]:
        panel = budget(small_job())
        at_first = panel.sure.line.value
        panel.controls["least_mm"].value = 12.0
        for _ in range(600):
            await asyncio.sleep(0.05)
            if "likely" in panel.sure.line.value and "before the change" not in panel.sure.line.value:
                break
        assert panel.sure.sure.result is panel.store.result
        return at_first, panel.sure.line.value

    first, later = asyncio.run(shown())
    assert "is being worked out: so far" in first  # and the price says what stands for it
    assert "likely" in later


def test_words_for_ranges_and_chances():
    assert range_words.band(Band(8.0, 8.0, 8.2), "bags") == "8 bags"
    assert range_words.chance(0.001) == "under 1 in 100"
    assert range_words.chance(0.999) == "over 99 in 100"
    assert range_words.shares((("a", 0.997), ("b", 0.003))) == "a 100 %"


def test_names_of_the_user_are_shown_as_they_are_and_not_run():
    job = small_job()
    named = replace(job.walls[0], wall=replace(job.walls[0].wall, name="<b>A</b>"))
    survey = replace(named.survey, wall=named.wall)
    panel = budget(replace(job, walls=(replace(named, survey=survey), job.walls[1])))
    panel.sure.work_out()
    for shown in (panel.sure.line, panel.sure.table, panel.sure.text):
        assert "<b>" not in shown.value


def test_the_ranges_go_beside_the_exported_table_and_into_its_text(panel, tmp_path):
    table = panel.export_csv(tmp_path / "flat.csv")
    sure = panel.sure.sure
    frame = read_back(tmp_path / "flat-range.csv")
    by_figure = frame.set_index("figure")
    litres = by_figure.loc["plaster, all walls"]
    assert float(litres["low_10"]) == pytest.approx(sure.litres.low, abs=0.05)
    assert float(litres["high_90"]) == pytest.approx(sure.litres.high, abs=0.05)
    assert by_figure.loc["price with tax", "middle_50"] == sure.total_money[1]
    assert by_figure.loc["light gypsum backing, to order", "low_10"] == sure.mixes[0].order.bags
    assert sum(figure.startswith("measure next on A") for figure in frame["figure"]) == len(
        sure.wall("A").readings
    )
    text = table.with_suffix(".txt").read_text(encoding="utf-8-sig")
    assert f"{sure.litres.low:.0f} to {sure.litres.high:.0f} l of plaster" in text


def test_high_spots_that_nobody_read_are_the_users_own_on_each_wall():
    panel = budget(mt.open_job(demo_folder()))
    before, first = panel.store.result.cost.total, panel.store.job.walls[0]
    panel.controls["nibs_per_m2"].value = 0.0
    assert panel.store.job.walls[0].nibs_per_m2 == 0.0
    assert panel.store.job.walls[1].nibs_per_m2 is None
    panel.wall.value = panel.store.job.walls[1].name
    usual = likely_on(panel.store.job.walls[1].background)
    assert panel.controls["nibs_per_m2"].value == usual.nibs_per_m2
    assert panel.controls["nib_mm"].value == usual.nib_mm
    assert likely_on(first.background).nibs_per_m2 > 0
    assert panel.store.result.cost.total <= before


def test_a_number_that_stands_there_already_is_not_taken_for_the_users_own():
    panel = budget(mt.open_job(demo_folder()))
    wall = panel.store.job.walls[0]
    for name in ("nibs_per_m2", "nib_mm"):  # a browser may send back what it was told
        usual = getattr(likely_on(wall.background), name)
        bound = next(each for each in panel.sure.unread.numbers if each.name == name)
        bound.take(usual)
        assert round(usual / bound.spec.step, 6).is_integer()  # else the box shows another figure
    assert panel.store.job.walls[0] == wall
