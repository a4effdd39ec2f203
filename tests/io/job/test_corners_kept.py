"""What a room says of its corners, in its file: opened, edited on both sides, saved, with all remarks."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from demo import copy_of_demo

import mytakeoff as mt
from mytakeoff.job.edits import with_wall_name

WRITTEN = """
[[room]]
name = "front room"
floor_area_m2 = 17.6
storey = 2
parallel = [["party wall", "breast front"]]     # the wardrobe stands between

[[room.corner]]             # both read off one set-up
wall = "party wall"
next_wall = "window wall"
one_set_up = true

[[room.corner]]
wall = "window wall"
next_wall = "breast front"
[room.corner.off_square]    # a square of 1.2 m
on = "window wall"
on_x_m = [3.0, 4.1]
x_m = [0.1, 1.2]
off_square_mm = [32.0, 30.0]
z_m = 1.0

[[room.corner]]
wall = "breast front"
next_wall = "breast left cheek"
angle_deg = 270.0           # round the outer corner

[[room.clear_width]]
name = "wardrobe"
wall = "party wall"
opposite = "breast front"
needs_mm = 2400.0           # 2 mm to spare
x_m = 0.7
must = true
between_planes_mm = 2520.0
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo with other corners in its front room."""
    folder = copy_of_demo(tmp_path)
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8")
    begins, ends = text.index('[[room]]\nname = "front room"'), text.index('[[room]]\nname = "back bedroom"')
    path.write_text(f"{text[:begins]}{WRITTEN.lstrip()}\n{text[ends:]}", encoding="utf-8")
    return folder


def room(job: mt.Job) -> mt.Room:
    return job.rooms[0]


def with_room(job: mt.Job, **more) -> mt.Job:
    return replace(job, rooms=(replace(room(job), **more), *job.rooms[1:]))


def test_a_room_says_how_its_walls_join(folder):
    said = room(mt.open_job(folder))
    assert said.corners == (
        mt.RoomCorner("party wall", "window wall", one_set_up=True),
        mt.RoomCorner(
            "window wall",
            "breast front",
            off_square=mt.OffSquare("window wall", (3.0, 4.1), (0.1, 1.2), (32.0, 30.0), 1.0),
        ),
        mt.RoomCorner("breast front", "breast left cheek", 270.0),
    )
    assert said.parallel == (("party wall", "breast front"),)
    assert said.clear_widths == (
        mt.ClearWidth("wardrobe", "party wall", "breast front", 2400.0, 0.7, True, 2520.0),
    )
    assert said.diagonals is None


def test_saved_and_opened_again_it_is_the_same_with_its_remarks(folder):
    job = mt.open_job(folder)
    edited = with_room(
        replace(job, waste_share=0.12),
        clear_widths=(replace(room(job).clear_widths[0], needs_mm=2410.0),),
    )
    mt.save_job(edited, folder)
    assert mt.open_job(folder).rooms == edited.rooms
    text = (folder / "job.toml").read_text(encoding="utf-8")
    for remark in (
        "# both read off one set-up",
        "# round the outer corner",
        "# 2 mm to spare",
        "# a square of 1.2 m",
    ):
        assert remark in text
    assert "needs_mm = 2410.0" in text
    assert tomllib.loads(text)["room"][0]["corner"][0] == {
        "wall": "party wall",
        "next_wall": "window wall",
        "one_set_up": True,
    }


def test_corners_added_to_a_room_are_saved(folder):
    job = mt.open_job(folder)
    more = mt.RoomCorner("breast left cheek", "breast right cheek", triangle=mt.Triangle(0.3, 0.4, 0.5, 1.0))
    edited = with_room(job, corners=(*room(job).corners, more), parallel=())
    mt.save_job(edited, folder)
    assert mt.open_job(folder).rooms == edited.rooms


def test_a_wall_called_otherwise_is_so_at_its_corners(folder):
    job = with_wall_name(mt.open_job(folder), "window wall", "street wall")
    mt.save_job(job, folder)
    again = mt.open_job(folder)
    assert again.rooms == job.rooms
    assert [each.wall for each in room(again).corners] == ["party wall", "street wall", "breast front"]
    assert room(again).corners[1].off_square.on == "street wall"
    assert "# a square of 1.2 m" in (folder / "job.toml").read_text(encoding="utf-8")


def test_edits_of_two_sessions_go_together(folder):
    """One names a wall otherwise and measures a corner, the other wants another width."""
    opened = mt.open_job(folder)
    corners = list(room(opened).corners)
    corners[2] = replace(corners[2], one_set_up=True)
    there = with_wall_name(with_room(opened, corners=tuple(corners)), "breast front", "chimney")
    mt.save_job(there, folder, opened)
    needs = replace(room(opened).clear_widths[0], needs_mm=2390.0)
    mt.save_job(with_room(opened, clear_widths=(needs,)), folder, opened)
    both = room(mt.open_job(folder))
    assert both.corners == room(there).corners
    assert both.clear_widths == (replace(needs, opposite="chimney"),)
    assert both.parallel == (("party wall", "chimney"),)


MISTAKES = [
    ("one_set_up = true", "one_setup = true", "room 1 (front room), corner 1: key 'one_setup'"),
    ("angle_deg = 270.0 ", "angle_deg = 360.0 ", "room 1 (front room), corner 3, angle_deg: angle 360 °"),
    (
        "angle_deg = 270.0 ",
        'angle_deg = "270°"',
        "room 1 (front room), corner 3, angle_deg: '270°'; a number",
    ),
    (
        "on_x_m = [3.0, 4.1]",
        "on_x_m = [4.0, 4.1]",
        "corner 2, off_square: square on wall 'window wall': touches",
    ),
    ('opposite = "breast front"', 'opposite = "chimney"', "no wall called 'chimney' in it"),
    ("x_m = 0.7", "x_m = 7.0", "at 7 m along 'party wall'; it lies on the wall, 3.9 m wide"),
]


@pytest.mark.parametrize(("now", "wrong", "words"), MISTAKES, ids=[wrong for _, wrong, _ in MISTAKES])
def test_a_mistake_says_where_it_stands(folder, now, wrong, words):
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8")
    assert now in text
    path.write_text(text.replace(now, wrong, 1), encoding="utf-8")
    with pytest.raises(mt.TakeoffError) as told:
        mt.open_job(folder)
    assert len(told.value.mistakes) == 1
    assert words in str(told.value)
