"""Bars by day: each bar from its moment to its moment, later never further left, and words for them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise

import pytest
from drawn import pixels
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.patches import Rectangle

from mytakeoff.charts.days import bars as daybars
from mytakeoff.charts.days.bars import DAMP, DRIES, WORK, BarRow, Days, Span, _Scale, describe_days
from mytakeoff.charts.drawing.canvas import svg_text

MONDAY = date(2027, 3, 1)
DAYS = Days(MONDAY, date(2027, 3, 5), date(2027, 3, 20), (date(2027, 3, 6), date(2027, 3, 7)), 8.0, 16.0)
ROWS = (
    BarRow("front room", (Span(datetime(2027, 3, 1, 8), datetime(2027, 3, 1, 9), WORK),), room=True),
    BarRow(
        "party wall",
        (
            Span(datetime(2027, 3, 1, 9), datetime(2027, 3, 1, 16), WORK),
            Span(datetime(2027, 3, 1, 16), datetime(2027, 3, 4, 16), DAMP),
            Span(datetime(2027, 3, 4, 16), datetime(2027, 3, 19, 16), DRIES),
        ),
        date(2027, 3, 20),
    ),
)


def bars(figure):
    """Left and right of every bar on the drawing [px]."""
    patches = [p for p in figure.axes[0].patches if isinstance(p, Rectangle) and p.get_linewidth() > 0]
    return sorted((p.get_x(), p.get_x() + p.get_width()) for p in patches)


def test_a_bar_goes_from_its_moment_to_its_moment():
    figure = daybars.make(DAYS, ROWS, "days")
    scale = _Scale(DAYS, 960 - 150 - 24 - 40)
    wanted = sorted((scale.of(s.begins), scale.of(s.ends)) for row in ROWS for s in row.spans)
    assert bars(figure) == [pytest.approx(pair) for pair in wanted]
    first, second = bars(figure)[:2]
    assert first[1] == pytest.approx(second[0])  # what follows at once begins where the other ends


def test_a_working_day_takes_most_of_its_column():
    scale = _Scale(DAYS, 700)
    morning, evening = (scale.of(datetime.combine(MONDAY, time(hour))) for hour in (8, 16))
    assert (evening - morning) / scale.day_px == pytest.approx(0.84)


@given(
    hours=st.lists(st.floats(0, 24 * 19.9), min_size=2, max_size=8).map(sorted),
    width=st.floats(250, 900),
    wide=st.integers(0, 18),
)
def test_later_is_never_further_left(hours, width, wide):
    scale = _Scale(replace(DAYS, last_on_site=MONDAY + timedelta(days=wide)), width)
    start = datetime.combine(MONDAY, time())
    places = [scale.of(start + timedelta(hours=hour)) for hour in hours]
    assert all(before <= after + 1e-9 for before, after in pairwise(places))
    assert places[-1] <= scale.width_px + 1e-6


def test_kinds_differ_in_height_or_hatch_and_not_in_colour_alone():
    looks = {what: (look["height"], look["hatch"]) for what, look in daybars._LOOKS.items()}
    assert len(set(looks.values())) == len(looks)


def test_the_words_say_what_the_picture_shows():
    said = describe_days(DAYS, ROWS)
    laid = "Work from 1 Mar 2027, plaster laid until 5 Mar 2027."
    narrower = "After 5 Mar 2027 days are drawn narrower, a date a week."
    assert said == f"{laid} First day for paint: party wall from 20 Mar 2027. {narrower}"


def test_the_change_of_scale_is_marked_by_a_line_and_said_in_the_key():
    mark = daybars.NARROWER
    figure = daybars.make(DAYS, ROWS, "")
    assert mark in svg_text(figure)
    scale = _Scale(DAYS, 960 - 150 - 24 - 40)
    dashed = [line for line in figure.axes[0].lines if line.is_dashed()]
    [at] = {float(x) for line in dashed for x in line.get_xdata()}
    assert at == pytest.approx(scale.of_day(DAYS.last_on_site + timedelta(days=1)))
    days = replace(DAYS, last=DAYS.last_on_site)
    assert mark not in svg_text(daybars.make(days, ROWS, ""))
    assert "narrower" not in describe_days(days, ROWS)


@pytest.mark.parametrize("width", [360.0, 960.0])
def test_it_draws_at_phone_and_desk_width_with_its_words_as_text(width):
    figure = daybars.make(
        DAYS, ROWS, "A title that is long enough to need two lines on a phone", width_px=width
    )
    text = svg_text(figure)
    for word in ("party wall", "front room", "20 Mar", "kept damp", "nobody works"):
        assert word in text
    assert pixels(figure)[..., 3].min() == 255  # white paper under all of it


@pytest.mark.parametrize("width", [360.0, 960.0])
def test_all_names_are_of_one_size(width):
    rows = (*ROWS, BarRow("a wall whose name is too long for one line", ()))
    figure = daybars.make(DAYS, rows, "", width_px=width)
    first = {row.name.split(" ")[0] for row in rows}
    names = [
        text for text in figure.texts if text.get_text().split()[:1] and text.get_text().split()[0] in first
    ]
    sizes = {text.get_fontsize() for text in names}
    assert len(names) == len(rows)
    assert len(sizes) == 1
