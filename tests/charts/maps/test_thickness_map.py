"""The thickness map on paper and in words."""

from __future__ import annotations

from io import BytesIO

import matplotlib.image
import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from known_walls import NORTH, centres, leaning
from matplotlib.contour import ContourSet
from matplotlib.patches import PathPatch

from mytakeoff.charts.drawing.canvas import pdf_bytes, pixels, png_bytes, svg_text
from mytakeoff.charts.drawing.field import field_of
from mytakeoff.charts.drawing.frame import narrow_frame, wide_frame
from mytakeoff.charts.drawing.palette import RAMP
from mytakeoff.charts.drawing.png import png_of
from mytakeoff.charts.maps.coat_edges import CoatDepths
from mytakeoff.charts.maps.thickness_map import describe, figure, letter_places
from mytakeoff.survey.wall import Wall

TOUCHES = [("A", 0.2, 0.1), ("B", 4.15, 1.2)]


def pixel_at(drawn: np.ndarray, frame, x_m: float, z_m: float) -> tuple[int, ...]:
    left, bottom, across, up = frame.box
    height, width = drawn.shape[:2]
    column = int((left + across * x_m / frame.wall.width_m) * width)
    row = int((1 - bottom - up * z_m / frame.wall.height_m) * height)
    return tuple(int(value) for value in drawn[row, column, :3])


@pytest.mark.parametrize("sheet", [wide_frame, narrow_frame])
def test_a_cell_has_the_colour_of_its_millimetres(sheet):
    x_m, z_m, thickness = leaning()
    frame = sheet(NORTH, 60.0)
    drawn = pixels(figure(NORTH, x_m, z_m, thickness, frame=frame))
    for at in ((0.225, 2.3), (1.725, 1.525), (3.775, 0.325)):
        millimetres = 5 + 10 * at[0]
        # The cell may be half a pixel away from its place: 0.025 m is 0.25 mm, one step of the ramp.
        near = RAMP[max(int(millimetres / 60 * 255) - 2, 0) : int(millimetres / 60 * 255) + 4].tolist()
        assert list(pixel_at(drawn, frame, *at)) in near
    assert pixel_at(drawn, frame, 0.55, 0.3) == (255, 255, 255)


def test_paper_and_screen_use_the_same_box():
    x_m, z_m, thickness = leaning()
    sheet = figure(NORTH, x_m, z_m, thickness, ramp_top_mm=60.0)
    frame = wide_frame(NORTH, 60.0)
    assert sheet.axes[0].get_position().bounds == pytest.approx(frame.box, abs=1e-12)
    assert sheet.axes[0].get_xlim() == (0, 4.2)
    assert sheet.axes[0].get_ylim() == (0, 2.6)
    assert tuple(sheet.bbox.size) == pytest.approx((frame.width_px, frame.height_px))


def test_coat_edges_stand_where_the_thickness_passes_them():
    wall = Wall("wedge", 4.0, 2.0)
    x_m, z_m = centres(4.0, 80), centres(2.0, 40)
    sheet = figure(wall, x_m, z_m, np.tile(10 * x_m, (40, 1)), coats=CoatDepths(12.0, finish_mm=3.0))
    lines = next(part for part in sheet.axes[0].get_children() if isinstance(part, ContourSet))
    # 10 mm a metre: the finish alone ends at 3 mm, the coats at 15 and 27 and 39 mm.
    for path, place in zip(lines.get_paths(), (0.3, 1.5, 2.7, 3.9), strict=True):
        assert path.vertices[:, 0] == pytest.approx(place, abs=0.001)


def test_places_not_priced_are_hatched_and_no_others():
    x_m, z_m, thickness = leaning()
    sheet = figure(NORTH, x_m, z_m, thickness)
    (hatched,) = (part for part in sheet.axes[0].patches if isinstance(part, PathPatch))
    assert hatched.get_hatch()
    bounds = hatched.get_path().get_extents().bounds
    assert bounds == pytest.approx((3.8, 2.2, 0.4, 0.4), abs=1e-9)


def test_figure_saves_as_png_svg_and_pdf():
    x_m, z_m, thickness = leaning()
    sheet = figure(NORTH, x_m, z_m, thickness, touches=TOUCHES, coats=CoatDepths(20.0))
    assert png_bytes(sheet).startswith(b"\x89PNG")
    assert pdf_bytes(sheet).startswith(b"%PDF")
    assert ">window</text>" in svg_text(sheet)


def test_drawing_leaves_no_figure_behind():
    from matplotlib import pyplot

    x_m, z_m, thickness = leaning()
    for _ in range(3):
        figure(NORTH, x_m, z_m, thickness, touches=TOUCHES)
    assert pyplot.get_fignums() == []


@pytest.mark.parametrize("value", [np.nan, 0.0, 12.0])
def test_even_and_empty_fields_are_drawn(value):
    wall = Wall("small", 1.0, 1.0)
    sheet = figure(wall, centres(1.0, 4), centres(1.0, 4), np.full((4, 4), value), coats=CoatDepths(10.0))
    assert png_bytes(sheet, dpi=50).startswith(b"\x89PNG")


@given(st.lists(st.tuples(st.floats(0, 600), st.floats(0, 300)), min_size=1, max_size=5))
@example([(0.0, 0.0), (600.0, 300.0), (0.0, 300.0), (600.0, 0.0)])
def test_letters_stay_on_the_wall_and_beside_their_spots(spots):
    places = letter_places(spots, 600.0, 300.0)
    for (x, y), (u, v) in zip(spots, places, strict=True):
        assert 0 < u < 600
        assert 0 < v < 300
        assert 10 < np.hypot(u - x, v - y) < 20


def test_letters_of_close_high_spots_do_not_cover_each_other():
    places = letter_places([(20.0, 20.0), (30.0, 45.0), (21.0, 60.0)], 600.0, 300.0)
    for index, (u, v) in enumerate(places):
        assert all(abs(u - s) > 12 or abs(v - t) > 14 for s, t in places[index + 1 :])


def test_words_say_what_the_map_shows():
    x_m, z_m, thickness = leaning()
    said = describe(NORTH, field_of(NORTH, x_m, z_m, thickness), TOUCHES)
    assert "from 5 mm at x 0.03 m" in said
    assert "to 47 mm at x 4.18 m" in said
    assert "Not plastered: door, window." in said
    assert "Hatched places are not priced" in said
    assert said.endswith("A at x 0.20 m, z 0.10 m; B at x 4.15 m, z 1.20 m.")


def test_words_say_when_nothing_is_priced():
    wall = Wall("blank", 1.0, 1.0)
    assert "nothing is priced" in describe(
        wall, field_of(wall, centres(1, 2), centres(1, 2), np.full((2, 2), np.nan))
    )


def test_own_png_reads_back_with_another_reader():
    rgb = np.random.default_rng(3).integers(0, 256, (7, 5, 3), dtype=np.uint8)
    read = matplotlib.image.imread(BytesIO(png_of(rgb)), format="png")
    assert (np.round(read * 255).astype(np.uint8) == rgb).all()
