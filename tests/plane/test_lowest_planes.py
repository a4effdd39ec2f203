"""The lowest planes over many faces at once, against the plane of each and a general solver."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from mytakeoff.plane.lowest_plane import STEEPEST_MM_PER_M
from mytakeoff.plane.lowest_planes import lowest_planes

FREE = (-STEEPEST_MM_PER_M, STEEPEST_MM_PER_M)
PLUMB = (0.0, 0.0)
SLOPES = st.one_of(
    st.just(FREE),
    st.just(PLUMB),
    st.builds(lambda low, width: (low, low + width), st.floats(-5, 5), st.floats(0, 8)),
)
PLACES = st.lists(st.tuples(st.integers(-6, 6), st.integers(-4, 4)), min_size=1, max_size=12, unique=True)


def by_a_general_solver(x, z, high, bounds):
    """Height at the origin of the lowest plane over points, by linear programming [mm]."""
    rows = -np.column_stack([np.ones_like(x), x, z])
    return linprog([1, 0, 0], A_ub=rows, b_ub=-high, bounds=[(None, None), *bounds], method="highs").fun


@given(PLACES, SLOPES, SLOPES, st.data())
@examples(150)
def test_each_height_is_that_of_a_general_solver(places, turn, lean, data):
    x, z = np.array(places, dtype=float).T / 2
    heights = st.lists(st.floats(-20, 20), min_size=x.size, max_size=x.size)
    high = np.round(np.array(data.draw(st.lists(heights, min_size=1, max_size=4))), 3)
    found = lowest_planes(x, z, high, (turn, lean))
    for plane, face in zip(found, high, strict=True):
        assert (plane @ [np.ones_like(x), x, z] >= face - 1e-6).all()
        assert plane[0] == pytest.approx(by_a_general_solver(x, z, face, (turn, lean)), abs=1e-6, rel=1e-9)


@pytest.mark.parametrize("bounds", [(FREE, FREE), (FREE, PLUMB), (PLUMB, FREE), ((-1.0, 2.0), (-0.5, 3.0))])
def test_whole_faces_rough_stepped_and_level(bounds):
    rng = np.random.default_rng(3)
    x, z = (axis.ravel() for axis in np.meshgrid(np.linspace(-2, 2, 41), np.linspace(-1.2, 1.2, 25)))
    rough = rng.normal(0, 3, (8, 2)) @ np.array([np.sin(2 * x + z), np.cos(3 * z)]) + rng.normal(0, 1, x.size)
    level = np.repeat(np.arange(3.0)[:, None], x.size, axis=1)  # any three cells carry its plane
    for high in (rough, np.round(rough), level):
        each = [by_a_general_solver(x, z, face, bounds) for face in high]
        assert lowest_planes(x, z, high, bounds)[:, 0] == pytest.approx(each, abs=1e-6)
