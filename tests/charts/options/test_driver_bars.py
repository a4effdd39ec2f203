"""What drives the price."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from drawn import check_words_apart, copied, part, words
from matplotlib.patches import Rectangle

from mytakeoff.charts.drawing.canvas import svg_text
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.options.driver_bars import Bar, describe_drivers, make, ordered
from mytakeoff.formats.formats import Formats

EUROS = Formats(currency="EUR")

BARS = [
    Bar("waste", "5 %", "20 %", Decimal("-31.20"), Decimal("84.60")),
    Bar("mix density", "0.80 kg/l", "1.00 kg/l", -120, 160),
    Bar("labour rate", "34 EUR/h", "46 EUR/h", -410, 520),
    Bar("least thickness", "5 mm", "8 mm", Decimal(0), 212),
    Bar("survey: the high spot that the readings missed", "0 mm", "8 mm", -140, -20),
]


def pairs(figure):
    axes = figure.axes[-1]
    boxes = [each for each in axes.patches if isinstance(each, Rectangle)]
    return axes, list(zip(boxes[::2], boxes[1::2], strict=True))


def test_the_bars_are_the_changes_sorted_by_their_reach():
    _, drawn = pairs(make(BARS, 2400, EUROS))
    ends = [(low.get_width(), high.get_width()) for low, high in drawn]
    assert ends == [
        (-410, 520),
        (-120, 160),
        (0, 212),
        (-140, -20),
        (pytest.approx(-31.2), pytest.approx(84.6)),
    ]
    assert next(bar.name for bar in ordered(BARS)) == "labour rate"
    tops = [low.get_y() for low, _ in drawn]
    assert tops == sorted(tops)


def test_the_line_stands_at_the_price_as_entered():
    figure = make(BARS, 2400, EUROS)
    axes, drawn = pairs(figure)
    assert list(axes.lines[0].get_xdata()) == [0, 0]
    assert all(low.get_x() == 0 or low.get_x() + low.get_width() == 0 for low, _ in drawn)
    left, right = axes.get_xlim()
    assert left < -410
    assert right > 520


@pytest.mark.parametrize("width", [370, 600, 980])
def test_words_keep_apart(width):
    check_words_apart(make(BARS, 2400, EUROS, width_px=width))
    check_words_apart(make(BARS[:1], 2400, EUROS, width_px=width))
    thousands = [
        Bar(bar.name, bar.low_words, bar.high_words, 1000 * bar.low_change, 1000 * bar.high_change)
        for bar in BARS
    ]
    check_words_apart(make(thousands, 2_400_000, EUROS, width_px=width))


def test_values_stand_at_the_ends():
    figure = make(BARS, 2400, EUROS)
    axes, _ = pairs(figure)
    assert {text.get_text() for text in axes.texts} == {
        "−31",
        "+85",
        "−120",
        "+160",
        "−410",
        "+520",
        "0",
        "+212",
        "−140",
        "−20",
    }
    for text in axes.texts:
        value = float(text.get_text().replace("−", "-"))
        assert text.get_position()[0] >= value if value >= 0 else text.get_position()[0] <= value
    said = " ".join(words(figure))
    assert "the price as entered, 2\u202f400 EUR" in said
    assert "34 EUR/h to 46 EUR/h" in said


def test_words_are_large_enough_at_600_pixels():
    figure = make(BARS, 2400, EUROS, width_px=600)
    sizes = [text.get_fontsize() * 96 / 72 for axes in figure.axes for text in axes.texts]
    sizes += [text.get_fontsize() * 96 / 72 for text in figure.texts]
    assert min(sizes) >= 12


def test_low_and_high_differ_on_a_copy_by_shade_and_by_hatch():
    figure = make(BARS, 2400, EUROS)
    axes, drawn = pairs(figure)
    low, high = drawn[0]
    assert low.get_hatch()
    assert not high.get_hatch()
    light = copied(figure)
    inside = [
        part(
            light,
            axes,
            *sorted((0.05 * bar.get_width(), 0.95 * bar.get_width())),
            bar.get_y() + 2,
            bar.get_y() + 13,
        )
        for bar in (low, high)
    ]
    assert inside[0].mean() - inside[1].mean() > 25
    assert inside[0].std() > 15 > 5 > inside[1].std()


def test_nothing_that_moves_the_price_is_no_mistake():
    check_words_apart(make([], 2400, EUROS))
    check_words_apart(make([Bar("waste", "5 %", "5 %", 0, 0)], 2400, EUROS))
    assert describe_drivers([], 2400, EUROS) == "Price with tax as entered 2\u202f400 EUR."


def test_on_a_dark_page_every_grey_is_the_pages_ink():
    drawing = page_svg(make(BARS, 2400, EUROS), "d", describe_drivers(BARS, 2400, EUROS))
    assert set(re.findall(r"#[0-9a-f]{6}\b", drawing)) == {"#ffffff"}


def test_the_same_bars_are_the_same_svg_and_the_words_say_them():
    assert svg_text(make(BARS, 2400, EUROS), "d") == svg_text(make(BARS, 2400, EUROS), "d")
    said = describe_drivers(BARS, 2400, EUROS)
    assert said.index("labour rate") < said.index("mix density") < said.index("waste")
    assert "labour rate, 34 EUR/h −410, 46 EUR/h +520 EUR" in said
