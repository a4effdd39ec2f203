"""Bands, scales and bars of how sure the figures are: where their ends stand, in black and white."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.charts.sure.strips import (
    FULL,
    PALE,
    BandRow,
    Scale,
    band_strip,
    scale_strip,
    share_strip,
)
from mytakeoff.formats.formats import Formats

figures = st.floats(-1e5, 1e5)


def places(svg: str, name: str, *keys: str) -> list[list[float]]:
    """Places across, as shares of the width, of every element of a kind."""
    found = ET.fromstring(svg).iter(name)
    return [[float(each.attrib[key].removesuffix("%")) / 100 for key in keys] for each in found]


def test_bar_gap_and_stroke_stand_where_their_figures_are_on_the_scale():
    row, scale = BandRow(2.0, 5.0, 9.0, 7.0), Scale(0.0, 10.0)
    svg = band_strip(row, scale)
    ((start, wide),) = places(svg, "rect", "x", "width")
    assert start == pytest.approx(scale.at(2.0), abs=1e-4)
    assert start + wide == pytest.approx(scale.at(9.0), abs=1e-4)
    lines = ET.fromstring(svg).findall("line")
    by_width = {float(each.attrib["stroke-width"]): each for each in lines}
    thinnest, heaviest = min(by_width), max(by_width)
    assert heaviest > 2 * thinnest  # told apart without colour
    gap, stroke = (each for each in lines if float(each.attrib["stroke-width"]) == heaviest)
    assert "paper" in gap.attrib["stroke"] or "layout-color" in gap.attrib["stroke"]
    assert gap.attrib["x1"] == gap.attrib["x2"] == f"{100 * scale.at(5.0):.2f}%"
    assert stroke.attrib["x1"] == stroke.attrib["x2"] == f"{100 * scale.at(7.0):.2f}%"


@examples(60)
@given(st.lists(st.tuples(figures, figures, figures, figures), min_size=1, max_size=5))
def test_every_figure_of_every_row_is_on_the_common_scale_in_its_order(rows):
    bands = [BandRow(*sorted(each[:3]), each[3]) for each in rows]
    scale = Scale.over(bands, 0.0)
    for row in bands:
        at = [scale.at(value) for value in (row.low, row.middle, row.high)]
        assert at == sorted(at)
        assert 0 <= min(*at, scale.at(row.priced)) <= max(*at, scale.at(row.priced)) <= 1
    assert 0 <= scale.at(0.0) <= 1
    assert 1 <= len(scale.marks) <= 7
    assert all(scale.start <= mark <= scale.end for mark in scale.marks)


def test_the_scale_s_figures_stand_over_its_marks_and_are_written_as_the_job_writes_them():
    scale = Scale(-0.4, 1.2)
    svg = scale_strip(scale, Formats("de_DE"))
    found = {each.text: each.attrib["x"] for each in ET.fromstring(svg).iter("text")}
    assert found["0,5"] == f"{100 * scale.at(0.5):.2f}%"
    assert set(found) == {"0", "0,5", "1"}


def test_a_bar_is_as_long_as_its_share_and_the_marked_one_full_of_ink():
    for marked, ink in ((False, PALE), (True, FULL)):
        svg = share_strip(0.375, marked=marked)
        _, (wide,) = places(svg, "rect", "width")
        assert wide == 0.375
        bar = list(ET.fromstring(svg).iter("rect"))[1]
        assert float(bar.attrib["opacity"]) == pytest.approx(ink, abs=0.06)


def test_no_picture_has_a_colour_of_its_own_and_none_is_read_aloud_twice():
    for svg in (
        band_strip(BandRow(1, 2, 3, 2), Scale(0, 4)),
        share_strip(0.5),
        scale_strip(Scale(0, 4), Formats()),
    ):
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) <= {
            "currentColor", "none", "var(--jp-layout-color0, #ffffff)",
        }  # fmt: skip
        assert 'aria-hidden="true"' in svg
