"""A job whose walls come square in their room: held to the planes of the room, and to what is asked."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from invented_rooms import corner_of, inside_deg, invented, job_of, read_off_one_set_up

import mytakeoff as mt
from mytakeoff.job.edits import with_margins, with_plane, with_price
from mytakeoff.job.treatments import PATCH, Treatment
from mytakeoff.plane import planes_together as solver
from mytakeoff.rooms import together
from mytakeoff.treatment import room_planes as stages
from mytakeoff.treatment.left_open import fingerprint

# A room whose rough corners are anything but square, to about 20 mm over a metre.
ASKEW = ((0.0, 0.0), (4.2, 0.03), (4.26, -3.1), (-0.05, -3.02))
WALLS = read_off_one_set_up(invented(ASKEW, 2))
CORNERS = [corner_of(WALLS, nth, one_set_up=True) for nth in range(4)]


def room_job(corners=tuple(CORNERS), **more) -> mt.Job:
    """The room, plumb and free to turn, with nothing priced for what lies between the readings."""
    job = job_of(WALLS, mt.Room("front", corners=corners, **more))
    return replace(job, missed_high_spot_mm=0.0)


def squared(job: mt.Job, **plane) -> mt.Job:
    return with_plane(job, kind="room", **plane)


@pytest.mark.parametrize("tolerance", [0.0, 4.0])
def test_the_walls_of_a_job_stand_on_the_planes_of_the_room(tolerance):
    job = squared(room_job(), corner_tolerance_mm_per_m=tolerance)
    result, planes = mt.evaluate(job), mt.room_planes(job, "front", tolerance)
    for wall in result.walls:
        name = wall.entry.name
        assert wall.plane.b_mm_per_m == pytest.approx(planes.walls[name].b_mm_per_m, abs=1e-5)
        assert wall.plane.a_mm == pytest.approx(planes.walls[name].a_mm, abs=1e-4)
        assert wall.build_up.volume_l == pytest.approx(planes.litres[name], abs=1e-3)
        assert wall.plane.c_mm_per_m == 0
    assert result.volume_l == pytest.approx(planes.volume_l, abs=1e-3)
    for nth in range(4):  # by points in plan
        pair = WALLS[nth], WALLS[(nth + 1) % 4]
        got = inside_deg(*(wall.finished(result.wall(wall.name).plane) for wall in pair))
        assert abs(1000 * math.radians(got - 90.0)) <= tolerance + 1e-4


def test_plumb_is_as_it_was_and_square_takes_more():
    job = room_job()
    plumb, square = mt.evaluate(job), mt.evaluate(squared(job))
    alone = mt.evaluate(replace(job, rooms=(mt.Room("front"),)))
    assert [wall.plane for wall in plumb.walls] == [wall.plane for wall in alone.walls]
    planes = mt.room_planes(job, "front")
    assert plumb.volume_l == pytest.approx(planes.separate_l, abs=1e-3)
    assert square.volume_l - plumb.volume_l == pytest.approx(planes.costs_l, abs=2e-3)
    assert square.volume_l > plumb.volume_l + 1


def test_a_wall_without_a_corner_is_plumb_and_free_to_turn_and_that_is_said():
    job = squared(room_job(tuple(CORNERS[:1])))
    result, plumb = mt.evaluate(job), mt.evaluate(with_plane(job, kind="plumb"))
    for name in ("wall 2", "wall 3"):
        assert result.wall(name).rule == plumb.wall(name).rule
    assert result.wall("wall 0").rule.turn_mm_per_m is not None
    assert "front: wall 2 and wall 3 stand by themselves: no corner there is known." in result.notices


def test_a_room_without_corners_is_plumb_and_that_is_said():
    job = room_job(())
    result = mt.evaluate(squared(job))
    assert [wall.plane for wall in result.walls] == [wall.plane for wall in mt.evaluate(job).walls]
    assert any(said.startswith("front: nothing comes square there") for said in result.notices)


def test_a_wall_priced_alone_keeps_its_plane_in_the_room():
    job = squared(room_job())
    whole, alone = mt.evaluate(job), mt.evaluate(replace(job, only=("wall 1",)))
    assert alone.wall("wall 1").rule == whole.wall("wall 1").rule


def test_a_wall_that_is_patched_takes_no_part():
    job = squared(room_job())
    walls = tuple(
        replace(wall, treatment=Treatment("patch", PATCH)) if wall.name == "wall 1" else wall
        for wall in job.walls
    )
    job = replace(job, walls=walls)
    result, planes = mt.evaluate(job), mt.room_planes(job, "front")
    assert "front: wall 1 takes no part: it is treated in a way of its own." in result.notices
    assert list(planes.walls) == ["wall 0", "wall 2", "wall 3"]
    assert not result.wall("wall 1").floated
    assert result.wall("wall 0").plane.b_mm_per_m == pytest.approx(
        planes.walls["wall 0"].b_mm_per_m, abs=1e-5
    )


def test_nothing_is_taken_down_and_that_is_said():
    job = squared(room_job(), cut_mm=5.0)
    result = mt.evaluate(job)
    assert all(wall.build_up.cut_l == 0 for wall in result.walls)
    assert "front: Nothing is taken down where the walls of a room come square together." in result.notices
    bare = mt.evaluate(squared(room_job()))
    assert result.volume_l == pytest.approx(bare.volume_l, abs=1e-6)
    assert [wall.notices for wall in result.walls] == [wall.notices for wall in bare.walls]


def test_a_width_that_cannot_remain_is_refused_once():
    width = mt.ClearWidth("wardrobe", "wall 0", "wall 2", 3090.0, 2.0, must=True)
    with pytest.raises(mt.TakeoffError) as refused:
        mt.evaluate(squared(room_job(clear_widths=(width,))))
    assert len(refused.value.mistakes) == 1
    assert "clear width 'wardrobe'" in str(refused.value)


def test_prices_move_no_plane_and_a_wall_moves_its_room_alone(monkeypatch):
    job = squared(room_job())
    mt.evaluate(job)
    calls = []
    solve = solver.lowest_together
    monkeypatch.setattr(together, "lowest_together", lambda *given: calls.append(1) or solve(*given))
    outlines = stages.outline_stage.cache_info().misses
    mt.evaluate(with_price(job, "plasterer", Decimal("51.37")))
    mt.evaluate(with_margins(replace(job, waste_share=0.137), tax_share=0.07))
    mt.evaluate(replace(job, only=("wall 1",)))
    assert not calls
    assert stages.outline_stage.cache_info().misses == outlines
    mt.evaluate(with_plane(job, corner_tolerance_mm_per_m=1.37))
    assert len(calls) == 1
    assert stages.outline_stage.cache_info().misses == outlines
    mt.evaluate(with_plane(job, least_mm=7.37))
    assert len(calls) == 2
    assert stages.outline_stage.cache_info().misses == outlines + 4


def test_what_lies_between_the_readings_follows_the_turn_that_neighbours_give():
    job = replace(room_job(), missed_high_spot_mm=None)
    exact, loose = (squared(job, corner_tolerance_mm_per_m=each) for each in (0.0, 6.0))
    marks = [[fingerprint(each, wall) for wall in mt.evaluate(each).walls] for each in (job, exact, loose)]
    assert all(len({*of_wall}) == 3 for of_wall in zip(*marks, strict=True))
    again = squared(replace(job, rooms=(replace(job.rooms[0], floor_area_m2=9.0),)))
    assert [fingerprint(again, wall) for wall in mt.evaluate(again).walls] == marks[1]


def test_square_in_the_room_is_a_way_of_floating_plumb():
    way = Treatment("square", "float plumb", in_room=True)
    assert mt.option_result(room_job(), way).total == mt.evaluate(squared(room_job())).cost.total
    for wrong in ({"square": True}, {"take_down": True}, {"kind": PATCH}):
        with pytest.raises(mt.TakeoffError, match="square"):
            replace(way, **wrong)
