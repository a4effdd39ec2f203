"""The chart of many jobs: every job a ring where it belongs, names that can be read."""

from __future__ import annotations

from itertools import combinations

import pytest

from mytakeoff.charts.drawing.canvas import svg_text
from mytakeoff.charts.jobs.price_by_thickness import JobMark, make
from mytakeoff.formats.formats import Formats

EUROS = Formats(currency="EUR")


@pytest.mark.parametrize("size", [(620.0, 380.0), (340.0, 320.0)])
def test_each_job_is_a_ring_at_its_place_and_the_odd_ones_are_filled(size: tuple[float, float]) -> None:
    marks = [JobMark(10.0, 90.0), JobMark(20.0, 110.0), JobMark(15.0, 300.0, "Mill $x$ & <co>")]
    figure = make(marks, (70.0, 2.0), EUROS, width_px=size[0], height_px=size[1])
    (axes,) = figure.axes
    lines = {str(line.get_label()): line for line in axes.lines}
    assert list(zip(*lines["jobs"].get_data(), strict=True)) == [(10.0, 90.0), (20.0, 110.0)]
    assert list(zip(*lines["odd"].get_data(), strict=True)) == [(15.0, 300.0)]
    assert lines["line"].get_ydata()[0] == 70.0
    assert axes.get_ylim()[0] == 0, "prices are compared from nothing on"
    svg = svg_text(figure)
    assert "Mill $x$ &amp; &lt;co&gt;" in svg
    assert "price with tax a m², EUR" in svg


def test_names_of_odd_jobs_lie_neither_over_one_another_nor_outside() -> None:
    names = ("One that has a long name, and a longer one still, at the corner", "Two", "Three", "Four")
    marks = [JobMark(20.0 + nth / 10, 200.0 + nth, name) for nth, name in enumerate(names)]
    for beside in ([], [JobMark(60.0, 40.0)]):
        figure = make([*marks, *beside], None, EUROS, width_px=340.0, height_px=320.0)
        figure.canvas.draw()
        boxes = [text.get_window_extent() for text in figure.axes[0].texts]
        assert len(boxes) == len(names)
        for one, other in combinations(boxes, 2):
            assert not one.shrunk(0.9, 0.9).overlaps(other.shrunk(0.9, 0.9))
        for box in boxes:
            assert box.x0 >= 0
            assert box.x1 <= figure.bbox.width


def test_without_a_line_and_with_a_job_that_costs_nothing_it_is_drawn() -> None:
    figure = make([JobMark(0.0, 0.0)], None, EUROS)
    assert "line" not in {line.get_label() for line in figure.axes[0].lines}
