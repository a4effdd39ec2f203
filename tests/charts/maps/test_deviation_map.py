"""The deviation map and the profiles: what is drawn where, in which colour, and that eyes can tell it."""

from __future__ import annotations

import numpy as np
import pytest
from colour_vision import DEFICIENCIES, to_linear
from drawn import check_words_apart

from mytakeoff import Opening, Wall
from mytakeoff.charts.drawing.palette import BOTH_WAYS, lightness
from mytakeoff.charts.maps import deviation_map as deviationmap
from mytakeoff.charts.maps import left_out_map as leftoutmap
from mytakeoff.charts.maps import profile as profilechart

WALL = Wall("north", 4.0, 2.0, (Opening("hatch", 1.0, 0.5, 1.0, 1.0),))
X_M, Z_M = np.arange(8) * 0.5 + 0.25, np.arange(4) * 0.5 + 0.25


def test_both_ways_get_darker_evenly_from_one_middle():
    light = lightness(BOTH_WAYS / 255)
    hollow, proud = np.diff(light[:128]), np.diff(light[128:])
    assert (hollow >= 0).all()
    assert (proud <= 0).all()
    assert hollow.std() < 0.35  # a step of the 256 is about half a unit of lightness
    assert proud.std() < 0.35
    assert light[127:129].min() > 95


TO_XYZ = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]  # IEC 61966-2-1
WHITE = np.array([0.9505, 1.0, 1.089])


def lab(linear: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of linear red, green and blue (CIE 15)."""
    x, y, z = np.cbrt(np.clip(linear, 0, 1) @ np.transpose(TO_XYZ) / WHITE).T
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)]).T


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
@pytest.mark.parametrize("share", [0.2, 0.5, 1.0])
def test_proud_and_hollow_differ_for_all_eyes(deficiency, share):
    """At a fifth of the scale they are ten times a just noticeable difference apart (2.3, Mahy 1994)."""
    away = round(127 * share)
    seen = to_linear(BOTH_WAYS[[127 - away, 128 + away]] / 255)
    if deficiency:
        seen = seen @ np.transpose(DEFICIENCIES[deficiency])
    hollow, proud = lab(seen)
    assert np.linalg.norm(hollow - proud) > 23


def test_colours_are_clear_where_nothing_is_known_and_end_at_the_top():
    drawn = deviationmap.colours(np.array([[np.nan, -99.0, -10.0, 0.0, 10.0, 99.0]]), 10.0)[0]
    assert drawn[:, 3].tolist() == [0, 255, 255, 255, 255, 255]
    assert (drawn[1] == drawn[2]).all()
    assert (drawn[4] == drawn[5]).all()
    assert drawn[2, :3].tolist() == BOTH_WAYS[0].tolist()


def test_the_map_shows_the_cells_the_marks_and_the_lines_at_their_places():
    mm = np.add.outer(Z_M, X_M)
    spots = [deviationmap.Spot("A", 3.75, 1.75, True), deviationmap.Spot("1", 0.25, 0.25, False)]
    figure = deviationmap.make(
        WALL, X_M, Z_M, mm, top_mm=10.0, spots=spots, lines=deviationmap.Lines(2.2, 1.1)
    )
    wall, scale = figure.axes
    assert wall.get_xlim() == (0, 4.0)
    assert wall.get_ylim() == (0, 2.0)
    assert wall.images[0].get_extent() == [0.0, 4.0, 0.0, 2.0]
    marks = {(line.get_marker(), *line.get_xydata()[0]) for line in wall.lines if line.get_marker() in "^v"}
    assert marks == {("^", 3.75, 1.75), ("v", 0.25, 0.25)}
    assert {"A", "1", "hatch"} <= {text.get_text() for text in wall.texts}
    drawn = [line.get_xydata() for line in wall.lines if line.get_linestyle() == "--"]
    assert {2.2, 1.1} <= {float(value) for line in drawn for value in line.ravel()}
    assert scale.get_xlim() == (-10.0, 10.0)
    assert {"−10", "0", "+10"} <= {label.get_text() for label in scale.get_xticklabels()}


@pytest.mark.parametrize("upright", [True, False])
def test_a_profile_stands_as_the_wall_does(upright):
    along = np.linspace(0.1, 1.9, 10)
    mm, chord = 3 * np.sin(along), np.linspace(0, 2, 10)
    line = profilechart.ProfileLine(along, mm, chord, 2.0, upright, "Upright at x 1.20 m")
    axes = profilechart.make(line, 5.0).axes[0]
    assert (axes.get_ylim() if upright else axes.get_xlim()) == (0, 2.0)
    assert (axes.get_xlim() if upright else axes.get_ylim()) == (-5.0, 5.0)
    wall = axes.lines[-1].get_xydata()
    np.testing.assert_allclose(wall[:, 1 if upright else 0], along)
    np.testing.assert_allclose(wall[:, 0 if upright else 1], mm)


def test_the_straight_line_ends_where_the_wall_is_known():
    along = np.arange(5.0)
    mm = np.array([np.nan, 1.0, np.nan, 2.0, np.nan])
    shown = profilechart.chord_of(along, mm, along)
    assert np.isnan(shown).tolist() == [True, False, False, False, True]


def test_what_was_left_out_is_drawn_before_and_behind_the_wall():
    x, z, proud = np.array([1.0, 2.0, 3.0]), np.array([0.5, 0.6, 0.7]), np.array([400.0, -90.0, 20.0])
    figure = leftoutmap.make(WALL, (X_M, np.full(8, 1.5)), (x, z, proud), 370.0)
    kept, before, behind = (line.get_xydata() for line in figure.axes[0].lines)
    assert kept[:, 0].tolist() == X_M.tolist()
    assert before.tolist() == [[1.0, 0.5], [3.0, 0.7]]
    assert behind.tolist() == [[2.0, 0.6]]
    assert "up to 400 mm off it" in leftoutmap.describe((x, z, proud))


@pytest.mark.parametrize("top_mm", [5.0, 20.0, 400.0])
def test_the_words_of_an_axis_stand_beside_its_numbers(top_mm):
    along = np.linspace(0.1, 3.9, 30)
    line = profilechart.ProfileLine(along, 0 * along, 0 * along, 4.0, False, "Level at z 1.30 m")
    check_words_apart(profilechart.make(line, top_mm))
