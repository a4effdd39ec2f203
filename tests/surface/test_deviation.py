"""A wall held to a plane: shapes whose lean, turn and bow are known."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff import Opening, Surface, Survey, Wall, grid_surface
from mytakeoff.surface.deviation import APART_M, deviation, fitted_plane, profile

WALL = Wall("north", 4.0, 2.5, (Opening("door", 1.0, 0.0, 0.9, 2.0),))
X_M, Z_M = np.arange(80) * 0.05 + 0.025, np.arange(50) * 0.05 + 0.025
SLOPES = st.floats(-15, 15)


def shaped(shape, wall: Wall = WALL) -> Surface:
    """A ready height field of that shape."""
    return Surface.from_grid(
        wall, X_M, Z_M, shape(X_M[None, :], Z_M[:, None]) + 0 * (X_M[None, :] + Z_M[:, None])
    )


@examples(30)
@given(a=st.floats(-50, 50), b=SLOPES, c=SLOPES)
def test_a_plane_is_found_again_and_nothing_stands_off_it(a, b, c):
    surface = shaped(lambda x, z: a + b * x + c * z)
    plane = fitted_plane(surface)
    assert (plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m) == pytest.approx((a, b, c), abs=1e-8)
    held = deviation(surface)
    assert held.greatest_mm < 1e-8
    assert held.high == held.low == ()


@examples(30)
@given(seed=st.integers(0, 2**20), c=SLOPES)
def test_where_nothing_stands_off_the_plane_is_that_of_the_normal_equations(seed, c):
    """Weighted least squares written out, over the part of each cell that is wall."""
    rng = np.random.default_rng(seed)
    surface = shaped(lambda x, z: c * z + rng.uniform(-5, 5, (Z_M.size, X_M.size)))
    weight = surface.cell_area_m2.ravel()
    known = weight > 0
    grid_x, grid_z = (axis.ravel()[known] for axis in np.meshgrid(X_M, Z_M))
    for plumb, columns in (
        (False, [np.ones(known.sum()), grid_x, grid_z]),
        (True, [np.ones(known.sum()), grid_x]),
    ):
        matrix = np.column_stack(columns)
        moment = matrix.T @ (weight[known] * surface.proud_mm.ravel()[known])
        wanted = np.linalg.solve(matrix.T @ (weight[known, None] * matrix), moment)
        plane = fitted_plane(surface, plumb)
        found = (plane.a_mm, plane.b_mm_per_m, plane.c_mm_per_m)[: wanted.size]
        assert found == pytest.approx(tuple(wanted), abs=1e-6)


def test_high_and_low_places_are_the_tops_and_bottoms_of_humps_apart_from_each_other():
    humps = ((0.525, 2.025, 9.0), (3.025, 0.525, 7.0), (2.525, 2.025, -8.0))

    def shape(x, z):
        return sum(mm * np.exp(-((x - u) ** 2 + (z - v) ** 2) / 0.02) for u, v, mm in humps)

    held = deviation(shaped(shape), "measured")
    assert [(round(p.x_m, 3), round(p.z_m, 3), round(p.mm, 2)) for p in held.high] == list(humps[:2])
    assert [(round(p.x_m, 3), round(p.z_m, 3), round(p.mm, 2)) for p in held.low] == [humps[2]]


def test_no_place_is_named_where_the_face_is_only_carried_on():
    """The wall rises to its ends; the readings stop half a metre before them."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.linspace(0.5, 3.5, 7), np.linspace(0.4, 2.1, 5)))
    survey = Survey.from_readings(Wall("a", 4.0, 2.5), x, z, 5 * (x - 2.0) ** 2)
    held = deviation(grid_surface(survey, 0.05))
    assert held.high
    assert all(0.45 < p.x_m < 3.55 and 0.35 < p.z_m < 2.15 for p in (*held.high, *held.low))
    for places in (held.high, held.low):
        for n, one in enumerate(places):
            assert all(np.hypot(one.x_m - p.x_m, one.z_m - p.z_m) >= APART_M for p in places[n + 1 :])


@pytest.mark.parametrize("upright", [True, False])
def test_a_profile_of_a_parabola_bows_by_its_height(upright):
    """4 h u (1 − u) stands h off its chord in the middle, 4 mm a metre of lean do not change that."""
    length = 2.5 if upright else 4.0

    def shape(x, z):
        u = (z if upright else x) / length
        return 4 * -6.0 * u * (1 - u) + 4.0 * (z if upright else x)

    bare = Wall("b", 4.0, 2.5)
    line = profile(deviation(shaped(shape, bare), "measured"), 1.3, upright)
    ends = 4 * -6.0 * (0.025 / length) * (1 - 0.025 / length)  # the outermost cells' middles
    bow, at = line.bow
    assert bow == pytest.approx(-6.0 - ends, abs=0.02)
    assert at == pytest.approx(length / 2, abs=0.026)
    assert line.rise_mm == pytest.approx(4.0 * (length - 0.05))


def test_a_profile_knows_nothing_in_an_opening():
    line = profile(deviation(shaped(lambda x, z: 1.0 * x)), 1.0, False)
    assert np.isnan(line.mm[(line.along_m > 1.05) & (line.along_m < 1.85)]).all()
    assert not np.isnan(line.mm[line.along_m > 1.95]).any()


def test_a_profile_runs_where_it_was_asked_for():
    """What a slider says and what stands over the picture are one place; between two rows of cells the wall
    goes straight from one to the other."""
    held = deviation(shaped(lambda x, z: 3.0 * z, Wall("b", 4.0, 2.5)), "measured")
    for at in (0.0, 1.74, 1.75, 2.5):
        line = profile(held, at, False)
        assert line.at_m == at
        low, high = held.surface.z_m[[0, -1]]
        assert line.mm == pytest.approx(3.0 * min(max(at, low), high), abs=1e-6)
