"""The frame of the wall."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from known_walls import NORTH
from matplotlib.backends.backend_agg import FigureCanvasAgg

from mytakeoff.charts.drawing.canvas import new_figure
from mytakeoff.charts.drawing.frame import (
    Frame,
    draw_frame,
    frame_svg,
    large_frame,
    narrow_frame,
    ticks,
    wide_frame,
)
from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.survey.wall import Opening, Wall

WALLS = [
    NORTH,
    Wall("cheek", 0.35, 2.6),
    Wall("corridor", 9.5, 2.4, openings=(Opening("hatch", 4.0, 1.0, 0.3, 0.3),)),
    Wall("landing", 3.0, 5.2, openings=(Opening("a very long name for a window", 1.0, 3.0, 0.6, 1.2),)),
    Wall("low", 2.0, 0.6, skirting_m=0.1, cornice_m=0.05),
]
SHEETS = [large_frame, wide_frame, narrow_frame]


@given(st.floats(0.2, 15), st.floats(0.3, 6), st.sampled_from(SHEETS))
def test_the_wall_stands_at_true_proportions_on_the_sheet(width, height, sheet):
    frame = sheet(Wall("any", width, height), 40.0)
    left, bottom, across, up = frame.box
    assert across * frame.width_px / width == pytest.approx(up * frame.height_px / height)
    assert left >= 0
    assert bottom >= 0
    assert left + across <= 1 + 1e-9
    assert bottom + up <= 1 + 1e-9
    assert frame.scale_box[1] + frame.scale_box[3] < bottom


@pytest.mark.parametrize("wall", WALLS, ids=lambda wall: wall.name)
@pytest.mark.parametrize("sheet", SHEETS)
@pytest.mark.parametrize("thickest", [18, 43, 155])
def test_every_word_is_on_the_sheet_and_on_no_other(wall, sheet, thickest):
    frame = sheet(wall, ramp_top(thickest))
    figure = new_figure(frame.width_px, frame.height_px)
    draw_frame(figure, frame)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    words = [text for axes in figure.axes for text in (*axes.get_xticklabels(), *axes.get_yticklabels())]
    words += [*figure.texts, *(text for axes in figure.axes for text in axes.texts)]
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in words if text.get_text()]
    for said, box in boxes:
        assert box.x0 >= -1, said
        assert box.y0 >= -1, said
        assert box.x1 <= figure.bbox.width + 1, said
        assert box.y1 <= figure.bbox.height + 1, said
    for index, (said, box) in enumerate(boxes):
        for other, further in boxes[index + 1 :]:
            assert not box.overlaps(further), f"{said} lies on {other}"


@given(st.floats(0.05, 200), st.integers(1, 12))
@examples(200)
def test_ticks_are_round_few_and_inside(length, most):
    marks = ticks(length, most)
    assert marks[0] == 0
    assert len(marks) <= most + 1
    assert marks[-1] <= length + 1e-6


def test_a_name_that_does_not_fit_its_opening_is_left_out():
    wall = Wall(
        "w", 4.0, 2.5, openings=(Opening("socket", 1.0, 0.3, 0.1, 0.1), Opening("door", 2, 0, 0.9, 2))
    )
    figure = new_figure(640, 480)
    axes = draw_frame(figure, Frame(wall, 40.0))
    assert [text.get_text() for text in axes.texts] == ["door"]


def test_svg_takes_the_ink_and_the_paper_of_the_page():
    drawing = frame_svg(wide_frame(NORTH, 60.0))
    root = ElementTree.fromstring(drawing)
    assert root.get("fill") == "currentColor"
    assert root.get("width") is None
    assert root.get("viewBox")
    assert "#000000" not in drawing
    assert drawing.count("var(--wallmap-paper") == 2
    assert "metadata" not in drawing
    said = {"".join(node.itertext()).strip() for node in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"door", "window", "0.5", "60", "thickness of plaster, mm"} <= said


def test_svg_keeps_a_user_s_text_as_text():
    name = '<b>& $x^2$ "q"</b>'
    drawing = frame_svg(wide_frame(Wall("w", 4.0, 2.5, openings=(Opening(name, 0.5, 0.2, 3.0, 2.0),)), 40.0))
    root = ElementTree.fromstring(drawing)
    assert not list(root.iter("{http://www.w3.org/2000/svg}b"))
    assert name in {"".join(node.itertext()) for node in root.iter("{http://www.w3.org/2000/svg}text")}


def test_drawings_on_one_page_share_no_names_unless_they_are_the_same():
    names = [set(re.findall(r'id="([0-9a-zA-Z]{11,})"', frame_svg(sheet(NORTH, 60.0)))) for sheet in SHEETS]
    assert all(names)
    assert len(set.union(*names)) == sum(map(len, names))


def test_svg_is_the_same_every_time():
    once = frame_svg(wide_frame(NORTH, 30.0))
    frame_svg.cache_clear()
    assert frame_svg(wide_frame(NORTH, 30.0)) == once
