"""Small maps on one scale."""

from __future__ import annotations

import numpy as np
import pytest
from drawn import check_words_apart, copied, part, words
from known_walls import NORTH, centres, leaning
from matplotlib.patches import PathPatch

from mytakeoff.charts.drawing.canvas import new_figure, png_bytes
from mytakeoff.charts.drawing.palette import RAMP, ramp_index
from mytakeoff.charts.maps.small_maps import (
    SmallMap,
    common_top,
    describe_small_maps,
    draw_key,
    draw_small,
    size_px,
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


def drawn(wall, small, top_mm=60.0, width_px=420.0):
    """One map alone."""
    across, up = size_px(wall, width_px, width_px)
    figure = new_figure(across + 2, up + 2)
    draw_small(figure, wall, small, top_mm, (1, 1, across, up))
    return figure


@pytest.mark.parametrize(
    "wall", [NORTH, Wall("cheek", 0.35, 2.6), Wall("corridor", 9.5, 2.4)], ids=lambda wall: wall.name
)
def test_each_map_has_true_proportions_and_ends_where_the_wall_does(wall):
    axes = drawn(wall, maps(wall)[4]).axes[0]
    box = axes.get_window_extent()
    assert box.width / box.height == pytest.approx(wall.width_m / wall.height_m, rel=1e-6)
    assert (axes.get_xlim(), axes.get_ylim()) == ((0, wall.width_m), (0, wall.height_m))


@pytest.mark.parametrize(("unknown", "room_px"), [(False, 900.0), (True, 900.0), (True, 300.0)])
def test_the_key_says_what_colours_and_hatching_mean_where_there_is_room(unknown, room_px):
    figure = new_figure(room_px + 20, 80)
    draw_key(figure, 10, 10, 80.0, unknown, room_px)
    check_words_apart(figure)
    said = " ".join(words(figure))
    assert "thickness of plaster, mm" in said
    assert ("hatched: not priced" in said) == (unknown and room_px > 300)
    assert figure.axes[0].get_xlim() == (0, 80)


def test_all_maps_share_one_scale():
    top = common_top(maps())
    assert top == 60.0
    for small in maps():
        shown = drawn(NORTH, small, top).axes[0].images[0].get_array()
        row, column = 25, 83
        expected = RAMP[ramp_index(small.thickness_mm[row, column], top)]
        near = RAMP[max(int(ramp_index(small.thickness_mm[row, column], top)) - 1, 0) :][:3].tolist()
        assert shown[row, column, :3].tolist() in [*near, expected.tolist()]


def test_openings_are_paper_and_the_unpriced_corner_is_hatched():
    figure = drawn(NORTH, maps()[4])
    axes = figure.axes[0]
    (hatched,) = (each for each in axes.patches if isinstance(each, PathPatch))
    assert hatched.get_path().get_extents().bounds == pytest.approx((3.8, 2.2, 0.4, 0.4), abs=1e-9)
    light = copied(figure)
    assert part(light, axes, 0.45, 1.25, 0.1, 2.0).min() > 99
    unpriced = part(light, axes, 3.82, 4.18, 2.22, 2.55)
    assert unpriced.min() < 30
    assert unpriced.max() > 99


def test_on_a_copy_thick_and_thin_can_be_told_apart():
    figure = drawn(NORTH, maps()[4])
    light = copied(figure)
    axes = figure.axes[0]
    strips = [part(light, axes, x, x + 0.1, 2.2, 2.5).mean() for x in (0.1, 1.0, 2.0, 3.0, 3.6)]
    assert (np.diff(strips) < -8).all()


@pytest.mark.parametrize("value", [np.nan, 0.0, 12.0])
def test_even_and_empty_fields_are_drawn(value):
    wall = Wall("small", 1.0, 1.0)
    small = SmallMap("A", centres(1.0, 4), centres(1.0, 4), np.full((4, 4), value))
    assert png_bytes(drawn(wall, small, 10.0), dpi=50).startswith(b"\x89PNG")


def test_drawing_leaves_no_figure_behind():
    from matplotlib import pyplot

    drawn(NORTH, maps()[4])
    assert pyplot.get_fignums() == []


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


def test_the_words_say_the_same():
    said = describe_small_maps(NORTH, maps())
    assert "A as it is: no plaster." in said
    assert "E float plumb on rails, square to the neighbouring wall: plaster on 100 %" in said
    assert "thickest 47 mm" in said
    nothing = SmallMap("F", *leaning()[:2], np.full((52, 84), np.nan))
    assert describe_small_maps(NORTH, [nothing]) == "Wall north, F: nothing is priced."
