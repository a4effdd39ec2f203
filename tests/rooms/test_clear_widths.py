"""What must remain between finished faces, held to distances between points in plan."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from invented_rooms import InventedWall, corner_of, invented, job_of, read_off_one_set_up

import mytakeoff as mt

ASKEW = ((0.0, 0.0), (4.2, 0.03), (4.26, -3.1), (-0.05, -3.02))
X_M = 1.5


def walls_of(seed: int = 4) -> list[InventedWall]:
    return read_off_one_set_up(invented(ASKEW, seed))


def away_m(wall: InventedWall, proud_mm: float, line, x_m: float = X_M) -> float:
    """From a face of a wall, square to the plane that it was measured off, to a line by two points."""
    start, run = wall.point(x_m, proud_mm), np.subtract(line[1], line[0])
    return float(np.linalg.solve(np.column_stack([wall.towards, -run]), np.subtract(line[0], start))[0])


def planes_m(walls) -> float:
    """Between the planes that the first wall and the one opposite were measured off."""
    return away_m(walls[0], 0.0, [walls[2].point(x, 0.0) for x in (0.0, 1.0)])


def found(walls, width: mt.ClearWidth, corners=None, tolerance=0.0, **more) -> mt.RoomPlanes:
    around = [corner_of(walls, nth, one_set_up=True) for nth in range(4)] if corners is None else corners
    room = mt.Room("front", corners=around, clear_widths=[width], **more)
    return mt.room_planes(job_of(walls, room), "front", tolerance)


def asked(needs_mm: float, **more) -> mt.ClearWidth:
    return mt.ClearWidth("wardrobe", "wall 0", "wall 2", needs_mm, X_M, **more)


def remains_mm(walls, planes: mt.RoomPlanes) -> float:
    """Between the finished faces, by points."""
    proud = float(planes.walls["wall 0"].at(X_M, 0.0))
    return 1000 * away_m(walls[0], proud, walls[2].finished(planes.walls["wall 2"]))


@pytest.mark.parametrize("seed", range(4))
def test_between_planes_that_were_taped(seed):
    walls = walls_of(seed)
    planes = found(walls, asked(2900.0, between_planes_mm=1000 * planes_m(walls)))
    (width,) = planes.widths
    assert width.got_mm == pytest.approx(remains_mm(walls, planes), abs=0.2)  # x opposite is by the widths
    assert width.known_mm == 2.0


@pytest.mark.parametrize("seed", range(4))
def test_without_a_distance_it_is_known_to_a_centimetre(seed):
    walls = walls_of(seed)
    planes = found(walls, asked(3100.0))
    (width,) = planes.widths
    assert width.got_mm == pytest.approx(remains_mm(walls, planes), abs=10.0)
    assert width.known_mm == 10.0
    assert width.kept is False
    assert any(
        f"wardrobe: {width.got_mm:.0f} mm remain, ± 10 mm, and it needs 3100 mm" in said
        for said in planes.notices
    )


def test_one_that_must_remain_costs_plaster_and_is_kept():
    """Alone the walls that are measured by themselves turn as they like; what must remain turns them back."""
    walls = walls_of()
    distance = 1000 * planes_m(walls)
    corners = [corner_of(walls, 0, one_set_up=True), corner_of(walls, 1, one_set_up=True)]
    free = found(walls, asked(2000.0, between_planes_mm=distance), corners, 6.0)
    got = free.widths[0].got_mm
    more = found(walls, asked(got + 0.2, between_planes_mm=distance, must=True), corners, 6.0)
    assert more.widths[0].got_mm == pytest.approx(got + 0.2, abs=1e-5)
    assert more.widths[0].kept
    assert more.volume_l > free.volume_l
    warned = found(walls, asked(got + 0.2, between_planes_mm=distance), corners, 6.0)
    assert warned.volume_l == free.volume_l
    assert warned.widths[0].kept is False


def test_walls_nearer_than_what_must_stand_between():
    walls = walls_of()
    distance = 1000 * planes_m(walls)
    got = found(walls, asked(2000.0, between_planes_mm=distance)).widths[0].got_mm
    with pytest.raises(mt.TakeoffError) as told:
        found(walls, asked(got + 60.0, between_planes_mm=distance, must=True))
    (mistake,) = told.value.mistakes
    assert mistake.place == "room 'front', clear width 'wardrobe'"
    most, less, needed = map(float, re.findall(r"[0-9.]+", mistake.found))
    assert mistake.found == f"{most} mm at most, {less} less than {needed:g} asked for"
    assert (most + less, needed) == pytest.approx((got + 60.0, got + 60.0), abs=0.11)
    assert "fits between the finished faces" in mistake.rule
    assert "ask for less" in mistake.remedy
    kept = found(walls, asked(most - 0.06, between_planes_mm=distance, must=True))
    assert kept.widths[0].got_mm >= most - 0.06 - 1e-6


def test_a_corner_between_that_is_free_leaves_it_unknown():
    walls = walls_of()
    one = [corner_of(walls, 0, one_set_up=True)]
    planes = found(walls, asked(2900.0), one)
    assert (planes.widths[0].got_mm, planes.widths[0].kept) == (None, None)
    assert any("it is not known how wall 0 and wall 2 lie to one another" in said for said in planes.notices)
    with pytest.raises(mt.TakeoffError, match="no distance known between 'wall 0' and 'wall 2'"):
        found(walls, asked(2900.0, must=True), one)
    taped = found(walls, asked(2900.0, must=True, between_planes_mm=1000 * planes_m(walls)), one)
    assert taped.widths[0].got_mm == pytest.approx(remains_mm(walls, taped), abs=3.0)


def test_walls_that_do_not_face_one_another():
    walls = walls_of()
    beside = replace(asked(2900.0), opposite="wall 1")
    with pytest.raises(mt.TakeoffError) as told:
        found(walls, beside)
    (mistake,) = told.value.mistakes
    assert mistake.found == "nothing of 'wall 1' opposite 'wall 0' at 1.5 m"
    assert mistake.place == "room 'front', clear width 'wardrobe'"


def test_walls_that_shall_be_parallel():
    """In a room open at one corner each corner may be off by the tolerance, and both ends by twice that; not
    where they shall be parallel."""
    walls = walls_of()
    corners = [corner_of(walls, nth, one_set_up=True) for nth in range(2)]
    for parallel, most in (((), 12.0), ((("wall 0", "wall 2"),), 6.0)):
        planes = found(walls, asked(2900.0), corners, 6.0, parallel=parallel)
        apart = planes.walls["wall 2"].b_mm_per_m - planes.walls["wall 0"].b_mm_per_m
        assert abs(apart) == pytest.approx(most, abs=0.01)


def test_parallel_walls_that_corners_turn_otherwise():
    walls = walls_of()
    with pytest.raises(mt.TakeoffError) as told:
        found(walls, asked(2900.0), parallel=[("wall 0", "wall 1")])
    (mistake,) = told.value.mistakes
    assert mistake.place == "room 'front', parallel"
    assert mistake.found == "'wall 0' and 'wall 1', turned by 90° at the corners between them"


def test_parallel_walls_of_which_nothing_is_known():
    walls = walls_of()
    planes = found(walls, asked(2900.0), [], parallel=[("wall 0", "wall 2")])
    assert any("wall 0 and wall 2 are not made parallel" in said for said in planes.notices)


def test_the_floor_that_the_plaster_takes():
    """Flat, plumb walls on their planes, 10 mm kept: ten millimetres all round."""
    ends = [(0.0, 0.0), (4.0, 0.0), (4.0, -3.0), (0.0, -3.0)]
    walls = [InventedWall(f"wall {n}", ends[n], ends[n - 3], behind_mm=0.0, rough_mm=0.0) for n in range(4)]
    flat = [
        mt.Survey.from_readings(mt.Wall(w.name, w.width_m, 2.4), [0, w.width_m] * 2, [0, 0, 2, 2], [0] * 4)
        for w in walls
    ]
    corners = [corner_of(walls, nth, one_set_up=True) for nth in range(4)]
    job = job_of(walls, mt.Room("front", corners=corners), flat, rails=False)
    job = replace(job, plane=replace(job.plane, least_mm=8.0))  # and 2 mm of finish
    assert mt.room_planes(job, "front").floor_lost_m2 == pytest.approx(14.0 * 0.010)
