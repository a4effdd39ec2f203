"""Money against the gap that is left."""

from __future__ import annotations

import re

import numpy as np
import pytest
from drawn import check_words_apart, copied, words
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Annotation

from mytakeoff.charts.drawing.canvas import svg_text
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.options.price_curve import Curve, OptionMark, describe_curve, make
from mytakeoff.charts.options.price_points import gained_mm, last_worth, worth_words
from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import Formats

EUROS = Formats(currency="EUR")

GAPS = np.array([14.2, 14.0, 10.8, 8.3, 6.4, 5.0, 3.8, 3.0, 2.6, 2.0])
TOTALS = np.array([0.0, 935, 1020, 1105, 1190, 1275, 1445, 1700, 1785, 2125])
CURVE = Curve(GAPS, TOTALS, EUROS, low=TOTALS * 0.9, high=TOTALS * 1.15)
OPTIONS = [
    OptionMark("A", "as it is", 14.2, 0),
    OptionMark("B", "patch what has fallen, and skim", 9.4, 1180, 1080, 1300),
    OptionMark("C", "straighten the hollows to the grade, and skim", 3.0, 1615, 1450, 1800),
    OptionMark("D", "float straight, following the lean", 1.1, 2400, 2200, 2700),
    OptionMark("E", "float plumb on rails", 1.0, 2450, 2250, 2750),
]


def price_line(figure):
    return next(line for line in figure.axes[0].lines if line.get_label() == "price")


@pytest.mark.parametrize("width", [370, 640, 980])
@pytest.mark.parametrize("scale", [1, 0.01, 1000])
def test_words_keep_apart_whatever_the_currency_is_worth(width, scale):
    curve = Curve(GAPS, TOTALS * scale, EUROS)
    options = [OptionMark(each.letter, each.name, each.gap_mm, each.total * scale) for each in OPTIONS]
    check_words_apart(make(curve, options, width_px=width))
    check_words_apart(make(CURVE, OPTIONS, width_px=width))


def test_options_in_one_place_are_told_apart():
    same = [OptionMark(letter, "floated", 2.0, 2000) for letter in "ABCDE"]
    check_words_apart(make(CURVE, same))


def test_the_steps_are_the_points_and_flatter_is_to_the_right():
    figure = make(CURVE, OPTIONS)
    line, axes = price_line(figure), figure.axes[0]
    np.testing.assert_array_equal(line.get_xdata(), GAPS)
    np.testing.assert_array_equal(line.get_ydata(), TOTALS)
    # Between two points the money of the flatter one is due.
    assert line.get_drawstyle() == "steps-pre"
    left, right = axes.get_xlim()
    assert left > 14.2
    assert right < 1.0
    assert axes.get_ylim()[0] == 0
    assert axes.get_ylim()[1] > 2750
    said = " ".join(words(figure)).replace("\u00a0", " ")
    assert "greatest gap left under a 2 m edge, mm (flatter to the right)" in said
    assert "price with tax, EUR (grey and upright bars: its likely range)" in said


def test_points_given_in_any_order_are_sorted():
    shuffled = Curve(GAPS[::-1], TOTALS[::-1], EUROS, low=TOTALS[::-1] - 1, high=TOTALS[::-1] + 1)
    np.testing.assert_array_equal(shuffled.gap_mm, GAPS)
    np.testing.assert_array_equal(shuffled.total, TOTALS)
    np.testing.assert_array_equal(shuffled.low, TOTALS - 1)


def test_each_option_has_its_dot_its_letter_and_its_name():
    figure = make(CURVE, OPTIONS)
    axes = figure.axes[0]
    dots = {(line.get_xdata()[0], line.get_ydata()[0]) for line in axes.lines if line.get_marker() == "o"}
    assert dots == {(each.gap_mm, float(each.total)) for each in OPTIONS}
    letters = {
        text.get_text(): text.xy
        for text in axes.texts
        if isinstance(text, Annotation) and text.xycoords == "data"
    }
    assert letters == {each.letter: (each.gap_mm, float(each.total)) for each in OPTIONS}
    said = " ".join(words(figure))
    assert all(each.name in said for each in OPTIONS)
    assert "leaves 3.0 mm" in said


def test_no_letter_hides_the_dot_of_an_option():
    figure = make(CURVE, OPTIONS)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    axes = figure.axes[0]
    dots = axes.transData.transform([(each.gap_mm, each.total) for each in OPTIONS])
    rings = [t for t in axes.texts if isinstance(t, Annotation) and t.get_bbox_patch() is not None]
    assert {ring.get_text() for ring in rings} >= {each.letter for each in OPTIONS}
    for ring in rings:
        box = ring.get_bbox_patch().get_window_extent(canvas.get_renderer())
        assert not any(box.contains(*dot) for dot in dots), ring.get_text()


def test_the_band_is_lighter_than_the_line_on_a_copy():
    figure = make(CURVE)
    light = copied(figure)
    axes = figure.axes[0]
    x, y = axes.transData.transform((12.0, 1020 * 1.08))
    band = light[light.shape[0] - int(y), int(x)]
    assert 75 < band < 92
    x, y = axes.transData.transform((12.0, 1020))
    row = light.shape[0] - int(y)
    assert light[row - 3 : row + 4, int(x)].min() < 30


def test_what_the_next_hundred_buys():
    # By hand: from 10.8 mm at 1020 the first point 100 dearer is 6.4 mm at 1190: 4.4 mm for 170.
    gained = gained_mm(CURVE)
    assert gained[2] == pytest.approx(4.4 * 100 / 170)
    assert gained[-1] == pytest.approx(0.6 * 100 / 340)
    assert last_worth(CURVE) == 6
    # 1445 at 3.8 mm, 2125 at 2.0 mm: both points of the curve
    said = "1 445 EUR take the gap from 14 mm to 3.8 mm, another 680 EUR take it to 2.0 mm"
    assert worth_words(CURVE).replace("\u202f", " ") == said
    figure = make(CURVE)
    dashed = [line for line in figure.axes[0].lines if line.get_linestyle() == "--"]
    assert [list(line.get_xdata()) for line in dashed] == [[3.8, 3.8]]
    assert "3.8 mm" in words(figure)


@pytest.mark.parametrize(
    ("totals", "said"),
    [
        ([0.0, 10.0, 20.0], "20 EUR take the gap from 6.0 mm to 2.0 mm"),
        ([0.0, 9000.0, 20000.0], "20 000 EUR take the gap from 6.0 mm to 2.0 mm"),
        ([0.0, 1500.0, 1500.0], "1 500 EUR take the gap from 6.0 mm to 2.0 mm in one step"),
        ([500.0, 500.0, 500.0], "0 EUR take the gap from 6.0 mm to 2.0 mm in one step"),
    ],
)
def test_curves_without_a_bend_say_so(totals, said):
    curve = Curve(np.array([6.0, 4.0, 2.0]), np.array(totals), EUROS)
    assert worth_words(curve).replace("\u202f", " ") == said
    check_words_apart(make(curve))


def test_a_wall_that_no_hollow_spoils_says_that_money_buys_nothing():
    curve = Curve(np.array([2.0, 2.0]), np.array([0.0, 300.0]), EUROS)
    assert worth_words(curve) == "Filling hollows leaves the gap at 2.0 mm"


def test_the_wall_of_the_gap_is_named_where_it_changes():
    gaps, totals = np.array([20.0, 6.0]), np.array([0.0, 700.0])
    same = Curve(gaps, totals, EUROS, walls=("north", "north"))
    other = Curve(gaps[::-1], totals[::-1], EUROS, walls=("south", "north"))
    assert worth_words(same) == "700 EUR take the gap from 20 mm (on north) to 6.0 mm in one step"
    assert "from 20 mm (on north) to 6.0 mm (on south)" in worth_words(other)


@given(
    st.lists(st.tuples(st.floats(0.5, 60), st.integers(0, 90)), min_size=1, max_size=12),
)
def test_every_figure_of_the_sentence_is_of_a_point_of_the_curve(points):
    """Never "the next 100" over a step of 1500: each amount lies between two points that there are."""
    curve = Curve(
        np.array([gap for gap, _ in points]), np.array([100.0 * money for _, money in points]), EUROS
    )
    said = worth_words(curve).replace("\u202f", "").replace("\u2212", "-")
    apart = {EUROS.mm(gap) for gap in curve.gap_mm}
    assert set(re.findall(r"[\d.]+ mm", said)) <= apart
    differences = {f"{b - a:.0f}" for a in curve.total for b in curve.total}
    assert set(re.findall(r"(-?\d+) EUR", said)) <= differences


DEEP = Curve(
    np.array([70.0, 66, 40, 12, 6.4, 5, 3, 2]),
    np.array([0.0, 935, 1020, 1105, 1190, 1275, 1700, 2125]),
    EUROS,
)
CLOSE = [
    OptionMark("A", "as it is", 70.0, 0),
    OptionMark("B", "patch and skim", 68.2, 1180, 1080, 1300),
    OptionMark("C", "straighten", 5.0, 1615, 1450, 1800),
    OptionMark("D", "float following the lean", 0.2, 2400),
    OptionMark("E", "float plumb", 0.0, 2450),
    OptionMark("F", "each wall its own way", 4.8, 1900),
]


@pytest.mark.parametrize("width", [370, 640, 980])
def test_a_very_hollow_wall_leaves_the_flat_ways_room(width):
    """Drawn from 0 to 70 mm, four ways of six lay in the last tenth."""
    figure = make(DEEP, CLOSE, width_px=width)
    check_words_apart(figure)
    axes = figure.axes[0]
    left, right = axes.get_window_extent().x0, axes.get_window_extent().x1
    at = {mark.letter: axes.transData.transform((mark.gap_mm, 0))[0] for mark in CLOSE}
    assert (at["E"] - at["C"]) / (right - left) > 0.5
    assert left <= at["A"] < at["B"] < at["C"] < at["F"] < at["D"] < at["E"] <= right
    assert "left of the strokes 7 to 70 mm lie closer" in " ".join(words(figure)).replace("\n", " ")


def test_an_axis_without_a_crowd_is_not_broken():
    figure = make(CURVE, OPTIONS)
    assert figure.axes[0].get_xscale() == "linear"
    assert "strokes" not in " ".join(words(figure))


@given(
    st.lists(st.tuples(st.floats(0.5, 60), st.floats(0, 9000)), min_size=1, max_size=12),
    st.floats(0.1, 3),
)
def test_beyond_the_mark_no_hundred_buys_enough(points, enough):
    curve = Curve(np.array([gap for gap, _ in points]), np.array([money for _, money in points]), EUROS)
    last = last_worth(curve, enough_mm=enough)
    gained = gained_mm(curve)
    assert (gained[last:] < enough).all()
    assert last == 0 or gained[last - 1] >= enough


def test_one_point_is_a_curve():
    check_words_apart(make(Curve(np.array([1.2]), np.array([0.0]), EUROS), OPTIONS[:1]))


@pytest.mark.parametrize(
    ("gaps", "totals", "rule"),
    [
        ([3.0], [1.0, 2.0], "one price for each gap"),
        ([], [], "at least one"),
        ([np.nan], [1.0], "a gap and a price"),
    ],
)
def test_what_is_no_curve_is_refused(gaps, totals, rule):
    with pytest.raises(TakeoffError, match=rule):
        Curve(np.array(gaps), np.array(totals), EUROS)


def test_on_a_dark_page_every_grey_is_the_pages_ink():
    drawing = page_svg(make(CURVE, OPTIONS), "c", describe_curve(CURVE, OPTIONS))
    assert set(re.findall(r"#[0-9a-f]{6}\b", drawing)) == {"#ffffff"}


def test_the_same_curve_is_the_same_svg_and_the_words_say_it():
    assert svg_text(make(CURVE, OPTIONS), "c") == svg_text(make(CURVE, OPTIONS), "c")
    said = describe_curve(CURVE, OPTIONS)
    assert said.startswith("Price against the greatest gap left under a 2 m edge: from 0 EUR for 14 mm")
    assert worth_words(CURVE) in said
    assert all(f"{each.letter}, {each.name}: " in said for each in OPTIONS)
