"""Marks of what was found on a wall: each where it was entered, told apart by shape and letter."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Rectangle as Box

from mytakeoff.charts.maps.deviation_map import Spot, make
from mytakeoff.charts.maps.wall_marks import SHAPES, Area, EdgeMark, Marks, Point
from mytakeoff.survey.wall import Rectangle, Wall

WALL = Wall("A", 3.0, 2.0)
MARKS = Marks(
    points=(
        Point("H1", "spot", 0.4, 1.2), Point("Q1", "corner", 1.0, 0.5), Point("P1", "fitting", 2.0, 0.45),
        Point("F1", "fixed", 3.0, 1.0),
        Point("P2", "other face", 2.0, 1.1),
    ),
    edges=(EdgeMark("E1", ((0.5, 1.5), (2.5, 1.5)), ((0.8, 1.5), (2.2, 1.5)), (1.4, 1.5)),),
    areas=(Area("L1", Rectangle(0.2, 0.2, 0.6, 0.5)), Area("L2", Rectangle(2.2, 0.2, 0.5, 0.5), fallen=True)),
)  # fmt: skip


def drawn():
    x, z = np.arange(0.05, 3.0, 0.1), np.arange(0.05, 2.0, 0.1)
    figure = make(
        WALL, x, z, np.zeros((z.size, x.size)), top_mm=5.0, spots=[Spot("A", 1.5, 1.0, True)], marks=MARKS
    )
    return figure.axes[0]


def test_every_mark_has_its_letter_once_and_apart_from_the_others():
    texts = [text for text in drawn().texts if text.get_text()]
    assert sorted(text.get_text() for text in texts) == ["A", "E1", "F1", "H1", "L1", "L2", "P1", "P2", "Q1"]
    places = [text.get_position() for text in texts]
    assert len({(round(x, 3), round(z, 3)) for x, z in places}) == len(places)


def test_shapes_stand_where_they_were_entered():
    lines = drawn().lines
    for point in MARKS.points:
        [found] = [line for line in lines if line.get_xydata().tolist() == [[point.x_m, point.z_m]]]
        assert found.get_marker() == SHAPES[point.kind][0]
    [edge] = [line for line in lines if line.get_linestyle() == "-" and len(line.get_xdata()) == 2
              and line.get_marker() == "|"]  # fmt: skip
    assert edge.get_xydata().tolist() == [[0.5, 1.5], [2.5, 1.5]]
    [touches] = [line for line in lines if line.get_marker() == "o"]
    assert touches.get_xydata().tolist() == [[0.8, 1.5], [2.2, 1.5]]


def test_no_two_kinds_look_alike():
    assert len(set(SHAPES.values())) == len(SHAPES)
    boxes = {
        box.get_xy(): box.get_linestyle() for box in drawn().patches if isinstance(box, Box) and not box.fill
    }
    assert boxes[(0.2, 0.2)] == "dashed"
    assert boxes[(2.2, 0.2)] == "solid"
