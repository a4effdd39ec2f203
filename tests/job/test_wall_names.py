"""A wall called otherwise is called so by everything that names it, and is priced as before."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.io.job.merging import renamed_in
from mytakeoff.io.job.shape import tables_of
from mytakeoff.job.confidence import LeftOpen, WorkedOut
from mytakeoff.job.edits import with_wall_name, with_walls

OLD, NEW = "party wall", "stair side"


def joined(room: mt.Room) -> mt.Room:
    """The front room with all that a room says of how walls join."""
    square = mt.OffSquare(OLD, (2.5, 3.6), (0.1, 1.2), (30.0, 31.0), 1.0)
    corners = (
        mt.RoomCorner(OLD, "window wall", off_square=square),
        mt.RoomCorner("breast front", OLD, triangle=mt.Triangle(0.6, 0.8, 1.0, 1.0)),
    )
    widths = (mt.ClearWidth("wardrobe", "breast front", OLD, 2000.0, 0.5),)
    return replace(room, corners=corners, clear_widths=widths, parallel=((OLD, "breast front"),))


def job() -> mt.Job:
    known = WorkedOut((LeftOpen(OLD, "float plumb", "f", (0.0,)),))
    front, *others = coarse_demo().rooms
    rooms = (joined(front), *others)
    only = ("door wall", OLD)
    return replace(coarse_demo(), rooms=rooms, only=only, worked_out=known, missed_high_spot_mm=4.0)


def test_everything_that_names_it_follows():
    after = with_wall_name(job(), OLD, NEW)
    assert OLD not in repr(replace(after, worked_out=WorkedOut())).replace("party-wall", "")
    assert after.only == ("door wall", NEW)
    assert [thing.wall for thing in after.compare.beside] == [NEW, "window wall"]
    assert after.wall(NEW).survey.wall.name == NEW
    assert [(each.wall, each.next_wall) for each in after.rooms[0].corners] == [
        (NEW, "window wall"),
        ("breast front", NEW),
    ]
    assert after.rooms[0].corners[0].off_square.on == NEW
    assert after.worked_out.last(NEW, "float plumb") is not None
    assert with_wall_name(after, NEW, OLD) == job()
    assert with_wall_name(job(), OLD, OLD) is not None


def test_the_tables_of_its_file_follow_alike():
    surveys = {wall.name: wall.survey.source for wall in job().walls}
    after = with_wall_name(job(), OLD, NEW)
    assert renamed_in(tables_of(job(), surveys), {OLD: NEW}) == tables_of(
        after, {**surveys, NEW: surveys[OLD]}
    )


def test_it_costs_what_it_cost():
    before, after = mt.evaluate(job()), mt.evaluate(with_wall_name(job(), OLD, NEW))
    assert after.cost.total == before.cost.total


@pytest.mark.parametrize(("old", "new", "words"), [
    (OLD, "door wall", "two walls called 'door wall'"),
    ("attic", NEW, "no wall called 'attic'"),
])  # fmt: skip
def test_a_name_that_cannot_be(old, new, words):
    with pytest.raises(mt.TakeoffError, match=words):
        with_wall_name(job(), old, new)


def test_what_names_a_wall_of_a_job_without_walls_is_told():
    with pytest.raises(
        mt.TakeoffError, match=f"(?s)no wall called 'door wall'.*no wall called '{OLD}'"
    ) as told:
        replace(job(), walls=())
    assert {each.remedy for each in told.value.mistakes} == {"add it, or take its name out"}


def test_the_wall_that_diagonals_begin_at_is_called_otherwise_too():
    names = [OLD, "window wall", "breast front", "breast right cheek"]
    corners = [mt.RoomCorner(name, names[nth - 3]) for nth, name in enumerate(names)]
    room = mt.Room("front room", corners=corners, diagonals=mt.Diagonals(OLD, 5.0, 5.0, 1.0))
    assert room.with_wall_name(OLD, NEW).diagonals.wall == NEW
    assert room.with_wall_name("window wall", NEW).diagonals.wall == OLD


def test_what_is_said_of_a_wall_goes_with_it_out_of_its_room():
    before = job()
    kept = [(each, each) for each in before.walls if each.name != OLD]
    after = with_walls(before, kept)
    assert after.rooms[0].corners == after.rooms[0].clear_widths == after.rooms[0].parallel == ()
    moved = replace(before.wall(OLD), room="back bedroom")
    pairs = [(each, moved if each.name == OLD else each) for each in before.walls]
    assert with_walls(before, pairs).rooms[0].corners == ()
    same = with_walls(before, [(each, each) for each in before.walls])
    assert same.rooms == before.rooms
