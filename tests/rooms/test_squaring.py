"""What squareness costs and gains: held to `evaluate` of both jobs, and to the planes with and without it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from invented_rooms import corner_of, invented, job_of, read_off_one_set_up

import mytakeoff as mt
from mytakeoff.job.edits import with_plane
from mytakeoff.options.compare import SQUARE_IN_ROOM
from mytakeoff.panels.options_panel.squared import told_steps
from mytakeoff.resources import demo_folder
from mytakeoff.treatment.squaring import Squaring, squaring, tolerance_saves
from mytakeoff.treatment.unit_prices import fill_price_per_l

ASKEW = ((0.0, 0.0), (4.2, 0.03), (4.26, -3.1), (-0.05, -3.02))
WALLS = read_off_one_set_up(invented(ASKEW, 2))
CORNERS = tuple(corner_of(WALLS, nth, one_set_up=True) for nth in range(4))
WARDROBE = mt.ClearWidth("wardrobe", "wall 0", "wall 2", 3000.0, 2.0)


@pytest.fixture(scope="module")
def job() -> mt.Job:
    room = mt.Room("front", corners=CORNERS, clear_widths=(WARDROBE,))
    return replace(job_of(WALLS, room), missed_high_spot_mm=0.0)


@pytest.fixture(scope="module")
def found(job: mt.Job) -> Squaring:
    squared = squaring(job, "front")
    assert squared is not None
    return squared


def test_litres_are_those_of_both_jobs(job, found):
    square, plumb = (mt.evaluate(with_plane(job, kind=kind)) for kind in ("room", "plumb"))
    assert found.planes.costs_l == pytest.approx(square.volume_l - plumb.volume_l, abs=2e-3)
    assert found.by_itself.volume_l == pytest.approx(plumb.volume_l, abs=2e-3)
    for wall in plumb.walls:
        plane = found.by_itself.walls[wall.entry.name]
        assert plane.b_mm_per_m == pytest.approx(wall.plane.b_mm_per_m, abs=1e-5)


def test_money_is_what_the_litres_cost_to_fill(job, found):
    each = fill_price_per_l(job, job.system.backing, job.waste_share)
    assert found.price == pytest.approx(each * found.planes.costs_l)
    for corner in found.corners:
        assert corner.alone_price == pytest.approx(each * corner.square.alone_l)
        assert corner.price == pytest.approx(each * corner.square.costs_l)
    saves = tolerance_saves(job, found)
    assert [save.litres for save in saves] == pytest.approx(
        mt.priced_tolerance(job, "front", [save.tolerance_mm_per_m for save in saves])
    )
    assert [save.price for save in saves] == pytest.approx([each * save.litres for save in saves])


def test_widths_and_floor_are_told_both_ways(job, found):
    [(square, alone)] = found.widths
    assert (square.kept, alone.kept) == (False, True)
    assert found.floor_lost_m2 == pytest.approx(
        found.planes.costs_l / 1000 / 2.4, rel=0.02
    )  # walls are 2.4 m high


def test_a_width_that_must_remain_is_kept_and_told(job):
    narrow = replace(WARDROBE, needs_mm=2980.0, must=True)
    kept = replace(job, rooms=(replace(job.rooms[0], clear_widths=(narrow,)),))
    notices = mt.evaluate(with_plane(kept, kind="room")).notices
    assert any(re.search(r"wardrobe: \d+ mm remain, ± 10 mm, and it needs 2980 mm", said) for said in notices)


def test_the_estimator_reads_litres_and_the_client_none(job):
    done = [mt.option_result(job, way) for way in mt.options_of(job) if way.kind == "float plumb"]
    *_, estimators = told_steps(job, done, "estimator")
    *_, clients = told_steps(job, done, "client")
    assert "asked for alone, litres more" in estimators
    assert not re.search(r"\bl\b|litre|saves|less|to fill", clients)
    square = next(option for option in done if option.name == SQUARE_IN_ROOM.name)
    for told in (estimators, clients):
        assert job.formats.amount(square.total, 0) in told
        assert "10.1 mm a metre too wide" in told
        assert "90.00°, exact" in told


def test_a_job_without_corners_says_what_to_do(job):
    bare = replace(job, rooms=(mt.Room("front"),))
    assert SQUARE_IN_ROOM not in mt.options_of(bare)
    *_, told = told_steps(bare, (), "client")
    assert "No corner of a room was measured" in told


@pytest.fixture(scope="module")
def front() -> mt.Job:
    return mt.open_job(demo_folder())


class TestTheDemo:
    def test_its_front_room_comes_square(self, front) -> None:
        result, planes = mt.evaluate(with_plane(front, kind="room")), mt.room_planes(front, "front room")
        for name, plane in planes.walls.items():
            assert result.wall(name).plane.b_mm_per_m == pytest.approx(plane.b_mm_per_m, abs=1e-5)
        assert [each.off_mm_per_m for each in planes.corners] == pytest.approx([0.0] * 4, abs=1e-6)
        found = squaring(front, "front room")
        assert found is not None
        party = found.corners[-1]  # measured by a square, within 3 mm/m
        assert (party.square.wall, party.square.next_wall) == ("party wall", "window wall")
        assert abs(party.by_itself.off_mm_per_m) > 3
        assert 0 < party.square.sd_mm_per_m < 3
        [(square, _)] = found.widths
        assert square.kept

    def test_plumb_it_is_priced_as_ever(self, front) -> None:
        bare = replace(front, rooms=tuple(mt.Room(r.name, r.floor_area_m2, r.storey) for r in front.rooms))
        assert mt.evaluate(front).cost.total == mt.evaluate(bare).cost.total
