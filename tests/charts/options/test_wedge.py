"""The wedge beside something plumb."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from drawn import check_words_apart, copied, part, words
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from mytakeoff.charts.drawing.canvas import new_figure, svg_text
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.options.wedge import (
    WedgeDrawing,
    describe_taper,
    draw_wedge,
    exaggeration_words,
    fitting_exaggeration,
    spread,
)
from mytakeoff.errors import TakeoffError

HEIGHTS = np.linspace(0.0125, 2.0375, 82)
LEANING = WedgeDrawing("door frame", 2.05, HEIGHTS, 0.5 + 12 * HEIGHTS / 2.05)
BELLIED = WedgeDrawing("door frame", 2.05, HEIGHTS, 3 + 5 * np.sin(HEIGHTS * np.pi / 2.05))
PLUMB = WedgeDrawing("door frame", 2.05, HEIGHTS, np.zeros_like(HEIGHTS))
HALF = WedgeDrawing(
    "side of the built-in wardrobe", 2.4, HEIGHTS, np.where(HEIGHTS > 1, np.nan, 6 - 2 * HEIGHTS)
)
UNKNOWN = WedgeDrawing("door frame", 2.05, HEIGHTS, np.full_like(HEIGHTS, np.nan))
ALL = [LEANING, BELLIED, PLUMB, HALF, UNKNOWN]


def line(figure, name):
    return next(each for each in figure.axes[0].lines if each.get_label() == name)


def drawn(wedge, times=10, gap_px=52.0, high_px=130.0, labels_px=146.0):
    """The wedge by itself, with as much room for its labels as they have on the sheet, its gutter too."""
    figure = new_figure(8 + gap_px + labels_px, high_px + 10)
    draw_wedge(figure, wedge, (2, 5, 8 + gap_px, high_px), times, 11.0)
    return figure


@pytest.mark.parametrize("wedge", ALL, ids=["leaning", "bellied", "plumb", "half", "unknown"])
@pytest.mark.parametrize("high_px", [82, 132])
def test_labels_fit_beside_the_gap(wedge, high_px):
    times = fitting_exaggeration(wedge.widest_mm, high_px / wedge.height_m, 52.0)
    check_words_apart(drawn(wedge, times, high_px=high_px))


def test_the_face_of_the_wall_is_the_readings():
    figure = drawn(BELLIED)
    face, edge = line(figure, "face of the wall"), line(figure, "plumb edge")
    np.testing.assert_array_equal(face.get_xdata(), BELLIED.gap_mm)
    np.testing.assert_array_equal(face.get_ydata(), HEIGHTS)
    assert list(edge.get_xdata()) == [0, 0]
    assert list(edge.get_ydata()) == [0, 2.05]


@pytest.mark.parametrize("times", [1, 10, 50])
def test_the_gap_is_as_much_wider_as_the_words_say(times):
    figure = drawn(LEANING, times)
    axes = figure.axes[0]
    (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (10, 1)])
    # 10 mm across and 1 m up: at true scale a hundredth of it.
    assert (x1 - x0) / (y1 - y0) == pytest.approx(times * 0.010)
    assert ("true scale" if times == 1 else f"{times} × wider than true") in exaggeration_words(times)


def test_top_bottom_and_widest_are_labelled():
    assert {"top 3.1 mm", "widest 8.0 mm", "bottom 3.1 mm"} <= set(words(drawn(BELLIED)))
    assert {"top, widest 12 mm", "bottom 0.6 mm"} <= set(words(drawn(LEANING)))
    assert "all along 0 mm" in words(drawn(PLUMB))


def test_where_the_survey_ends_is_not_called_the_top():
    assert {"at 1.0 m 4.0 mm", "bottom, widest 6.0 mm"} <= set(words(drawn(HALF)))
    assert describe_taper(UNKNOWN).endswith("the wall there is not surveyed.")


def test_the_gap_is_hatched_and_the_air_beyond_is_not():
    figure = drawn(LEANING, 30, 120.0, 300.0)
    light = copied(figure)
    axes = figure.axes[0]
    gap = part(light, axes, 1.0, 8.0, 1.5, 1.95)
    beyond = part(light, axes, 13.5, axes.get_xlim()[1], 0.9, 1.5)
    assert gap.min() < 50 < 95 < gap.max()
    assert beyond.min() > 95


def test_the_same_drawing_twice_is_the_same_svg():
    assert svg_text(drawn(LEANING), "a") == svg_text(drawn(LEANING), "a")
    assert "<dc:date>" not in svg_text(drawn(LEANING), "a")


def test_on_a_page_the_ink_is_the_pages_own():
    drawing = page_svg(drawn(LEANING), "a", describe_taper(LEANING))
    assert "currentColor" in drawing
    assert "#000000" not in drawing
    assert "#ffffff" not in drawing.replace("var(--mt-paper, var(--jp-layout-color0, #ffffff))", "")
    assert 'aria-label="Gap beside the plumb door frame' in drawing
    assert '<g id="' not in drawing


@pytest.mark.parametrize(
    ("height", "heights", "gaps", "rule"),
    [
        (0.0, [0.5], [1.0], "height above 0"),
        (2.0, [0.5, 1.0], [1.0], "one gap for each height"),
        (2.0, [], [], "at least one"),
        (2.0, [1.0, 0.5], [1.0, 2.0], "heights rise"),
        (2.0, [1.0, 2.5], [1.0, 2.0], "heights rise"),
        (2.0, [1.0, 1.5], [1.0, -2.0], "0 or more"),
        (2.0, [1.0, 1.5], [1.0, np.inf], "0 or more"),
    ],
)
def test_what_is_no_gap_is_refused(height, heights, gaps, rule):
    with pytest.raises(TakeoffError, match=rule):
        WedgeDrawing("door frame", height, np.array(heights), np.array(gaps))


@given(st.lists(st.floats(0, 200), min_size=1, max_size=3), st.floats(12, 40))
def test_labels_keep_apart_and_inside(places, tall):
    placed = spread(sorted(places, reverse=True), [tall] * len(places), 200.0)
    assert all(above - below >= tall - 1e-9 for above, below in pairwise(placed))
    assert placed[0] <= 200 - tall / 2 + 1e-9
    assert placed[-1] >= tall / 2 - 1e-9


@given(arrays(float, 12, elements=st.one_of(st.floats(0, 80), st.just(float("nan")))))
@examples(12)
def test_any_gap_can_be_drawn_and_told(gap):
    wedge = WedgeDrawing("wardrobe", 2.4, np.linspace(0.1, 2.3, 12), gap)
    check_words_apart(drawn(wedge, 1, labels_px=200.0))
    if not np.isnan(gap).all():
        named = max(wedge.labels, key=lambda label: label[2])
        assert named[2] == pytest.approx(np.nanmax(gap), abs=0.05)
