"""The thickness field as whole numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from known_walls import NORTH, centres, leaning

from mytakeoff.charts.drawing.field import (
    NOT_PLASTERED,
    NOT_PRICED,
    PRICED,
    field_of,
    quantise,
    step_for,
    thin_out,
)
from mytakeoff.survey.wall import Opening, Wall

millimetres = st.floats(0, 650, allow_nan=False)


@given(arrays(float, (4, 5), elements=millimetres))
def test_codes_are_within_half_a_step(thickness):
    codes = quantise(thickness)
    assert np.abs((codes - 1.0) * 0.01 - thickness).max() <= 0.005 + 1e-9
    assert (codes > 0).all()


def test_nothing_priced_has_the_code_for_it():
    assert quantise(np.array([np.nan, 0.0, np.inf])).tolist() == [0, 1, 0]


@pytest.mark.parametrize("deepest", [1.0, 655.34, 656.0, 1500.0, 9000.0])
def test_any_depth_fits_into_sixteen_bits(deepest):
    step = step_for(deepest)
    code = int(quantise(np.array([deepest]), step)[0])
    assert (code - 1) * step == pytest.approx(deepest, abs=step / 2 + 1e-9)


@given(arrays(float, (7, 10), elements=st.one_of(millimetres, st.just(float("nan")))), st.integers(1, 4))
def test_thinning_out_keeps_the_thickest_of_each_block(thickness, factor):
    thin = thin_out(thickness, factor)
    assert thin.shape == (-(-7 // factor), -(-10 // factor))
    for row in range(thin.shape[0]):
        for column in range(thin.shape[1]):
            block = thickness[row * factor : (row + 1) * factor, column * factor : (column + 1) * factor]
            known = block[~np.isnan(block)]
            assert np.isnan(thin[row, column]) if known.size == 0 else thin[row, column] == known.max()


@pytest.mark.parametrize(
    ("rows", "columns", "shown"), [(300, 500, (300, 500)), (1000, 2000, (500, 1000)), (7, 1001, (4, 501))]
)
def test_no_more_cells_than_a_screen_can_show(rows, columns, shown):
    wall = Wall("long", 5.0, 3.0)
    field = field_of(wall, centres(5.0, columns), centres(3.0, rows), np.full((rows, columns), 12.0))
    assert field.codes.shape == shown
    factor = -(-columns // shown[1])
    left, right, bottom, top = field.extent_m
    assert (left, bottom) == pytest.approx((0, 0), abs=1e-9)
    # Each block is as wide as its cells, also the last one that reaches beyond them.
    assert (right - left) / shown[1] == pytest.approx(factor * 5.0 / columns)
    assert (top - bottom) / shown[0] == pytest.approx(factor * 3.0 / rows)


def test_each_place_is_priced_unknown_or_bare():
    x_m, z_m, thickness = leaning()
    field = field_of(NORTH, x_m, z_m, thickness)
    places = ((0.8, 1.0), (2.8, 1.5), (4.1, 2.5), (1.8, 1.0))
    found = [field.state[np.abs(z_m - z).argmin(), np.abs(x_m - x).argmin()] for x, z in places]
    assert found == [NOT_PLASTERED, NOT_PLASTERED, NOT_PRICED, PRICED]
    assert ((field.state == PRICED) == (field.codes > 0)).all()


def test_a_strip_left_unplastered_is_not_unknown():
    wall = Wall("low", 2.0, 1.0, skirting_m=0.25, fitted=(Opening("shelf", 1.0, 0.5, 1.0, 0.5),))
    x_m, z_m = centres(2.0, 8), centres(1.0, 4)
    field = field_of(wall, x_m, z_m, np.full((4, 8), np.nan))
    assert (field.state[0] == NOT_PLASTERED).all()
    assert (field.state[2:, 4:] == NOT_PLASTERED).all()
    assert (field.state[1:, :4] == NOT_PRICED).all()


def test_each_cell_has_the_thickness_of_its_place():
    x_m, z_m, thickness = leaning()
    field = field_of(NORTH, x_m, z_m, thickness)
    np.testing.assert_allclose(field.thickness_mm, thickness, atol=0.005)
    assert field.extent_m == pytest.approx((0.0, 4.2, 0.0, 2.6))
