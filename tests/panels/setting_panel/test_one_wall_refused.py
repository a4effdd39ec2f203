"""One wall that cannot be set out is refused by name; the others are set out, on screen and paper."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from csv_back import read_back
from demo import demo_in

import mytakeoff as mt
from mytakeoff.charts.settingout import sheet
from mytakeoff.panels import SettingPanel, setting_out

DEEP, SHALLOW = "party wall", "breast left cheek"
SCREWS_MM = (60.0,)  # the deepest fixing of the one needs more, every fixing of the other less


@pytest.fixture
def job(folder: Path) -> mt.Job:
    job = replace(demo_in(folder), only=(DEEP, SHALLOW))
    return replace(job, rails=replace(job.rails, screws_mm=SCREWS_MM))


def words(pages) -> str:
    return " ".join(text.get_text().replace("\n", " ") for page in pages for text in page.texts)


def test_the_others_are_set_out_as_they_would_be_alone(job):
    setting = mt.set_out(mt.evaluate(job))
    (refused,) = setting.refused
    assert refused.name == DEEP
    assert "need up to" in refused.refused[0].found
    assert refused.fixings == refused.rails == ()
    alone = mt.set_out(mt.evaluate(replace(job, only=(SHALLOW,))))
    assert setting.wall(SHALLOW).fixings == alone.wall(SHALLOW).fixings
    assert setting.cuts.cut_m == alone.cuts.cut_m
    assert setting.screws == alone.screws
    assert set(setting.to_frame().wall) == {SHALLOW}


def test_the_paper_says_which_wall_is_missing_and_why(job):
    said = words(sheet.make_pages(mt.set_out(mt.evaluate(job))))
    assert f"{DEEP}: NOT SET OUT, and in none of the lists: rail" in said
    assert "the longest at hand is 60 mm" in said
    assert f"Setting out: {SHALLOW}" in said
    assert f"Setting out: {DEEP}" not in said


def test_all_refused_is_an_error_that_names_each(job):
    none = replace(job, rails=replace(job.rails, screws_mm=(30.0,)))
    with pytest.raises(mt.TakeoffError) as caught:
        mt.set_out(mt.evaluate(none))
    places = " ".join(mistake.place for mistake in caught.value.mistakes)
    assert DEEP in places
    assert SHALLOW in places


def test_a_rail_longer_than_the_stock_leaves_the_other_walls(job):
    entry = job.wall(SHALLOW)
    low = replace(entry.wall, cornice_m=0.6)  # rails end under it, 2 m and less
    entry = replace(entry, wall=low, survey=replace(entry.survey, wall=low))
    walls = tuple(entry if wall.name == SHALLOW else wall for wall in job.walls)
    rails = replace(job.rails, screws_mm=(40.0, 60.0, 80.0, 100.0), stock_m=2.2)
    setting = mt.set_out(mt.evaluate(replace(job, walls=walls, rails=rails)))
    assert [wall.name for wall in setting.refused] == [DEEP]
    assert all("from stock of 2200 mm" in mistake.found for mistake in setting.refused[0].refused)
    assert {piece.name.split(",")[0] for stock in setting.cuts.stocks for piece in stock.pieces} == {SHALLOW}


@pytest.fixture
def panel(job) -> SettingPanel:
    return setting_out(job)


def test_the_panel_names_the_wall_the_control_and_shows_the_others(panel):
    assert f"not set out: {DEEP}" in panel.headline.value
    assert f"not set out: {DEEP}" in panel.problem.value
    assert "Not taken" not in panel.problem.value
    panel.wall.value = SHALLOW
    assert panel.picture.value.count("<svg") == 1
    assert panel.table.value.count("<th scope='row'>") > 4
    panel.wall.value = DEEP
    assert "NOT SET OUT" in panel.table.value
    panel.numbers["screw_mm"].box.value = 100.0
    assert panel.problem.value == ""
    assert "not set out" not in panel.headline.value


def test_what_is_written_leaves_the_wall_out_and_says_so(panel, tmp_path):
    written = panel.write(tmp_path)
    assert set(read_back(written[1]).wall) == {SHALLOW}
    assert f"{DEEP}: NOT SET OUT" in written[2].read_text("utf-8-sig")
    assert f"not set out: {DEEP}" in panel.said.value


def test_where_no_wall_can_be_set_out_the_button_says_that_nothing_was_written(job, tmp_path):
    panel = setting_out(replace(job, rails=replace(job.rails, screws_mm=(30.0,))))
    assert "Nothing set out yet" in panel.headline.value
    assert "from before" not in panel.status.value
    panel.buttons["write"].click()
    assert "Nothing was written" in panel.said.value
    assert "put this right first" in panel.problem.value
    assert not list(tmp_path.glob("setting-out*"))


@pytest.mark.parametrize(
    ("change", "control"),
    [({"screws_mm": (30.0,)}, "screw_mm"), ({"laser_mm": 5.0}, "laser_mm"), ({"stock_m": 2.0}, "stock_m")],
)
def test_the_remedy_names_the_control_as_the_panel_does(job, change, control):
    panel = setting_out(replace(job, rails=replace(job.rails, **change)))
    label = panel.numbers[control].spec.label.partition(",")[0]
    assert f"&#x27;{label}&#x27;" in panel.problem.value
