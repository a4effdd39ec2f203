"""Plumb lines tied by level lines: what a wall of known shape reads off them has to give that shape back."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from survey_files import survey_in

from mytakeoff import Survey, TakeoffError, Wall, grid_surface
from mytakeoff.survey.plumb_lines import tie_lines

WALL = Wall("north", 3.0, 2.5)
X_M = (0.3, 1.2, 2.1, 2.7)
UP_M = (2.2, 1.3, 0.4)


def shape_mm(x_m: float, z_m: float) -> float:
    """An old wall: it leans, is hollow in the middle and has a nib."""
    return 4.0 * z_m - 3.0 * x_m - 6.0 * math.sin(x_m) + (5.0 if (x_m, z_m) == (2.1, 0.4) else 0.0)


def lines_text(hung_mm, level_rows, blank=()) -> str:
    """The file that a surveyor of that wall writes who hung each line `hung_mm` off the plane x = 0."""
    rows = [["off_plumb_lines_mm", *map(str, X_M)]]
    for z in UP_M:
        readings = [hung - shape_mm(x, z) for x, hung in zip(X_M, hung_mm, strict=True)]
        rows.append(
            [str(z), *("" if (x, z) in blank else f"{r:.9f}" for x, r in zip(X_M, readings, strict=True))]
        )
    for z, at_mm, turn_mm_per_m, read_at in level_rows:
        read = [f"{at_mm + turn_mm_per_m * x - shape_mm(x, z):.9f}" if x in read_at else "" for x in X_M]
        rows.append([f"level {z}", *read])
    return "\n".join(",".join(row) for row in rows) + "\n"


def survey_of(tmp_path: Path, text: str, **details) -> Survey:
    return survey_in(tmp_path, text, WALL, **details)


def off_shape(survey: Survey, turn_mm_per_m: float = 0.0) -> np.ndarray:
    true = [shape_mm(x, z) - turn_mm_per_m * x for x, z in zip(survey.x_m, survey.z_m, strict=True)]
    return survey.proud_mm - true


@examples(40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    hung=st.lists(st.floats(5, 200), min_size=4, max_size=4),
    level=st.tuples(st.sampled_from(UP_M), st.floats(20, 90), st.floats(-8, 8)),
)
def test_the_shape_comes_back_in_the_level_lines_own_plane(tmp_path, hung, level):
    z_m, at_mm, turn = level
    survey = survey_of(tmp_path, lines_text(hung, [(z_m, at_mm, turn, X_M)]))
    assert survey.layout == "grid"
    miss = off_shape(survey, turn)
    assert np.ptp(miss) == pytest.approx(0.0, abs=1e-7)
    assert miss[0] == pytest.approx(-at_mm, abs=1e-7)


def test_a_second_level_line_ties_what_the_first_one_missed(tmp_path):
    levels = [(1.3, 50.0, 0.0, X_M[:3]), (0.4, 61.0, 5.0, X_M[1:])]
    survey = survey_of(tmp_path, lines_text((30, 55, 41, 70), levels))
    assert np.ptp(off_shape(survey)) == pytest.approx(0.0, abs=1e-7)


@pytest.mark.parametrize(
    "levels", [[(1.3, 50.0, 0.0, X_M[:3])], [(1.3, 50, 0, X_M[:2]), (0.4, 61, 5, X_M[2:])]]
)
def test_a_line_that_nothing_ties_is_told_with_its_place(tmp_path, levels):
    with pytest.raises(TakeoffError) as caught:
        survey_of(tmp_path, lines_text((30, 55, 41, 70), levels))
    places = [one.found for one in caught.value.mistakes]
    assert any("x 2.7 m" in found for found in places)
    assert all("ties" in found for found in places)


def test_disagreement_is_shared_out_and_said(tmp_path):
    """Three lines and two level lines: five unknowns, six readings; by the normal equations."""
    x = np.array([0.0, 1.0, 2.0])
    level = np.array([[-30.0, -33.0, -31.0], [-40.0, -41.0, -45.0]])
    wall = np.array([[-20.0, -25.0, -24.0], [-22.0, -26.0, -29.0]])
    tied = tie_lines(x, wall, level)
    unknowns = np.array(
        [
            [1, 0, 0, 0, 0],
            [0, 1, 0, 0, 0],
            [0, 0, 1, 0, 0],
            [1, 0, 0, -1, 0],
            [0, 1, 0, -1, -1],
            [0, 0, 1, -1, -2],
        ]
    )
    wanted = (level - wall).ravel()
    by_hand = np.linalg.solve(unknowns.T @ unknowns, unknowns.T @ wanted)
    np.testing.assert_allclose(tied.offset_mm, by_hand[:3], atol=1e-9)
    assert tied.spare == 1
    assert not tied.free.any()
    assert tied.worst_mm == pytest.approx(np.abs(wanted - unknowns @ by_hand).max())
    text = lines_text((30, 55, 41, 70), [(1.3, 50, 0, X_M), (0.4, 61, 5, X_M)]).splitlines()
    cells = text[-1].split(",")
    text[-1] = ",".join([*cells[:2], str(float(cells[2]) + 3.0), *cells[3:]])
    survey = survey_of(tmp_path, "\n".join(text))
    assert "agree within" in survey.notes[0]
    assert survey.notes[0] in grid_surface(survey, 0.25).notices


BASE = "off_plumb_lines_mm,0.3,1.2,2.1\n2.4,31,40,28\n1.3,29,42,30\n0.2,33,41,31\nlevel 1.3,52,50,49\n"


@pytest.mark.parametrize(
    ("text", "details", "found", "remedy"),
    [
        (BASE.replace("level 1.3,52,50,49\n", ""), {}, "no level row", "level 1.3 say"),
        (BASE.replace("level 1.3", "level"), {}, "empty cell", "digits"),
        (
            BASE.replace("level 1.3", "level 2.45"),
            {},
            "from 0.2 to 2.4 m",
            "there too",
        ),
        (BASE.replace("level 1.3", "level 3"), {}, "height 3 m", "floor"),
        (BASE.replace("52,50,49", "52,50,"), {}, "x 2.1 m", "second level line"),
        (BASE + "level 0.2,50,75,49\n", {}, "disagree by", "again"),
        (BASE, {"plumb": False}, "not plumb", "plumb"),
        (BASE.replace("off_plumb_lines", "proud_plumb_lines"), {}, "first cell", "unit"),
    ],
)
def test_slips(tmp_path, text, details, found, remedy):
    with pytest.raises(TakeoffError) as caught:
        survey_of(tmp_path, text, **details)
    fitting = [one for one in caught.value.mistakes if found in one.found and remedy in one.remedy]
    assert fitting, str(caught.value)
    assert all(one.place for one in caught.value.mistakes)


def test_lines_in_inches_and_between_two_heights(tmp_path):
    """The level line at half height between two readings takes their mean; 1 in is 25.4 mm exactly."""
    text = "off_plumb_lines_in x_ft z_ft,1,4,7\n8,1 1/4,1 1/2,1\n4,1 3/8,1 3/4,1 1/8\nlevel 6,2,2,2\n"
    survey = survey_of(tmp_path, text)
    np.testing.assert_allclose(
        survey.proud_mm / 25.4, [-2 + 1 / 16, -2 + 1 / 8, -2 + 1 / 16, -2 - 1 / 16, -2 - 1 / 8, -2 - 1 / 16]
    )
