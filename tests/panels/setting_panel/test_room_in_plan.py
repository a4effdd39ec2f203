"""The room in plan on the setting-out panel and on its sheets, for a room that the job brings square."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from csv_back import read_back
from demo import demo_in
from invented_rooms import corner_of, invented, job_of, read_off_one_set_up

import mytakeoff as mt
from mytakeoff.charts.drawing.canvas import svg_text
from mytakeoff.charts.settingout import sheet
from mytakeoff.panels import SettingPanel, setting_out
from mytakeoff.settingout.set_out import set_out

DAY = date(2027, 3, 1)
DOOR = mt.Opening("door", 1.0, 0.0, 0.9, 2.0)


def job_in(folder: Path, squared: bool = True, feet: bool = False) -> mt.Job:
    """Four walls, a door in the first; `squared`: each is turned as its room's planes are."""
    walls = read_off_one_set_up(invented(seed=2))
    around = [corner_of(walls, nth, one_set_up=True) for nth in range(4)]
    width = mt.ClearWidth("wardrobe", "wall 0", "wall 2", 2900.0, 2.5)
    surveys = [wall.survey() for wall in walls]
    surveys[0] = replace(surveys[0], wall=replace(surveys[0].wall, openings=(DOOR,)))
    job = job_of(walls, mt.Room("front", corners=around, clear_widths=[width]), surveys)
    job = replace(job, folder=demo_in(folder).folder, feet_and_inches=feet)
    if not squared:
        return job
    planes = mt.room_planes(job, "front").walls
    entries = tuple(replace(each, turn_mm_per_m=planes[each.name].b_mm_per_m) for each in job.walls)
    return replace(job, plane=replace(job.plane, kind="square", cut_mm=0.0), walls=entries)


@pytest.fixture
def panel(folder: Path) -> SettingPanel:
    return setting_out(job_in(folder), DAY)


def test_the_plan_is_drawn_when_its_fold_is_opened(panel: SettingPanel) -> None:
    fold = panel.rooms.plan
    assert fold.html.value == ""
    fold.widget.enter()
    (room,) = panel.setting.rooms
    assert room.squared
    assert fold.html.value.count("<svg") == 2  # wide and narrow
    assert "brought square" in fold.html.value
    for line in room.lines[0].lines:
        for place in line.places:
            assert f"{place.from_face_mm:.0f} mm at {place.x_m:.3f} m" in fold.html.value
    panel.rooms.packed.widget.enter()
    assert "left edge" in panel.rooms.packed.html.value
    before = fold.html.value
    panel.numbers["depth_mm"].box.value = 12.0  # thicker over the rails: the lines follow
    assert fold.html.value != before


def test_a_room_that_is_not_brought_square_has_no_lines(folder: Path) -> None:
    panel = setting_out(job_in(folder, squared=False), DAY)
    panel.rooms.plan.widget.enter()
    assert "as it would stand if it were brought square" in panel.rooms.plan.html.value
    assert "Line before" not in panel.rooms.plan.html.value
    subjects = [svg_text(page) for page in sheet.make_pages(panel.setting)]
    assert not any("Square lines on the floor" in page for page in subjects)


def test_sheet_and_tables_say_the_same(panel: SettingPanel, tmp_path: Path) -> None:
    written = {path.name: path for path in panel.write(tmp_path)}
    lines, packed = read_back(written["square-lines.csv"]), read_back(written["packed-out.csv"])
    (page,) = [each for each in map(svg_text, sheet.make_pages(panel.setting)) if "Square lines on" in each]
    drawn = re.findall(r"<text[^>]*>([^<]*)</text>", page)
    measured = lines[lines.what == "from the rough face"]
    assert sorted(drawn.count(f"{mm} mm") for mm in set(measured.mm))[0] >= 1
    assert {f"x {float(x):.3f} m" for x in measured.x_m} <= set(drawn)
    beside = written["setting-out.txt"].read_text("utf-8-sig")
    assert all(
        f"{mm} mm at {float(x):.3f} m" in beside for mm, x in zip(measured.mm, measured.x_m, strict=True)
    )
    assert set(packed.edge) == {"left edge", "right edge", "head"}
    wall = set_out(panel.store.result).wall("wall 0").wall
    assert np.nanmin(wall.build_up.thickness_mm) - 1 <= float(packed.most_mm.astype(float).min())
    assert not measured.x_m.astype(float).between(1.0, 1.9).where(measured.line_before == "wall 0").any()


def test_feet_and_inches(folder: Path) -> None:
    setting = set_out(mt.evaluate(job_in(folder, feet=True)))
    (page,) = [each for each in map(svg_text, sheet.make_pages(setting)) if "Square lines on" in each]
    assert "Each line runs 12&quot;" in page or 'Each line runs 12"' in page or "runs 1'" in page
    assert not re.search(r"\d mm\b", page)
