"""How a wall stands: planes whose lean is known, held to general robust regressions and to many surveys."""

from __future__ import annotations

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from sklearn.linear_model import HuberRegressor, RANSACRegressor

from mytakeoff.survey.stance import PATCHES, fitted, ninths, spread_of, stance

SLOPES = st.floats(-15, 15)


def cells(width_m: float = 4.0, height_m: float = 2.6, cell_m: float = 0.1):
    """Middles of the cells of a wall [m]."""
    x, z = (np.arange(cell_m / 2, length, cell_m) for length in (width_m, height_m))
    return tuple(axis.ravel() for axis in np.meshgrid(x, z))


@examples(30)
@given(
    turn=SLOPES, lean=SLOPES, wide=st.floats(0.5, 1.9), high=st.floats(0.5, 2.6), left=st.floats(0, 2),
    proud_mm=st.floats(15, 60),
)  # fmt: skip
def test_what_stands_in_front_of_less_than_half_of_a_wall_tilts_nothing(
    turn, lean, wide, high, left, proud_mm
):
    x, z = cells()
    board = (x > left) & (x < left + wide) & (z < high)
    proud = 7.0 + turn * x + lean * z + proud_mm * board
    stands = stance(x, z, proud + np.random.default_rng(0).normal(0, 0.5, x.size))
    assert stands.b_mm_per_m == pytest.approx(turn, abs=0.1)
    assert stands.c_mm_per_m == pytest.approx(lean, abs=0.15)
    assert stands.bow_mm < 1.5


def test_a_bow_leaves_the_lean_and_is_told():
    """An arc of 8 mm along the wall: its chord's plane leans by nothing."""
    x, z = cells()
    stands = stance(x, z, 3.0 * z + 8.0 * (1.0 - (x / 2.0 - 1.0) ** 2))
    assert stands.c_mm_per_m == pytest.approx(3.0, abs=1e-9)
    assert stands.bow_mm == pytest.approx(8.0 * 0.975**2, rel=0.01)  # to the outer cells' middles


@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_seen_from_the_other_side_it_leans_the_other_way(mirror):
    x, z = cells()
    proud = mirror * (2.0 * x + 5.0 * z + np.random.default_rng(1).normal(0, 1, x.size))
    across = x if mirror > 0 else 4.0 - x
    stands = stance(across, z, proud)
    assert stands.c_mm_per_m == pytest.approx(mirror * 5.0, abs=0.15)
    assert stands.b_mm_per_m == pytest.approx(2.0, abs=0.1)


def test_the_plane_is_that_of_general_robust_regressions():
    """scikit-learn's Huber and RANSAC regressions: a rough wall, a shelf before it and a hole in it."""
    random = np.random.default_rng(2)
    x, z = cells()
    proud = 1.5 * x - 4.0 * z + random.normal(0, 2, x.size)
    proud += 45.0 * ((x > 3) & (z > 1.9)) - 30.0 * (np.hypot(x - 1, z - 1) < 0.4)
    places = np.column_stack([x, z])
    stands = stance(x, z, proud)
    found = stands.b_mm_per_m, stands.c_mm_per_m
    huber = HuberRegressor(epsilon=1.35, alpha=0.0, max_iter=1000).fit(places, proud).coef_
    # RANSAC keeps what lies within 6 mm of the plane that most cells agree on
    ransac = RANSACRegressor(residual_threshold=6.0, random_state=0).fit(places, proud)
    assert found == pytest.approx(tuple(ransac.estimator_.coef_), abs=0.4)
    assert found == pytest.approx(tuple(huber), abs=0.7)  # Huber's weights never fall to nothing
    assert found == pytest.approx((1.5, -4.0), abs=0.15)


def test_a_place_that_is_densely_read_weighs_no_more():
    x, z = cells()
    proud = 4.0 * z + np.random.default_rng(3).normal(0, 1, x.size)
    half = np.where(x < 2.0, 0.5, 1.0)
    twice = (np.concatenate([each, each[x < 2]]) for each in (x, z, proud))
    doubled = stance(*twice, np.concatenate([half, half[x < 2]]))
    once = stance(x, z, proud)
    assert doubled.c_mm_per_m == pytest.approx(once.c_mm_per_m, abs=1e-6)
    assert doubled.lean_off_mm_per_m == pytest.approx(once.lean_off_mm_per_m, rel=1e-6)


def test_a_patch_left_out_is_a_fit_without_it():
    """The jackknife of patches, written out by fitting anew."""
    random = np.random.default_rng(4)
    x, z = cells()
    keep = (x < 3.2) | (z > 1.0)  # patches of unequal size
    x, z = x[keep], z[keep]
    columns = np.column_stack([np.ones_like(x), x, z])
    proud, weight = random.normal(0, 3, x.size), random.uniform(0.5, 1, x.size)
    patch = ninths(x, z)
    whole, pseudo, h = fitted(columns, proud, weight), [], []
    for nth in range(PATCHES**2):
        rest = patch != nth
        h.append(weight.sum() / weight[~rest].sum())
        pseudo.append(h[-1] * whole - (h[-1] - 1) * fitted(columns[rest], proud[rest], weight[rest]))
    of_each = (np.array(pseudo) - np.mean(pseudo, axis=0)) ** 2 / (np.array(h) - 1)[:, None]
    assert spread_of(columns, proud, weight, patch) == pytest.approx(np.sqrt(of_each.mean(axis=0)))


def test_how_far_the_lean_may_be_off_holds_where_neighbours_miss_alike():
    """Walls with waves a metre long, of each a part seen: twice what is said holds in 90 of 100 or more.

    By the number of cells alone it would be twentyfold too little.
    """
    random = np.random.default_rng(5)
    x, z = cells()
    held, said = [], []
    for _ in range(200):
        waves = random.normal(0, 1, (6, 3)) * [2.0, 1.0, 1.0]
        proud = sum(
            size * np.sin(2 * np.pi * (x * along + z * up) / 2.0 + nth)
            for nth, (size, along, up) in enumerate(waves)
        )
        whole = stance(x, z, proud)
        seen = (x < random.uniform(2.5, 4)) & (z > random.uniform(0, 0.9))
        part = stance(x[seen], z[seen], proud[seen])
        off = np.hypot(part.lean_off_mm_per_m, whole.lean_off_mm_per_m)
        held.append(abs(part.c_mm_per_m - whole.c_mm_per_m) <= 2.0 * off)
        said.append(part.lean_off_mm_per_m)
    assert np.mean(held) >= 0.9
    assert np.median(said) < 3.0  # and it is no empty word


def test_one_column_of_cells_tells_no_more_than_it_can():
    stands = stance(np.full(20, 0.5), np.linspace(0, 2, 20), 3.0 * np.linspace(0, 2, 20))
    assert stands.c_mm_per_m == pytest.approx(3.0)
    assert np.isnan(stands.lean_off_mm_per_m)
