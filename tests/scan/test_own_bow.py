"""Rooms scanned by an invented instrument whose bow is known, and rooms whose walls are bowed themselves."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from bent_rooms import room, seen_by
from clouds import write_e57, write_ply
from places import MEASURED

import mytakeoff as mt
from mytakeoff import TakeoffError

here = pytest.mark.skipif(not MEASURED.is_dir(), reason="the measured surfaces are not beside this checkout")


def found(tmp_path: Path, points: np.ndarray):
    return mt.find_walls(write_ply(tmp_path / "room.ply", points), unit="m")


@pytest.mark.parametrize("mm", [60.0, -25.0])
@pytest.mark.parametrize(
    ("angle", "faces"),
    [
        ("above level", (0, 1, 2, 3)),
        ("from the perpendicular", (0, 1, 2, 3)),
        ("from the perpendicular", (0, 3)),
        ("from the line of sight", (1, 3)),
    ],
)
def test_a_bow_on_all_walls_of_a_station_is_named_and_taken_out(tmp_path, angle, faces, mm):
    walls = found(tmp_path, seen_by(room(faces=faces), angle, mm))
    assert len(walls) == len(faces)
    for wall in walls:
        assert wall.own_bow is not None
        assert wall.own_bow.shared
        assert wall.own_bow.angle == angle
        assert wall.own_bow.mm_per_rad2 == pytest.approx(mm, rel=0.1)
        survey = wall.without_bow().survey()
        assert survey.scan.bow_out
        assert any("were taken out" in note for note in survey.notes)
        left = mt.grid_surface(survey, 0.1)
        assert np.nanstd(left.proud_mm) < 0.7  # the walls are true
        bent = np.nanstd(mt.grid_surface(wall.survey(), 0.1).proud_mm)
        assert bent > 2.0 * np.nanstd(left.proud_mm)
        assert wall.without_bow().bow_mm < 0.3 * wall.bow_mm


@pytest.mark.parametrize(
    "bowed_mm", [{0: 20.0}, {1: -15.0}, {0: 20.0, 2: 12.0}, {0: 20.0, 1: -15.0, 2: 8.0, 3: -4.0}, {}]
)
def test_bows_of_the_walls_themselves_are_not_taken_for_the_instruments(tmp_path, bowed_mm):
    walls = found(tmp_path, seen_by(room(bowed_mm), "above level", 0.0))
    assert len(walls) == 4
    for wall in walls:
        assert wall.own_bow is None or not wall.own_bow.shared
        assert wall.bow_mm == 0.0
    with pytest.raises(TakeoffError, match="stand differently are bent alike"):
        walls[0].without_bow()


def test_a_bowed_wall_beside_the_instruments_bow_keeps_its_own(tmp_path):
    """The instrument's part of it goes, the wall's 8 mm stay."""
    walls = found(tmp_path, seen_by(room({2: 8.0}), "above level", 60.0))
    [bowed] = [wall for wall in walls if wall.found.frame.out[0] > 0.9]
    survey = bowed.without_bow().survey()
    surface = mt.grid_surface(survey, 0.1)
    middle = np.nanmean(surface.proud_mm[:, 23:27])
    ends = np.nanmean(surface.proud_mm[:, [1, 2, -3, -2]])
    assert middle - ends == pytest.approx(8.0 * 0.9, abs=1.0)  # the ends are read 0.15 m inside


def test_one_wall_alone_may_be_bent_by_the_instrument_and_that_is_all(tmp_path):
    [wall] = found(tmp_path, seen_by(room(faces=(1,)), "from the perpendicular", 60.0))[:1]
    assert not wall.own_bow.shared
    survey = wall.survey()
    assert any("one wall alone cannot tell" in note for note in survey.notes)
    surface = mt.grid_surface(survey, 0.1)
    assert surface.bow_mm == survey.bow_mm == pytest.approx(wall.own_bow.over_mm)
    [said] = [notice for notice in surface.notices if "Nothing below" in notice]
    assert f"a bow of {surface.bow_mm:.1f} mm over the wall may be the instrument's own" in said


def test_seen_from_behind_it_is_the_same_bow(tmp_path):
    wall = found(tmp_path, seen_by(room(), "above level", 60.0))[0]
    here_, there = wall.without_bow(), wall.other_side().without_bow()
    front, back = (mt.grid_surface(each.survey(), 0.1).proud_mm for each in (here_, there))
    assert np.nanmax(np.abs(front)) < 3.0
    assert np.nanmax(np.abs(back)) < 3.0


def test_several_stations_in_one_file_tell_nothing_of_one_of_them(tmp_path):
    points = seen_by(room(), "above level", 60.0)
    half, still = len(points) // 2, (1.0, 0.0, 0.0, 0.0)
    path = tmp_path / "two.e57"
    write_e57(path, (points[:half], still, (0.0, 0, 0)), (points[half:] - [1.0, 0, 0], still, (1.0, 0, 0)))
    assert all(wall.own_bow is None for wall in mt.find_walls(path))


@here
@pytest.mark.parametrize(
    ("name", "least_mm", "angle"),
    [("scan1_wall_y.xyz", 30.0, "above level"), ("kinect_back_wall.ply", 20.0, "from the perpendicular")],
)
def test_measured_walls_that_are_bent_about_the_instrument_say_so(name, least_mm, angle):
    (wall,) = mt.find_walls(MEASURED / name, unit="m", up="-y" if "kinect" in name else "z")
    assert not wall.own_bow.shared
    assert wall.own_bow.angle == angle
    assert wall.bow_mm > least_mm


def test_a_unit_in_which_the_wall_is_a_field_is_refused_before_its_cells_are_laid_out(tmp_path):
    points = 100.0 * seen_by(room(), "above level", 0.0)  # in centimetres: 60 million cells of 5 cm a wall
    tracemalloc.start()
    try:
        with pytest.raises(TakeoffError, match=r"in m the largest wall is .*say another unit"):
            found(tmp_path, points)
        assert tracemalloc.get_traced_memory()[1] < 200e6
    finally:
        tracemalloc.stop()
