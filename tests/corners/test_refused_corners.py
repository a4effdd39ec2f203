"""What cannot be of what is said of a room's corners: one message with value, rule, remedy and place."""

from __future__ import annotations

import pytest
from invented_rooms import L_SHAPE, RECTANGLE, corner_of, invented, job_of

import mytakeoff as mt

SQUARE = mt.OffSquare("N", (3.0, 3.9), (0.1, 1.0), (40.0, 41.0), 1.0)
TRIANGLE = mt.Triangle(3.0, 4.0, 5.0, 1.0)


def around(names: str = "NESW", **more) -> list[mt.RoomCorner]:
    """Corners all round a room, in the order of its walls."""
    return [mt.RoomCorner(name, names[n - len(names) + 1], **more) for n, name in enumerate(names)]


def room(corners, **more) -> mt.Room:
    return mt.Room("front", corners=corners, **more)


BY_ITSELF = [
    (lambda: mt.RoomCorner("N", "E", 0.0), "corner 'N' – 'E': angle 0 °; it is 10 to 350 °; 90 where two"),
    (lambda: mt.RoomCorner("N", "E", 360.0), "corner 'N' – 'E': angle 360 °; it is 10 to 350 °"),
    (lambda: mt.RoomCorner("N", "N"), "corner 'N' – 'N': 'N' twice; two walls meet at a corner; name the"),
    (lambda: mt.RoomCorner("N", "E", one_set_up=True, off_square=SQUARE, triangle=TRIANGLE),
     "corner 'N' – 'E': measured 3 times: one_set_up, off_square, triangle; a corner is measured in one"),
    (lambda: mt.RoomCorner("N", "E", 135.0, one_set_up=True),
     "corner 'N' – 'E': one set-up of cross lines at a corner of 135°; the lines of a cross-line laser"),
    (lambda: mt.RoomCorner("N", "E", 270.0, triangle=TRIANGLE),
     "corner 'N' – 'E': a triangle at a corner of 270°; a tape goes from wall to wall only where they"),
    (lambda: mt.RoomCorner("E", "S", off_square=SQUARE),
     "corner 'E' – 'S': a square on wall 'N'; it lies on one of the two walls that meet there; write 'E'"),
    (lambda: mt.Triangle(3.0, 4.0, 7.5, 1.0),
     "triangle: a diagonal of 7.5 m over runs of 3 and 4 m; it is longer than their difference, 1 m, and"),
    (lambda: mt.Triangle(0.2, 4.0, 4.1, 1.0), "triangle: runs of 0.2 and 4 m; each is 0.3 m or more; mark"),
    (lambda: mt.OffSquare("N", (3.0, 3.9), (0.1,), (40.0, 41.0), 1.0),
     "square on wall 'N': 2 places where it lies, 1 places and 2 readings off it; a square touches at two"),
    (lambda: mt.OffSquare("N", (3.8, 3.9), (0.1, 1.0), (40.0, 41.0), 1.0),
     "square on wall 'N': touches at two places 0.1 m apart; they are 0.3 m apart or more; take a longer"),
    (lambda: mt.Diagonals("N", 5.0, 5.0, 1.0, (4.0, 3.0)), "diagonals: 2 sides; a room whose diagonals say"),
    (lambda: mt.ClearWidth("bath", "N", "N", 1700.0, 0.5), "clear width 'bath': wall 'N' twice; it lies"),
    (lambda: mt.ClearWidth(" ", "N", "S", 1700.0, 0.5), "clear width ' ': no name; a clear width has a"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "words"), BY_ITSELF, ids=[words[:48] for _, words in BY_ITSELF])
def test_a_corner_by_itself(make, words):
    with pytest.raises(mt.TakeoffError) as told:
        make()
    assert len(told.value.mistakes) == 1
    assert str(told.value).startswith(words)


ROUND = [
    (lambda: room([*around(), around()[0]]), "room 'front': corner 'E' – 'N' 2 times; a corner is"),
    (lambda: room([*around()[:3], mt.RoomCorner("N", "W")]), "room 'front': 2 walls at the right end of"),
    (lambda: room([*around()[:3], mt.RoomCorner("W", "N", 270.0)]),
     "room 'front': angles that turn by 180° round 4 walls; 180° less each angle inside the room comes to"),
    (lambda: room(around("NES", angle_deg=90.0)), "room 'front': angles that turn by 270° round 3 walls;"),
    (lambda: room([*around("NES", angle_deg=60.0), *around("ABC", angle_deg=60.0)]),
     "room 'front': 2 times round: 'N' – 'E' – 'S'; 'A' – 'B' – 'C'; the walls of a room go round it"),
    (lambda: room(around(), parallel=[("N", "N")]), "room 'front': parallel 'N', 'N'; two walls are"),
    (lambda: room([], parallel=[("N",)]), "room 'front': parallel 'N'; two walls are parallel to one"),
    (lambda: room(around(), clear_widths=[mt.ClearWidth("bath", "N", "S", 1700.0, 0.5)] * 2),
     "room 'front': 2 clear widths called 'bath'; each has its own name; rename one"),
    (lambda: room(around()[:3], diagonals=mt.Diagonals("N", 5.0, 5.0, 1.0)),
     "room 'front', diagonals: diagonals from wall 'N', and no walls all round; two diagonals say how"),
    (lambda: room(around(one_set_up=True), diagonals=mt.Diagonals("N", 5.0, 5.0, 1.0)),
     "room 'front', diagonals: diagonals, and corner 'N' – 'E', corner 'E' – 'S', corner 'S' – 'W',"),
    (lambda: room([mt.RoomCorner(*pair, angle) for pair, angle in
                   zip(("NE", "ES", "SW", "WN"), (60.0, 30.0, 240.0, 30.0), strict=True)],
                  diagonals=mt.Diagonals("N", 5.0, 5.0, 1.0)),
     "room 'front', diagonals: diagonals across corner 'S' – 'W'; diagonals lie inside a room of four inner"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "words"), ROUND, ids=[words[:48] for _, words in ROUND])
def test_corners_of_a_room(make, words):
    with pytest.raises(mt.TakeoffError) as told:
        make()
    assert str(told.value).startswith(words)
    assert all(mistake.found and mistake.rule and mistake.remedy for mistake in told.value.mistakes)


def job_with(**more) -> mt.Job:
    walls = invented(RECTANGLE)
    return job_of(walls, room(more.pop("corners", [corner_of(walls, 0)]), **more))


def square_at(**more) -> list[mt.RoomCorner]:
    said = {
        "on": "wall 0",
        "on_x_m": (3.0, 4.0),
        "x_m": (0.1, 1.0),
        "off_square_mm": (40.0, 41.0),
        "z_m": 1.0,
    }
    return [mt.RoomCorner("wall 0", "wall 1", off_square=mt.OffSquare(**{**said, **more}))]


IN_A_JOB = [
    ({"corners": [mt.RoomCorner("wall 0", "attic")]},
     "room 'front', corner 'wall 0' – 'attic': no wall called 'attic' in it; only walls of the room join"),
    ({"parallel": [("wall 0", "attic")]}, "room 'front', parallel: no wall called 'attic' in it; only walls"),
    ({"clear_widths": [mt.ClearWidth("bath", "wall 0", "attic", 1700.0, 0.5)]},
     "room 'front', clear width 'bath': no wall called 'attic' in it; only walls of the room join there"),
    ({"clear_widths": [mt.ClearWidth("bath", "wall 0", "wall 2", 1700.0, 4.5)]},
     "room 'front', clear width 'bath': at 4.5 m along 'wall 0'; it lies on the wall, 4.2"),
    ({"corners": [mt.RoomCorner("wall 0", "wall 1", triangle=mt.Triangle(3.0, 4.0, 5.0, 1.0))]},
     "room 'front', corner 'wall 0' – 'wall 1': at 4 m along 'wall 1'; it lies on the wall, 3.1"),
    ({"corners": [mt.RoomCorner("wall 0", "wall 1", triangle=mt.Triangle(1.5, 2.0, 2.5, 2.6))]},
     "room 'front', corner 'wall 0' – 'wall 1': at a height of 2.6 m; the lower of the walls is 2.4 m"),
    ({"corners": square_at(on_x_m=(3.0, 4.4))},
     "room 'front', corner 'wall 0' – 'wall 1': at 4.4 m along 'wall 0'; it lies on the wall, 4.2"),
    ({"corners": square_at(on_x_m=(0.1, 1.0))},  # the order of the walls, or x from the wrong end
     "room 'front', corner 'wall 0' – 'wall 1': read at x 0.1 and 1 m of 'wall 0', 4.2"),
    ({"corners": square_at(x_m=(2.2, 3.0))},
     "room 'front', corner 'wall 0' – 'wall 1': read at x 2.2 and 3 m of 'wall 1', 3.1"),
]  # fmt: skip


@pytest.mark.parametrize(("more", "words"), IN_A_JOB, ids=[words[14:62] for _, words in IN_A_JOB])
def test_corners_of_the_walls_of_a_job(more, words):
    with pytest.raises(mt.TakeoffError) as told:
        job_with(**more)
    assert len(told.value.mistakes) == 1
    assert str(told.value).startswith(words)


def test_diagonals_are_taped_below_the_ceiling():
    corners = [corner_of(invented(RECTANGLE), nth) for nth in range(4)]
    with pytest.raises(mt.TakeoffError, match=r"room 'front', diagonals: at a height of 2.5 m; the lower"):
        job_with(corners=corners, diagonals=mt.Diagonals("wall 0", 5.2, 5.2, 2.5))


def test_an_opening_does_not_reach_across_a_corner():
    with pytest.raises(mt.TakeoffError, match="an opening lies on its wall"):
        mt.Wall("N", 4.0, 2.4, (mt.Opening("window", 3.5, 0.9, 1.0, 1.2),))


def test_all_mistakes_of_a_room_are_told_at_once():
    with pytest.raises(mt.TakeoffError) as told:
        job_with(
            corners=[mt.RoomCorner("wall 0", "attic")], parallel=[("wall 1", "cellar")],
            clear_widths=[mt.ClearWidth("bath", "wall 0", "garden", 1700.0, 0.5)],
        )  # fmt: skip
    assert len(told.value.mistakes) == 3


def test_a_room_goes_round_in_the_order_that_its_corners_say():
    """However the walls stand in the job, and the corners in the room."""
    walls = invented(L_SHAPE)
    corners = [corner_of(walls, nth, one_set_up=True) for nth in (3, 0, 5, 1, 4, 2)]
    shuffled = [walls[nth] for nth in (2, 0, 4, 1, 5, 3)]
    planes = mt.room_planes(job_of(shuffled, room(corners)), "front")
    assert [each.wall for each in planes.corners] == [f"wall {nth}" for nth in (3, 4, 5, 0, 1, 2)]
    assert list(planes.walls) == [wall.name for wall in shuffled]
