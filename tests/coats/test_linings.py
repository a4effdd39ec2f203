"""What joinery is packed out by, on plaster whose depth is known by formula."""

from __future__ import annotations

import numpy as np
import oracles
import pytest

import mytakeoff as mt
from mytakeoff.coats.linings import packings

WINDOW = mt.Opening("window", 0.5, 0.8, 0.6, 1.0)
DOOR = mt.Opening("door", 1.4, 0.0, 0.4, 2.0)


def coat(openings, depth_mm) -> mt.BuildUp:
    x, z = np.meshgrid((np.arange(20) + 0.5) * 0.1, (np.arange(25) + 0.5) * 0.1)
    face = oracles.grid_of(0.0 * x, 0.1, openings)
    thickness = np.where(np.isnan(face.proud_mm), np.nan, depth_mm(x, z))
    return mt.BuildUp(face, thickness, np.zeros_like(thickness))


def test_edges_of_a_window_and_a_door():
    """Plaster 10 mm + 4 mm/m across and 2 mm/m up; cells of 0.1 m, the nearest beside each edge counts."""
    found = {(each.name, each.edge): each for each in packings(coat([WINDOW, DOOR], _slope))}
    left, right = found["window", "left edge"], found["window", "right edge"]
    # columns at 0.45 and 1.15 m, rows of the window and one beside it: 0.75 to 1.85 m
    assert (left.start_mm, left.end_mm) == pytest.approx((10 + 1.8 + 1.5, 10 + 1.8 + 3.7))
    assert (right.start_mm, right.end_mm) == pytest.approx((10 + 4.6 + 1.5, 10 + 4.6 + 3.7))
    board, head = found["window", "window board"], found["window", "head"]
    assert (board.start_mm, board.end_mm) == pytest.approx((10 + 1.8 + 1.5, 10 + 4.6 + 1.5))
    assert head.most_mm == pytest.approx(10 + 4.6 + 3.7)
    assert ("door", "window board") not in found  # it stands on the floor
    assert found["door", "head"].most_mm == pytest.approx(10 + 4 * 1.85 + 2 * 2.05)


def test_a_skirting_that_stays_is_packed_out_to_the_plaster_over_it():
    wall = mt.Wall("A", 2.0, 2.5, skirting_m=0.2)
    x, z = np.meshgrid((np.arange(20) + 0.5) * 0.1, (np.arange(25) + 0.5) * 0.1)
    face = mt.Surface.from_grid(wall, x[0], z[:, 0], 0.0 * x)
    (skirting,) = packings(mt.BuildUp(face, _slope(x, 0 * z), np.zeros_like(x)))
    assert (skirting.start_mm, skirting.end_mm) == pytest.approx((10.2, 17.8))


def _slope(x, z):
    return 10 + 4 * x + 2 * z
