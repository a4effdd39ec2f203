"""Remarks in ``job.toml`` stay with what they are about, whatever is renamed, measured anew or taken out."""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from demo import copy_of_demo
from example_job import copy_of_example

import mytakeoff as mt
from mytakeoff.io.forms.desk import draft_of, file_in, read_draft, save_draft
from mytakeoff.job.edits import with_wall_name


def remarks(folder: Path) -> list[str]:
    """Every remark of the job file, those behind a key too."""
    lines = (folder / "job.toml").read_text().splitlines()
    return [line[line.index("#") :] for line in lines if "#" in line]


def lines_of(folder: Path) -> list[str]:
    return (folder / "job.toml").read_text().splitlines()


@pytest.fixture
def started(tmp_path) -> Path:
    return copy_of_example(tmp_path / "start")


@pytest.fixture
def flat(tmp_path) -> Path:
    return copy_of_demo(tmp_path)


def test_renaming_a_wall_changes_its_name_and_nothing_else(flat):
    before, opened = lines_of(flat), mt.open_job(flat)
    mt.save_job(with_wall_name(opened, "party wall", "stair side"), flat, opened)
    after = lines_of(flat)
    assert after == [line.replace('"party wall"', '"stair side"') for line in before]


def test_the_example_wall_renamed_with_a_new_survey_keeps_its_remarks(started):
    """As the survey panel saves it: another name, size and file, and no door."""
    before, opened = remarks(started), mt.open_job(started)
    survey = "off_line_mm,0.1,2.1\n2.2,12,14\n0.1,10,11\n"
    (started / "surveys/kitchen.csv").write_text(survey)
    draft = draft_of(opened, "long wall")
    wall = replace(draft.wall, name="kitchen wall", width_m=2.2, height_m=2.4, openings=())
    draft = replace(draft, wall=wall, file=file_in(started, "surveys/kitchen.csv"), found=type(draft.found)())
    saved, after = save_draft(opened, draft, read_draft(draft))
    assert saved.job == mt.open_job(started)
    assert after.replaces == "kitchen wall"
    door = "# depth of a plastered reveal"
    assert [said for said in before if said not in remarks(started)] == [door]
    assert "plumb = true                # was the line or laser that you measured from plumb?" in lines_of(
        started
    )


def test_another_renaming_of_the_same_wall_is_followed_when_more_was_changed(started):
    """Somebody else has corrected the wall meanwhile."""
    opened = mt.open_job(started)
    (started / "surveys/kitchen.csv").write_text("off_line_mm,0.1,3.1\n2.2,12,14\n0.1,10,11\n")
    text = (started / "job.toml").read_text()
    (started / "job.toml").write_text(
        text.replace('background = "brick"', 'background = "brick"\nsockets = 3  # seen')
    )
    draft = draft_of(opened, "long wall")
    draft = replace(draft, wall=replace(draft.wall, name="kitchen wall"),
                    file=file_in(started, "surveys/kitchen.csv"))  # fmt: skip
    saved, _ = save_draft(opened, draft, read_draft(draft))
    assert [(wall.name, wall.sockets) for wall in saved.job.walls] == [("kitchen wall", 3)]
    assert "sockets = 3  # seen" in lines_of(started)


def test_a_wall_taken_out_takes_its_own_remarks_and_no_other(flat):
    before, opened = remarks(flat), mt.open_job(flat)
    walls = tuple(wall for wall in opened.walls if wall.name != "party wall")
    beside = tuple(thing for thing in opened.compare.beside if thing.wall != "party wall")
    compare = replace(opened.compare, beside=beside)
    rooms = tuple(room.of_walls([wall.name for wall in walls]) for room in opened.rooms)
    mt.save_job(replace(opened, walls=walls, compare=compare, rooms=rooms), flat, opened)
    text = (flat / "job.toml").read_text()
    assert "# Leans back 12 mm over its height; plaster has come down in the middle." not in text
    assert '# Bows 11 mm back in the middle.\n[[wall]]\nname = "window wall"' in text
    assert '# Flat and plumb but for one hole: patching will do.\n[[wall]]\nname = "door wall"' in text
    gone = [said for said in before if said not in remarks(flat)]
    first, last = (next(said for said in before if said.startswith(start)) for start in ("# Leans", "# Bows"))
    own = before[before.index(first) : before.index(last)]
    corners = ["# the alcove: and so was the party wall", "# a builder's square along the party wall"]
    assert gone == ["# something plumb that shows a lean", *corners, *own]


def test_the_last_table_of_a_wall_taken_out_leaves_the_next_walls_remark(flat):
    opened = mt.open_job(flat)
    walls = (replace(opened.walls[0], loose=()), *opened.walls[1:])
    mt.save_job(replace(opened, walls=walls), flat, opened)
    text = (flat / "job.toml").read_text()
    assert "sounds hollow" not in text
    assert '# Bows 11 mm back in the middle.\n[[wall]]\nname = "window wall"' in text


def test_a_new_wall_comes_before_what_is_said_of_the_table_after_the_walls(flat):
    text = (flat / "job.toml").read_text()
    (flat / "job.toml").write_text(text.replace("[[extra]]", "# Beside the walls.\n[[extra]]", 1))
    opened = mt.open_job(flat)
    wall = replace(opened.walls[-1].wall, name="hall side")
    own = replace(opened.walls[-1].survey, wall=wall, source="")
    new = replace(opened.walls[-1], wall=wall, survey=own)
    mt.save_job(replace(opened, walls=(*opened.walls, new)), flat, opened)
    text = (flat / "job.toml").read_text()
    assert "# Beside the walls.\n[[extra]]" in text
    assert text.index('name = "hall side"') < text.index("# Beside the walls.")


def test_what_looks_like_a_remark_within_a_text_is_left_alone(folder, change):
    text = '"""\n\n# not a remark\n\n# of\n[plane]\n"""'
    change("job.toml", 'currency = "EUR"', f'currency = "EUR"\nnotes = [{text}]')
    opened = mt.open_job(folder)
    mt.save_job(replace(opened, waste_share=0.2), folder, opened)
    assert mt.open_job(folder).notes == opened.notes
    mt.save_job(replace(opened, notes=("other",)), folder)
    assert mt.open_job(folder).notes == ("other",)
    assert tomllib.loads((folder / "job.toml").read_text())["plane"] == {"kind": "plumb"}


def test_line_ends_of_another_system_stay(flat):
    text = (flat / "job.toml").read_text().replace("\n", "\r\n")
    (flat / "job.toml").write_bytes(text.encode())
    opened = mt.open_job(flat)
    mt.save_job(with_wall_name(opened, "party wall", "stair side"), flat, opened)
    after = (flat / "job.toml").read_bytes().decode()
    assert after == text.replace('"party wall"', '"stair side"')


def test_what_is_new_stands_apart_as_a_hand_would_have_it(tmp_path):
    """A blank line above each heading that comes in, one end of the last line, all else as it was."""
    flat = copy_of_demo(tmp_path)
    opened = mt.open_job(flat)
    before = (flat / "job.toml").read_text("utf-8").splitlines()
    hatch = mt.Opening("hatch", 0.3, 0.9, 0.5, 0.6)
    last = opened.walls[0]
    wall = replace(last.wall, openings=(hatch,))
    walls = (replace(last, wall=wall, survey=replace(last.survey, wall=wall)), *opened.walls[1:])
    mt.save_job(replace(opened, walls=walls, extras=(*opened.extras, mt.Extra("parking"))), flat, opened)
    now = (flat / "job.toml").read_text("utf-8")
    added = [line[2:] for line in difflib.ndiff(before, now.splitlines()) if line[0] in "+-"]
    assert [line for line in added if line] == [
        "[[wall.opening]]", 'name = "hatch"', "x_m = 0.3", "z_m = 0.9", "width_m = 0.5", "height_m = 0.6",
        "[[extra]]", 'item = "parking"',
    ]  # fmt: skip
    assert '\n\n[[wall.opening]]\nname = "hatch"' in now
    assert now.endswith('\n\n[[extra]]\nitem = "parking"\n')
