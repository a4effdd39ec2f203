"""Walls that take no part, corners that are not known, rooms that cannot come square: what is said."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from demo import coarse_demo
from invented_rooms import AT_M, RECTANGLE, corner_of, invented, job_of, read_off_one_set_up, taped_triangle

import mytakeoff as mt

WALLS = read_off_one_set_up(invented(RECTANGLE, 3))
CORNERS = [corner_of(WALLS, nth, one_set_up=True) for nth in range(4)]


def job(corners=CORNERS, **more) -> mt.Job:
    return job_of(WALLS, mt.Room("front", corners=corners, **more))


def without_plumb(made: mt.Job, nth: int) -> mt.Job:
    walls = list(made.walls)
    walls[nth] = replace(walls[nth], survey=replace(walls[nth].survey, plumb=False))
    return replace(made, walls=tuple(walls))


def test_a_survey_off_no_plumb_plane_takes_no_part():
    planes = mt.room_planes(without_plumb(job(), 1), "front")
    assert list(planes.walls) == ["wall 0", "wall 2", "wall 3"]
    assert planes.notices == (
        "wall 1 takes no part: it was not read off a plumb plane.",
        "The corner of wall 0 and wall 1 is left free: a wall there takes no part.",
        "The corner of wall 1 and wall 2 is left free: a wall there takes no part.",
    )
    assert [each.got_deg is None for each in planes.corners] == [True, True, False, False]


def test_nor_does_a_wall_that_is_not_read_or_not_priced():
    made = job()
    survey = mt.Survey.none(made.walls[1].wall)
    unread = replace(made, walls=(made.walls[0], replace(made.walls[1], survey=survey), *made.walls[2:]))
    assert mt.room_planes(unread, "front").notices[0] == "wall 1 takes no part: it is not read yet."
    unpriced = replace(made, only=("wall 0", "wall 2", "wall 3"))
    planes = mt.room_planes(unpriced, "front")
    assert planes.notices[0] == "wall 1 takes no part: it is not in the price."
    assert "wall 1" not in planes.walls


def test_a_corner_that_is_free_follows_where_the_others_are_known():
    planes = mt.room_planes(job([*CORNERS[:3], corner_of(WALLS, 3)]), "front")
    assert planes.notices == (
        "The corner of wall 3 and wall 0 was not measured: it follows from the others as exactly 90.00°.",
    )
    assert planes.corners[3].got_deg == pytest.approx(90.0)


def test_two_corners_that_are_free_stay_so():
    planes = mt.room_planes(job([*CORNERS[:2], *(corner_of(WALLS, nth) for nth in (2, 3))]), "front")
    assert [each.got_deg for each in planes.corners[2:]] == [None, None]
    assert "The corner of wall 2 and wall 3 is left free: it was not measured." in planes.notices
    assert "wall 3 stands by itself: no corner there is known." in planes.notices


def test_a_room_without_corners_has_each_wall_by_itself():
    planes = mt.room_planes(job([]), "front")
    assert planes.volume_l == pytest.approx(planes.separate_l)
    assert planes.notices == (
        "wall 0, wall 1, wall 2 and wall 3 stand by themselves: no corner there is known.",
    )


def test_what_did_not_close_is_told():
    walls = invented(RECTANGLE, 3)
    corners = [
        corner_of(walls, nth, triangle=taped_triangle(wall, walls[(nth + 1) % 4]))
        for nth, wall in enumerate(walls)
    ]
    longer = replace(corners[0].triangle, diagonal_m=corners[0].triangle.diagonal_m + 0.003)
    corners[0] = replace(corners[0], triangle=longer)
    (told,) = mt.room_planes(job_of(walls, mt.Room("front", corners=corners)), "front").notices
    assert told.startswith("All round, the angles are ")
    assert "mm/m too wide, with a standard deviation of" in told
    much = replace(longer, diagonal_m=longer.diagonal_m + 0.05)
    corners[0] = replace(corners[0], triangle=much)
    with pytest.raises(
        mt.TakeoffError, match=r"room 'front': angles that are \d\.\d\d° .* too wide all round"
    ):
        mt.room_planes(job_of(walls, mt.Room("front", corners=corners)), "front")


def test_nothing_is_taken_down_and_that_is_said():
    made = job()
    cut = replace(made, plane=replace(made.plane, cut_mm=3.0))
    planes = mt.room_planes(cut, "front")
    assert planes.notices == ("Nothing is taken down where the walls of a room come square together.",)
    assert planes.volume_l == pytest.approx(mt.room_planes(made, "front").volume_l)


@pytest.mark.parametrize("kind", ["free", "square"])
def test_whatever_plane_the_job_has_a_room_is_plumb(kind):
    made = job()
    lean = 4.0 if kind == "free" else None
    other = replace(made, plane=replace(made.plane, kind=kind, lean_limit_mm_per_m=lean))
    assert mt.room_planes(other, "front").volume_l == pytest.approx(mt.room_planes(made, "front").volume_l)


REFUSED = [
    (lambda: mt.room_planes(job(), "attic"), "no room called 'attic'; the job has to know it; choose from"),
    (lambda: mt.room_planes(job(), "front", -1.0), "room 'front': tolerance -1 mm/m; it is 0 to 100 mm/m;"),
    (lambda: mt.room_planes(job(), "front", math.nan), "room 'front': tolerance nan mm/m; it is 0 to 100"),
    (lambda: mt.room_planes(replace(job([]), walls=job([]).walls[:1]), "front"),
     "room 'front': 1 wall that can take part; a room comes square by two walls that meet, priced, read"),
    (lambda: mt.room_planes(replace(job([]), walls=()), "front"), "room 'front': no walls that can take"),
    (lambda: mt.room_planes(turn_limited(), "front"),
     "room 'front': corners that ask for more turn than the job allows; the planes of a room turn as its"),
    (lambda: mt.room_planes(wrong_angle(), "front"),
     "room 'front', corner 'wall 0' – 'wall 1': planes at 90.0°, 135° wanted; no plane is turned by more"),
    (lambda: mt.room_planes(wrong_order(), "front"), "room 'front': walls that miss closing by"),
    (lambda: mt.room_planes(job([corner_of(WALLS, nth) for nth in range(4)],
                                diagonals=mt.Diagonals("wall 0", 5.2, 5.6, AT_M)), "front"),
     "room 'front', diagonals: diagonals of 5.2 and 5.6 m over sides of 4.19998, 3.09999, 4.19998"),
]  # fmt: skip


def turn_limited() -> mt.Job:
    """Planes that were measured off 20 mm/m out of square, and no wall may turn by more than 2."""
    walls = invented(RECTANGLE, 3, tilt_mm_per_m=30.0)
    corners = [corner_of(walls, 0, triangle=taped_triangle(*walls[:2]))]
    made = job_of(walls, mt.Room("front", corners=corners))
    return replace(made, plane=replace(made.plane, turn_limit_mm_per_m=2.0))


def wrong_angle() -> mt.Job:
    """A corner of 90° that shall have 135."""
    corner = corner_of(WALLS, 0, triangle=taped_triangle(*WALLS[:2]))
    return job([replace(corner, angle_deg=135.0)])


def wrong_order() -> mt.Job:
    """The two long walls one after the other."""
    names = [f"wall {nth}" for nth in (0, 2, 1, 3)]
    return job([mt.RoomCorner(name, names[nth - 3], one_set_up=True) for nth, name in enumerate(names)])


@pytest.mark.parametrize(("make", "words"), REFUSED, ids=[words[:48] for _, words in REFUSED])
def test_rooms_that_are_refused(make, words):
    with pytest.raises(mt.TakeoffError) as told:
        make()
    assert len(told.value.mistakes) == 1
    assert str(told.value).startswith(words)


def test_the_same_room_is_worked_out_once():
    made = job()
    assert (
        mt.room_planes(made, "front").walls is mt.room_planes(replace(made, waste_share=0.2), "front").walls
    )


def test_a_room_without_corners_takes_what_its_walls_take_each_by_itself():
    job = coarse_demo()
    planes = mt.room_planes(replace(job, rooms=tuple(room.of_walls(()) for room in job.rooms)), "front room")
    assert planes.volume_l == pytest.approx(planes.separate_l)
