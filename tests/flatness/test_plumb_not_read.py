"""Where too little of a wall is known to read its plumb, nothing is found, nowhere, and nothing breaks."""

from __future__ import annotations

import math

import numpy as np
import oracles
import pytest

from mytakeoff.flatness.grades import grade_of
from mytakeoff.flatness.judging import PLUMB, PLUMB_APART, Finding, judge


def plumb_of(known_rows: int, rows: int) -> dict[str, Finding]:
    """What is found on a wall that leans 4 mm a row, of 0.25 m each, known from its floor up."""
    proud = np.tile(4.0 * np.arange(rows)[:, None], (1, 3))
    proud[known_rows:] = np.nan
    verdict = judge(oracles.grid_of(proud, 0.25), grade_of("SNiP 3.04.01-87 simple"))
    return {finding.what: finding for finding in verdict.plumb}


def assert_nothing(finding: Finding) -> None:
    assert (finding.found, finding.passes) == (0.0, True)
    assert math.isnan(finding.x_m)
    assert math.isnan(finding.z_m)


def test_a_wall_known_to_its_top():
    # nine steps of 4 mm from the lowest row to the highest, four of them to a metre
    found = plumb_of(10, 10)
    assert (found[PLUMB].found, found[PLUMB_APART].found) == (pytest.approx(36.0), pytest.approx(16.0))


def test_columns_known_over_less_than_half_of_the_height_tell_nothing():
    # four rows of ten reach 1.0 m of 2.5 m, five just half of it
    assert_nothing(plumb_of(4, 10)[PLUMB])
    assert plumb_of(5, 10)[PLUMB].found == pytest.approx(16.0)


def test_one_row_of_cells_has_no_two_heights_to_read():
    assert_nothing(plumb_of(1, 1)[PLUMB_APART])
