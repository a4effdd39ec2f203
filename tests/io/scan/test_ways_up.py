"""A scan whose way up nothing tells: said, and picked by the wall's size where that is known."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from clouds import rectangle, write_ply
from places import MEASURED
from plyfile import PlyData

import mytakeoff as mt


def on_its_side(folder: Path) -> Path:
    """What a camera on its side sees of a wall, 3 m wide and 1.9 high: its x runs up."""
    random = np.random.default_rng(1)
    points = rectangle(random, (-0.95, -1.5, 2.5), (1.9, 0, 0), (0, 3.0, 0), 900)
    return write_ply(folder / "frame.ply", points + random.normal(0, 0.003, points.shape))


def test_a_script_is_told_of_every_way_up_that_comes_into_question(tmp_path):
    path = on_its_side(tmp_path)
    (found,) = mt.find_walls(path, unit="m")
    assert set(found.ways_up) == {"x", "-x", "-y"}
    assert (found.wall.width_m, found.wall.height_m) == pytest.approx((3.0, 1.9), abs=0.05)
    (note,) = [note for note in found.notes if "taken as up" in note]
    assert "Nothing in it tells that from" in note
    assert re.search(r"so it is 1\.\d+ high and 2\.9\d long, with -y up 2\.9\d high and 1\.\d+ long", note)
    (said,) = mt.find_walls(path, unit="m", up="-y")
    assert said.ways_up == ("-y",)
    assert (said.wall.width_m, said.wall.height_m) == pytest.approx((1.9, 3.0), abs=0.05)
    assert not any("taken as up" in note for note in said.notes)


@pytest.mark.parametrize(("size", "up"), [((3.0, 1.9), "x"), ((1.9, 3.0), "-y")])
def test_the_wall_that_was_measured_tells_which_way_is_up(tmp_path, size, up):
    survey = mt.read_survey(on_its_side(tmp_path), mt.Wall("A", *size))
    assert (survey.x_m.max(), survey.z_m.max()) == pytest.approx(size, abs=0.05)
    assert any(f"the scan's {up} axis, by the wall's height" in note for note in survey.notes)


@pytest.mark.skipif(not MEASURED.is_dir(), reason="the measured surfaces are not beside this checkout")
@pytest.mark.parametrize("order", [(0, 1, 2), (1, 0, 2), (2, 1, 0)])
def test_a_measured_frame_is_never_taken_one_way_in_silence(tmp_path, order):
    # as it stands in the file its y points down; in another order its axes may as well lie on their side
    vertex = PlyData.read(MEASURED / "kinect_back_wall.ply")["vertex"]
    points = np.column_stack([vertex["x"], vertex["y"], vertex["z"]]).astype(float)
    found = mt.find_walls(write_ply(tmp_path / "a.ply", points[:, order]), unit="m")[0]
    upright = "xyz"[order.index(1)]
    assert upright in {way.strip("-") for way in found.ways_up}
    assert (len(found.ways_up) == 1) is (order == (0, 1, 2))
    assert found.wall.width_m > found.wall.height_m
