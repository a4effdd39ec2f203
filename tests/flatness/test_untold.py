"""Gaps that may be the instrument's own bow: neither passed nor failed, and said so."""

from __future__ import annotations

from dataclasses import replace

import oracles
import pytest

import mytakeoff as mt
from mytakeoff.flatness.grades import grade_of, own_grade
from mytakeoff.flatness.judging import judge
from mytakeoff.options.what_is_left import what_remains


def dipped(gap_mm: float, bow_mm: float) -> mt.Surface:
    """A row of cells of 1 m with one dip, on a wall that its instrument may have bent."""
    wall = mt.Wall("A", 3.0, 1.0)
    dip = mt.Surface.from_grid(wall, [0.5, 1.5, 2.5], [0.5], [[0.0, -gap_mm, 0.0]])
    return replace(dip, bow_mm=bow_mm)


@pytest.mark.parametrize(
    ("gap_mm", "bow_mm", "passes", "untold"),
    [
        (2.0, 0.0, True, False),
        (5.0, 0.0, False, False),
        (5.0, 1.0, False, False),  # at least 4 of 3 mm
        (5.0, 3.0, False, True),  # 2 to 8
        (2.0, 3.0, False, True),
        (1.0, 1.5, True, False),  # at most 2.5
        (40.0, 36.0, False, False),
        (38.0, 36.0, False, True),
    ],
)
def test_a_gap_that_is_not_beyond_the_bow_is_not_judged(gap_mm, bow_mm, passes, untold):
    """3 mm under 2 m: judged where it lies further from its limit than what is not known."""
    verdict = judge(dipped(gap_mm, bow_mm), own_grade(3.0, 2.0))
    assert (verdict.passes, verdict.untold) == (passes, untold)
    assert verdict.worst.untold_mm == bow_mm


def test_what_fails_surely_fails_beside_what_is_not_judged():
    """Out of plumb is no gap; uneven places are counted, and a count within a bow tells nothing."""
    leaning = oracles.grid_of([[0.0, 0.1, 0.0, 0.1]] * 13 + [[30.0, 30.1, 30.0, 30.1]] * 13, 0.1)
    verdict = judge(replace(leaning, bow_mm=50.0), own_grade(3.0, 2.0, 7.0, 2.0))
    assert not verdict.untold
    assert verdict.worst.what == "out of plumb"
    counted = judge(replace(leaning, bow_mm=50.0), grade_of("SNiP 3.04.01-87 simple")).findings
    assert not any(finding.judged for finding in counted if finding.what == "uneven places on 4 m²")


def test_a_face_made_with_an_edge_on_the_wall_has_no_instruments_bow():
    build_up = mt.spot_repair(dipped(8.0, 20.0), 3.0)
    assert what_remains(build_up, own_grade(3.0, 2.0)).untold
    assert what_remains(build_up, own_grade(3.0, 2.0), by_edge=True).passes
