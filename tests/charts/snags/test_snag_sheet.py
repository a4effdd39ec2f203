"""The map and the printed list of snags: every place has its number, a box to tick, its words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from drawn import check_words_apart, pixels, words
from finished_walls import HELD, WALL, dish, flat, read
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

import mytakeoff as mt
from mytakeoff.charts.drawing.frame import Frame, FrameOnSheet
from mytakeoff.charts.drawing.paper import A4, Paper
from mytakeoff.charts.maps import snag_map
from mytakeoff.charts.snags import snag_sheet
from mytakeoff.formats.formats import Formats

DOOR = mt.Opening("door", 0.3, 0.0, 0.9, 2.0)
FILL_ONLY = mt.TouchUp(cut_limit_mm=0.0)


@pytest.fixture(scope="module")
def snags() -> mt.SnagList:
    marks = (mt.HandMark(3.6, 2.2, "rocks", 9.0), mt.HandMark(0.2, 2.3, "light", 5.0))
    first = mt.CheckRound(date(2027, 3, 1), "a", marks)
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 0.4, 7.0) + dish(x, z, (3.2, 0.8), 0.3, 6.0), 0.1)
    again = mt.CheckRound(date(2027, 3, 8), marks=(mt.HandMark(2.0, 1.2, "light", 1.0),), done=(2, 3))
    return mt.snag_book(HELD, [first, again], {"a": survey}, FILL_ONLY)


def test_the_map_has_each_place_that_is_open_where_it_is(snags):
    figure = snag_map.make(snags)
    check_words_apart(figure)
    assert {snag.state for snag in snags.snags} == {"open", "done", "checked"}
    numbers = {str(snag.number) for snag in snags.to_do}
    assert numbers <= set(words(figure))
    [axes] = figure.axes
    lines = [line for line in axes.findobj(Line2D) if line.get_marker() in ("v", "^")]
    drawn = {line.get_marker(): line.get_xydata()[0] for line in lines}
    high = next(snag for snag in snags.to_do if snag.kind == "high")
    assert drawn["^"] == pytest.approx([high.x_m, high.z_m])
    boxes = [box for box in axes.patches if isinstance(box, Rectangle) and box.get_linewidth() == 1.2]
    assert [box.get_x() for box in boxes] == pytest.approx([snag.place.x_m for snag in snags.to_do])
    by_edge = [snag.seen_by == ("edge",) for snag in snags.to_do]
    assert [box.get_linestyle() in ("--", "dashed") for box in boxes] == by_edge


def test_the_map_is_coloured_where_something_is_filled(snags):
    picture = pixels(snag_map.make(snags)).astype(int)
    coloured = np.ptp(picture[:, :, :3], axis=2) > 40
    bare = pixels(snag_map.make(replace(snags, repair=None))).astype(int)
    assert coloured.sum() > 500
    assert not (np.ptp(bare[:, :, :3], axis=2) > 40).any()


def test_a_map_of_marks_alone_has_them_on_a_plain_wall():
    found = mt.snag_list(HELD, marks=[mt.HandMark(1.0, 1.0, "light", 5.0)])
    assert "1" in words(snag_map.make(found))


def test_the_map_says_the_same_in_words(snags):
    said = snag_map.describe_snags(snags)
    assert all(f" {snag.number}: {snag.x_m:.2f} m from the left end" in said for snag in snags.to_do)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_place_that_is_open_has_a_line_and_a_box_to_tick(snags, paper):
    figures = snag_sheet.make_pages([snags], "Flat (invented)", "8 Mar 2027", paper=Paper(paper))
    for figure in figures:
        check_words_apart(figure)
    boxes = [box for figure in figures for box in figure.findobj(Rectangle) if box.get_label() == "tick"]
    assert len(boxes) == len(snags.to_do)
    text = " ".join(word.replace("\n", " ") for figure in figures for word in words(figure))
    assert "north: 3 snags to do, 1 checked" in text
    assert "1 Mar 2027, done 8 Mar 2027, not checked yet" in text
    assert "is checked: found 1 Mar 2027, done 8 Mar 2027, checked 8 Mar 2027." in text


def test_a_client_s_sheet_has_no_litres_and_no_minutes(snags):
    for audience in ("estimator", "client"):
        [figure] = snag_sheet.make_pages([snags], "Flat", audience=audience)
        text = " ".join(words(figure))
        assert (" min" in text, " l to fill" in text) == ((audience == "estimator",) * 2)
        assert f"For the {audience}" in text


def test_many_walls_flow_over_sheets_and_a_map_never_stands_without_its_list(snags):
    figures = snag_sheet.make_pages([snags] * 5 + [mt.SnagList(HELD, ())], "Flat")
    assert len(figures) >= 3
    for nth, figure in enumerate(figures, start=1):
        check_words_apart(figure)
        assert f"page {nth} of {len(figures)}" in words(figure)
        assert len(figure.axes) == 0 or any("from the left end, " in word for word in words(figure))
    assert "north: nothing to touch up." in words(figures[-1])


def test_feet_and_inches(snags):
    [figure] = snag_sheet.make_pages([snags], "Flat", formats=Formats(feet_and_inches=True))
    assert not any(" mm" in word for word in words(figure))


def test_a_wall_on_a_larger_sheet_is_as_it_is_on_its_own():
    wall = replace(WALL, openings=(DOOR,))
    own = Frame(wall, 1.0, 600.0)
    placed = FrameOnSheet(
        wall, 1.0, A4.size_px[0], corner_px=(50.0, 200.0), room_px=600.0, sheet_px=A4.size_px
    )
    assert placed.px_per_m == own.px_per_m
    width, height = A4.size_px
    left, bottom, across, up = placed.box
    assert (across * width, up * height) == pytest.approx((own.box[2] * 600.0, own.box[3] * own.height_px))
    assert height - (bottom + up) * height == pytest.approx(
        200.0 + own.height_px * (1 - own.box[1] - own.box[3])
    )
    assert left * width == pytest.approx(50.0 + own.box[0] * 600.0, abs=1e-6)


def test_a_wall_as_promised_has_nothing_to_tick():
    survey = read(flat, 0.25)
    clean = mt.snag_list(HELD, mt.grid_surface(survey, 0.05), survey)
    [figure] = snag_sheet.make_pages([clean], "Flat")
    assert "north: nothing to touch up." in words(figure)
    assert not figure.axes
