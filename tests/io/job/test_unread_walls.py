"""A job folder whose walls are not read yet: it opens, is saved and opens again, and no sheet is touched."""

from __future__ import annotations

from dataclasses import replace

import pytest

import mytakeoff as mt
from mytakeoff.io.job.changes import what_changed
from mytakeoff.job.edits import with_reading, with_wall_name

SOUTH = "[wall.survey]\nfile = 'surveys/south.csv'\nplumb = true\n"
HEAD = "off_line_mm;0,1;1,0;1,9\n"
SHEETS = {
    "nothing at all": ("", 0),
    "empty cells": (";;;\n;;;\n", 0),
    "a blank form": (HEAD + "2,4;;;\n1,2;;;\n0,1;;;\n", 0),
    "dashes": (HEAD + "2,4;-;–;—\n1,2;;;−\n", 0),
    "one reading": (HEAD + "2,4;;;\n1,2;;12;\n", 1),
    "two readings": (HEAD + "2,4;9;-;\n1,2;;12;\n", 2),
    "three in a line": (HEAD + "2,4;;;\n1,2;10;12;11\n", 3),
    "a list without readings": ("x_m;z_m;off_line_mm\n0,5;1,0;\n0,9;1,0;–\n", 0),
    "a list of two": ("x_m;z_m;off_line_mm\n0,5;1,0;7\n0,9;1,0;–\n1,5;2,0;8\n", 2),
    "plumb lines without readings": ("off_plumb_lines_mm;0,1;1,0\n2,0;;\nlevel 1,2;;\n0,2;-;\n", 0),
}


def bytes_in(folder):
    return {path.name: path.read_bytes() for path in folder.rglob("*.csv")}


@pytest.fixture(params=SHEETS, ids=lambda name: name.replace(" ", "-"))
def half_read(request, folder):
    text, count = SHEETS[request.param]
    (folder / "surveys" / "south.csv").write_text(text)
    return folder, count


def test_a_sheet_that_is_being_filled_in_opens_as_a_wall_that_is_not_read(half_read):
    folder, count = half_read
    south = mt.open_job(folder).wall("south")
    assert (south.survey.x_m.size, south.is_read, south.survey.source) == (count, False, "surveys/south.csv")


def test_it_is_saved_with_its_entry_and_its_sheet_stays(half_read):
    folder, _ = half_read
    before, job = bytes_in(folder), mt.open_job(folder)
    mt.save_job(replace(job, title="another"), folder, job)
    assert bytes_in(folder) == before
    assert mt.open_job(folder).walls == job.walls
    assert "surveys/south.csv" in (folder / "job.toml").read_text()


def test_its_sheet_goes_along_into_another_folder(half_read, tmp_path):
    folder, _ = half_read
    job = mt.open_job(folder)
    mt.save_job(job, tmp_path / "copy")
    assert mt.open_job(tmp_path / "copy").walls == job.walls
    assert (tmp_path / "copy" / "surveys" / "south.csv").read_bytes() == bytes_in(folder)["south.csv"]


def test_such_a_sheet_alone_is_still_refused(half_read):
    folder, _ = half_read
    with pytest.raises(mt.TakeoffError):
        mt.read_survey(folder / "surveys" / "south.csv", mt.Wall("south", 2.0, 2.5))


def test_what_is_wrong_in_it_is_still_told(folder):
    (folder / "surveys" / "south.csv").write_text(HEAD + "2,4;a;;\n1,2;;12;\n9;;3;\n")
    with pytest.raises(mt.TakeoffError, match=r"(?s)height 9 m.*'a'"):
        mt.open_job(folder)


def test_a_wall_without_a_survey_opens_and_none_is_written(folder, change):
    change("job.toml", SOUTH, "")
    before, job = (folder / "job.toml").read_text(), mt.open_job(folder)
    assert job.wall("south").survey == mt.Survey.none(job.wall("south").wall)
    mt.save_job(job, folder, job)
    assert (folder / "job.toml").read_text() == before
    mt.save_job(replace(job, title="another"), folder, job)
    assert (folder / "job.toml").read_text() == before.replace("Test flat", "another")
    assert mt.open_job(folder).walls == job.walls


def test_what_is_said_of_its_plane_is_kept_before_anything_is_read(folder, change):
    change("job.toml", SOUTH, "")
    job = mt.open_job(folder)
    south = job.wall("south")
    said = replace(south, survey=replace(south.survey, plumb=False, swept=True))
    mt.save_job(replace(job, walls=(job.walls[0], said)), folder, job)
    assert mt.open_job(folder).wall("south") == said


def test_its_first_readings_get_a_sheet(folder, change):
    change("job.toml", SOUTH, "")
    (folder / "surveys" / "south.csv").unlink()
    job = mt.open_job(folder)
    mt.save_job(with_reading(job, "south", 1.0, 1.0, -4.0), folder, job)
    assert mt.open_job(folder).wall("south").survey.source == "surveys/south.csv"
    assert (folder / "surveys" / "south.csv").read_text() == "x_m,z_m,proud_mm\n1,1,-4\n"


def test_a_wall_whose_readings_are_taken_away_names_no_sheet_and_leaves_it(folder):
    job, before = mt.open_job(folder), bytes_in(folder)
    bare = replace(job.walls[1], survey=mt.Survey.none(job.walls[1].wall))
    mt.save_job(replace(job, walls=(job.walls[0], bare)), folder, job)
    assert bytes_in(folder) == before
    assert mt.open_job(folder).walls[1] == bare


def test_a_job_without_walls_and_rooms_opens_and_is_saved(folder):
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text[: text.index("[[room]]")])
    job = mt.open_job(folder)
    assert (job.rooms, job.walls) == ((), ())
    mt.save_job(replace(job, title="another"), folder, job)
    assert mt.open_job(folder).title == "another"


def test_the_last_wall_and_room_can_be_taken_out_and_new_ones_put_in(folder):
    job = mt.open_job(folder)
    bare = mt.save_job(replace(job, walls=(), rooms=()), folder, job).job
    assert (bare.walls, bare.rooms) == ((), ())
    mt.save_job(replace(bare, walls=job.walls, rooms=job.rooms), folder, bare)
    assert mt.open_job(folder).walls == job.walls


def test_two_walls_that_are_not_read_are_not_taken_for_one_another(folder, change):
    """One is renamed here, the other taken out in the file meanwhile."""
    change("job.toml", SOUTH, "")
    change("job.toml", 'survey = { file = "surveys/north.csv", plumb = true }\n', "")
    opened = mt.open_job(folder)
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text[: text.rindex("[[wall]]")])
    saved = mt.save_job(with_wall_name(opened, "north", "street side"), folder, opened).job
    assert [wall.name for wall in saved.walls] == ["street side"]


def test_changes_of_walls_that_are_not_read_are_told_by_name(folder, change):
    change("job.toml", SOUTH, "")
    job = mt.open_job(folder)
    assert what_changed(job, with_wall_name(job, "south", "yard")) == ("wall 'south' renamed 'yard'",)
    south = job.walls[1]
    wall = replace(south.wall, name="attic", width_m=3.0)
    other = replace(south, wall=wall, survey=mt.Survey.none(wall))
    said = what_changed(job, replace(job, walls=(job.walls[0], other)))
    assert said == ("wall 'south' taken out", "wall 'attic' added")
    assert what_changed(job, with_reading(job, "south", 1.0, 1.0, -4.0)) == ("wall 'south': 1 reading added",)
