"""Small maps side by side."""

from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree

import matplotlib.image
import numpy as np
import pytest
from drawn import check_words_apart, copied, part, words
from known_walls import NORTH, centres, leaning
from matplotlib.patches import PathPatch

from mytakeoff.charts.drawing.canvas import pdf_bytes, svg_text
from mytakeoff.charts.drawing.palette import RAMP, ramp_index
from mytakeoff.charts.maps.small_maps import (
    SmallMap,
    common_top,
    describe_small_maps,
    make,
    one,
    one_png,
    one_svg,
    small_field,
)
from mytakeoff.survey.wall import Wall


def maps(wall=NORTH):
    x_m, z_m, thickness = leaning(wall)
    return [
        SmallMap("A as it is", x_m, z_m, thickness * 0),
        SmallMap("B patch what has fallen, and skim the whole wall", x_m, z_m, thickness * 0 + 3),
        SmallMap("C straighten the hollows to the grade, and skim", x_m, z_m, np.maximum(thickness - 30, 0)),
        SmallMap("D float straight, following the lean", x_m, z_m, thickness / 2),
        SmallMap("E float plumb on rails, square to the neighbouring wall", x_m, z_m, thickness),
    ]


def wall_axes(figure, count):
    return figure.axes[:count]


WALLS = [NORTH, Wall("cheek", 0.35, 2.6), Wall("corridor", 9.5, 2.4)]


@pytest.mark.parametrize("wall", WALLS, ids=lambda wall: wall.name)
@pytest.mark.parametrize("width", [360, 640, 980])
@pytest.mark.parametrize("count", [1, 5])
def test_words_keep_apart_and_each_map_has_true_proportions(wall, width, count):
    figure = make(wall, maps(wall)[:count], width_px=width)
    check_words_apart(figure)
    boxes = [axes.get_window_extent() for axes in wall_axes(figure, count)]
    for box in boxes:
        assert box.width / box.height == pytest.approx(wall.width_m / wall.height_m, rel=1e-6)
        assert box.size == pytest.approx(boxes[0].size)
    for index, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[index + 1 :])


def test_the_titles_are_there_in_full():
    said = " ".join(words(make(NORTH, maps())))
    assert all(each.title in said for each in maps())
    assert "thickness of plaster, mm" in said
    assert "hatched: not priced" in said


def test_all_maps_share_one_scale():
    figure = make(NORTH, maps())
    top = common_top(maps())
    assert top == 60.0
    for small, axes in zip(maps(), wall_axes(figure, 5), strict=True):
        drawn = axes.images[0].get_array()
        row, column = 25, 83
        expected = RAMP[ramp_index(small.thickness_mm[row, column], top)]
        near = RAMP[max(int(ramp_index(small.thickness_mm[row, column], top)) - 1, 0) :][:3].tolist()
        assert drawn[row, column, :3].tolist() in [*near, expected.tolist()]
    assert figure.axes[5].get_xlim() == (0, top)


def test_a_given_top_is_kept():
    assert make(NORTH, maps()[:1], ramp_top_mm=80.0).axes[1].get_xlim() == (0, 80)


def test_openings_are_paper_and_the_unpriced_corner_is_hatched():
    small = maps()[4]
    figure = one(NORTH, small, 60.0, width_px=420)
    axes = figure.axes[0]
    (hatched,) = (each for each in axes.patches if isinstance(each, PathPatch))
    assert hatched.get_path().get_extents().bounds == pytest.approx((3.8, 2.2, 0.4, 0.4), abs=1e-9)
    light = copied(figure)
    assert part(light, axes, 0.45, 1.25, 0.1, 2.0).min() > 99
    unpriced = part(light, axes, 3.82, 4.18, 2.22, 2.55)
    assert unpriced.min() < 30
    assert unpriced.max() > 99


def test_on_a_copy_thick_and_thin_can_be_told_apart():
    figure = one(NORTH, maps()[4], 60.0, width_px=420)
    light = copied(figure)
    axes = figure.axes[0]
    strips = [part(light, axes, x, x + 0.1, 2.2, 2.5).mean() for x in (0.1, 1.0, 2.0, 3.0, 3.6)]
    assert (np.diff(strips) < -8).all()


def test_large_fields_are_thinned_out_without_losing_the_thickest():
    rows, columns = 600, 1001
    thickness = np.full((rows, columns), 5.0)
    thickness[300, 777] = 33.0
    wall = Wall("long", 5.0, 3.0)
    small = SmallMap("A", centres(5.0, columns), centres(3.0, rows), thickness)
    field = small_field(wall, small, 160.0)
    assert field.codes.shape[1] <= 320
    assert np.nanmax(field.thickness_mm) == 33.0
    _, column = np.unravel_index(int(np.nanargmax(field.thickness_mm)), field.codes.shape)
    left, right, _, _ = field.extent_m
    place = left + (column + 0.5) * (right - left) / field.codes.shape[1]
    assert place == pytest.approx(777.5 * 5 / columns, abs=(right - left) / field.codes.shape[1])
    assert left == pytest.approx(0, abs=1e-9)


def test_one_map_for_a_row_of_a_table():
    png = matplotlib.image.imread(BytesIO(one_png(NORTH, maps()[3], 60.0, 160)))
    assert png.shape[1] == 320
    assert png.shape[1] / png.shape[0] == pytest.approx(4.2 / 2.6, rel=0.02)
    drawing = one_svg(NORTH, maps()[3], 60.0)
    assert ElementTree.fromstring(drawing).get("aria-label", "").startswith("Wall north, D float straight")
    assert "currentColor" in drawing


def test_the_same_maps_give_the_same_bytes():
    assert svg_text(make(NORTH, maps()), "s") == svg_text(make(NORTH, maps()), "s")
    assert pdf_bytes(make(NORTH, maps())) == pdf_bytes(make(NORTH, maps()))


def test_the_words_say_the_same():
    said = describe_small_maps(NORTH, maps())
    assert "A as it is: no plaster." in said
    assert "E float plumb on rails, square to the neighbouring wall: plaster on 100 %" in said
    assert "thickest 47 mm" in said
    nothing = SmallMap("F", *leaning()[:2], np.full((52, 84), np.nan))
    assert describe_small_maps(NORTH, [nothing]) == "Wall north, F: nothing is priced."
