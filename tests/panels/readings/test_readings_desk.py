"""Readings typed on a wall: job, sheet and file say the same after each, whatever happens between."""

from __future__ import annotations

import asyncio
import csv
import tomllib
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from reading_desks import SavedDesk, desk_over, held, type_column, unread

import mytakeoff as mt
from mytakeoff.errors import Mistake
from mytakeoff.io.files.text import file_stem
from mytakeoff.io.job.save_job import save_job
from mytakeoff.job.edits import with_plane, with_wall_name
from mytakeoff.panels.readings import sheets
from mytakeoff.panels.readings.desk import REST_S, ReadingsDesk, key_of
from mytakeoff.panels.readings.sheets import with_survey
from mytakeoff.store import Store

WALL, LIST = "party wall", "window wall"


def test_what_is_typed_is_in_the_job_its_sheet_and_its_file_at_once(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    grid = desk.grid
    assert desk.type(grid.x_m[0], grid.z_m[0], "12,5")
    assert desk.wall.proud_mm.tolist() == [-12.5]
    sheet = folder / desk.wall.source
    assert sheet.parent.name == "surveys"
    assert sheet.read_text().splitlines()[1].split(",")[:2] == [f"{grid.z_m[0]:g}", "12.5"]
    there = mt.open_job(folder)
    assert there.wall(WALL).survey == desk.wall
    assert there.wall(WALL).survey.source == desk.wall.source
    assert not desk.errors


def test_the_sheet_is_one_that_read_survey_reads(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    type_column(desk, 0)
    type_column(desk, 1, 30.0)
    read = mt.read_survey(folder / desk.wall.source, desk.wall.wall)
    assert read.readings_digest == desk.wall.readings_digest
    assert read.x_m.size == 12


def test_a_dash_is_kept_as_one_and_an_empty_place_is_not_read_yet(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    type_column(desk, 0)
    grid = desk.grid
    assert desk.type(grid.x_m[0], grid.z_m[1], " - ")
    assert desk.type(grid.x_m[0], grid.z_m[2], "")
    assert desk.grid.value((1, 0)) == "-"
    assert desk.grid.value((2, 0)) is None
    assert desk.wall.x_m.size == 4
    assert desk.keys.reads[key_of(grid.x_m[0], grid.z_m[1])] == "–"
    assert desk.keys.said.startswith("4 of 54 places are read, 1 could not be")


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("3735", "a wall lies within 500 mm of the line"),
        ("12 x", "a length stands here"),
        ("nan", "a length stands here"),
        ("2 m", "a wall lies within 500 mm of the line"),
    ],
)
def test_a_number_that_cannot_be_is_refused_at_its_place_with_words(
    folder: Path, text: str, rule: str
) -> None:
    desk = desk_over(folder, WALL)
    before = (folder / desk.wall.source).read_bytes(), desk.store.job
    at = desk.grid.place((0, 0))
    assert not desk.type(*at, text)
    typed, words = desk.keys.refused[key_of(*at)]
    assert typed == text
    assert rule in words
    assert (folder / desk.wall.source).read_bytes() == before[0]
    assert desk.store.job is before[1]
    assert desk.type(*at, "17")
    assert desk.keys.refused == {}


def test_a_grid_that_was_written_by_hand_opens_and_keeps_all_but_the_cell(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    sheet = folder / desk.wall.source
    lines = sheet.read_text().splitlines()
    job_file = (folder / "job.toml").read_bytes()
    at = desk.grid.place((1, 2))
    assert desk.type(*at, "41.5")
    changed = [n for n, line in enumerate(sheet.read_text().splitlines()) if line != lines[n]]
    assert len(changed) == 1
    assert (folder / "job.toml").read_bytes() == job_file
    assert mt.open_job(folder).wall(WALL).survey == desk.wall


def test_a_list_is_laid_out_as_a_grid_and_takes_more_at_its_end(folder: Path) -> None:
    desk = desk_over(folder, LIST)
    sheet = folder / desk.wall.source
    lines = sheet.read_text().splitlines()
    assert len(desk.keys.reads) == desk.wall.x_m.size
    assert len(desk.keys.shape["columns"]) * len(desk.keys.shape["rows"]) < 2 * desk.wall.x_m.size
    assert desk.type(0.333, 1.111, "14")
    assert sheet.read_text().splitlines()[: len(lines)] == lines
    assert len(sheet.read_text().splitlines()) == len(lines) + 1
    assert mt.open_job(folder).wall(LIST).survey == desk.wall


def test_undo_takes_the_reading_out_of_its_sheet_too_also_from_another_wall(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    sheet, at = folder / desk.wall.source, desk.grid.place((0, 0))
    before, there = sheet.read_bytes(), sorted(sheet.parent.iterdir())
    was = desk.wall
    assert desk.type(*at, "3")
    desk.show(LIST)
    assert desk.store.undo()
    desk.save()
    assert desk.store.job.wall(WALL).survey == was
    assert sheet.read_bytes() == before
    assert sorted(sheet.parent.iterdir()) == there
    assert mt.open_job(folder).wall(WALL).survey == was


def test_undo_of_the_first_reading_leaves_an_empty_sheet_that_is_used_again(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    at = desk.grid.place((0, 0))
    assert desk.type(*at, "3")
    name = desk.wall.source
    assert desk.store.undo()
    desk.save()
    assert desk.wall.x_m.size == 0
    assert "3," not in (folder / name).read_text().splitlines()[1][3:]
    assert desk.type(*at, "4")
    assert desk.wall.source == name
    assert mt.open_job(folder).wall(WALL).survey == desk.wall


def test_a_wall_that_has_the_readings_of_another_gets_its_own_sheet_once_it_is_typed_into(
    folder: Path,
) -> None:
    left, right = "breast left cheek", "breast right cheek"
    opened = mt.open_job(folder)
    readings = replace(opened.wall(left).survey, wall=opened.wall(right).wall)
    desk = SavedDesk(held(with_survey(opened, right, readings)))
    desk.saved = opened
    desk.show(right)
    mine = folder / readings.source
    shared = mine.read_bytes()
    assert "stays as it is" in desk.keys.said
    assert desk.type(*desk.grid.place((0, 0)), "77")
    assert mine.read_bytes() == shared
    there = mt.open_job(folder)
    assert there.wall(right).survey.source not in (readings.source, opened.wall(right).survey.source)
    assert there.wall(right).survey == desk.wall
    assert sorted(desk.wall.proud_mm.tolist())[0] == -77.0
    assert (
        len({*desk.wall.proud_mm.tolist()} & {*readings.proud_mm.tolist()})
        >= len({*readings.proud_mm.tolist()}) - 1
    )
    assert there.wall(left).survey == opened.wall(left).survey
    assert there.wall(left).survey.source == readings.source


def test_two_walls_whose_names_make_one_file_name_have_a_sheet_each(folder: Path) -> None:
    job = unread(unread(mt.open_job(folder), WALL), LIST)
    names = {WALL: "kitchen: north", LIST: "kitchen/ north"}
    assert len({file_stem(name) for name in names.values()}) == 1
    for old, new in names.items():
        job = with_wall_name(job, old, new)
    job = save_job(job, folder, mt.open_job(folder)).job
    desk = SavedDesk(job)
    for n, name in enumerate(names.values()):
        desk.show(name)
        assert desk.type(*desk.grid.place((0, 0)), str(5 + n)), desk.keys.refused
    sources = {name: mt.open_job(folder).wall(name).survey.source for name in names.values()}
    assert len(set(sources.values())) == 2


def test_columns_of_one_s_own_are_kept_before_anything_is_read(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    desk.own.x.value, desk.own.z.value = "1,25", "2"
    desk.own.add(across=True)
    desk.own.z.value = "2"
    desk.own.add(across=False)
    assert 1.25 in desk.grid.x_m
    assert 2.0 in desk.grid.z_m
    again = SavedDesk(mt.open_job(folder))
    again.show(WALL)
    assert again.grid.x_m == desk.grid.x_m


def test_a_column_moved_takes_its_readings_along_and_one_with_readings_is_not_taken_out(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    was, x_m = desk.wall, desk.grid.x_m[1]
    desk.own.which.value = ("x", 1)
    with pytest.raises(mt.TakeoffError, match="of its places are read"):
        desk.own.drop()
    desk.own.x.value = f"{x_m + 0.07:.3f}"
    desk.own.move()
    assert desk.wall.x_m.size == was.x_m.size
    assert sorted(desk.wall.proud_mm) == sorted(was.proud_mm)
    assert round(x_m + 0.07, 3) in desk.wall.x_m.round(3)
    assert mt.open_job(folder).wall(WALL).survey == desk.wall


def test_a_reading_typed_into_a_sheet_that_was_edited_meanwhile_keeps_both(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    sheet = folder / desk.wall.source
    grid = desk.grid
    rows = sheet.read_text().splitlines()
    cells = rows[1].split(",")
    cells[1] = "99"
    sheet.write_text("\n".join([rows[0], ",".join(cells), *rows[2:]]) + "\n")
    assert desk.type(*grid.place((2, 2)), "33")
    assert desk.grid.value((0, 0)) == 99.0
    assert desk.grid.value((2, 2)) == 33.0


def test_the_next_place_is_marked_in_the_grid_and_on_the_map_with_what_it_narrows(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    for column, start in ((0, 10.0), (4, 35.0), (8, 14.0)):
        type_column(desk, column, start)
    desk.work_out()
    assert desk.worth is not None
    assert "l through its readings, likely" in desk.litres.value
    assert "leans" in desk.stands.value or "plumb" in desk.stands.value
    if desk.worth.is_enough:
        assert desk.keys.marks == {}
        assert "Stop reading" in desk.next.value
    else:
        assert set(desk.keys.marks) <= set(desk.keys.shape["order"])
        assert any(mark[0] == "M1" for mark in desk.view.map.touches)


def test_a_place_that_is_not_in_the_grid_is_added_to_be_read_next(folder: Path) -> None:
    desk = desk_over(folder, "breast front")
    was = desk.wall
    desk.work_out()
    assert desk.worth is not None
    at = desk.worth.places[0].reading
    assert desk.grid.at(at.x_m, at.z_m) is None  # every place of the grid is read
    desk.go_next()
    assert desk.grid.at(at.x_m, at.z_m) is not None
    assert desk.keys.go[0] in desk.keys.shape["order"]
    assert desk.wall == was
    desk.go_next()
    assert desk.keys.go[1] == 2


def test_the_range_waits_for_what_the_panel_works_out_for_the_price(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[str] = []
    monkeypatch.setattr(ReadingsDesk, "begin", lambda _: begun.append("range"))

    async def typed() -> None:
        desk = desk_over(folder, WALL)
        await asyncio.sleep(2 * REST_S)  # that of the wall as it was opened
        begun.clear()
        assert desk.type(*desk.grid.place((0, 0)), "61")
        assert desk.store.result.held
        await asyncio.sleep(2 * REST_S)
        assert begun == []
        desk.store.settle()
        await asyncio.sleep(REST_S)
        assert begun == ["range"]

    asyncio.run(typed())


def test_a_scanned_wall_is_not_typed_into(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    scanned = replace(desk.wall, layout="scan")
    desk.store.apply(lambda job: with_survey(job, WALL, scanned))
    assert "this wall was scanned" in desk.told.value
    assert not desk.type(0.5, 0.5, "12")


def test_a_spreadsheet_s_own_file_stays_as_it_is(folder: Path) -> None:
    desk = desk_over(folder, WALL)
    name, was = desk.wall.source, desk.wall
    text = (folder / "job.toml").read_text(encoding="utf-8")
    book = folder / name.replace(".csv", ".xlsx")
    written = openpyxl.Workbook()
    for row in csv.reader((folder / name).read_text().splitlines()):
        written.active.append([float(cell) if cell[:1].isdigit() else cell or None for cell in row])
    written.save(book)
    (folder / "job.toml").write_text(text.replace(name, name.replace(".csv", ".xlsx")), encoding="utf-8")
    (folder / name).unlink()
    before = book.read_bytes()
    desk = desk_over(folder, WALL)
    assert desk.wall.readings_digest == was.readings_digest
    assert desk.type(*desk.grid.place((0, 0)), "61")
    assert book.read_bytes() == before
    assert desk.wall.source == name
    assert mt.open_job(folder).wall(WALL).survey == desk.wall
    assert desk.wall.x_m.size == was.x_m.size


def test_a_job_without_a_folder_is_typed_into_and_says_that_nothing_is_kept(folder: Path) -> None:
    job = replace(mt.open_job(folder), folder="")
    desk = ReadingsDesk(Store(held(unread(job, WALL))), lambda: None, lambda _: None)
    desk.show(WALL)
    assert "nothing is kept" in desk.keys.said


def test_a_sheet_that_cannot_be_written_leaves_the_job_as_it_was(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = desk_over(folder, WALL)
    was, at = desk.wall, desk.grid.place((0, 0))

    def full(*_: object) -> None:
        raise mt.TakeoffError(Mistake("the disk is full", "a sheet is written whole", "make room"))

    monkeypatch.setattr(sheets, "write_sheet", full)
    assert not desk.type(*at, "3")
    assert "the disk is full" in desk.keys.refused[key_of(*at)][1]
    assert desk.wall == was


def test_a_wall_with_fewer_readings_than_a_plane_takes_says_so(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    desk.type(*desk.grid.place((0, 0)), "3")
    assert "Three readings" in desk.stands.value
    assert desk.view.widget.layout.display == "none"
    desk.type(*desk.grid.place((1, 0)), "3")
    desk.type(*desk.grid.place((1, 3)), "9")
    assert "Three readings" not in desk.stands.value
    assert desk.view.widget.layout.display != "none"


def test_the_file_names_the_sheet_and_nothing_else_changed(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    before = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    desk.type(*desk.grid.place((0, 0)), "3")
    after = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    wall, was = (next(one for one in each["wall"] if one["name"] == WALL) for each in (after, before))
    assert wall.pop("survey")["file"] == desk.wall.source
    was.pop("survey", None)
    assert after == before


def test_how_the_wall_was_measured_is_said_beside_its_readings(folder: Path) -> None:
    desk = desk_over(folder, WALL, nothing_read=True)
    assert desk.store.apply(lambda job: with_plane(job, kind="free"))
    desk.plumb.value = False  # before anything is read
    type_column(desk, 0)
    type_column(desk, 1, 30.0)
    desk.swept.value = True
    survey = mt.open_job(folder).wall(WALL).survey
    assert (survey.plumb, survey.swept) == (False, True)
    off_no_plumb_line = desk.stands.value
    desk.plumb.value = True
    assert mt.open_job(folder).wall(WALL).survey.plumb
    assert desk.stands.value != off_no_plumb_line
    desk.store.undo()
    assert not desk.plumb.value
    assert not desk.errors


def test_a_tick_that_cannot_be_goes_back_and_is_told(folder: Path) -> None:
    desk = desk_over(folder, WALL)  # which is brought to a plumb plane
    desk.plumb.value = False
    assert desk.plumb.value
    assert "measure off a plumb plane" in str(desk.errors[0])
    assert mt.open_job(folder).wall(WALL).survey.plumb
